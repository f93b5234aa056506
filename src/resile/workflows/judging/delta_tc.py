"""Delta-Tc, the difference of two low critical temperatures: with its ageing, and as a result to judge."""

from __future__ import annotations

from collections.abc import Sequence

from resile.compute.statistics.critical.critical_difference import critical_temperature_difference
from resile.judge.wording import number_words, residue_words, temperature_words
from resile.records.ageing import LongTermAgeingRecord
from resile.records.correlation import ErrorCorrelation
from resile.records.critical_temperature import CriticalTemperatureDifference
from resile.records.determination import Determination, Result, Uncertainty
from resile.records.quantity import QUANTITIES
from resile.records.specification import Specification
from resile.records.verdict import ContinuousTemperature
from resile.workflows.judging.continuous import continuous_temperatures, points_of


def difference_of(
    continuous: Sequence[ContinuousTemperature],
    correlation: ErrorCorrelation,
    record: LongTermAgeingRecord | None = None,
) -> tuple[CriticalTemperatureDifference | None, str]:
    """Give delta-Tc and the conditioning it belongs to.

    Parameters
    ----------
    continuous : sequence of ContinuousTemperature
        As made by `continuous_temperatures`.
    correlation : ErrorCorrelation
        What the two temperatures share.
    record : LongTermAgeingRecord or None
        How the binder was aged.

    Returns
    -------
    difference : CriticalTemperatureDifference or None
        None where stiffness or m-value was not tested at two temperatures.
    note : str
        The residue in words; empty without a difference.
    """
    low = {one.requirement.quantity: one for one in continuous if one.end == "low"}
    if not {"creep_stiffness", "m_value"} <= low.keys():
        return None, ""
    stiffness, slope = low["creep_stiffness"], low["m_value"]
    note = f"{residue_words(stiffness.requirement.condition)} binder, {_ageing_words(record)}"
    covariance = correlation.stiffness_and_slope
    for one in (stiffness, slope):
        covariance *= one.critical.standard or 0.0
    return critical_temperature_difference(stiffness.critical, slope.critical, covariance=covariance), note


def _ageing_words(record: LongTermAgeingRecord | None) -> str:
    if record is None or record.duration_h is None:
        return "the hours of ageing are not stated (20 h and 40 h are not comparable)"
    at = f" at {temperature_words(record.temperature_c)}" if record.temperature_c is not None else ""
    return f"{number_words(record.duration_h)} h{at} under pressure ({record.method})"


def result_of_difference(
    results: Sequence[Result],
    specification: Specification,
    correlation: ErrorCorrelation,
    basis: str,
) -> Result | None:
    """Give delta-Tc as a result to be judged, where a specification limits it.

    Parameters
    ----------
    results : sequence of Result
        Results of one sample that may be judged.
    specification : Specification
        Gives the limits of stiffness and m-value, and may limit their difference.
    correlation : ErrorCorrelation
        What the errors share.
    basis : str
        What the uncertainties of the results rest on.

    Returns
    -------
    Result or None
        None where it is not limited or cannot be stated; never extrapolated.
    """
    asked = [r for r in specification.requirements if r.quantity == "delta_tc"]
    if not asked:
        return None
    continuous = continuous_temperatures(results, specification, correlation=correlation)
    difference, _ = difference_of(continuous, correlation)
    if difference is None or difference.difference_c is None:
        return None
    (stiffness, *_) = [one for one in continuous if one.requirement.quantity == "creep_stiffness"]
    points = points_of(stiffness.requirement, results)
    condition = points[0].condition
    sources = [d for point in points for d in point.determinations]
    unit = QUANTITIES["delta_tc"].unit
    determination = Determination(
        sample=points[0].sample,
        condition=condition,
        temperature_c=None,
        quantity="delta_tc",
        value=difference.difference_c,
        unit=unit,
        raw=bool(sources) and all(one.raw for one in sources),
        source=sources[0].source if sources else None,
        place="from S and m at two temperatures",
    )
    doubt = None
    if difference.standard is not None:
        doubt = Uncertainty(difference.standard, basis, note="from those of S and m")
    return Result(
        sample=points[0].sample,
        condition=condition,
        temperature_c=None,
        quantity="delta_tc",
        unit=unit,
        value=difference.difference_c,
        determinations=(determination,),
        counted=(True,),
        uncertainty=doubt,
    )
