"""Pictures of what was verified, for the page of an instrument."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.records.register import Verification
from resile.report.figures.verification import figure_verifications
from resile.workflows.laboratory.bench.instruments_seen import InstrumentSheet

_MOST = 24


@dataclass(frozen=True, slots=True)
class VerificationPicture:
    """How one thing went over the years.

    Attributes
    ----------
    what, unit : str
        What was verified, and in which unit.
    spec : dict
        The picture.
    rows : list of list
        Day, measured, reference, tolerance, outcome.
    """

    what: str
    unit: str
    spec: dict[str, Any]
    rows: list[list[object]]


def verification_pictures(sheet: InstrumentSheet) -> list[VerificationPicture]:
    """Draw every thing that was verified with numbers: the newest two dozen of each.

    Parameters
    ----------
    sheet : InstrumentSheet
        The instrument.
    """
    groups: dict[tuple[str, str], list[Verification]] = {}
    for one in reversed(sheet.verifications):
        if one.value.measured is not None and one.value.reference is not None:
            groups.setdefault((one.value.what, one.value.unit), []).append(one.value)
    return [
        VerificationPicture(
            what,
            unit,
            figure_verifications(group[-_MOST:]),
            [
                [one.done[:10], one.measured, one.reference, one.tolerance, _outcome(one)]
                for one in group[-_MOST:]
            ],
        )
        for (what, unit), group in groups.items()
    ]


def _outcome(one: Verification) -> str:
    return "passed" if one.passed else "failed"
