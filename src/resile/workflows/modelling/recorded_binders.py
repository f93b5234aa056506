"""Binders under traffic from their creep-recovery records: a model, and its flow against temperature."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from resile.compute.rheology.temperature.temperature_line import fit_temperature_line, line_from_prior
from resile.compute.rheology.traffic.creep_binder import (
    binder_of_model,
    burgers_at_stress,
    flow_at_stress,
    recovery_between_pulses,
)
from resile.compute.rheology.traffic.rutting_index import (
    StrainOfBinder,
    TrafficBinder,
    binder_of_line,
    jnr_at_stress,
    strain_of_binder,
)
from resile.errors import InputError, MeasurementError
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.models.pulse_train import LoadTrain, PulseRecovery
from resile.records.range import TemperatureHabit
from resile.records.temperature_line import SlopePrior, TemperatureLine
from resile.specifications.slopes import load_binder_kind
from resile.workflows.choosing.properties import UNKNOWN_KIND
from resile.workflows.modelling.creep_model import fit_creep_run
from resile.workflows.modelling.hot_hours import TemperatureHistory
from resile.workflows.reducing.reduction import reduce_record

if TYPE_CHECKING:
    from resile.readers.layout import Layout

_APART_C = 1.0
"""Records further apart than this were made at two temperatures [°C]."""
_SAME_STRESS = 1e-3
_BACKWARDS = "the records run against what temperature does to flow; no line is drawn through them"


@dataclass(frozen=True, slots=True)
class RecordedBinder:
    """A binder known by its creep-recovery records.

    Attributes
    ----------
    name : str
        Name of the binder.
    runs : tuple of CreepRecoveryRun
        Reduced records of one residue, with their signal; several temperatures are best.
    kind : str
        Kind of binder, for the slope where one temperature was tested; empty where not stated.
    """

    name: str
    runs: tuple[CreepRecoveryRun, ...]
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Way:
    """A binder followed through the load by one way of describing it.

    Attributes
    ----------
    binder : TrafficBinder
        The description.
    line : TemperatureLine
        Of Jnr, or of the fluidity of a model, against temperature.
    strain, at_mean_high : StrainOfBinder
        Under the hours of the site, and at one temperature.
    """

    binder: TrafficBinder
    line: TemperatureLine
    strain: StrainOfBinder
    at_mean_high: StrainOfBinder


@dataclass(frozen=True, slots=True)
class Followed:
    """A binder followed by its Jnr and, where it has records, by its model.

    Attributes
    ----------
    by_jnr : Way or str
        By Jnr; else why not.
    by_model : Way, str or None
        By the model of its records; else why not; None without records.
    slope_from : str
        ``records``, ``results`` or ``kind``.
    records_at : tuple of float
        Temperatures of the records [°C].
    levels_kpa : tuple of float
        Stresses of the record it was modelled from [kPa].
    model_c : float or None
        Temperature of that record [°C].
    recovery : PulseRecovery or None
        What is late in coming back.
    """

    by_jnr: Way | str
    by_model: Way | str | None = None
    slope_from: str = ""
    records_at: tuple[float, ...] = ()
    levels_kpa: tuple[float, ...] = ()
    model_c: float | None = None
    recovery: PulseRecovery | None = None


def read_recorded_binders(
    named: Sequence[str], *, layout: Layout | None = None, kinds: Mapping[str, str] | None = None
) -> tuple[RecordedBinder, ...]:
    """Read and reduce the creep-recovery records of binders.

    Parameters
    ----------
    named : sequence of str
        ``NAME=FILE`` each; a name that comes again adds a record to the same binder. Without a name, that of
        the file.
    layout : Layout, optional
        How the files are to be understood.
    kinds : mapping of str to str, optional
        Kind of binder by name.

    Returns
    -------
    tuple of RecordedBinder
        In the order they were named.

    Raises
    ------
    ResileError
        Where a file cannot be read, holds no creep-recovery run, or a kind belongs to no binder named.
    """
    runs: dict[str, list[CreepRecoveryRun]] = {}
    for one in named:
        name, given, path = one.partition("=")
        name, path = (name.strip(), path.strip()) if given else (Path(one).stem, one)
        if not name or not path:
            raise InputError(f"record '{one}': needed is NAME=FILE, as in \"Plain=plain-58.csv\"")
        found = reduce_record(path, layout=layout, keep_signal=True).creep_recovery_runs
        if not found:
            raise InputError(f"{path}: no creep-recovery run is found; the record of '{name}' must hold one")
        runs.setdefault(name, []).extend(found)
    strange = [name for name in kinds or {} if name not in runs]
    if strange:
        raise InputError(
            f"kind of '{strange[0]}': no record is named so; there are {', '.join(runs) or 'none'}"
        )
    return tuple(RecordedBinder(name, tuple(own), (kinds or {}).get(name, "")) for name, own in runs.items())


def way_along(
    binder: TrafficBinder, line: TemperatureLine, train: LoadTrain, history: TemperatureHistory
) -> Way:
    """Follow a binder through the load, at the hours of a site and as long at their mean daily highest."""
    alone = np.full(len(history.temperature_c), history.told.mean_high_c)
    strain, same = (strain_of_binder(binder, train, hours) for hours in (history.temperature_c, alone))
    return Way(binder, line, strain, same)


def follow_records(
    recorded: RecordedBinder,
    habit: TemperatureHabit,
    train: LoadTrain,
    history: TemperatureHistory,
    *,
    tested: TemperatureLine | None = None,
) -> Followed:
    """Follow a binder by the model of its records, and by their Jnr beside it.

    Parameters
    ----------
    recorded : RecordedBinder
        The binder.
    habit : TemperatureHabit
        Of Jnr: scatter of a test, slope where the kind has none.
    train : LoadTrain
        The load.
    history : TemperatureHistory
        The pavement temperatures.
    tested : TemperatureLine, optional
        Of Jnr through results at two temperatures or more, for the slope of records at one.

    Returns
    -------
    Followed
        With the reason where a way does not exist.

    Raises
    ------
    InputError
        Where a record has no temperature.
    """
    at_c = [_temperature_of(recorded.name, run) for run in recorded.runs]
    several = max(at_c) - min(at_c) > _APART_C
    ruler = _Ruler(at_c, None if several else _slope(recorded.kind, habit, tested), habit.spread)
    return Followed(
        by_jnr=_by_jnr(recorded, ruler, train, history),
        slope_from="records" if several else ("results" if tested is not None else "kind"),
        records_at=tuple(sorted(set(at_c))),
        **_by_model(recorded, ruler, train, history),
    )


@dataclass(frozen=True, slots=True)
class _Ruler:
    """Draws the line of a binder: through its records, or with a slope known beforehand."""

    at_c: list[float]
    slope: SlopePrior | None
    spread: float

    def line(self, values: Sequence[float], doubt: float = 0.0) -> TemperatureLine | str:
        """Draw it; `doubt` is what a value has beside the scatter of a test, as natural logarithm."""
        standard = math.hypot(self.spread, doubt)
        if self.slope is not None:
            return line_from_prior(self.at_c[0], values, self.slope, standard_log=standard)
        drawn = fit_temperature_line(self.at_c, values, standard_log=standard)
        return drawn if drawn.slope_per_c > 0.0 else _BACKWARDS


def _by_model(
    recorded: RecordedBinder, ruler: _Ruler, train: LoadTrain, history: TemperatureHistory
) -> dict[str, Any]:
    """Follow a binder by its model: springs of the record nearest to the site, flow along the line."""
    mean_high_c = history.told.mean_high_c
    try:
        fits = [fit_creep_run(run) for run in recorded.runs]
        flows = [flow_at_stress(fit, train.stress_kpa) for fit in fits]
        nearest = min(range(len(fits)), key=lambda place: abs(ruler.at_c[place] - mean_high_c))
        model = burgers_at_stress(fits[nearest].model, train.stress_kpa)
    except (InputError, MeasurementError) as error:
        return {"by_model": str(error)}
    doubts = [0.0 if math.isnan(doubt) else doubt for _, doubt in flows]
    drawn = ruler.line([value for value, _ in flows], max(doubts))
    if isinstance(drawn, str):
        return {"by_model": drawn}
    binder = binder_of_model(model, ruler.at_c[nearest], drawn)
    return {
        "by_model": way_along(binder, drawn, train, history),
        "levels_kpa": tuple(one.stress_kpa for one in fits[nearest].model.compliances),
        "model_c": ruler.at_c[nearest],
        "recovery": recovery_between_pulses(binder, train, mean_high_c),
    }


def _by_jnr(
    recorded: RecordedBinder, ruler: _Ruler, train: LoadTrain, history: TemperatureHistory
) -> Way | str:
    found = [_jnr_of(run, train.stress_kpa) for run in recorded.runs]
    values = [value for value in found if value is not None]
    if len(values) < len(found):
        return f"a record shows no Jnr above zero at {train.stress_kpa:g} kPa"
    drawn = ruler.line(values)
    return drawn if isinstance(drawn, str) else way_along(binder_of_line(drawn), drawn, train, history)


def _jnr_of(run: CreepRecoveryRun, stress_kpa: float) -> float | None:
    """Give the Jnr of a run at a stress: of its level, or between the two around it."""
    known = sorted(
        (level.stress_kpa, level.jnr) for level in run.levels if level.jnr is not None and level.jnr > 0
    )
    for stress, jnr in known:
        if math.isclose(stress, stress_kpa, rel_tol=_SAME_STRESS):
            return jnr
    for (low, soft), (high, hard) in itertools.pairwise(known):
        if low < stress_kpa < high:
            return float(jnr_at_stress(soft, hard, stress_kpa, low_kpa=low, high_kpa=high))
    return None


def _temperature_of(name: str, run: CreepRecoveryRun) -> float:
    if run.temperature_c is None:
        place = run.source.path if run.source is not None else "a record"
        raise InputError(f"{place}: the record of '{name}' states no temperature; give it (--temperature)")
    return run.temperature_c


def _slope(kind: str, habit: TemperatureHabit, tested: TemperatureLine | None) -> SlopePrior:
    if tested is not None:
        words = f"results of Jnr at {tested.coldest_c:g} to {tested.warmest_c:g} °C"
        return SlopePrior(kind, tested.slope_per_c, math.sqrt(tested.covariance[2]), words)
    known = load_binder_kind(kind or UNKNOWN_KIND).prior_for(habit.quantity, Condition.SHORT_TERM_AGED)
    return habit.slope if known is None else known
