"""From a short-term ageing record to mass change and findings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.compute.ageing.short_term import reduce_short_term_ageing
from resile.errors import MeasurementError
from resile.judge.ageing import findings_for_ageing
from resile.readers.ageing_record import read_ageing_record
from resile.records.ageing import AgeingMethod, AgeingRecord
from resile.specifications.load import load_ageing_method


@dataclass(frozen=True, slots=True)
class Ageing:
    """One ageing record, reduced and checked.

    Attributes
    ----------
    record : AgeingRecord
        With mass changes, measures and findings.
    method : AgeingMethod
        What it was checked against.
    """

    record: AgeingRecord
    method: AgeingMethod

    def to_json(self) -> dict[str, Any]:
        """Give the record for machines."""
        from resile.report.machine import ageing_to_json

        return ageing_to_json(self.record)

    def to_terminal(self) -> Any:
        """Give a readable sheet for a terminal, findings first."""
        from resile.report.terminal import render_ageing

        return render_ageing(self.record)


def reduce_ageing_record(path: str | Path) -> Ageing:
    """Reduce a short-term ageing record and check it against the method it names.

    Parameters
    ----------
    path : str or Path
        TOML, CSV or XLSX.

    Returns
    -------
    Ageing
        Mass change of each bottle and their mean, with findings.
    """
    record = read_ageing_record(Path(path))
    method = load_ageing_method(record.method)
    try:
        reduced = reduce_short_term_ageing(record)
    except MeasurementError as error:
        raise MeasurementError(f"{path}: {error}") from None
    return Ageing(
        record=replace(reduced, findings=(*record.findings, *findings_for_ageing(reduced, method))),
        method=method,
    )
