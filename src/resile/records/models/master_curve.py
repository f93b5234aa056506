"""A master curve: frequency sweeps at several temperatures, joined to one curve."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from resile.records.finding import Finding, Measure
from resile.records.fit import LeastSquaresFit
from resile.records.models.parameter import ModelParameter
from resile.records.reading import SourceFile


class CurveShape(StrEnum):
    """Shape of the curve over frequency."""

    CA = "CA"
    CAM = "CAM"
    TWO_S_TWO_P_ONE_D = "2S2P1D"


class CurveShift(StrEnum):
    """How the frequency shifts with temperature."""

    FREE = "free"
    WLF = "WLF"
    ARRHENIUS = "Arrhenius"
    KAELBLE = "Kaelble"


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One measured point of a master curve, and how far the curve lies from it.

    Attributes
    ----------
    isotherm : int
        Place of its isotherm, counted from 0.
    temperature_c : float
        Temperature as logged for this row [°C].
    angular_frequency_rad_s : float
        Angular frequency [rad/s].
    complex_modulus : float
        Size of the complex modulus [kPa].
    phase_angle : float
        Phase angle [°].
    log_shift : float
        ``log10 aT`` of its temperature: it stands at ``aT`` times its frequency on the curve.
    modulus_residual_decades : float
        ``log10 |G*|`` measured less that of the curve [decades].
    phase_residual_deg : float
        Phase angle measured less that of the curve [°].
    """

    isotherm: int
    temperature_c: float
    angular_frequency_rad_s: float
    complex_modulus: float
    phase_angle: float
    log_shift: float
    modulus_residual_decades: float
    phase_residual_deg: float

    @property
    def reduced_frequency_rad_s(self) -> float:
        """Frequency at the reference temperature at which the binder answers alike [rad/s]."""
        return float(self.angular_frequency_rad_s * 10.0**self.log_shift)


@dataclass(frozen=True, slots=True)
class Isotherm:
    """The rows of one sweep at one temperature, and how the curve fits them.

    Attributes
    ----------
    label : str
        What tells its sweep from others that were joined; empty where there is one.
    temperature_c : float
        Mean of the temperatures logged [°C].
    lowest_temperature_c, highest_temperature_c : float
        Lowest and highest temperature logged [°C].
    points : int
        Rows.
    log_shift : float
        ``log10 aT`` at the mean temperature.
    modulus_rms_decades, modulus_worst_decades : float
        Root mean square and largest size of the misfit of ``log10 |G*|`` [decades].
    phase_rms_deg, phase_worst_deg : float
        The same for the phase angle [°].
    slope_phase_mean_deg, slope_phase_worst_deg : float or None
        Mean, and largest size, of ``90 d ln|G*|/d ln w - delta`` [°]; None with fewer than five rows.
    """

    label: str
    temperature_c: float
    lowest_temperature_c: float
    highest_temperature_c: float
    points: int
    log_shift: float
    modulus_rms_decades: float
    modulus_worst_decades: float
    phase_rms_deg: float
    phase_worst_deg: float
    slope_phase_mean_deg: float | None = None
    slope_phase_worst_deg: float | None = None


@dataclass(frozen=True, slots=True)
class SmoothCurve:
    """Sweeps joined by shifts alone under a polynomial: how well they join at all, whatever the shape.

    Attributes
    ----------
    degree : int
        Degree of the polynomial of ``log10 |G*|`` in the logarithm of the reduced frequency.
    shift : CurveShift
        How the frequency shifts.
    shift_parameters : tuple of ModelParameter
        Parameters of the shift.
    nodes_c : tuple of float
        Temperatures of free shifts [°C]; empty for other shifts.
    modulus_rms_decades, modulus_worst_decades : float
        Root mean square and largest size of the misfit [decades].
    wlf_parameters : tuple of ModelParameter
        Constants of Williams, Landel and Ferry through free shifts; empty with fewer than four isotherms.
    """

    degree: int
    shift: CurveShift
    shift_parameters: tuple[ModelParameter, ...]
    nodes_c: tuple[float, ...]
    modulus_rms_decades: float
    modulus_worst_decades: float
    wlf_parameters: tuple[ModelParameter, ...] = ()


@dataclass(frozen=True, slots=True)
class MasterCurve:
    """One binder in one state of ageing, as a shape over frequency and a shift with temperature.

    Attributes
    ----------
    shape : CurveShape
        Shape over frequency.
    shift : CurveShift
        Shift with temperature.
    reference_c : float
        Reference temperature: shift zero [°C].
    parameters : tuple of ModelParameter
        Of the shape, in its order.
    shift_parameters : tuple of ModelParameter
        Of the shift, in its order; free shifts one a temperature.
    nodes_c : tuple of float
        Temperatures of the free shifts [°C]; empty for other shifts.
    derived : tuple of ModelParameter
        Numbers that follow: crossover frequency and modulus, index from the crossover, index from one point.
    isotherms : tuple of Isotherm
        The coldest first.
    points : tuple of CurvePoint
        Rows that were fitted, in the order of the isotherms and of rising frequency.
    smooth : SmoothCurve
        The same sweeps joined without a shape.
    fit : LeastSquaresFit
        The fit: parameters of the shape, then of the shift, those that were fitted.
    modulus_weight_decades, phase_weight_deg : float
        Misfit that counts as one, of ``log10 |G*|`` [decades] and of the phase angle [°].
    modulus_rms_decades, modulus_worst_decades, phase_rms_deg, phase_worst_deg : float
        Misfits of all points.
    repeated_rows : int
        Rows that stand twice, exactly, and were counted once.
    residual_correlations : tuple of float
        Of neighbouring residuals in an isotherm, of the moduli and of the phase angles: the intervals are
        wider for them; 0 where it may be chance.
    measures : tuple of Measure
        Numbers that tell how well the sweeps make one curve.
    findings : tuple of Finding
        Doubts raised from them.
    sources : tuple of SourceFile
        Files of the sweeps.
    label, sample : str
        Which sweeps, and of which sample, where that is known.
    """

    shape: CurveShape
    shift: CurveShift
    reference_c: float
    parameters: tuple[ModelParameter, ...]
    shift_parameters: tuple[ModelParameter, ...]
    nodes_c: tuple[float, ...]
    derived: tuple[ModelParameter, ...]
    isotherms: tuple[Isotherm, ...]
    points: tuple[CurvePoint, ...]
    smooth: SmoothCurve
    fit: LeastSquaresFit
    modulus_weight_decades: float
    phase_weight_deg: float
    modulus_rms_decades: float
    modulus_worst_decades: float
    phase_rms_deg: float
    phase_worst_deg: float
    repeated_rows: int = 0
    residual_correlations: tuple[float, ...] = ()
    measures: tuple[Measure, ...] = ()
    findings: tuple[Finding, ...] = ()
    sources: tuple[SourceFile, ...] = ()
    label: str = ""
    sample: str = ""

    def value_of(self, name: str) -> float:
        """Give the value of the parameter, or derived number, of this name; not-a-number for none."""
        for parameter in (*self.parameters, *self.shift_parameters, *self.derived):
            if parameter.name == name:
                return parameter.value
        return float("nan")

    @property
    def lowest_reduced_frequency_rad_s(self) -> float:
        """Lowest frequency, at the reference temperature, that was measured [rad/s]."""
        return min(point.reduced_frequency_rad_s for point in self.points)

    @property
    def highest_reduced_frequency_rad_s(self) -> float:
        """Highest frequency, at the reference temperature, that was measured [rad/s]."""
        return max(point.reduced_frequency_rad_s for point in self.points)
