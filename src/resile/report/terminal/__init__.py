"""Readable sheets for a terminal: findings first, then results, verdicts, what is open.

The `render_…` functions give something `rich` prints; `plain_text` gives the same as text for a pipe.
"""

from resile.report.terminal.brief import render_brief
from resile.report.terminal.grids import plain_text
from resile.report.terminal.overview import render_overview
from resile.report.terminal.rules import render_rules, render_specification
from resile.report.terminal.sheets import render_ageing, render_run, render_statement

__all__ = [
    "plain_text",
    "render_ageing",
    "render_brief",
    "render_overview",
    "render_rules",
    "render_run",
    "render_specification",
    "render_statement",
]
