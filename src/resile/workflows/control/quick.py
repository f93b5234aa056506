"""Quick tests of one product: fit on lots with both results, hints for lots without, when to anchor anew."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.compute.statistics.surrogates.left_out import (
    drift_of_errors,
    leave_one_lot_out,
    left_out_standard,
)
from resile.compute.statistics.surrogates.line import fit_surrogate, predict_surrogate, surrogate_conformity
from resile.errors import InputError
from resile.records.control.surrogate import (
    ErrorDrift,
    LeftOutLot,
    QuickProperty,
    QuickSample,
    QuickTests,
    ReleaseHint,
    SurrogateModel,
    SurrogatePrediction,
)
from resile.records.finding import Finding, Measure
from resile.workflows.control.findings_beside import doubts_of
from resile.workflows.control.lots import off_scale, on_scale

LIKELY, TEST_FIRST, CANNOT_TELL = "likely within", "test first", "cannot tell"
"""What a hint says; it is never a verdict."""


def fit_quick_tests(
    samples: Sequence[QuickSample],
    slow: QuickProperty,
    properties: Sequence[QuickProperty],
    *,
    anchored_until: str = "",
    least_probability: float = 0.95,
    confidence: float = 0.95,
) -> QuickTests:
    """Fit quick tests and ask them about the other lots.

    Parameters
    ----------
    samples : sequence of QuickSample
        Of one product, in any order.
    slow : QuickProperty
        What is predicted, with its scale and perhaps its limit.
    properties : sequence of QuickProperty
        What it is predicted from, each on its scale, in the order of the quick results.
    anchored_until : str
        Last day of the samples that are fitted; those with both results after it tell of drift. All with
        both are fitted where empty.
    least_probability : float
        Asked for before a hint says that a lot is likely within its limit.
    confidence : float
        Of the intervals, two-sided.

    Returns
    -------
    QuickTests
        Model, error with a lot left out, hints, drift, warnings.

    Raises
    ------
    ResileError
        With too few lots, or where a value has no logarithm on a log scale.
    """
    ordered = sorted(samples, key=lambda one: one.taken)
    fitted = [
        one
        for one in ordered
        if one.slow is not None and (not anchored_until or one.taken[:10] <= anchored_until[:10])
    ]
    lots = tuple(dict.fromkeys(one.lot for one in fitted))
    if len(lots) < len(properties) + 4:
        raise InputError(
            f"quick tests: {len(lots)} lots with both results found; at least {len(properties) + 4} are "
            f"needed for {len(properties)} quick properties"
        )
    rows = [_scaled(one, properties) for one in fitted]
    seen = [
        on_scale(one.slow, slow.watched, place=f"lot {one.lot}") for one in fitted if one.slow is not None
    ]
    model = fit_surrogate(rows, seen)
    left = leave_one_lot_out(rows, seen, [one.lot for one in fitted])
    unseen = left_out_standard(left)
    standard = max(unseen, model.residual_standard)
    after = [one for one in ordered if one not in fitted]
    asked = [
        predict_surrogate(model, _scaled(one, properties), standard=standard, confidence=confidence)
        for one in after
    ]
    hints = tuple(_hint(one, at, slow, least_probability) for one, at in zip(after, asked, strict=True))
    drift, where = _drift(after, asked, slow, standard)
    newest = fitted[-1].taken
    since = len({one.lot for one in after if one.taken > newest})
    r_left = _explained(left)
    return QuickTests(
        slow=slow,
        properties=tuple(properties),
        model=model,
        left_out=left,
        left_out_standard=unseen,
        standard=standard,
        r_squared_left_out=r_left,
        error_factor=10.0**standard if slow.watched.scale == "log" else None,
        lots=lots,
        hints=hints,
        drift=drift,
        since_anchor=since,
        least_probability=least_probability,
        confidence=confidence,
        findings=_findings(model, lots, unseen, r_left, since, hints, (drift, where)),
    )


def _scaled(sample: QuickSample, properties: Sequence[QuickProperty]) -> list[float]:
    if len(sample.quick) != len(properties):
        raise InputError(
            f"lot {sample.lot}: {len(sample.quick)} quick results found, {len(properties)} are needed"
        )
    return [
        on_scale(value, one.watched, place=f"lot {sample.lot}, {one.watched.quantity}")
        for value, one in zip(sample.quick, properties, strict=True)
    ]


def _hint(
    sample: QuickSample, at: SurrogatePrediction, slow: QuickProperty, least_probability: float
) -> ReleaseHint:
    watched = slow.watched
    probability = None
    if watched.limit is not None and watched.limit_is and at.place != "outside":
        limit = on_scale(watched.limit, watched, place="limit")
        probability = surrogate_conformity(at, limit=limit, limit_is=watched.limit_is)
    if probability is None:
        words = CANNOT_TELL
    else:
        words = LIKELY if probability >= least_probability and at.place == "inside" else TEST_FIRST
    return ReleaseHint(
        lot=sample.lot,
        taken=sample.taken,
        value=off_scale(at.value, watched),
        low=off_scale(at.low, watched),
        high=off_scale(at.high, watched),
        place=at.place,
        probability=probability,
        hint=words,
        slow=sample.slow,
    )


def _drift(
    after: Sequence[QuickSample], asked: Sequence[SurrogatePrediction], slow: QuickProperty, standard: float
) -> tuple[ErrorDrift, str]:
    """Give the drift of errors since the fit, each freed of what its distance adds, and where the "
    "largest is.
    """
    errors, lots = [], []
    for sample, at in zip(after, asked, strict=True):
        if sample.slow is not None and at.place != "outside":
            found = on_scale(sample.slow, slow.watched, place=f"lot {sample.lot}") - at.value
            errors.append(found / math.sqrt(1.0 + at.leverage))
            lots.append(sample.lot)
    where = "" if not errors else f"lot {lots[max(range(len(errors)), key=lambda place: abs(errors[place]))]}"
    return drift_of_errors(errors, standard if standard > 0.0 else 1.0), where


def _explained(left: Sequence[LeftOutLot]) -> float:
    mean = math.fsum(one.observed for one in left) / len(left)
    total = math.fsum((one.observed - mean) ** 2 for one in left)
    return 1.0 - math.fsum(one.error**2 for one in left) / total if total > 0.0 else 0.0


def _findings(
    model: SurrogateModel,
    lots: Sequence[str],
    unseen: float,
    r_left: float,
    since: int,
    hints: Sequence[ReleaseHint],
    drift: tuple[ErrorDrift, str],
) -> tuple[Finding, ...]:
    coefficients = len(model.coefficients)
    outside = [one.lot for one in hints if one.place == "outside"]
    side = "results above" if drift[0].mean_in_standard_errors > 0 else "results below"
    measures = [
        Measure("lots", float(len(lots))),
        Measure("coefficients", float(coefficients)),
        Measure("lots_per_coefficient", len(lots) / coefficients),
        Measure("error_ratio", unseen / model.residual_standard if model.residual_standard > 0.0 else 1.0),
        Measure("r_squared_left_out", r_left),
        Measure("percent_explained", max(100.0 * r_left, 0.0)),
        Measure("since_anchor", float(since)),
        Measure("mean_error", abs(drift[0].mean_in_standard_errors), where=f"{side} what was expected"),
        Measure("largest_error", drift[0].largest_in_standards, where=drift[1]),
        Measure("outside_lots", float(len(outside)), where=_lots(outside)),
    ]
    return doubts_of(measures, "quick_tests")


def _lots(names: Sequence[str]) -> str:
    listed = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
    return f"Lot {listed} lies" if len(names) == 1 else f"Lots {listed} lie"
