"""Relaxation and retardation spectra of one binder at one temperature."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from resile.errors import InputError


@dataclass(frozen=True, slots=True)
class RelaxationModes:
    """Maxwell elements side by side: ``G(t) = Ge + sum Gi exp(-t/ri)``.

    Attributes
    ----------
    relaxation_times_s : tuple of float
        ``ri``, rising [s].
    mode_moduli_kpa : tuple of float
        ``Gi``, above zero [kPa].
    equilibrium_modulus_kpa : float
        ``Ge`` [kPa]: what stays after any time; 0 for a binder, which flows.
    """

    relaxation_times_s: tuple[float, ...]
    mode_moduli_kpa: tuple[float, ...]
    equilibrium_modulus_kpa: float = 0.0

    def __post_init__(self) -> None:
        _check_modes("relaxation modes", self.relaxation_times_s, self.mode_moduli_kpa)
        _check_end("equilibrium modulus", self.equilibrium_modulus_kpa, "kPa")
        if not self.relaxation_times_s:
            raise InputError("relaxation modes: none found, at least one is needed")


@dataclass(frozen=True, slots=True)
class RetardationModes:
    """Kelvin elements in a row: ``J(t) = J0 + t/eta + sum Jk (1 - exp(-t/rk))``.

    Attributes
    ----------
    retardation_times_s : tuple of float
        ``rk``, rising [s]; may be empty.
    mode_compliances : tuple of float
        ``Jk``, above zero [1/kPa].
    glassy_compliance : float
        ``J0``, the answer at once, above zero [1/kPa].
    fluidity : float
        ``1/eta``, flow a second under 1 kPa [1/(kPa·s)]; 0 for a material that does not flow.
    """

    retardation_times_s: tuple[float, ...]
    mode_compliances: tuple[float, ...]
    glassy_compliance: float
    fluidity: float = 0.0

    def __post_init__(self) -> None:
        _check_modes("retardation modes", self.retardation_times_s, self.mode_compliances)
        _check_end("fluidity", self.fluidity, "1/(kPa·s)")
        _check_end("glassy compliance", self.glassy_compliance, "1/kPa")
        if not self.glassy_compliance > 0.0:
            raise InputError("retardation modes: the glassy compliance is 0, a number above 0 is needed")


@dataclass(frozen=True, slots=True)
class SpectrumPoint:
    """One place of a spectrum.

    Attributes
    ----------
    relaxation_time_s : float
        Place [s].
    density_kpa : float
        Modulus that relaxes there for each unit of the natural logarithm of time, ``H`` [kPa].
    lower_kpa, upper_kpa : float
        Interval of the density; both equal to it where none was drawn [kPa].
    supported : bool
        False outside the span of 1/frequency that was measured: there the number only makes up the ends.
    """

    relaxation_time_s: float
    density_kpa: float
    lower_kpa: float
    upper_kpa: float
    supported: bool


@dataclass(frozen=True, slots=True)
class RelaxationSpectrum:
    """A relaxation spectrum found from moduli and phase angles.

    Attributes
    ----------
    modes : RelaxationModes
        The modes that are above zero.
    spectrum : tuple of SpectrumPoint
        Every mode of the grid, also those that came out as zero.
    modes_per_decade : float
        Of the grid.
    smoothing : float
        Strength of the smoothing.
    smoothing_rule : str
        How it was chosen.
    residual_standard : float
        Root mean square of the residuals in units of the stated errors.
    modulus_residual_percent, phase_residual_deg : float
        Root mean square of modulus [%] and phase angle [°], measured less spectrum.
    point_count : int
        Pairs of modulus and phase angle.
    reference_c : float or None
        Temperature it holds at [°C]; None where not stated.
    draws, probability, seed
        Repeats behind the interval (0: none), share it is meant to hold, and the seed of the draws.
    """

    modes: RelaxationModes
    spectrum: tuple[SpectrumPoint, ...]
    modes_per_decade: float
    smoothing: float
    smoothing_rule: str
    residual_standard: float
    modulus_residual_percent: float
    phase_residual_deg: float
    point_count: int
    reference_c: float | None = None
    draws: int = 0
    probability: float = 0.95
    seed: int = 0


def _check_modes(words: str, times: tuple[float, ...], sizes: tuple[float, ...]) -> None:
    if len(times) != len(sizes):
        raise InputError(f"{words}: {len(times)} times and {len(sizes)} sizes found, one of each is needed")
    if any(not (value > 0.0 and math.isfinite(value)) for value in (*times, *sizes)):
        raise InputError(f"{words}: every time and size must be a finite number above 0")
    if any(later <= earlier for earlier, later in itertools.pairwise(times)):
        raise InputError(f"{words}: the times must rise")


def _check_end(words: str, value: float, unit: str) -> None:
    if not (value >= 0.0 and math.isfinite(value)):
        raise InputError(f"{words}: {value:g} {unit} found, a finite number of 0 or more is needed")
