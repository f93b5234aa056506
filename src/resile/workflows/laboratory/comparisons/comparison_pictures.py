"""Pictures of the laboratory pages, each with the same numbers in a table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from resile.records.determination import Condition
from resile.records.laboratories import RoundScore
from resile.records.laboratories.beside import PrecisionBeside
from resile.records.quantity import QUANTITIES
from resile.records.register import Verification
from resile.report.figures.comparisons.own_precision import (
    PARTS,
    WHOLE,
    contributions,
    figure_contributions,
    figure_precision,
    row_label,
)
from resile.report.figures.laboratories.scores import figure_one_property
from resile.report.figures.verification import figure_verifications
from resile.report.numbers import MINUS
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.workflows.laboratory.comparisons.check_materials import MaterialSheet

_MOST = 24


@dataclass(frozen=True, slots=True)
class ComparisonPicture:
    """One picture with its caption and its numbers.

    Attributes
    ----------
    title, caption : str
        What it is of; what is drawn.
    spec : dict
        The picture.
    headings : list of str
        Of the numbers.
    rows : list of list
        The numbers.
    """

    title: str
    caption: str
    spec: dict[str, Any]
    headings: list[str]
    rows: list[list[object]]


def score_pictures(scores: Sequence[RoundScore]) -> list[ComparisonPicture]:
    """Draw the scores of each property and residue, the newest two dozen."""
    groups: dict[tuple[str, Condition], list[RoundScore]] = {}
    for one in scores:
        if one.judged:
            groups.setdefault((one.result.quantity, one.result.condition), []).append(one)
    return [
        ComparisonPicture(
            title := f"{symbol_of(quantity)}, {CONDITION_WORDS[condition]}",
            f"{title}: scores over the rounds; in the band satisfactory, from the broken lines on action",
            figure_one_property(group[-_MOST:]),
            ["Day", "Round", "Material", "Score", "Kind", "Word"],
            [
                [o.result.day, o.result.round, o.result.material, signed(o.judged_score), o.kind, o.judged]
                for o in group[-_MOST:]
            ],
        )
        for (quantity, condition), group in groups.items()
    ]


def signed(score: float | None) -> str:
    """Show a score with its sign; empty for none."""
    return "" if score is None else f"{score:+.2f}".replace("-", MINUS)


def check_pictures(
    sheets: Sequence[MaterialSheet], instruments: Mapping[str, str]
) -> list[ComparisonPicture]:
    """Draw the newest checks of each material beside its zone."""
    found = []
    for sheet in sheets:
        if sheet.chart is None or not sheet.checks:
            continue
        material, zone = sheet.material.value, sheet.chart.zone
        unit = QUANTITIES[material.quantity].unit
        newest = sheet.chart.verdicts[-_MOST:]
        drawn = [
            Verification(
                instrument=one.check.instrument,
                what=material.name,
                done=one.check.done,
                measured=one.check.measured,
                reference=zone.reference,
                tolerance=zone.half_width,
                unit=unit,
                passed=one.judged == "inside",
            )
            for one in newest
        ]
        found.append(
            ComparisonPicture(
                material.name,
                f"{material.name}: measured minus reference, {unit}; the band is the tolerance zone",
                figure_verifications(drawn),
                ["Day", "Instrument", "Measured", "Reference", "Zone ±", "Where it lies"],
                [
                    [
                        one.check.done[:10],
                        instruments.get(one.check.instrument, one.check.instrument),
                        f"{one.check.measured:g}",
                        f"{zone.reference:g}",
                        f"{zone.half_width:.3g}",
                        one.judged,
                    ]
                    for one in newest
                ],
            )
        )
    return found


def precision_picture(beside: Sequence[PrecisionBeside]) -> ComparisonPicture | None:
    """Draw own precision beside the published one; None where none is in percent of the value."""
    told = [one for one in beside if one.unit == "%"]
    if not told:
        return None
    return ComparisonPicture(
        "Precision beside what is published",
        "Own standard deviations in force, beside those of the published statements",
        figure_precision(told),
        [
            "Property",
            "At",
            "Own, one day (%)",
            "Own, within (%)",
            "Published r (%)",
            "Published R (%)",
            "Source",
        ],
        [
            [
                row_label(one),
                f"{one.value:.3g} {QUANTITIES[one.quantity].unit}",
                *(
                    "" if amount is None else f"{amount:.2g}"
                    for amount in (
                        one.repeatability,
                        one.intermediate,
                        one.published_repeatability,
                        one.published_reproducibility,
                    )
                ),
                one.note,
            ]
            for one in told
        ],
    )


def budget_pictures(beside: Sequence[PrecisionBeside]) -> list[ComparisonPicture]:
    """Draw what the standard uncertainty of one result is made of, a picture a property."""
    return [
        ComparisonPicture(
            row_label(one),
            f"{row_label(one)}: parts of the standard uncertainty of one result; they add as squares",
            figure_contributions(one),
            ["Contribution", "% of the value" if one.unit == "%" else one.unit],
            _budget_rows(one),
        )
        for one in beside
    ]


def _budget_rows(one: PrecisionBeside) -> list[list[object]]:
    rows: list[list[object]] = [
        [name, f"{amount:.3g}"] for name, amount in zip(PARTS, contributions(one), strict=True)
    ]
    return [*rows, [WHOLE, f"{one.standard:.3g}"]]
