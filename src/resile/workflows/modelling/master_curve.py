"""From frequency sweeps, in files or as runs, to master curves with findings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
from resile.compute.rheology.master_curve.fitting.strain_sweeps import strain_ratio_at_one_condition
from resile.errors import InputError, MeasurementError, ResileError
from resile.judge.findings import judge_measures
from resile.readers.layout import Layout
from resile.records.models.curve_reading import CurveDerivation
from resile.records.models.master_curve import MasterCurve
from resile.records.oscillation import OscillationRun
from resile.records.reading import HeldFile
from resile.report.figures.oscillation import is_frequency_sweep
from resile.specifications.creep_recovery import load_finding_rules
from resile.version import __version__
from resile.workflows.modelling.curve_settings import CurveSettings
from resile.workflows.modelling.damage import holds_amplitude_sweep
from resile.workflows.modelling.derived import derive_from_curve
from resile.workflows.modelling.pages import write_model_pages
from resile.workflows.reducing.reduction import reduce_record

if TYPE_CHECKING:
    from resile.report.paper.models.model import Page


@dataclass(frozen=True, slots=True)
class RefusedSweep:
    """A sweep, or a file, that gives no curve.

    Attributes
    ----------
    path : str
        What it is of.
    error : ResileError
        Why.
    """

    path: str
    error: ResileError


@dataclass(frozen=True, slots=True)
class MasterCurveReport:
    """Master curves; shows itself in a notebook.

    Attributes
    ----------
    curves : tuple of MasterCurve
        One a binder in one state.
    refused : tuple of RefusedSweep
        What gave none, and why.
    derivations : tuple of CurveDerivation
        What follows from each curve, in their order.
    """

    curves: tuple[MasterCurve, ...]
    refused: tuple[RefusedSweep, ...] = ()
    derivations: tuple[CurveDerivation, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Give the curves for machines."""
        from resile.report.machine.models.curve_readings import derivation_to_json
        from resile.report.machine.models.master_curve import master_curve_to_json
        from resile.workflows.reducing.reduction import refusal_json

        return {
            "curves": [
                {**master_curve_to_json(curve), "follows": derivation_to_json(derivation)}
                for curve, derivation in zip(self.curves, self.derivations, strict=True)
            ],
            "errors": [refusal_json(one.path, one.error) for one in self.refused],
        }

    def to_terminal(self) -> Any:
        """Give the curves as a readable sheet."""
        from resile.report.terminal.models.master_curve import render_master_curves

        return render_master_curves(self.curves, self.derivations)

    def figures(self) -> dict[str, dict[str, Any]]:
        """Give the charts of every curve, as Vega-Lite specifications by name."""
        from resile.report.figures.models.curve_fit import figures_of_curve
        from resile.report.figures.models.spectrum import figures_of_derivation

        return {
            f"{name}-{place}": spec
            for place, (curve, derivation) in enumerate(zip(self.curves, self.derivations, strict=True), 1)
            for name, spec in {
                **figures_of_curve(curve),
                **figures_of_derivation(derivation, curve),
            }.items()
        }

    def page(self, *, date: str) -> Page:
        """Give the page, dated YYYY-MM-DD, as texts and pictures ready to be set."""
        from resile.report.paper.models.master_curve import master_curve_page

        return master_curve_page(self.curves, self.derivations, date=date, package_version=__version__)

    def write(self, targets: Sequence[str | Path], *, date: str) -> list[Path]:
        """Write the page to .html or .pdf files, or its first picture to .svg; give the files written."""
        read = [source.path for curve in self.curves for source in curve.sources]
        return write_model_pages(self.page(date=date), self.figures(), targets, sources=read)

    def _repr_html_(self) -> str:
        from html import escape

        from resile.report.terminal.grids import plain_text

        return f"<pre>{escape(plain_text(self.to_terminal()))}</pre>"


def joins_a_curve(run: OscillationRun) -> bool:
    """Tell whether a run can stand in a master curve: frequencies are swept, and the strain is not.

    Parameters
    ----------
    run : OscillationRun
        Any test in oscillation.

    Returns
    -------
    bool
        True also for one temperature, which others may join.
    """
    return is_frequency_sweep(run) and not holds_amplitude_sweep(run.points)


def fit_sweeps(
    paths: Iterable[str | Path | HeldFile],
    *,
    layout: Layout | None = None,
    settings: CurveSettings | None = None,
    join: bool = False,
    only: str = "",
    temperature_c: float | None = None,
    jobs: int = 1,
) -> MasterCurveReport:
    """Fit master curves to the frequency sweeps of record files.

    Parameters
    ----------
    paths : iterable of str, Path or HeldFile
        Record files of oscillation tests.
    layout : Layout, optional
        How they are to be understood, where that is not left to the reader.
    settings : CurveSettings, optional
        How sweeps become a curve.
    join : bool
        All sweeps are of one binder in one state (several files, plates or blocks) and make one curve.
    only : str
        Take only the runs whose name holds this text.
    temperature_c : float, optional
        Test temperature where a record has none [°C].
    jobs : int
        Processes to share the fits among.

    Returns
    -------
    MasterCurveReport
        Curves with findings, and what was refused.

    Raises
    ------
    ResileError
        Where nothing gives a curve: the last refusal.
    """
    runs: list[OscillationRun] = []
    refused: list[RefusedSweep] = []
    for path in paths:
        try:
            reduced = reduce_record(path, layout=layout, keep_signal=False, temperature_c=temperature_c)
        except ResileError as error:
            refused.append(RefusedSweep(str(path), error))
            continue
        found = [run for run in reduced.runs if isinstance(run, OscillationRun) and _is_meant(run, only)]
        if not found:
            refused.append(RefusedSweep(str(path), _no_sweep(str(path), only)))
        runs += found
    report = curves_of_runs(runs, settings=settings, join=join, jobs=jobs)
    refused += report.refused
    if not report.curves:
        raise refused[-1].error if refused else InputError("no file of a frequency sweep was named")
    return replace(report, refused=tuple(refused))


