"""The page of a programme: what a creep model answers to steps of stress and temperature."""

from __future__ import annotations

from resile.records.models.step_programme import ProgrammeAnswer
from resile.report.figures.models.creep_programme import figure_programme
from resile.report.numbers import THREE_FIGURES, decimals_of, fixed
from resile.report.paper.models.creep_model import kind_sentence, model_name
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table, finding_entry
from resile.report.paper.statements.provenance import caution_section
from resile.report.words import heaviest_first

NO_MEASUREMENT = "This is the answer of a fitted model, not a measurement."
MOST_ROWS = 60
_SMALLEST = 1e-6


def programme_page(answer: ProgrammeAnswer, *, date: str, package_version: str = "") -> Page:
    """Give the page of an answer.

    Parameters
    ----------
    answer : ProgrammeAnswer
        The answer.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    name = model_name(answer.fit)
    sources = [one for one in (answer.fit.source, answer.programme.source) if one is not None]
    facts = [(one.path, f"SHA-256 {one.sha256}") for one in sources]
    if package_version:
        facts.append(("Computed with", f"resile {package_version}"))
    return Page(
        title="A creep model under a programme of stress and temperature",
        number=name,
        date=date,
        sample=name,
        laboratory="",
        banner="",
        identity=(("Record", name), ("Date", date)),
        answer=programme_sentence(answer),
        answer_more=(NO_MEASUREMENT,),
        sections=(
            *programme_sections(answer),
            Section(key="basis", title="What this rests on", facts=tuple(facts)),
            caution_section(),
        ),
        signatures=(),
    )


def programme_sections(answer: ProgrammeAnswer) -> tuple[Section, ...]:
    """Give picture, doubts and steps, for page and workbench."""
    findings = tuple(finding_entry(one) for one in heaviest_first(answer.findings))
    return (
        Section(
            key="programme",
            title="Strain under the programme",
            paragraphs=(f"Shift with temperature: {answer.shift.words}.",),
            pictures=(
                Picture(
                    "programme-strain",
                    figure_programme(answer),
                    "Steps above, the strain the model answers below; dashed: what never comes back; band: "
                    "interval of the strain by what the record leaves in doubt.",
                ),
            ),
            tables=(steps_table(answer),),
        ),
        Section(
            key="programme-findings",
            title="Doubts about this answer",
            paragraphs=(
                kind_sentence(answer.fit),
                *(() if findings else ("Every step lies within what was tested.",)),
            ),
            findings=findings,
        ),
    )


def programme_sentence(answer: ProgrammeAnswer) -> str:
    """Give the answer in one sentence."""
    total = sum(step.duration_s for step in answer.programme.steps)
    return (
        f"After {total:.4g} s the model answers {_percent(answer.ends.strain[-1])} % shear strain"
        f"{_brackets(answer.ends.strain_lower, answer.ends.strain_upper, -1, ' %')}, of which "
        f"{_percent(answer.ends.flow_strain[-1])} %"
        f"{_brackets(answer.ends.flow_strain_lower, answer.ends.flow_strain_upper, -1, ' %')} "
        "never comes back."
    )


def steps_table(answer: ProgrammeAnswer) -> Table:
    """Give the steps with the strain at their ends; the last ones of a long programme."""
    own, ends = answer.fit.model.temperature_c, answer.ends
    every = [
        (
            str(place + 1),
            f"{step.duration_s:.4g}",
            f"{step.stress_kpa:.4g}",
            _degrees(own if step.temperature_c is None else step.temperature_c),
            fixed(answer.shift.log_shifts[place] + 0.0, 3),
            _percent(ends.strain[place]) + _brackets(ends.strain_lower, ends.strain_upper, place),
            _percent(ends.flow_strain[place])
            + _brackets(ends.flow_strain_lower, ends.flow_strain_upper, place),
        )
        for place, step in enumerate(answer.programme.steps)
    ]
    left = len(every) - MOST_ROWS
    note = f"Strain at the end of each step, by the model. {doubt_sentence(answer)}"
    return Table(
        caption="Steps",
        columns=(
            Column("Step", RIGHT),
            Column("Duration (s)", RIGHT),
            Column("Stress (kPa)", RIGHT),
            Column("Temperature (°C)", RIGHT),
            Column("log aT", RIGHT),
            Column("Strain (%)", RIGHT),
            Column("Never comes back (%)", RIGHT),
        ),
        rows=tuple(every[-MOST_ROWS:]),
        note=note
        if left <= 0
        else f"{note} The first {left} steps are in the table of the file and the JSON.",
    )


def doubt_sentence(answer: ProgrammeAnswer) -> str:
    """Say what the interval in brackets holds, and what it does not."""
    shifted = "the shift, " if any(answer.shift.log_shifts) else ""
    return (
        f"In brackets, where it is wider than the digits shown, the {100.0 * answer.fit.probability:g} % "
        f"interval by what the record leaves in doubt about the model. Not in it: {shifted}another specimen, "
        "a wrong kind of model."
    )


def _brackets(lower: tuple[float, ...], upper: tuple[float, ...], place: int, unit: str = "") -> str:
    """Give an interval in brackets; nothing where it is narrower than the digits that are shown."""
    ends = [_percent(one[place]) for one in (lower, upper) if one]
    return f" ({ends[0]} to {ends[1]}{unit})" if len(set(ends)) > 1 else ""


def _degrees(value: float | None) -> str:
    return "not stated" if value is None else f"{value:.4g}"


def _percent(strain: float) -> str:
    value = 100.0 * strain
    return "0" if abs(value) < _SMALLEST else fixed(value, min(decimals_of(value, THREE_FIGURES), 7))
