"""Which samples change, and why: the line that decides, the two limits, and how near the value lies."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from resile.compute.statistics.verdicts.deciding import CODES
from resile.records.rejudging import SampleChange
from resile.records.verdict import Outcome
from resile.workflows.archive.block_verdicts import LineVerdicts
from resile.workflows.archive.result_blocks import Codes, Numbers, ResultBlock, Truths
from resile.workflows.archive.standings import Pair

Why = tuple[LineVerdicts | None, dict[str, LineVerdicts], str]
"""The line that decides, the lines of the other document by name, and the reason in words."""
WITHIN = 2.0
"""A value nearer to its limit than so many standard uncertainties is said to lie within the uncertainty."""
_NOT_TESTED = CODES[Outcome.NOT_TESTED]


def within_uncertainty(line: LineVerdicts) -> Truths:
    """Tell where a value lies nearer to its limit than `WITHIN` standard uncertainties."""
    with np.errstate(invalid="ignore"):
        return np.abs(line.score) < WITHIN


def reasons_of(
    line: LineVerdicts | None, held: dict[str, LineVerdicts], here: Truths, other: str
) -> Iterator[tuple[str, Truths]]:
    """Say why a line takes a class in one document and not in the other."""
    if line is None:
        yield "no single line decides", here
        return
    untested = here & (line.outcome == _NOT_TESTED)
    if untested.any():
        yield "it is not tested, and asked for on one side only", untested
    here = here & ~untested
    mate = held.get(line.requirement.name)
    if mate is None:
        yield f"{other} has no such line", here
        return
    waived = here & (mate.outcome == CODES[Outcome.WAIVED])
    rest = here & ~waived
    if waived.any():
        yield f"{other} waives it", waived
    if rest.any() and mate.limit != line.limit:
        bound = "at most" if line.requirement.bound == "maximum" else "at least"
        yield f"{other} asks for {bound} {mate.limit:g}, the other document for {line.limit:g}", rest
    elif rest.any():
        yield "the limit is the same; the decision rule or the rounding differs", rest


def changes_of(
    block: ResultBlock,
    pair: Pair,
    places: Codes,
    why: Why,
    direction: str,
) -> list[SampleChange]:
    """Give the samples that change for one reason, one after the other."""
    line, held, reason = why
    mate = held.get(line.requirement.name) if line is not None else None
    before, after = (mate, line) if direction == "worse" else (line, mate)
    near = within_uncertainty(line)[places].tolist() if line is not None else [False] * places.size
    columns = [
        _numbers(one, places)
        for one in (
            None if line is None else line.value,
            None if line is None else line.margin,
            None if before is None else before.probability,
            None if after is None else after.probability,
            None if line is None else line.standard,
        )
    ]
    return [
        SampleChange(
            block.samples[place],
            block.lots[place],
            block.products[place],
            block.tested[place],
            pair.high_temperature_c,
            pair.low_temperature_c,
            pair.before.words[pair.before.standing[place]],
            pair.after.words[pair.after.standing[place]],
            direction,
            line.requirement.name if line is not None else "",
            line.requirement.title if line is not None else "",
            line.requirement.unit if line is not None else "",
            value,
            before.limit if before is not None else None,
            after.limit if after is not None else None,
            margin,
            chance_before,
            chance_after,
            None if standard is None else close,
            reason,
        )
        for place, close, value, margin, chance_before, chance_after, standard in zip(
            places.tolist(), near, *columns, strict=True
        )
    ]


def _numbers(found: Numbers | None, places: Codes) -> list[float | None]:
    if found is None:
        return [None] * places.size
    return [None if number != number else number for number in found[places].tolist()]
