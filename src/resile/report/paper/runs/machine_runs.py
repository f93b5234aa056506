"""Oscillation, bending-beam and viscosity runs as they are shown: a section for runs that belong together."""

from __future__ import annotations

from typing import cast

from resile.records.bending_beam import BeamRun
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun
from resile.report.document import ReportDocument
from resile.report.figures.bending_beam import figure_beams
from resile.report.figures.oscillation import (
    drawn_parameter,
    figure_frequency_sweep,
    figure_oscillation,
    is_frequency_sweep,
)
from resile.report.figures.series import in_pictures
from resile.report.figures.viscosity import figure_viscosity
from resile.report.numbers import fixed, shown, shown_limit
from resile.report.paper.models.model import Picture, Section, Table
from resile.report.paper.runs.machine_tables import (
    beam_table,
    points_table,
    report_times_table,
    viscosity_table,
    working_table,
)
from resile.report.paper.runs.machine_words import group_title, span_words
from resile.report.words import WORKING_CAUTION, joined

_KEYS = {"oscillation": "oscillation", "bending_beam": "beam", "rotational_viscosity": "viscosity"}
_TYPED = "Stiffness was given, not load and deflection: there is no raw record of the beam behind it."


def machine_sections(document: ReportDocument) -> list[Section]:
    """Give the sections of all groups of a document.

    Parameters
    ----------
    document : ReportDocument
        Its specification gives the limits that are drawn.

    Returns
    -------
    list of Section
        Facts, pictures and tables of each group.
    """
    counted: dict[str, int] = {}
    sections = []
    for group in document.machine_groups:
        place = counted[group.method] = counted.get(group.method, 0) + 1
        sections.append(_section(document, group, f"{_KEYS[group.method]}-{place}"))
    return sections


def _section(document: ReportDocument, group: RunGroup, key: str) -> Section:
    if group.method == "oscillation":
        facts, paragraphs, pictures, tables = _oscillation(document, group, key)
    elif group.method == "bending_beam":
        facts, paragraphs, pictures, tables = _beams(group, key)
    else:
        facts, paragraphs, pictures, tables = _viscosity(group, key)
    return Section(
        key=key,
        title=group_title(group, document.sample),
        paragraphs=paragraphs,
        facts=facts,
        pictures=pictures,
        tables=tuple(table for table in tables if table is not None),
    )


_Parts = tuple[tuple[tuple[str, str], ...], tuple[str, ...], tuple[Picture, ...], tuple[Table | None, ...]]


def limits_of(document: ReportDocument, group: RunGroup, parameter: str) -> tuple[tuple[float, str], ...]:
    """Give the limits of the specification for a residue, each with its words; empty where it has none.

    Parameters
    ----------
    document : ReportDocument
        With or without a statement.
    group : RunGroup
        Its residue decides.
    parameter : str
        Name from the glossary.

    Returns
    -------
    tuple of (float, str)
        Limit and, for example, ``"at most 5000 kPa (S)"``.
    """
    if document.statement is None:
        return ()
    found: dict[tuple[float, str], list[str]] = {}
    for requirement in document.statement.specification.requirements:
        if requirement.quantity != parameter or group.condition is not requirement.condition:
            continue
        word = "at most" if requirement.bound == "maximum" else "at least"
        for service, limit in requirement.limits.items():
            words = f"{word} {shown_limit(limit, parameter)} {requirement.unit}"
            found.setdefault((limit, words), []).extend([] if service in ("*", "") else [service])
    return tuple(
        (limit, f"{words} ({joined(services)})" if services else words)
        for (limit, words), services in found.items()
    )


