"""The sheet of scores over the rounds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from resile.records.determination import Condition
from resile.records.laboratories import ComparisonPractice, RoundScore, RoundScores
from resile.records.quantity import QUANTITIES
from resile.report.figures.laboratories.scores import figure_scores
from resile.report.numbers import fixed
from resile.report.paper.laboratories.sheet import (
    PRACTICE_NOTE,
    basis_section,
    figures,
    findings_section,
    sheet,
)
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.words import CONDITION_WORDS, symbol_of


def scores_page(
    scores: RoundScores,
    *,
    date: str,
    path: str,
    remarks: tuple[str, ...],
    practice: ComparisonPractice,
    version: str,
) -> Page:
    """Give the sheet of scores.

    Parameters
    ----------
    scores : RoundScores
        Oldest first.
    date : str
        Date on the sheet, YYYY-MM-DD.
    path : str
        The file they were read from; empty for none.
    remarks : tuple of str
        How the sheet was read.
    practice : ComparisonPractice
        With the bounds and their sources.
    version : str
        Version of resile.

    Returns
    -------
    Page
        Answer, picture, every score, trends, findings.
    """
    rounds = tuple(dict.fromkeys(one.result.round for one in scores.scores))
    schemes = tuple(dict.fromkeys(one.result.scheme for one in scores.scores if one.result.scheme))
    file = scores.scores[0].result.file if scores.scores else ""
    return sheet(
        "Scores in comparison rounds",
        subject=", ".join(schemes) or "comparison rounds",
        date=date,
        identity=(
            ("Scheme", ", ".join(schemes) or "not named"),
            ("Rounds", f"{len(rounds)}: {', '.join(rounds[:8])}{' …' if len(rounds) > 8 else ''}"),
            ("Results", str(len(scores.scores))),
        ),
        answer=answer_of_scores(scores),
        sections=(
            Section(
                key="scores",
                title="Round after round",
                pictures=(
                    Picture(
                        "scores",
                        figure_scores(scores),
                        "Shaded: satisfactory. Beyond the dashed lines a score asks for action. The "
                        "dotted line is the "
                        "weighted average, which shows a small but lasting shift.",
                    ),
                ),
                tables=(scores_table(scores), *((trend_table(scores),) if scores.trends else ())),
            ),
            findings_section(scores.findings),
            basis_section(
                (
                    ("Words for scores", practice.scores["z"].source),
                    ("Trend", practice.sources["rounds"]),
                    ("How the sheet was read", "; ".join(remarks) or "as it stands"),
                    ("To know", PRACTICE_NOTE),
                ),
                file=(path, file),
                version=version,
            ),
        ),
        invented=any(one.result.invented for one in scores.scores),
    )


def answer_of_scores(scores: RoundScores) -> str:
    """Give the scores in one sentence."""
    counts = Counter(one.judged or "not scored" for one in scores.scores)
    order = ("satisfactory", "questionable", "action", "not scored")
    said = ", ".join(f"{counts[word]} {word}" for word in order if counts[word])
    return f"{len(scores.scores)} results: {said}."


_SCORES = (("z", "z"), ("z′", "z_prime"), ("ζ", "zeta"), ("En", "en"))


def scores_table(scores: RoundScores) -> Table:
    """Give every score; a kind of score that no round has is left out."""
    told = [
        (title, name)
        for title, name in _SCORES
        if any(getattr(one, name) is not None for one in scores.scores)
    ]
    return Table(
        caption="Scores",
        columns=(
            Column("Round"),
            Column("Material"),
            Column("Property"),
            Column("Result", RIGHT),
            Column("Assigned", RIGHT),
            Column("sd", RIGHT),
            *(Column(title, RIGHT) for title, _ in told),
            Column("Word"),
        ),
        rows=tuple(_row(one, [name for _, name in told]) for one in scores.scores),
        note="The word rests on z; on z′ where the assigned value is in doubt; on ζ where no sd is stated.",
    )


def _row(one: RoundScore, kinds: Sequence[str]) -> tuple[str, ...]:
    result = one.result
    unit = QUANTITIES[result.quantity].unit
    return (
        result.round,
        result.material,
        symbol_of(result.quantity) + (f" ({unit})" if unit else ""),
        figures(result.value),
        figures(result.assigned),
        figures(result.deviation, 3),
        *(fixed(getattr(one, kind), 2, signed=True) for kind in kinds),
        one.judged or "not scored",
    )


def trend_table(scores: RoundScores) -> Table:
    """Give where the scores of each property are heading."""
    return Table(
        caption="Over the rounds",
        columns=(
            Column("Property"),
            Column("Residue"),
            Column("Scores", RIGHT),
            Column("Mean, by chance", RIGHT),
            Column("On one side", RIGHT),
            Column("A round", RIGHT),
            Column("Weighted, limit", RIGHT),
        ),
        rows=tuple(
            (
                symbol_of(one.quantity),
                CONDITION_WORDS[Condition(one.condition)],
                str(one.count),
                _beside(one.mean_score, 2.0 * one.mean_score_standard),
                str(one.same_side),
                fixed(one.score_slope, 2, signed=True),
                _beside(one.weighted[-1], one.weighted_limits[-1]),
            )
            for one in scores.trends
        ),
        note=(
            "By chance: without a bias the mean of so many scores lies within this 95 times in 100. On one "
            "side: the newest in a row. A round: change of the score from round to round. Weighted: average "
            "in which the newest count most, and its limit."
        ),
    )


def _beside(value: float, limit: float) -> str:
    return f"{fixed(value, 2, signed=True)}, ±{fixed(limit, 2)}"
