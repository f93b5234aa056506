"""One document to a self-contained web page and to a tagged sheet of paper."""

from __future__ import annotations

import base64
import datetime
import json
import re
from dataclasses import asdict
from typing import Any

from resile.report.document import ReportDocument
from resile.report.figures.style import DARK
from resile.report.markup import TEMPLATES, environment, picture_html, picture_svg
from resile.report.paper.assemble import page_of
from resile.report.paper.models.model import Page
from resile.report.typeset import typeset

_LONG_WORD = re.compile(r"\S{33,}")
_HASH = re.compile(r"[0-9a-f]{64}")
_PIECES = re.compile(r".{1,16}", re.DOTALL)
_BREAK = "\N{ZERO WIDTH SPACE}"


def html_page(document: ReportDocument) -> str:
    """Set a document as one self-contained web page.

    Parameters
    ----------
    document : ReportDocument
        Records and identity.

    Returns
    -------
    str
        HTML with its style sheet and its pictures inside; it needs no script and no network.
    """
    return html_of_page(
        page_of(document),
        version=document.package_version,
        logo=logo_address(document.logo, document.logo_form),
    )


def html_of_page(page: Page, *, version: str = "", logo: str = "") -> str:
    """Set a page as one self-contained web page.

    Parameters
    ----------
    page : Page
        Texts and pictures, ready to be set.
    version : str
        Version of resile.
    logo : str
        Address that holds the logo; empty for none.

    Returns
    -------
    str
        HTML without script.
    """
    drawn = {picture.name: picture_html(picture) for section in page.sections for picture in section.pictures}
    template = environment().get_template("report.html.j2")
    style = (TEMPLATES / "report.css").read_text(encoding="utf-8") + dark_figures()
    text: str = template.render(page=page, drawn=drawn, style=style, version=version, logo=logo)
    return text


def logo_address(logo: bytes, form: str) -> str:
    """Give a logo as an address that holds it; as a picture it runs nothing and fetches nothing.

    Parameters
    ----------
    logo : bytes
        The picture; empty for none.
    form : str
        ``"svg"`` or ``"png"``.

    Returns
    -------
    str
        A ``data:`` address; empty for none.
    """
    kinds = {"svg": "image/svg+xml", "png": "image/png"}
    return f"data:{kinds[form]};base64,{base64.b64encode(logo).decode()}" if logo else ""


def dark_figures() -> str:
    """Give the rules that turn the colours of the figures on a dark screen."""
    rules = "".join(
        f'.drawn [{what}="{light}"]{{{what}:{dark}}}'
        for light, dark in DARK.items()
        for what in ("fill", "stroke")
    )
    return f"@media screen and (prefers-color-scheme: dark){{{rules}}}\n"


def pdf_page(document: ReportDocument) -> bytes:
    """Set a document on A4 paper.

    Parameters
    ----------
    document : ReportDocument
        Records and identity; its date also dates the file.

    Returns
    -------
    bytes
        A tagged PDF (PDF/A-2a and PDF/UA-1); the same document gives the same bytes, on every machine as
        long as our own font has all its letters (Latin, Greek, Cyrillic).
    """
    return pdf_of_page(page_of(document), logo=document.logo)


def pdf_of_page(page: Page, *, logo: bytes = b"") -> bytes:
    """Set a page on A4 paper; its date also dates the file.

    Parameters
    ----------
    page : Page
        Texts and pictures, ready to be set.
    logo : bytes
        The picture that the page names; empty for none.

    Returns
    -------
    bytes
        A tagged PDF.
    """
    files: dict[str, bytes] = {
        "main.typ": (TEMPLATES / "report.typ").read_bytes(),
        "page.json": json.dumps(_for_paper(page), ensure_ascii=False).encode(),
    }
    if page.logo:
        files[page.logo] = logo
    for section in page.sections:
        for picture in section.pictures:
            files[f"{picture.name}.svg"] = picture_svg(picture).encode()
    return typeset(files, timestamp=_noon_of(page.date))


def _broken(word: re.Match[str]) -> str:
    return word[0] if _HASH.fullmatch(word[0]) else _BREAK.join(_PIECES.findall(word[0]))


def _breakable(part: Any) -> Any:
    """Let a word as long as a line break somewhere: paper does not scroll; hashes stay whole."""
    if isinstance(part, str):
        return _LONG_WORD.sub(_broken, part)
    if isinstance(part, dict):
        return {key: value if key == "spec" else _breakable(value) for key, value in part.items()}
    return [_breakable(one) for one in part] if isinstance(part, list | tuple) else part


def _for_paper(page: Page) -> dict[str, Any]:
    """Give the page as plain data; the charts leave as files, only their descriptions stay."""
    plain: dict[str, Any] = _breakable(asdict(page))
    for section in plain["sections"]:
        for picture in section["pictures"]:
            picture["description"] = picture.pop("spec")["description"]
    return plain


def _noon_of(date: str) -> datetime.datetime:
    """Give noon of the day of issue; the first day of 1970 where the date is not of the form YYYY-MM-DD."""
    try:
        day = datetime.date.fromisoformat(date)
    except ValueError:
        day = datetime.date(1970, 1, 1)
    return datetime.datetime.combine(day, datetime.time(12), tzinfo=datetime.UTC)
