"""What the laboratory measures with, and that it was verified."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class VerificationState(StrEnum):
    """How far an instrument can be trusted on a day."""

    VERIFIED = "verified"
    OVERDUE = "overdue"
    FAILED = "failed"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """An instrument of the laboratory.

    Attributes
    ----------
    name : str
        Name or number in the laboratory.
    tests : tuple of str
        Tests it is used for (`resile.records.order.TESTS_OF_INSTRUMENTS`).
    serial, place, note : str
        Serial number, where it stands, what else is to be known.
    plate_diameter_mm, gap_mm : float or None
        Plates it carries [mm].
    interval_days : int or None
        Days between verifications.
    retired : bool
        True when it is no longer used.
    """

    name: str
    tests: tuple[str, ...] = ()
    serial: str = ""
    place: str = ""
    note: str = ""
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    interval_days: int | None = None
    retired: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """That an instrument was verified or calibrated.

    Attributes
    ----------
    instrument : str
        Key of the instrument.
    what : str
        What was verified: temperature, torque, gap, viscosity of a check fluid.
    done : str
        Day.
    due : str
        Day until which it stands.
    passed : bool
        Whether it was within its tolerance.
    measured, reference : float or None
        What was found and what it should be, in `unit`.
    unit : str
        Unit of both.
    tolerance : float or None
        Largest difference allowed, in `unit`.
    certificate : str
        Number of the certificate, or of the reference used.
    file : str
        SHA-256 of the certificate, where one is kept.
    note : str
        What else is to be known.
    """

    instrument: str
    what: str
    done: str
    due: str = ""
    passed: bool = True
    measured: float | None = None
    reference: float | None = None
    unit: str = ""
    tolerance: float | None = None
    certificate: str = ""
    file: str = ""
    note: str = ""
