"""What pages in the browser share with printed reports: marks, symbols with subscripts, drawn pictures."""

from __future__ import annotations

import base64
import json
from functools import lru_cache
from typing import Any

from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.report.figures.style import DARK
from resile.report.markup import symbols_as_html
from resile.report.render import render_svg
from resile.report.tolerance import reading_words, zone_words
from resile.report.words import CONDITION_WORDS, OUTCOME_MARKS, SEVERITY_MARKS, symbol_of

__all__ = [
    "DARK",
    "MARKS",
    "picture_address",
    "reading_words",
    "residue_of",
    "symbol_of",
    "symbols_as_html",
    "unit_of",
    "zone_words",
]

_LABORATORY_MARKS = {
    "satisfactory": "\u2713",
    "questionable": "\u25b2",
    "action": "\u25c6",
    "inside": "\u2713",
    "repeat": "\u25b2",
    "outside": "\u2717",
}
MARKS: dict[str, str] = {
    str(word): mark
    for word, mark in (*SEVERITY_MARKS.items(), *OUTCOME_MARKS.items(), *_LABORATORY_MARKS.items())
}
"""Mark of an outcome, a severity, a score or a check; a mark never stands without its word."""


def unit_of(quantity: str) -> str:
    """Give the unit of a property; empty where it has none."""
    known = QUANTITIES.get(quantity)
    return known.unit if known else ""


def residue_of(condition: Condition) -> str:
    """Give the words for a residue."""
    return CONDITION_WORDS[condition]


def picture_address(spec: dict[str, Any]) -> str:
    """Draw a picture and give it as an address that holds all of it, for a reader without script.

    Parameters
    ----------
    spec : dict
        A Vega-Lite specification from `resile.report.figures`.

    Returns
    -------
    str
        A ``data:`` address of an SVG.
    """
    return _drawn_once(json.dumps(spec, sort_keys=True))


@lru_cache(maxsize=64)
def _drawn_once(spec: str) -> str:
    drawn = render_svg(json.loads(spec))
    return f"data:image/svg+xml;base64,{base64.b64encode(drawn.encode()).decode()}"
