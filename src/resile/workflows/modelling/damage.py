"""Linear amplitude sweeps from a record: damage, fatigue law, cycles to failure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from resile.compute.rheology.damage.amplitude_sweep import (
    STRAINS_PERCENT,
    AmplitudeRows,
    analyse_amplitude_sweep,
    nominal_sweep_time,
    part_amplitude_sweep,
)
from resile.compute.rheology.damage.damage_quality import damage_measures
from resile.compute.rheology.damage.modulus_slope import fit_modulus_slope
from resile.compute.rheology.oscillation.oscillation import storage_modulus
from resile.errors import InputError, MeasurementError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.readers.raw_record import OSCILLATION, read_raw_record
from resile.readers.summaries.columns import heads_sample
from resile.records.models.amplitude_sweep import AmplitudeSweep, ExponentConvention, ModulusSlope
from resile.records.oscillation import OscillationPoint
from resile.records.reading import HeldFile
from resile.records.signal import Signal
from resile.specifications.creep_recovery import load_finding_rules
from resile.version import __version__
from resile.workflows.modelling.pages import write_model_pages

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from resile.report.paper.models.model import Page

_MOST_STRAINS = 12


@dataclass(frozen=True, slots=True)
class DamageReport:
    """Amplitude sweeps of one file, analysed; shows itself in a notebook.

    Attributes
    ----------
    sweeps : tuple of AmplitudeSweep
        One a specimen.
    path : str
        The file as it was named.
    """

    sweeps: tuple[AmplitudeSweep, ...]
    path: str

    def to_json(self) -> dict[str, Any]:
        """Give the analyses for machines."""
        from resile.report.machine.models.amplitude_sweep import amplitude_sweep_to_json

        return {"sweeps": [amplitude_sweep_to_json(sweep) for sweep in self.sweeps]}

    def to_terminal(self) -> Any:
        """Give the analyses as a readable sheet."""
        from resile.report.terminal.models.amplitude_sweep import render_amplitude_sweeps

        return render_amplitude_sweeps(self.sweeps)

    def figures(self) -> dict[str, dict[str, Any]]:
        """Give the charts of every specimen, as Vega-Lite specifications by name."""
        from resile.report.figures.models.amplitude_sweep import figures_of_sweep

        return {
            f"{name}-{place}": spec
            for place, sweep in enumerate(self.sweeps, 1)
            for name, spec in figures_of_sweep(sweep).items()
        }

    def page(self, *, date: str) -> Page:
        """Give the page, dated YYYY-MM-DD, as texts and pictures ready to be set."""
        from resile.report.paper.models.amplitude_sweep import amplitude_sweep_page

        return amplitude_sweep_page(self.sweeps, date=date, package_version=__version__)

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the page to .html or .pdf files, or its first picture to .svg; give the files written."""
        return write_model_pages(self.page(date=date), self.figures(), targets, sources=[self.path])

    def _repr_html_(self) -> str:
        from html import escape

        from resile.report.terminal.grids import plain_text

        return f"<pre>{escape(plain_text(self.to_terminal()))}</pre>"


def analyse_damage(
    path: str | Path | HeldFile,
    *,
    layout: Layout | None = None,
    convention: str = "inverse-slope",
    slope: float | None = None,
    at_strain_percent: Sequence[float] | None = None,
) -> DamageReport:
    """Analyse the linear amplitude sweeps of a record file.

    Parameters
    ----------
    path : str, Path or HeldFile
        Record with a frequency part and an amplitude part, in one table or in tables of their own.
    layout : Layout, optional
        How the file is to be understood, where that is not left to the reader.
    convention : str
        ``inverse-slope`` (alpha = 1/m) or ``one-plus-inverse-slope`` (alpha = 1 + 1/m): the one that leads.
    slope : float, optional
        m, where there is no frequency part.
    at_strain_percent : sequence of float, optional
        Strains at which cycles to failure are asked for [%]; 2.5 and 5 where not given.

    Returns
    -------
    DamageReport
        One sweep a specimen, with findings.

    Raises
    ------
    InputError
        An option is out of range.
    FileFormatError, AmbiguousFileError
        As the reader says.
    MeasurementError
        The file holds no amplitude sweep, or one without what the analysis needs; the message says what.
    """
    leading, strains = _asked(convention, slope, at_strain_percent or STRAINS_PERCENT)
    signals = read_raw_record(
        path if isinstance(path, HeldFile) else Path(path), layout=layout if layout is not None else Layout()
    )
    stated = None if slope is None else ModulusSlope(slope)
    sweeps = sweeps_of_signals(
        signals, str(path), convention=leading, slope=stated, at_strain_percent=strains
    )
    return DamageReport(sweeps, str(path))


