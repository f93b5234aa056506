"""Doubts about typed or supplied summaries, by sample and replicate."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.across.blocks import findings_of_repeated_blocks
from resile.judge.summaries.consistency import findings_for_summary
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding
from resile.workflows.judging.agreement import Yardstick
from resile.workflows.judging.reported import reported_doubts


def summary_doubts(
    determinations: Sequence[Determination], yardstick: Yardstick
) -> dict[str, dict[str, tuple[Finding, ...]]]:
    """Check every typed or supplied summary against itself and its replicates.

    Parameters
    ----------
    determinations : sequence of Determination
        Of any number of samples.
    yardstick : Yardstick
        Holds the checks and the specification.

    Returns
    -------
    dict of str to dict of str to tuple of Finding
        By sample and replicate.
    """
    specimens: dict[tuple[str, Condition, float | None, str], list[Determination]] = {}
    for determination in determinations:
        key = (
            determination.sample,
            determination.condition,
            determination.temperature_c,
            determination.replicate,
        )
        specimens.setdefault(key, []).append(determination)
    found: dict[str, dict[str, tuple[Finding, ...]]] = {}
    for key, own in specimens.items():
        peers = [
            d for other, group in specimens.items() if other[:3] == key[:3] and other != key for d in group
        ]
        raised = findings_for_summary(
            own, yardstick.checks, specification=yardstick.specification, peers=peers
        )
        by_replicate = found.setdefault(key[0], {})
        by_replicate[key[3]] = (*by_replicate.get(key[3], ()), *raised)
    for stated, finding in reported_doubts(determinations, yardstick.checks, (yardstick.specification,)):
        by_replicate = found.setdefault(stated.sample, {})
        by_replicate[stated.replicate] = (*by_replicate.get(stated.replicate, ()), finding)
    for sample, copied in findings_of_repeated_blocks(determinations, yardstick.across).items():
        for mark, raised in found[sample].items():
            found[sample][mark] = (*raised, *copied)
    return found
