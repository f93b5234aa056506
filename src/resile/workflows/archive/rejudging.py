"""Judge a whole archive by two editions or decision rules, and tell what changes, where, and how surely."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from resile.errors import InputError
from resile.records.archive_answers import ResultsWanted
from resile.records.rejudging import JudgedBy, Rejudging
from resile.storage.archive.asking import asked
from resile.storage.archive.asking_samples import results_counted, results_in_order
from resile.workflows.archive.block_doubts import needs_spread
from resile.workflows.archive.rejudged_counts import Counts, Sink
from resile.workflows.archive.result_blocks import Joining, result_blocks
from resile.workflows.archive.standings import class_names, paired
from resile.workflows.judging.agreement import Yardstick

Told = Callable[[int, int], None]
"""Told how many determinations are judged, of how many; what it raises stops the work."""
ROWS_AT_ONCE = 60_000
MOST_CHANGES = 1000

__all__ = ["MOST_CHANGES", "ROWS_AT_ONCE", "judged_by", "rejudge_archive"]


def rejudge_archive(
    archive: str | Path,
    before: Yardstick,
    after: Yardstick,
    *,
    wanted: ResultsWanted | None = None,
    most: int = MOST_CHANGES,
    sink: Sink | None = None,
    progress: Told | None = None,
    rows: int = ROWS_AT_ONCE,
) -> Rejudging:
    """Judge the results of an archive by two yardsticks, and give what differs.

    Parameters
    ----------
    archive : str or Path
        Folder of the archive.
    before, after : Yardstick
        The two ways, as made by `resile.workflows.judging.agreement.agree`; of one retest rule.
    wanted : ResultsWanted, optional
        Which results; all where not given.
    most : int
        Changes that are listed, of each direction.
    sink : callable, optional
        Is given every change, block by block.
    progress : callable, optional
        Told how far it is.
    rows : int
        Determinations held at once: what bounds the memory.

    Returns
    -------
    Rejudging
        Standings crosswise, lines, reasons, years and products, and the samples that change.

    Raises
    ------
    RecordNotFoundError, InputError
        Where there is no archive, a basis of the uncertainty is not known, or the two follow different retest
        rules.

    Notes
    -----
    An ageing record of the archive counts as in the judge: an invalid one keeps the results on its residue
    out, one of other hours or another temperature leaves lines open. A difference of critical temperatures
    is not made anew.
    """
    if before.retest_rule != after.retest_rule:
        raise InputError(
            f"two retest rules, '{before.retest_rule.name}' and '{after.retest_rule.name}', were found; both "
            "sides of a comparison are judged by one, so that they speak of the same results"
        )
    chosen = wanted or ResultsWanted()
    counts = Counts(most, sink)
    with asked(Path(archive)) as asking:
        total = results_counted(asking, chosen)
        rule = before.retest_rule
        batches = results_in_order(asking, chosen, rows=rows, as_made=rule.first > 0)
        spread = needs_spread(before) or needs_spread(after)
        for block in result_blocks(batches, Joining(before.precision, rule, spread)):
            if progress:
                progress(counts.determinations, total)
            counts.add(block, paired(block, before, after))
    if progress:
        progress(total, total)
    return _whole(str(archive), before, after, counts, chosen)


def judged_by(yardstick: Yardstick) -> JudgedBy:
    """Say by what is judged.

    Parameters
    ----------
    yardstick : Yardstick
        What was agreed.

    Returns
    -------
    JudgedBy
        For the record of a comparison.
    """
    specification, rule = yardstick.specification, yardstick.decision_rule
    return JudgedBy(
        specification.identifier,
        specification.title,
        specification.document,
        specification.edition,
        specification.checked,
        specification.sha256,
        rule.name,
        rule.text,
        yardstick.basis,
        yardstick.retest_rule.text,
        class_names(specification),
    )


def _whole(
    archive: str, before: Yardstick, after: Yardstick, counts: Counts, wanted: ResultsWanted
) -> Rejudging:
    found = Rejudging(
        archive=archive,
        before=judged_by(before),
        after=judged_by(after),
        determinations=counts.determinations,
        results=counts.results,
        samples=counts.samples,
        standings=counts.standing_counts(counts.standings),
        whole_grades=counts.standing_counts(counts.whole),
        lines=counts.line_changes(),
        reasons=counts.reason_counts(),
        years=counts.year_counts(),
        changes=(*counts.changes["worse"], *counts.changes["better"]),
        changed=counts.directions.total(),
        worse=counts.directions["worse"],
        better=counts.directions["better"],
        within_uncertainty=counts.within,
        lots=len(counts.lots),
        lots_worse=len(counts.lots_changed["worse"]),
        lots_better=len(counts.lots_changed["better"]),
    )
    return replace(found, product=wanted.product, lot=wanted.lot, since=wanted.since, until=wanted.until)
