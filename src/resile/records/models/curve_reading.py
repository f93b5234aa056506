"""Numbers that people read from a master curve, each at a named condition, and how far from the tests it
stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from resile.records.finding import Finding, Measure
from resile.records.models.spectrum import RelaxationSpectrum


class ReadingStanding(StrEnum):
    """Where a number stands to what was measured."""

    MEASURED = "measured"
    INTERPOLATED = "interpolated"
    EXTRAPOLATED = "extrapolated"


@dataclass(frozen=True, slots=True)
class ReadingThreshold:
    """A number that a source sets beside a reading: information, not a verdict.

    Attributes
    ----------
    limit : float
        In the unit of the reading.
    bound : str
        ``"minimum"`` or ``"maximum"``.
    meaning : str
        What the source says lies beyond it.
    source, evidence : str
        Who said so; evidence mark.
    """

    limit: float
    bound: str
    meaning: str
    source: str
    evidence: str


@dataclass(frozen=True, slots=True)
class GloverRoweCondition:
    """One condition at which the Glover-Rowe parameter is stated.

    Attributes
    ----------
    name, title : str
        Name of the condition, which is never left out; words for a person.
    temperature_c, angular_frequency_rad_s : float
        Temperature [°C] and angular frequency [rad/s].
    thresholds : tuple of ReadingThreshold
        For this condition alone [kPa].
    source, evidence, note : str
        Where it comes from; evidence mark; remark.
    """

    name: str
    title: str
    temperature_c: float
    angular_frequency_rad_s: float
    thresholds: tuple[ReadingThreshold, ...]
    source: str
    evidence: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class PhaseCondition:
    """A temperature read where the phase angle has a value at a frequency.

    Attributes
    ----------
    name, title : str
        Name and words for a person.
    phase_angle_deg, angular_frequency_rad_s : float
        Phase angle [°] at an angular frequency [rad/s].
    source, evidence, note : str
        Where it comes from; evidence mark; remark.
    """

    name: str
    title: str
    phase_angle_deg: float
    angular_frequency_rad_s: float
    source: str
    evidence: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class BeamCondition:
    """What is read from shear in place of a beam.

    Attributes
    ----------
    loading_time_s : float
        Time of the beam [s].
    temperatures_c : tuple of float
        Test temperatures [°C].
    stiffness_limit_mpa, m_value_limit : float
        Limits whose temperatures are read.
    lowest_stiffness_mpa, highest_stiffness_mpa : float
        Range of the apparatus [MPa]: outside it nothing is stated.
    source, evidence : str
        Where limits and range come from; evidence mark.
    """

    loading_time_s: float
    temperatures_c: tuple[float, ...]
    stiffness_limit_mpa: float
    m_value_limit: float
    lowest_stiffness_mpa: float
    highest_stiffness_mpa: float
    source: str
    evidence: str


@dataclass(frozen=True, slots=True)
class SmallPlateCondition:
    """What published work on 4 mm plates takes for the limits of the beam.

    Attributes
    ----------
    loading_time_s : float
        Time of the relaxation [s].
    relaxation_modulus_mpa : float
        Relaxation modulus that stands for the limit of the stiffness [MPa].
    slope : float
        Slope of the relaxation modulus that stands for the limit of the m-value.
    source, evidence, note : str
        Where it comes from; evidence mark; remark.
    """

    loading_time_s: float
    relaxation_modulus_mpa: float
    slope: float
    source: str
    evidence: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReadingConditions:
    """Conditions at which a master curve is read.

    Attributes
    ----------
    name : str
        Name of the file.
    measured_within_c, measured_within_decades : float
        A point this near to a condition counts as measured there [°C], [decades of frequency].
    glover_rowe, phase, beam, small_plate
        The conditions.
    sha256 : str
        Hash of the file.
    title, checked : str
        What the file is called, and who compared it with its sources; empty where nobody did.
    """

    name: str
    measured_within_c: float
    measured_within_decades: float
    glover_rowe: tuple[GloverRoweCondition, ...]
    phase: tuple[PhaseCondition, ...]
    beam: BeamCondition
    small_plate: SmallPlateCondition
    sha256: str = ""
    title: str = ""
    checked: str = ""

    @property
    def identifier(self) -> str:
        """Name of the file."""
        return self.name


@dataclass(frozen=True, slots=True)
class CurveReading:
    """One number read from a master curve.

    Attributes
    ----------
    name : str
        Name from the glossary or of the condition.
    value : float or None
        In `unit`; None where the curve does not come there.
    unit : str
        Empty for a bare number.
    standing : ReadingStanding
        Where it stands to what was measured.
    lower, upper : float or None
        Ends of the interval; None for a point that was measured.
    temperature_c, angular_frequency_rad_s : float or None
        Temperature [°C] and angular frequency [rad/s] it was read at.
    beyond_decades, beyond_c : float
        How far outside the reduced frequencies [decades] and the temperatures [°C] that were measured.
    straight_shift_value : float or None
        The same with the shift carried on in a straight line beyond the tests: how much rests on its form;
        None for a temperature that was measured.
    complex_modulus, phase_angle : float or None
        Size of the complex modulus [kPa] and phase angle [°] behind a Glover-Rowe parameter.
    title, source, evidence, note : str
        Words for a person; document of the rule, evidence mark, remark.
    thresholds : tuple of ReadingThreshold
        Numbers of sources beside it.
    """

    name: str
    value: float | None
    unit: str
    standing: ReadingStanding
    lower: float | None = None
    upper: float | None = None
    temperature_c: float | None = None
    angular_frequency_rad_s: float | None = None
    beyond_decades: float = 0.0
    beyond_c: float = 0.0
    straight_shift_value: float | None = None
    complex_modulus: float | None = None
    phase_angle: float | None = None
    title: str = ""
    source: str = ""
    evidence: str = ""
    note: str = ""
    thresholds: tuple[ReadingThreshold, ...] = ()


@dataclass(frozen=True, slots=True)
class BeamEstimate:
    """Stiffness and m-value of a beam, estimated from shear at one temperature.

    Attributes
    ----------
    temperature_c, loading_time_s : float
        Temperature [°C] and loading time [s].
    creep_stiffness, creep_stiffness_lower, creep_stiffness_upper : float or None
        ``3/J(t)`` by exact conversion [MPa], with its interval where there is one.
    m_value, m_value_lower, m_value_upper : float or None
        Slope of that stiffness, with its interval where there is one.
    relaxation_stiffness, equal_frequency_stiffness : float
        ``3 G(t)``, and ``3 |G*|`` at one over the time [MPa].
    equal_frequency_m_value : float
        Phase angle there over 90°.
    beam_index : float or None
        Rheological index from stiffness and m-value.
    standing, beyond_decades, beyond_c
        As in `CurveReading`.
    straight_shift_stiffness, straight_shift_m_value : float or None
        As `straight_shift_value` of a reading.
    """

    temperature_c: float
    loading_time_s: float
    creep_stiffness: float
    creep_stiffness_lower: float | None
    creep_stiffness_upper: float | None
    m_value: float
    m_value_lower: float | None
    m_value_upper: float | None
    relaxation_stiffness: float
    equal_frequency_stiffness: float
    equal_frequency_m_value: float
    beam_index: float | None
    standing: ReadingStanding
    beyond_decades: float
    beyond_c: float
    straight_shift_stiffness: float | None = None
    straight_shift_m_value: float | None = None


@dataclass(frozen=True, slots=True)
class TimeResponse:
    """Relaxation and creep at one time.

    Attributes
    ----------
    time_s : float
        Time since the strain, or the stress, was put on [s].
    relaxation_modulus_kpa : float
        Stress over the strain held [kPa].
    creep_compliance : float
        Strain over the stress held [1/kPa].
    """

    time_s: float
    relaxation_modulus_kpa: float
    creep_compliance: float


@dataclass(frozen=True, slots=True)
class CurveDerivation:
    """What follows from one master curve.

    Attributes
    ----------
    readings : tuple of CurveReading
        Glover-Rowe parameters, temperatures of a phase angle, temperatures of the limits of beam and small
        plate.
    beams : tuple of BeamEstimate
        The warmest first.
    beam : BeamCondition
        What the beams were estimated for.
    spectrum : RelaxationSpectrum or None
        Of the measured points; None where there is none.
    spectrum_missing : str
        Why there is none.
    responses : tuple of TimeResponse
        By rising time, at the reference temperature, within the span that was measured.
    conditions, conditions_sha256 : str
        Name and hash of the file of conditions.
    measures : tuple of Measure
        Numbers that tell how far the readings can be trusted.
    findings : tuple of Finding
        Doubts raised from them.
    """

    readings: tuple[CurveReading, ...]
    beams: tuple[BeamEstimate, ...]
    beam: BeamCondition
    spectrum: RelaxationSpectrum | None
    spectrum_missing: str
    responses: tuple[TimeResponse, ...]
    conditions: str
    conditions_sha256: str = ""
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
