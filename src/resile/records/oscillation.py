"""Oscillation between parallel plates: modulus and phase angle at temperatures and frequencies."""

from __future__ import annotations

from dataclasses import dataclass, field

from resile.records.determination import Condition
from resile.records.finding import Finding, Measure
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal

METHOD = "oscillation"


@dataclass(frozen=True, slots=True)
class OscillationPoint:
    """One modulus and phase angle. Moduli in kPa, unrounded.

    Attributes
    ----------
    temperature_c : float
        Specimen temperature [°C].
    angular_frequency_rad_s : float or None
        Angular frequency [rad/s]; None where it is not stated.
    complex_modulus : float
        Size of the complex shear modulus, ``|G*|`` [kPa].
    phase_angle : float
        Phase angle [°].
    storage_modulus, loss_modulus : float
        ``|G*| cos(delta)`` and ``|G*| sin(delta)`` [kPa].
    rutting_parameter : float or None
        ``|G*|/sin(delta)`` [kPa]; None where the phase angle is zero.
    fatigue_parameter : float
        ``|G*| sin(delta)`` [kPa]; the same number as the loss modulus, under the name the grade uses.
    strain : float or None
        Amplitude of the shear strain [ratio].
    stress_kpa : float or None
        Amplitude of the shear stress [kPa].
    torque_nm : float or None
        Amplitude of the torque [N·m].
    angle_rad : float or None
        Amplitude of the rotation [rad].
    """

    temperature_c: float
    angular_frequency_rad_s: float | None
    complex_modulus: float
    phase_angle: float
    storage_modulus: float
    loss_modulus: float
    rutting_parameter: float | None
    fatigue_parameter: float
    strain: float | None = None
    stress_kpa: float | None = None
    torque_nm: float | None = None
    angle_rad: float | None = None


@dataclass(frozen=True, slots=True)
class OscillationRun:
    """One specimen's oscillation test: a point, a temperature sweep or a frequency sweep.

    Attributes
    ----------
    points : tuple of OscillationPoint
        In the order of the test.
    plate_diameter_mm, gap_mm : float or None
        Plates; None where not stated.
    condition : Condition
        Residue that was tested.
    measures : tuple of Measure
        Numbers that tell how the test went.
    findings : tuple of Finding
        Doubts raised from the measures.
    source, account, label, sample, signal
        Where the run comes from; `signal` is kept only on request.
    """

    points: tuple[OscillationPoint, ...]
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None
    condition: Condition = Condition.UNKNOWN
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    source: SourceFile | None = None
    account: ReadingAccount | None = None
    label: str = ""
    sample: str = ""
    method: str = METHOD
    signal: Signal | None = field(default=None, repr=False, compare=False)
