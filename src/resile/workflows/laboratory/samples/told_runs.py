"""The runs of a sample as its page tells them: what was run on what, and how it went cycle by cycle."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.register import TYPED_RESULTS, Instrument, Kept, Result, Run, Specimen
from resile.report.words import CONDITION_WORDS
from resile.storage.reading import Reading

TEST_WORDS = {
    "creep_recovery": "creep and recovery",
    "oscillation": "oscillation",
    "bending_beam": "bending beam",
    "rotational_viscosity": "rotational viscosity",
    TYPED_RESULTS: "results typed in",
    "unread": "not read yet",
    "ageing": "ageing record, waiting",
}


@dataclass(frozen=True, slots=True)
class ToldRun:
    """A run with what it gave.

    Attributes
    ----------
    run, result
        As they are kept; no result where it was not reduced.
    test, residue, specimen, instrument : str
        In words.
    strips : tuple of Strip
        Jnr and recovery, cycle by cycle.
    """

    run: Kept[Run]
    result: Kept[Result] | None
    test: str
    residue: str
    specimen: str
    instrument: str
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """One number of a run cycle by cycle, as a line in a frame of 120 by 24.

    Attributes
    ----------
    name, unit : str
        What it is.
    points : str
        Corners of the line.
    first, last : float
        In the first and in the last cycle.
    """

    name: str
    unit: str
    points: str
    first: float
    last: float


def told_run(reading: Reading, run: Kept[Run]) -> ToldRun:
    """Give a run with its newest result, in words."""
    noun = run.value
    found = reading.find(Result, run=run.key, order="seq", falling=True, limit=1)
    result = found[0] if found else None
    return ToldRun(
        run,
        result,
        TEST_WORDS.get(noun.test, noun.test),
        "" if noun.condition is Condition.UNKNOWN else CONDITION_WORDS[noun.condition],
        reading.get(Specimen, noun.specimen).value.number if noun.specimen else "",
        reading.get(Instrument, noun.instrument).value.name if noun.instrument else "",
        _strips(result.value.cycles) if result else (),
    )


def _strips(cycles: tuple[tuple[float, ...], ...]) -> tuple[Strip, ...]:
    if len(cycles) < 2:
        return ()
    recovery = [cycle[1] for cycle in cycles]
    jnr = [cycle[2] for cycle in cycles]
    return (_strip("Jnr", "1/kPa", jnr), _strip("recovery", "%", recovery))


def _strip(name: str, unit: str, values: list[float]) -> Strip:
    low, high = min(0.0, *values), max(values)
    span = (high - low) or 1.0
    points = " ".join(
        f"{2 + 116 * place / (len(values) - 1):.1f},{22 - 20 * (value - low) / span:.1f}"
        for place, value in enumerate(values)
    )
    return Strip(name, unit, points, values[0], values[-1])
