"""What a reduced run contributes to a sample: its values as determinations that keep their source."""

from __future__ import annotations

from collections.abc import Iterator

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition, Determination
from resile.records.quantity import QUANTITIES


def determinations_of_run(
    run: CreepRecoveryRun, *, sample: str, condition: Condition, replicate: str = ""
) -> tuple[Determination, ...]:
    """Give the values of one run as determinations.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.
    sample : str
        Name of the sample.
    condition : Condition
        Residue that was tested.
    replicate : str
        Specimen number.

    Returns
    -------
    tuple of Determination
        Compliance and recovery by stress and their differences; the run's findings travel with each.
    """
    return tuple(
        Determination(
            sample=sample,
            condition=condition,
            temperature_c=run.temperature_c,
            quantity=quantity,
            value=value,
            unit=QUANTITIES[quantity].unit,
            replicate=replicate or run.label,
            raw=True,
            source=run.source,
            place=run.label,
            findings=run.findings,
        )
        for quantity, value in _values(run)
        if value is not None
    )


def _values(run: CreepRecoveryRun) -> Iterator[tuple[str, float | None]]:
    for level in run.levels:
        for name, value in (("jnr", level.jnr), ("percent_recovery", level.percent_recovery)):
            quantity = f"{name}_{level.stress_kpa:g}"
            if quantity in QUANTITIES:
                yield quantity, value
    yield "jnr_difference_percent", run.jnr_difference_percent
    yield "recovery_difference_percent", run.recovery_difference_percent
    yield "jnr_slope_percent", run.jnr_slope_percent
