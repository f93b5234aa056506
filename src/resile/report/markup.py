"""What the web page and the notebook share: templates, symbols with subscripts, pictures with a name."""

from __future__ import annotations

import html
import json
import re
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from resile.errors import MissingDependencyError
from resile.report.paper.models.model import Picture
from resile.report.render import render_svg

TEMPLATES = Path(__file__).parent / "templates"
_SYMBOL = re.compile(r"\b(J)(nr)(,diff|,slope|0\.1|3\.2)?(?![\w-])|\b(R)(diff|0\.1|3\.2)(?![\w-])")


@cache
def environment() -> Any:
    """Load the templates once; every text is escaped unless a template says otherwise."""
    try:
        import jinja2
    except ImportError as error:
        raise MissingDependencyError(
            "The web page needs the library jinja2, which is not installed: pip install jinja2."
        ) from error
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["symbols"] = symbols_as_html
    return environment


def symbols_as_html(text: str) -> Any:
    """Escape a text and set the symbols of the trade with their subscripts."""
    from markupsafe import Markup

    def subscripted(match: re.Match[str]) -> str:
        letter, index = match.group(1) or match.group(4), match.group(2) or match.group(5)
        further = match.group(3)
        tail = f'<span class="step">{further}</span>' if further else ""
        return f"<i>{letter}</i><sub>{index}{tail}</sub>"

    escaped = html.escape(text).replace(" %", "\N{NO-BREAK SPACE}%").replace(" °C", "\N{NO-BREAK SPACE}°C")
    return Markup(_SYMBOL.sub(subscripted, escaped))


def labelled_svg(svg: str, description: str) -> str:
    """Give a drawing one name for assistive programs and let it shrink with the page."""
    body = re.sub(r' (?:role|aria-[a-z]+)="[^"]*"', "", svg)
    body = re.sub(r'(<svg\b[^>]*?) width="[\d.]+" height="[\d.]+"', r"\1", body, count=1)
    width = re.search(r'viewBox="0 0 ([\d.]+)', svg)
    shown_width = width.group(1) if width else "640"
    label = html.escape(description, quote=True)
    return body.replace(
        "<svg ", f'<svg role="img" aria-label="{label}" style="max-width:{shown_width}px" ', 1
    )


def picture_svg(picture: Picture) -> str:
    """Draw a picture of a page; web page and paper of one document draw it only once."""
    return _drawn_once(json.dumps(picture.spec), picture.name)


@lru_cache(maxsize=24)
def _drawn_once(spec: str, name: str) -> str:
    return render_svg(json.loads(spec), prefix=name)


def picture_html(picture: Picture) -> str:
    """Draw a picture for a web page, with its description."""
    return labelled_svg(picture_svg(picture), str(picture.spec["description"]))
