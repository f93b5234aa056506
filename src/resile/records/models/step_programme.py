"""Steps of stress and temperature that a person asks a creep model about, and its answer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from resile.records.finding import Finding, Measure
from resile.records.models.creep_model import CreepModelFit, ProgrammeResponse
from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True)
class ProgrammeStep:
    """One step.

    Attributes
    ----------
    duration_s : float
        How long it lasts [s].
    stress_kpa : float
        Shear stress, of either sign; 0 for rest [kPa].
    temperature_c : float or None
        Temperature [°C]; None for that of the model.
    """

    duration_s: float
    stress_kpa: float
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class StepProgramme:
    """Steps one after the other.

    Attributes
    ----------
    steps : tuple of ProgrammeStep
        At least one.
    source : SourceFile or None
        The file they were written in.
    """

    steps: tuple[ProgrammeStep, ...]
    source: SourceFile | None = None


class ShiftKind(StrEnum):
    """Where the time-temperature shift comes from."""

    NONE = "none"
    STATED = "stated"
    TWO_TEMPERATURES = "two-temperatures"
    CURVE = "curve"


@dataclass(frozen=True, slots=True)
class ProgrammeShift:
    """The time-temperature shift of a programme.

    Attributes
    ----------
    kind : ShiftKind
        Where it comes from.
    words : str
        The same for a person, with its number.
    tested_low_c, tested_high_c : float or None
        Temperatures between which tests stand behind it [°C].
    log_shifts : tuple of float
        ``log10 aT`` of each step.
    """

    kind: ShiftKind
    words: str
    tested_low_c: float | None
    tested_high_c: float | None
    log_shifts: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ProgrammeAnswer:
    """What a fitted model answers to a programme.

    Attributes
    ----------
    fit : CreepModelFit
        The model and its record.
    programme : StepProgramme
        What was asked.
    shift : ProgrammeShift
        With which shift.
    response : ProgrammeResponse
        Strain at close times.
    ends : ProgrammeResponse
        Strain at the end of each step.
    measures, findings
        How far the question lies outside the tests, and doubts.
    """

    fit: CreepModelFit
    programme: StepProgramme
    shift: ProgrammeShift
    response: ProgrammeResponse
    ends: ProgrammeResponse
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
