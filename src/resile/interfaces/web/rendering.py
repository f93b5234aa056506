"""The templates and the few words they may use beside what a page gives them."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import jinja2

from resile.interfaces.web.assets import asset_address
from resile.interfaces.web.paper_tables import every_row, page_columns, page_rows
from resile.version import __version__
from resile.workflows.laboratory.record.showing import (
    MARKS,
    picture_address,
    reading_words,
    residue_of,
    symbol_of,
    symbols_as_html,
    unit_of,
    zone_words,
)
from resile.workflows.sites.in_words import rule_title

TEMPLATES = Path(__file__).parent / "templates"


@cache
def environment() -> jinja2.Environment:
    """Load the templates once; every text is escaped, a name that is missing is a fault."""
    found = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals["asset"] = asset_address
    found.globals["version"] = __version__
    found.globals["marks"] = MARKS
    found.globals["picture_address"] = picture_address
    found.globals["page_columns"], found.globals["page_rows"] = page_columns, page_rows
    found.globals["every_row"] = every_row
    found.filters["symbols"] = symbols_as_html
    found.filters["symbol"], found.filters["unit"] = symbol_of, unit_of
    found.filters["residue"] = residue_of
    found.filters["zone"], found.filters["beside_zone"] = zone_words, reading_words
    found.filters["plainly"] = _plainly
    found.filters["rule_title"] = rule_title
    found.filters["rule_choices"] = lambda names: [(one, rule_title(one)) for one in names]
    found.filters["grouped"] = lambda number: f"{number:,.0f}".replace(",", "\u202f")
    return found


def _plainly(value: Any) -> Any:
    """Say what is kept as people say it: yes and no, and several things apart by commas."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else value


def render(template: str, **values: object) -> str:
    """Fill a template."""
    return environment().get_template(template).render(**values)
