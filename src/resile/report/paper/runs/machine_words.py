"""What oscillation, bending-beam and viscosity runs gave, in a sentence, and the names of their groups."""

from __future__ import annotations

from resile.records.bending_beam import BeamRun
from resile.records.determination import Condition
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun
from resile.report.figures.oscillation import drawn_parameter
from resile.report.numbers import NOT_KNOWN, fixed, shown, shown_temperature
from resile.report.words import CONDITION_WORDS, METHOD_TITLES, joined, symbol_of


def group_title(group: RunGroup, sample: str = "") -> str:
    """Name a group for a heading.

    Parameters
    ----------
    group : RunGroup
        Runs that belong together.
    sample : str
        Sample of the whole page: it is not named again.

    Returns
    -------
    str
        Test, temperature of beams, residue and, where it is another, the sample.
    """
    at = "" if group.temperature_c is None else f" at {shown_temperature(group.temperature_c)}"
    residue = "" if group.condition is Condition.UNKNOWN else CONDITION_WORDS[group.condition]
    plates = {run.plate_diameter_mm for run in group.runs if isinstance(run, OscillationRun)} - {None}
    if not residue and len(plates) == 1:
        residue = f"plates of {fixed(plates.pop(), 0)} mm"
    named = group.sample if group.sample != sample else ""
    named = ", ".join(part for part in (named, group.file) if part)
    told = ", ".join(part for part in (residue, named) if part)
    return f"{METHOD_TITLES[group.method]}{at}" + (f": {told}" if told else "")


def group_sentence(group: RunGroup) -> str:
    """Say what the runs of a group gave.

    Parameters
    ----------
    group : RunGroup
        Runs that belong together.

    Returns
    -------
    str
        One sentence.
    """
    return f"{group_title(group)}: {'; '.join(_given(group))}."


def _given(group: RunGroup) -> list[str]:
    beams = [run for run in group.runs if isinstance(run, BeamRun)]
    if beams:
        return [_beams_words(group, beams)]
    told = []
    for run, name in zip(group.runs, group.names, strict=True):
        words = _viscosity_words(run) if isinstance(run, ViscosityRun) else ""
        if isinstance(run, OscillationRun):
            words = oscillation_words(run)
        told.append(f"{name} {words}" if len(group.runs) > 1 else words)
    return told


def oscillation_words(run: OscillationRun) -> str:
    """Give the first and the last value of a run with their temperatures."""
    parameter = drawn_parameter(run.condition)
    ends = dict.fromkeys((run.points[0], run.points[-1]))
    values = [
        f"{shown(getattr(p, parameter), parameter)} kPa at {shown_temperature(p.temperature_c)}" for p in ends
    ]
    return f"{symbol_of(parameter)} {' to '.join(values)}"


def _beams_words(group: RunGroup, runs: list[BeamRun]) -> str:
    if group.beams is None:
        (run,) = runs
        return (
            f"S {shown(run.creep_stiffness, 'creep_stiffness')} MPa and m {shown(run.m_value, 'm_value')} "
            "after 60 s"
        )
    beams = group.beams
    return (
        f"mean S {shown(beams.creep_stiffness, 'creep_stiffness')} MPa and mean m "
        f"{shown(beams.m_value, 'm_value')} after 60 s, {beams.count} beams"
    )


def _viscosity_words(run: ViscosityRun) -> str:
    values = [
        (shown(p.rotational_viscosity, "rotational_viscosity"), shown_temperature(p.temperature_c))
        for p in run.points
    ]
    return joined([f"{viscosity} Pa·s at {temperature}" for viscosity, temperature in values])


def span_words(values: list[float | None], decimals: int, unit: str) -> str:
    """Give one number, or the smallest and the largest, with their unit; a dash where none is known."""
    known = [value for value in values if value is not None]
    if not known:
        return NOT_KNOWN
    low, high = fixed(min(known), decimals), fixed(max(known), decimals)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
