"""Binders of a kept range under the traffic of a kept road: an index, never a depth."""

from __future__ import annotations

from collections.abc import Sequence

from resile.errors import InputError
from resile.readers.weather_record import read_weather_record
from resile.records.creep_recovery import METHOD, CreepRecoveryRun
from resile.records.determination import Condition
from resile.records.register import Actor, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.runs import RunsWanted, runs_listed
from resile.workflows.handed_in import from_outside
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.offer.ranges import range_of
from resile.workflows.laboratory.offer.sites_seen import site_of, weather_of_site
from resile.workflows.laboratory.runs.reduced_again import reduced_run
from resile.workflows.modelling.recorded_binders import RecordedBinder
from resile.workflows.modelling.traffic import TrafficQuestion, TrafficReport, traffic_on_site
from resile.workflows.sites.site_climate import chosen_station

MOST_SAMPLES = 6
"""More models than this are not fitted while a page is waited for."""
_RUNS_LOOKED_AT, _RUNS_OF_SAMPLE = 200, 12
_RESIDUES = (Condition.SHORT_TERM_AGED, Condition.RECOVERED, Condition.UNKNOWN)


def traffic_on_road(
    record: LaboratoryRecord,
    actor: Actor,
    range_key: str,
    site_key: str,
    question: TrafficQuestion,
    samples: Sequence[str] = (),
) -> TrafficReport:
    """Compare the binders of a kept range under the traffic of a kept road.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    range_key, site_key : str
        Keys of range and road.
    question : TrafficQuestion
        Load and reference.
    samples : sequence of str
        Keys of samples whose creep-recovery runs are followed by their models, beside the range.

    Returns
    -------
    TrafficReport
        As `resile.workflows.modelling.traffic.traffic_on_site` gives it.

    Raises
    ------
    InputError
        Where the climate of the road was typed, or a number is out of range; says what is needed.
    PermissionRefusedError, RecordNotFoundError
        Who may not; no such range or road.
    """
    require(actor, "offer.see")
    offered = range_of(record, actor, range_key).binders
    site = site_of(record, actor, site_key)
    if not site.kept.value.file:
        raise InputError(
            f"{site.demand.site.name}: its climate was typed, and typed means give no hours; "
            "revise the road with a "
            "daily weather record"
        )
    recorded = tuple(_recorded(record, actor, key) for key in samples[:MOST_SAMPLES])
    settings, request = site.question.settings, site.question.request
    with from_outside():
        file = weather_of_site(record, actor, site_key)
        stations = read_weather_record(
            file, layout=settings.layout, unit=settings.temperature_unit, date_order=settings.date_order
        )
        weather = chosen_station(stations, request.station, file.name)
        return traffic_on_site(site.demand.site, weather, offered, question, recorded=recorded)


def samples_with_records(record: LaboratoryRecord, actor: Actor) -> tuple[tuple[str, str], ...]:
    """Give the samples that have creep-recovery runs, the latest first.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.

    Returns
    -------
    tuple of (str, str)
        Key and number.

    Raises
    ------
    PermissionRefusedError
        Who may not.
    """
    require(actor, "offer.see")
    require(actor, "runs.see")
    with record.reading() as reading:
        rows = runs_listed(reading, RunsWanted(test=METHOD), limit=_RUNS_LOOKED_AT)
    return tuple({row.sample: row.sample_number for row in rows if row.sample}.items())


def _recorded(record: LaboratoryRecord, actor: Actor, key: str) -> RecordedBinder:
    """Reduce the creep-recovery runs of a sample, of the first residue that has any."""
    require(actor, "runs.see")
    with record.reading() as reading:
        sample = reading.get(Sample, key)
        require_sight(actor, sample.value.customer)
        rows = runs_listed(reading, RunsWanted(sample=key, test=METHOD), limit=_RUNS_OF_SAMPLE)
        for residue in _RESIDUES:
            own = [row for row in rows if row.condition == residue]
            runs = [reduced_run(reading, reading.get(Run, row.key).value) for row in own]
            found = tuple(run for run in runs if isinstance(run, CreepRecoveryRun))
            if found:
                return RecordedBinder(sample.value.number, found)
    raise InputError(f"{sample.value.number}: no creep-recovery run of the short-term aged binder is kept")
