"""The page for people outside the laboratory: its body, and the whole of it to send."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.records.explanation import ExplainingWords, Explanation, LetterLimit, Push
from resile.records.traffic_rule import TrafficRule
from resile.report.explaining.geometry import LAYOUT, ladder_x, push_geometry, row_geometry
from resile.report.markup import TEMPLATES, environment
from resile.report.numbers import shown


@dataclass(frozen=True, slots=True)
class GradePart:
    """One part of the name of a grade.

    Attributes
    ----------
    text, role, words : str
        As it stands in the name, what it is (``system``, ``high``, ``letter``, ``low``), what it means.
    """

    text: str
    role: str
    words: str


@dataclass(frozen=True, slots=True)
class OutsidersPage:
    """What the page shows.

    Attributes
    ----------
    words : ExplainingWords
        The texts.
    limits : tuple of LetterLimit
        What each letter lets stay behind.
    traffic : TrafficRule or None
        Which traffic asks for which letter.
    parts : tuple of GradePart
        The example grade taken apart.
    push, reference, deciding : Push
        The push shown, the one it is compared with, and the one that decides the letter.
    binder : str
        Short name of the binder shown.
    sentences : tuple of str
        What is told beside the picture.
    rows : dict of str to tuple
        Times and strain of the pushes in a row, by title of the binder.
    adding_up : tuple of str
        What is told beside that picture.
    terms : tuple of tuple
        Word, meaning, and name in the glossary.
    explanation : Explanation or None
        The reader's own result.
    hotter : tuple of tuple
        Title, push and letter of each binder one step hotter.
    """

    words: ExplainingWords
    limits: tuple[LetterLimit, ...]
    traffic: TrafficRule | None
    parts: tuple[GradePart, ...]
    push: Push
    reference: Push
    deciding: Push
    binder: str
    sentences: tuple[str, ...]
    rows: dict[str, tuple[tuple[float, ...], tuple[float, ...]]]
    adding_up: tuple[str, ...]
    terms: tuple[tuple[str, str, str], ...]
    explanation: Explanation | None = None
    hotter: tuple[tuple[str, Push, Push, str], ...] = ()


def explaining_body(
    page: OutsidersPage, *, live: bool, refusal: str = "", named: tuple[str, str] = ("", "")
) -> Any:
    """Set what stands between head and foot of the page.

    Parameters
    ----------
    page : OutsidersPage
        What it shows.
    live : bool
        With the form to push and heat the binders; without, with pictures of them.
    refusal : str
        What was wrong with what a reader asked for; empty for nothing.
    named : tuple of (str, str)
        What the result shown hangs on, ``run`` or ``statement``, and its key; the form keeps it.

    Returns
    -------
    markupsafe.Markup
        Safe to be put into another page; no script and no style attribute.
    """
    from markupsafe import Markup

    template = environment().get_template("explain_body.html.j2")
    text: str = template.render(
        page=page,
        live=live,
        refusal=refusal,
        named=named,
        place=LAYOUT,
        drawn=push_geometry(page.push, page.reference if live else None),
        own=push_geometry(page.explanation.push) if page.explanation else None,
        rows=row_geometry(page.rows),
        ladder=[(one, ladder_x(one.limit, page.limits)) for one in page.limits],
        mark_x=ladder_x(page.deciding.jnr, page.limits),
        own_x=ladder_x(page.explanation.push.jnr, page.limits) if page.explanation else None,
        hotter=[(title, push_geometry(push, was), push, letter) for title, push, was, letter in page.hotter],
        jnr=lambda push: shown(push.jnr, "jnr_3.2"),
        percent=lambda share: f"{100 * share:.0f}",
    )
    return Markup(text)


def explaining_style() -> str:
    """Give the style sheet of the body, for a page of its own or for another one."""
    return (TEMPLATES / "explain.css").read_text(encoding="utf-8")


def explaining_page(page: OutsidersPage, *, version: str) -> str:
    """Set the whole page, to be sent as one file.

    Parameters
    ----------
    page : OutsidersPage
        What it shows.
    version : str
        Version of resile.

    Returns
    -------
    str
        HTML with its style and its pictures inside; it needs no script and no network.
    """
    template = environment().get_template("explain.html.j2")
    text: str = template.render(
        page=page,
        body=explaining_body(page, live=False),
        style=explaining_style(),
        version=version,
    )
    return text