def curves_of_runs(
    runs: Sequence[OscillationRun],
    *,
    settings: CurveSettings | None = None,
    join: bool = False,
    jobs: int = 1,
) -> MasterCurveReport:
    """Fit master curves to runs that were reduced.

    Parameters
    ----------
    runs : sequence of OscillationRun
        Frequency sweeps.
    settings : CurveSettings, optional
        How sweeps become a curve.
    join : bool
        All runs are of one binder in one state and make one curve; else each makes its own.
    jobs : int
        Processes to share the fits among; 1 stays in this one.

    Returns
    -------
    MasterCurveReport
        In the order of the runs.
    """
    groups = [tuple(runs)] if join and runs else [(run,) for run in runs]
    one = partial(_curve_or_refusal, settings=settings or CurveSettings(), alone=not join and len(runs) > 1)
    if jobs == 1 or len(groups) == 1:
        found = list(map(one, groups))
    else:
        from concurrent.futures import ProcessPoolExecutor

        with ProcessPoolExecutor(jobs) as pool:
            found = list(pool.map(one, groups, chunksize=max(1, len(groups) // (8 * jobs))))
    kept = [one for one in found if not isinstance(one, RefusedSweep)]
    return MasterCurveReport(
        tuple(curve for curve, _ in kept),
        tuple(refusal for refusal in found if isinstance(refusal, RefusedSweep)),
        tuple(derivation for _, derivation in kept),
    )


def _curve_or_refusal(
    runs: tuple[OscillationRun, ...], *, settings: CurveSettings, alone: bool
) -> tuple[MasterCurve, CurveDerivation] | RefusedSweep:
    place = _run_name(runs[0])
    try:
        curve = _curve(runs, settings)
        return curve, derive_from_curve(curve)
    except MeasurementError as error:
        more = "; --join makes one curve of all sweeps named" if alone and "temperature" in str(error) else ""
        return RefusedSweep(place, MeasurementError(f"{place}: {error}{more}"))


def _curve(runs: tuple[OscillationRun, ...], settings: CurveSettings) -> MasterCurve:
    columns: list[tuple[float, float, float, float, float]] = []
    series: list[int] = []
    for place, run in enumerate(runs):
        for point in run.points:
            if point.angular_frequency_rad_s is None:
                raise MeasurementError(
                    "the record states no frequency in some rows; a master curve needs one in each (name the "
                    "column with --column)"
                )
            strain = math.nan if point.strain is None else point.strain
            condition = (point.temperature_c, point.angular_frequency_rad_s)
            columns.append((*condition, point.complex_modulus, point.phase_angle, strain))
            series.append(place)
    labels = _series_names(runs) if len(runs) > 1 else ("",)
    *measured, strains = np.array(columns).T
    curve = fit_master_curve(
        *measured,
        shape=settings.shape,
        shift=settings.shift,
        reference_c=settings.reference_c,
        glassy_modulus_kpa=settings.glassy_modulus_kpa,
        modulus_weight_decades=settings.modulus_weight_decades,
        phase_weight_deg=settings.phase_weight_deg,
        series=series,
        series_labels=labels,
    )
    sources = {run.source.sha256: run.source for run in runs if run.source is not None}
    measures = (*curve.measures, strain_ratio_at_one_condition(measured[0], measured[1], strains))
    return replace(
        curve,
        measures=measures,
        findings=judge_measures(measures, load_finding_rules("master_curve")),
        sources=tuple(sources.values()),
        label=runs[0].label if len(runs) == 1 else f"{len(runs)} sweeps joined",
        sample=runs[0].sample,
    )


def _series_names(runs: tuple[OscillationRun, ...]) -> tuple[str, ...]:
    """Tell joined sweeps apart: by their plates alone where that does, as a legend has little room."""
    plates = tuple(_plates(run) for run in runs)
    return plates if all(plates) and len(set(plates)) == len(runs) else tuple(map(_series_name, runs))


def _plates(run: OscillationRun) -> str:
    return "" if run.plate_diameter_mm is None else f"{run.plate_diameter_mm:g} mm"


def _series_name(run: OscillationRun) -> str:
    plates = _plates(run)
    named = run.label or (Path(run.source.path).stem if run.source else "")
    return ", ".join(part for part in (named, plates) if part)


def _run_name(run: OscillationRun) -> str:
    path = run.source.path if run.source else "sweep"
    return f"{path}, {run.label}" if run.label else path


def _is_meant(run: OscillationRun, only: str) -> bool:
    return only.casefold() in f"{run.label} {run.sample}".casefold()


def _no_sweep(path: str, only: str) -> MeasurementError:
    if only:
        return MeasurementError(
            f"{path}: no oscillation test whose name holds '{only}'; `resile read` names them"
        )
    return MeasurementError(
        f"{path}: no test in oscillation is in the file; a master curve needs temperature, frequency, "
        "modulus and phase angle in every row"
    )
