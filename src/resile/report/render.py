"""Chart specifications to SVG or PNG, the same text each time and with no address ever opened."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

from resile.errors import MissingDependencyError

FONT_FOLDER = Path(__file__).parent / "fonts"
_MADE_UP_NAME = re.compile(r'(?<=[("#])(clip|gradient_?)(\d+)')


@cache
def _engine() -> Any:
    """Load the chart engine once, with our own fonts."""
    try:
        import vl_convert
    except ImportError as error:
        raise MissingDependencyError(
            "Figures need the library vl-convert-python, which is not installed."
        ) from error
    vl_convert.register_font_directory(str(FONT_FOLDER))
    return vl_convert


def render_svg(spec: dict[str, Any], *, prefix: str = "figure") -> str:
    """Draw a chart as SVG text.

    Parameters
    ----------
    spec : dict
        A Vega-Lite specification from `resile.report.figures`.
    prefix : str
        Put before every name inside the drawing, so that several drawings can stand in one page.

    Returns
    -------
    str
        One ``<svg>`` element; the same specification gives the same text.
    """
    drawn: str = _engine().vegalite_to_svg(spec, allowed_base_urls=[])
    return _steady_names(drawn, prefix)


def render_png(spec: dict[str, Any], *, scale: float = 2.0) -> bytes:
    """Draw a chart as a PNG picture on white.

    Parameters
    ----------
    spec : dict
        A Vega-Lite specification from `resile.report.figures`.
    scale : float
        Dots of the picture for each of the specification.
    """
    drawn: bytes = _engine().vegalite_to_png(
        {**spec, "background": "#ffffff"}, scale=scale, allowed_base_urls=[]
    )
    return drawn


def render_pdf(spec: dict[str, Any]) -> bytes:
    """Draw a chart as a PDF page of its own size, with lines and letters that stay sharp.

    Parameters
    ----------
    spec : dict
        A Vega-Lite specification from `resile.report.figures`.
    """
    drawn: bytes = _engine().vegalite_to_pdf({**spec, "background": "#ffffff"}, allowed_base_urls=[])
    return drawn


def _steady_names(svg: str, prefix: str) -> str:
    """Number the engine's names anew: it counts on from call to call."""
    seen: dict[str, str] = {}

    def renamed(match: re.Match[str]) -> str:
        return seen.setdefault(match.group(0), f"{prefix}-{match.group(1).rstrip('_')}-{len(seen) + 1}")

    return _MADE_UP_NAME.sub(renamed, svg)
