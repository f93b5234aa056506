"""Penetration index, mixing and compaction temperatures: worked out from results, shown and not judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.errors import MeasurementError
from resile.judge.wording import number_words
from resile.records.derived import DerivedNumber
from resile.records.determination import Condition, Result
from resile.records.viscosity import WorkingTemperatures

_WORKING_SOURCES = {
    "mixing": "Asphalt Institute MS-2, section 4.2.1 [read]; line: ASTM D2493",
    "compaction": "Asphalt Institute technical bulletin; Yildirim 2006 [read]; line: ASTM D2493",
}


def derived_numbers(results: Sequence[Result]) -> tuple[DerivedNumber, ...]:
    """Work out what follows from typed or raw results of one sample.

    Parameters
    ----------
    results : sequence of Result
        Of one sample.

    Returns
    -------
    tuple of DerivedNumber
        By residue; nothing where they do not allow it, for example viscosities at one temperature.
    """
    found: list[DerivedNumber] = []
    for condition in dict.fromkeys(result.condition for result in results):
        own = [r for r in results if r.condition is condition and r.value is not None]
        found += _penetration_index(own, condition)
        found += _working(own, condition)
    return tuple(found)


def _penetration_index(results: list[Result], condition: Condition) -> Iterator[DerivedNumber]:
    from resile.compute.rheology.viscosity.penetration import penetration_index_en12591

    values = {r.quantity: r.value for r in results if r.quantity in ("penetration", "softening_point")}
    penetration, point = values.get("penetration"), values.get("softening_point")
    if penetration is None or point is None:
        return
    try:
        index = float(penetration_index_en12591(penetration, point))
    except MeasurementError:
        return
    yield DerivedNumber(
        name="penetration_index",
        title="penetration index",
        condition=condition,
        lowest=index,
        highest=index,
        unit="",
        rule="(20 SP + 500 log pen \N{MINUS SIGN} 1952)/(SP \N{MINUS SIGN} 50 log pen + 120) "
        f"from penetration {number_words(penetration)} (0.1 mm) at 25 °C "
        f"and softening point {number_words(point)} °C",
        source="EN 12591:2009, annex A, from memory (high)",
    )


def _working(results: list[Result], condition: Condition) -> Iterator[DerivedNumber]:
    from resile.compute.rheology.viscosity.viscosity_temperature import reduce_viscosity

    pairs = sorted(
        {
            (r.temperature_c, r.value)
            for r in results
            if r.quantity == "rotational_viscosity" and r.temperature_c is not None and r.value is not None
        }
    )
    if len({temperature for temperature, _ in pairs}) < 2:
        return
    try:
        run = reduce_viscosity([t for t, _ in pairs], [eta for _, eta in pairs])
    except MeasurementError:
        return
    told = ", ".join(f"{number_words(eta)} Pa·s at {number_words(t)} °C" for t, eta in pairs)
    for row in run.working_temperatures:
        ends = f"{row.viscosity_high:g} to {row.viscosity_low:g} Pa·s"
        yield DerivedNumber(
            name=f"{row.purpose}_temperature",
            title=f"{row.purpose} temperature",
            condition=condition,
            lowest=row.lowest_c,
            highest=row.highest_c,
            unit="°C",
            rule=f"{ends} on the line through {told}{_beyond(row)}",
            source=_WORKING_SOURCES[row.purpose],
            working=True,
        )


def _beyond(row: WorkingTemperatures) -> str:
    if not row.extrapolated_c:
        return ""
    return f"; reaches {number_words(row.extrapolated_c)} °C beyond the measured temperatures"
