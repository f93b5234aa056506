"""The page for people outside the laboratory, gathered from words, limits and numbers; and on disk."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.records.explanation import ExplainingWords, Explanation, LetterLimit
from resile.report.explaining.page import (
    GradePart,
    OutsidersPage,
    explaining_body,
    explaining_page,
    explaining_style,
)
from resile.specifications.explaining import load_explaining_words
from resile.specifications.load import load_specification
from resile.specifications.traffic import traffic_rule_of
from resile.version import __version__
from resile.workflows.explaining.result import explain_report
from resile.workflows.explaining.sentences import comparison, letter_of
from resile.workflows.explaining.trying import Trial, letter_limits, push_binder, pushes_in_a_row, try_binder
from resile.workflows.orders.pages import write_file

_GRADE = re.compile(r"(?P<system>\D+?) ?(?P<high>\d+)(?P<letter>[A-Z]?)(?P<low>-\d+)")


def outsiders_page(trial: Trial, explanation: Explanation | None = None) -> OutsidersPage:
    """Gather what the page shows.

    Parameters
    ----------
    trial : Trial
        The push of an invented binder that is taken apart.
    explanation : Explanation, optional
        The reader's own result; its letters and limits then rule the page.

    Returns
    -------
    OutsidersPage
        Ready to be set.
    """
    words = load_explaining_words()
    named = (explanation.specification if explanation else "") or words.specification
    specification = load_specification(named)
    limits = letter_limits(specification)
    model = words.model
    rows = {one.name: pushes_in_a_row(words, one.name) for one in words.binders}
    return OutsidersPage(
        words=words,
        limits=limits,
        traffic=traffic_rule_of(specification.identifier),
        parts=_grade_parts(words, limits),
        push=trial.push,
        reference=trial.reference,
        deciding=trial.deciding,
        binder=trial.binder.name,
        sentences=trial.sentences,
        rows={one.title: rows[one.name] for one in words.binders},
        adding_up=_adding_up(words, rows),
        terms=tuple(
            (
                one["word"],
                one["words"].format(
                    lowest_stress=f"{model.lowest_stress_kpa:g}",
                    reference_stress=f"{model.reference_stress_kpa:g}",
                ),
                one["glossary"],
            )
            for one in words.terms
        ),
        explanation=explanation,
        hotter=_hotter(words, limits),
    )


def live_body(
    asked: dict[str, str], *, explanation: Explanation | None = None, named: tuple[str, str] = ("", "")
) -> tuple[Any, int]:
    """Set the body of the page for a browser.

    Parameters
    ----------
    asked : dict of str to str
        ``stress``, ``temperature``, ``binder``, ``hotter`` as a reader asked for them; any may be absent.
    explanation : Explanation, optional
        The reader's own result.
    named : tuple of (str, str)
        What that result hangs on, ``run`` or ``statement``, and its key; the form keeps it.

    Returns
    -------
    markupsafe.Markup
        The body. What cannot be tried is told in it, and the page starts where it always starts.
    int
        HTTP status: 200, or 400 where something could not be tried.
    """
    refusal = ""
    try:
        trial = try_binder(
            stress=asked.get("stress"),
            temperature=asked.get("temperature"),
            binder=asked.get("binder"),
            hotter=bool(asked.get("hotter")),
        )
    except InputError as error:
        trial, refusal = try_binder(), str(error)
    page = outsiders_page(trial, explanation)
    return explaining_body(page, live=True, refusal=refusal, named=named), 400 if refusal else 200


def page_style() -> str:
    """Give the style sheet of the body.

    Returns
    -------
    str
        CSS.
    """
    return explaining_style()


class Leaflet:
    """A page for people outside the laboratory, with or without a result of their own.

    Parameters
    ----------
    explanation : Explanation or None
        The result.
    """

    def __init__(self, explanation: Explanation | None) -> None:
        self.explanation = explanation
        self.page = outsiders_page(try_binder(), explanation)

    def to_json(self) -> dict[str, Any]:
        """Give numbers and sentences for machines."""
        if self.explanation is not None:
            return asdict(self.explanation)
        return {"push": asdict(self.page.push), "sentences": list(self.page.sentences)}

    def to_terminal(self) -> Any:
        """Give the sentences as a readable sheet."""
        from resile.report.terminal.leaflet import render_leaflet

        return render_leaflet(self.page)

    def write(self, targets: Sequence[Path], *, spare: Sequence[Path] = ()) -> list[Path]:
        """Write the page.

        Parameters
        ----------
        targets : sequence of Path
            Files ending in .html.
        spare : sequence of Path
            Files that must not be written over.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        InputError
            For another ending, or a file to be spared.
        """
        for target in targets:
            if target.suffix.lower() != ".html":
                raise InputError(f"{target}: the page ends in .html; found '{target.suffix}'")
            if any(target.resolve() == kept.resolve() for kept in spare):
                raise InputError(f"{target}: the page is made from this file; choose another name")
        content = explaining_page(self.page, version=__version__).encode()
        return [write_file(target, content) for target in targets]


def make_leaflet(report: Path | None = None, *, at_c: float | None = None) -> Leaflet:
    """Make the page for people outside the laboratory.

    Parameters
    ----------
    report : Path, optional
        JSON of a report whose result is explained.
    at_c : float, optional
        Test temperature to explain [°C].

    Returns
    -------
    Leaflet
        To show or to write.

    Raises
    ------
    RecordNotFoundError, FileFormatError, MeasurementError
        Where the report cannot be explained.
    InputError
        Where a temperature is asked for without a report.
    """
    if report is None and at_c is not None:
        raise InputError("--at: the temperature of a report is chosen with it; name the report (JSON) first")
    return Leaflet(explain_report(report, at_c=at_c) if report is not None else None)


def _grade_parts(words: ExplainingWords, limits: Sequence[LetterLimit]) -> tuple[GradePart, ...]:
    found = _GRADE.fullmatch(words.example_grade)
    if found is None:
        raise InputError(f"example_grade: '{words.example_grade}' found, a name such as PG 64V-22 is needed")
    title = next((one.title for one in limits if one.service_class == found["letter"]), "")
    values = {"road_over_air_c": words.road_over_air_c, "class_title": title}
    return tuple(
        GradePart(found[role].replace("-", "\N{MINUS SIGN}"), role, words.grade_parts[role].format(**values))
        for role in ("system", "high", "letter", "low")
        if found[role]
    )


def _adding_up(
    words: ExplainingWords, rows: dict[str, tuple[tuple[float, ...], tuple[float, ...]]]
) -> tuple[str, ...]:
    say, model = words.adding_up, words.model
    first, last = words.binders[0].name, words.binders[-1].name
    once = push_binder(
        words, first, stress_kpa=model.reference_stress_kpa, temperature_c=model.grade_temperature_c
    )
    plain, polymer = (rows[name][1][-1] for name in (first, last))
    share = comparison(polymer / plain, words)
    share = share.removeprefix("About ").removesuffix(" as much")
    return (
        say["words"].format(pushes=model.pushes_in_a_row, sum=round(plain / once.recovered_strain)),
        say["against"].format(share=share[0].lower() + share[1:]),
        say["limit"],
        f"{say['claim']} Source: {say['source']} [{say['evidence']}].",
    )


def _hotter(words: ExplainingWords, limits: Sequence[LetterLimit]) -> tuple[tuple[str, Any, Any, str], ...]:
    """Push every binder one step hotter, beside itself before."""
    model = words.model
    shown = []
    for one in words.binders:
        before, after = (
            push_binder(words, one.name, stress_kpa=model.reference_stress_kpa, temperature_c=temperature)
            for temperature in (model.grade_temperature_c, model.grade_temperature_c + model.hotter_step_c)
        )
        was, now = letter_of(before.jnr, limits), letter_of(after.jnr, limits)
        letters = " to ".join(x.service_class if x else "no letter" for x in (was, now))
        told = comparison(after.recovered_strain / before.recovered_strain, words)
        shown.append((one.title, after, before, f"{told} stays behind. Letter: {letters}."))
    return tuple(shown)