def _oscillation(document: ReportDocument, group: RunGroup, key: str) -> _Parts:
    runs = cast("tuple[OscillationRun, ...]", group.runs)
    points = [point for run in runs for point in run.points]
    parameter = drawn_parameter(group.condition)
    limits = limits_of(document, group, parameter)
    strains = [None if p.strain is None else 100.0 * p.strain for p in points]
    frequencies = [p.angular_frequency_rad_s for p in points]
    facts = (
        ("Specimens", str(len(runs))),
        ("Plates", span_words([run.plate_diameter_mm for run in runs], 0, "mm")),
        ("Gap", span_words([run.gap_mm for run in runs], 1, "mm")),
        ("Angular frequency", span_words(frequencies, 1, "rad/s")),
        ("Temperatures", span_words([p.temperature_c for p in points], 1, "°C")),
        ("Strain amplitude", span_words(strains, 1, "%")),
        *((("Limit", "; ".join(words for _, words in limits)),) if limits else ()),
    )
    swept = [pair for pair in zip(runs, group.names, strict=True) if is_frequency_sweep(pair[0])]
    plain = [pair for pair in zip(runs, group.names, strict=True) if not is_frequency_sweep(pair[0])]
    pictures = [
        Picture(
            f"{key}-{place}",
            figure_oscillation(
                [run for run, _ in plain[first:last]],
                [name for _, name in plain[first:last]],
                parameter=parameter,
                limits=limits,
            ),
            _oscillation_caption(bool(limits)),
        )
        for place, (first, last) in enumerate(in_pictures(len(plain)), start=1)
    ]
    pictures += [
        Picture(
            f"{key}-sweep-{place}",
            figure_frequency_sweep(run),
            f"Modulus and phase angle of {name} against frequency, a line a temperature.",
        )
        for place, (run, name) in enumerate(swept, start=1)
    ]
    return facts, (), tuple(pictures), (points_table(runs, group.names),)


def _oscillation_caption(with_limit: bool) -> str:
    limit = " Dashed level: the limit for this residue." if with_limit else ""
    return (
        "Left on a logarithmic scale: between two points the line is the one along which the temperature "
        f"at a limit is read.{limit}"
    )


def _beams(group: RunGroup, key: str) -> _Parts:
    runs = cast("tuple[BeamRun, ...]", group.runs)
    shapes = [run.geometry for run in runs if run.geometry is not None]
    facts: list[tuple[str, str]] = [("Beams", str(len(runs)))]
    if shapes:
        facts += [
            ("Span", span_words([shape.span_mm for shape in shapes], 1, "mm")),
            ("Width", span_words([shape.width_mm for shape in shapes], 2, "mm")),
            ("Thickness", span_words([shape.thickness_mm for shape in shapes], 2, "mm")),
        ]
    if group.beams is not None:
        beams = group.beams
        facts += [
            ("Mean S after 60 s", f"{shown(beams.creep_stiffness, 'creep_stiffness')} MPa"),
            ("Scatter of S", _scatter(beams.creep_stiffness_range_percent, beams.creep_stiffness_cv_percent)),
            ("Mean m after 60 s", shown(beams.m_value, "m_value")),
            ("Scatter of m", _scatter(beams.m_value_range_percent, beams.m_value_cv_percent)),
        ]
    pictures = tuple(
        Picture(
            f"{key}-{place}",
            figure_beams(runs[first:last], group.names[first:last]),
            "Stiffness at the report times with the fitted curve, and the tangent at 60 s whose slope is the "
            "m-value (fine dashes). Below: how far each point lies off its curve.",
        )
        for place, (first, last) in enumerate(in_pictures(len(runs)), start=1)
    )
    paragraphs = () if len(shapes) == len(runs) else (_TYPED,)
    return tuple(facts), paragraphs, pictures, (beam_table(group), report_times_table(runs, group.names))


def _scatter(spread: float | None, variation: float | None) -> str:
    return f"range {fixed(spread, 1)} % of the mean, CV {fixed(variation, 1)} %"


def _viscosity(group: RunGroup, key: str) -> _Parts:
    runs = cast("tuple[ViscosityRun, ...]", group.runs)
    (run,) = runs
    shares = [point.torque_share_percent for point in run.points]
    facts: list[tuple[str, str]] = [
        ("Temperatures", span_words([point.temperature_c for point in run.points], 1, "°C")),
        ("Torque", span_words(shares, 1, "% of the largest")),
    ]
    if run.line is not None:
        facts.append(("Line", f"A {fixed(run.line.intercept, 3)}, VTS {fixed(run.line.slope, 3)}"))
        facts.append(("Largest residual", f"{fixed(run.line.residual_percent, 1)} %"))
    pictures: tuple[Picture, ...] = ()
    if run.line is not None:
        shaded = f" Shaded: mixing and compaction. {WORKING_CAUTION}" if run.working_temperatures else ""
        pictures = (
            Picture(
                key,
                figure_viscosity(run),
                "Viscosity on the chart on which it is a straight line; dashed beyond the measured "
                f"temperatures.{shaded}",
            ),
        )
    return tuple(facts), (), pictures, (viscosity_table(run), working_table(run.working_temperatures))