def sweeps_of_signals(
    signals: Sequence[Signal],
    where: str,
    *,
    convention: ExponentConvention = ExponentConvention.INVERSE_SLOPE,
    slope: ModulusSlope | None = None,
    at_strain_percent: tuple[float, ...] = STRAINS_PERCENT,
) -> tuple[AmplitudeSweep, ...]:
    """Analyse the amplitude sweeps among signals that were read.

    Parameters
    ----------
    signals : sequence of Signal
        Of one file, any test.
    where : str
        What a refusal names.
    convention, at_strain_percent
        As in `analyse_damage`.
    slope : ModulusSlope or None
        Where it is stated.

    Returns
    -------
    tuple of AmplitudeSweep
        One a specimen.

    Raises
    ------
    MeasurementError
        As in `analyse_damage`.
    """
    tested = [signal for signal in signals if signal.method == OSCILLATION]
    parts = [(signal, *_rows_of(signal)) for signal in tested]
    swept = [(signal, frequency, amplitude) for signal, frequency, amplitude in parts if amplitude.size]
    apart = [(signal, frequency) for signal, frequency, amplitude in parts if not amplitude.size]
    if not swept:
        _refuse_none(tested, where)
    sweeps = []
    for place, (signal, frequency, amplitude) in enumerate(swept):
        beside = (signal, frequency)
        if not _has_slope(signal, frequency):
            beside = _frequency_part(apart, place, len(swept), beside)
        named = f"{where}, {signal.label}" if signal.label else where
        try:
            sweeps.append(_analysed(signal, amplitude, beside, slope, convention, at_strain_percent))
        except MeasurementError as error:
            raise MeasurementError(f"{named}: {error}") from error
    return tuple(sweeps)


def holds_amplitude_sweep(points: Sequence[OscillationPoint]) -> bool:
    """Tell whether the strain grows tenfold or more along a stretch at one frequency.

    Parameters
    ----------
    points : sequence of OscillationPoint
        In the order of the test.

    Returns
    -------
    bool
        False where strain or frequency is not stated.
    """
    return bool(amplitude_points(points))


def amplitude_points(points: Sequence[OscillationPoint]) -> tuple[OscillationPoint, ...]:
    """Give the stretch of a test along which the strain grows.

    Parameters
    ----------
    points : sequence of OscillationPoint
        In the order of the test.

    Returns
    -------
    tuple of OscillationPoint
        Empty where there is none, or strain or frequency is not stated.
    """
    known = [(p.angular_frequency_rad_s, p.strain) for p in points]
    if not known or any(frequency is None or strain is None for frequency, strain in known):
        return ()
    frequency, strain = np.array(known, dtype=float).T
    return tuple(points[row] for row in part_amplitude_sweep(frequency, strain)[1])


def _asked(
    convention: str, slope: float | None, strains: Sequence[float]
) -> tuple[ExponentConvention, tuple[float, ...]]:
    if convention not in list(ExponentConvention):
        known = " or ".join(ExponentConvention)
        raise InputError(f"convention '{convention}' is not known; {known} is needed")
    if slope is not None and not 0.0 < slope < 1.0:
        raise InputError(f"slope {slope:g}: m lies above 0 and below 1, for bitumen about 0.3 to 0.8")
    for strain in strains:
        if not 0.0 < strain <= 100.0:
            raise InputError(f"strain {strain:g} %: above 0 and up to 100 % is needed")
    asked = tuple(sorted(dict.fromkeys(float(s) for s in strains)))
    if not 0 < len(asked) <= _MOST_STRAINS:
        raise InputError(f"{len(asked)} strains asked for; 1 to {_MOST_STRAINS} is what a table can show")
    return ExponentConvention(convention), asked


