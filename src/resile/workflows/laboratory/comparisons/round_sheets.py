"""The organiser's sheet of a round, read and kept."""

from __future__ import annotations

from dataclasses import replace

from resile.readers.rounds.round_sheet import read_round_sheet
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, RoundResult
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.comparisons.rounds_kept import keep_round_results


def keep_round_sheet(
    record: LaboratoryRecord, actor: Actor, at: str, file: HeldFile, *, scheme: str = "", day: str = ""
) -> tuple[list[Kept[RoundResult]], tuple[str, ...]]:
    """Keep the results of an organiser's sheet: all of them or none.

    Parameters
    ----------
    record, actor, at
        Where they are kept, who keeps them and when.
    file : HeldFile
        The sheet; kept byte for byte.
    scheme, day : str
        Who runs the rounds and the day of the round, where the sheet does not say so.

    Returns
    -------
    list of Kept of RoundResult, tuple of str
        What is kept, and how the sheet was read.

    Raises
    ------
    PermissionRefusedError, ResileError
        Where they may not be kept, the sheet cannot be read, or one is kept already.
    """
    results, notes = read_round_sheet(file, scheme=scheme)
    whole = [replace(one, day=one.day or day) for one in results]
    return keep_round_results(record, actor, at, whole, sheet=file.content), notes
