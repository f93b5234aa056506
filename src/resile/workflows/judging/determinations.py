"""What a reduced run contributes to a sample: its values as determinations that keep their source."""

from __future__ import annotations

from collections.abc import Iterator

from resile.records.bending_beam import BeamRun
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition, Determination
from resile.records.oscillation import OscillationPoint, OscillationRun
from resile.records.quantity import QUANTITIES
from resile.records.viscosity import ViscosityRun

_GRADE_FREQUENCY_RAD_S = 10.0
"""Frequency at which the properties of a grade are stated [rad/s]. AASHTO M 320, Table 1."""
_SAME_FREQUENCY = 0.01
"""Within this share of it a frequency is the nominal one: 1.59 Hz is 9.99 rad/s. Common practice."""


def determinations_of_run(
    run: CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun,
    *,
    sample: str,
    condition: Condition,
    replicate: str = "",
    laboratory: str = "",
    tested: str = "",
) -> tuple[Determination, ...]:
    """Give the values of one run as determinations.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.
    sample : str
        Name of the sample.
    condition : Condition
        Residue that was tested.
    replicate : str
        Specimen number.
    laboratory : str
        Another laboratory that made the record.
    tested : str
        Day or time of the test.

    Returns
    -------
    tuple of Determination
        Compliance and recovery by stress and their differences; rutting and fatigue parameter at each
        temperature measured at 10 rad/s; stiffness and m-value of a beam whose temperature is known;
        viscosity at each temperature. The run's findings travel with each.
    """
    return tuple(
        Determination(
            sample=sample,
            condition=condition,
            temperature_c=temperature,
            quantity=quantity,
            value=value,
            unit=QUANTITIES[quantity].unit,
            replicate=replicate or run.label,
            raw=True,
            source=run.source,
            place=run.label,
            findings=run.findings,
            laboratory=laboratory,
            tested=tested,
        )
        for temperature, quantity, value in _placed(run, condition)
        if value is not None
    )


def components_of_run(
    run: CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun, *, sample: str, condition: Condition
) -> tuple[Determination, ...]:
    """Give modulus and phase angle at 10 rad/s of an oscillation run: compared with other tests, not judged.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        A reduced run.
    sample : str
        Name of the sample.
    condition : Condition
        Residue that was tested.

    Returns
    -------
    tuple of Determination
        Empty for a run of another test.
    """
    if not isinstance(run, OscillationRun):
        return ()
    return tuple(
        Determination(
            sample,
            condition,
            point.temperature_c,
            quantity,
            value,
            QUANTITIES[quantity].unit,
            replicate=run.label,
            raw=True,
            findings=run.findings,
        )
        for point in dict.fromkeys(run.points)
        if _at_grade_frequency(point)
        for quantity, value in (
            ("complex_modulus", point.complex_modulus),
            ("phase_angle", point.phase_angle),
        )
    )


def _placed(
    run: CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun, condition: Condition
) -> Iterator[tuple[float | None, str, float | None]]:
    if isinstance(run, CreepRecoveryRun):
        for quantity, value in _values(run):
            yield run.temperature_c, quantity, value
    elif isinstance(run, OscillationRun):
        yield from _grade_parameters(run, condition)
    elif isinstance(run, BeamRun):
        if run.temperature_c is not None:
            yield run.temperature_c, "creep_stiffness", run.creep_stiffness
            yield run.temperature_c, "m_value", run.m_value
    else:
        for viscosity in run.points:
            yield viscosity.temperature_c, "rotational_viscosity", viscosity.rotational_viscosity


def _grade_parameters(
    run: OscillationRun, condition: Condition
) -> Iterator[tuple[float | None, str, float | None]]:
    """Give the parameter that the residue is judged by; both where it may be either."""
    for point in dict.fromkeys(_tested(run)):  # a point that stands twice is one measurement
        if not _at_grade_frequency(point):
            continue
        if condition is not Condition.LONG_TERM_AGED:
            yield point.temperature_c, "rutting_parameter", point.rutting_parameter
        if condition not in (Condition.ORIGINAL, Condition.SHORT_TERM_AGED):
            yield point.temperature_c, "fatigue_parameter", point.fatigue_parameter


def _tested(run: OscillationRun) -> list[OscillationPoint]:
    """Give the points measured at the strain of the test: a strain sweep is no row of replicates."""
    import numpy as np

    from resile.compute.rheology.oscillation.linear_range import nearest_target_strain

    columns = [
        [np.nan if value is None else value for value in values]
        for values in (
            [p.angular_frequency_rad_s for p in run.points],
            [p.strain for p in run.points],
        )
    ]
    kept = nearest_target_strain(
        [p.temperature_c for p in run.points], columns[0], [p.complex_modulus for p in run.points], columns[1]
    )
    return [point for point, keep in zip(run.points, kept.tolist(), strict=True) if keep]


def _at_grade_frequency(point: OscillationPoint) -> bool:
    frequency = point.angular_frequency_rad_s
    if frequency is None:
        return True  # taken as 10 rad/s; the run carries a finding that says so
    return abs(frequency / _GRADE_FREQUENCY_RAD_S - 1.0) <= _SAME_FREQUENCY


def _values(run: CreepRecoveryRun) -> Iterator[tuple[str, float | None]]:
    for level in run.levels:
        for name, value in (("jnr", level.jnr), ("percent_recovery", level.percent_recovery)):
            quantity = f"{name}_{level.stress_kpa:g}"
            if quantity in QUANTITIES:
                yield quantity, value
    yield "jnr_difference_percent", run.jnr_difference_percent
    yield "recovery_difference_percent", run.recovery_difference_percent
    yield "jnr_slope_percent", run.jnr_slope_percent