def _rows_of(signal: Signal) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    columns = signal.columns
    every = np.arange(len(signal))
    if "strain" not in columns or "angular_frequency_rad_s" not in columns:
        return every, every[:0]
    return part_amplitude_sweep(columns["angular_frequency_rad_s"], columns["strain"])


def _has_slope(signal: Signal, rows: NDArray[np.int64]) -> bool:
    return (
        bool(rows.size) and len(np.unique(np.round(signal.columns["angular_frequency_rad_s"][rows], 3))) > 2
    )


def _frequency_part(
    apart: Sequence[tuple[Signal, NDArray[np.int64]]],
    place: int,
    sweeps: int,
    own: tuple[Signal, NDArray[np.int64]],
) -> tuple[Signal, NDArray[np.int64]]:
    """Give the frequency sweep of a table of its own that belongs to an amplitude sweep."""
    usable = [
        (s, rows) for s, rows in apart if "angular_frequency_rad_s" in s.columns and _has_slope(s, rows)
    ]
    if len(usable) == sweeps:
        return usable[place]
    return usable[0] if len(usable) == 1 else own


def _analysed(
    signal: Signal,
    amplitude: NDArray[np.int64],
    beside: tuple[Signal, NDArray[np.int64]],
    stated: ModulusSlope | None,
    convention: ExponentConvention,
    strains: tuple[float, ...],
) -> AmplitudeSweep:
    rows, recorded = _amplitude_rows(signal, amplitude)
    slope, frequency_c = stated, None
    if slope is None:
        slope, frequency_c = _fitted_slope(*beside)
    sweep = analyse_amplitude_sweep(rows, slope, convention=convention, at_strain_percent=strains)
    measures = damage_measures(sweep, rows, time_recorded=recorded, frequency_part_c=frequency_c)
    return replace(
        sweep,
        measures=measures,
        findings=judge_measures(measures, load_finding_rules("amplitude_sweep")),
        source=signal.source,
        account=signal.account,
        label=signal.label,
        sample=next((text for name, text in signal.details.items() if text and heads_sample(name)), ""),
    )


def _amplitude_rows(signal: Signal, rows: NDArray[np.int64]) -> tuple[AmplitudeRows, bool]:
    columns = {name: values[rows] for name, values in signal.columns.items()}
    strain, modulus = columns["strain"], columns["complex_modulus"]
    recorded = "time_s" in columns
    return (
        AmplitudeRows(
            time_s=columns["time_s"] if recorded else nominal_sweep_time(strain),
            strain=strain,
            stress_kpa=columns.get("stress_kpa", strain * modulus),
            complex_modulus=modulus,
            phase_angle_deg=columns["phase_angle"],
            frequency_hz=float(np.mean(columns["angular_frequency_rad_s"])) / (2.0 * math.pi),
            temperature_c=float(np.mean(columns["temperature_c"])),
        ),
        recorded,
    )


def _fitted_slope(signal: Signal, rows: NDArray[np.int64]) -> tuple[ModulusSlope, float]:
    if not rows.size or not _has_slope(signal, rows):
        raise MeasurementError(
            "there is an amplitude sweep but no frequency sweep beside it (three frequencies or more); "
            "hand both in, in one file, or state the slope m of log G' (--slope)"
        )
    columns = {name: values[rows] for name, values in signal.columns.items()}
    part = storage_modulus(columns["complex_modulus"], columns["phase_angle"])
    return fit_modulus_slope(columns["angular_frequency_rad_s"], part), float(
        np.mean(columns["temperature_c"])
    )


def _refuse_none(tested: Sequence[Signal], where: str) -> None:
    if not tested:
        raise MeasurementError(
            f"{where}: no test in oscillation is in the file; an amplitude sweep with the columns frequency, "
            "strain, complex modulus and phase angle is needed"
        )
    for quantity, words in (("strain", "strain"), ("angular_frequency_rad_s", "frequency")):
        if all(quantity not in signal.columns for signal in tested):
            raise MeasurementError(
                f"{where}: the record states no {words}; an amplitude sweep needs it in a column "
                "(name one with --column)"
            )
    widest = max(float(np.ptp(s.columns["strain"])) for s in tested if "strain" in s.columns)
    raise MeasurementError(
        f"{where}: no amplitude sweep found; needed are rows at one frequency along which the strain grows "
        f"tenfold or more (strains here span {100 * widest:.3g} %)"
    )
