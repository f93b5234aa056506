"""Laboratories beside one another and beside themselves: studies, rounds, disputes, checks, own precision."""

from __future__ import annotations

from resile.records.laboratories.check import CheckChart, CheckVerdict, ToleranceZone
from resile.records.laboratories.components import AnovaLine, VarianceComponent, VarianceComponents
from resile.records.laboratories.dispute import (
    Dispute,
    DisputeFound,
    DisputeParty,
    DisputeRule,
    DisputeZone,
    RefereeOutcome,
)
from resile.records.laboratories.own import (
    BiasFound,
    MaterialChecks,
    OwnPrecisionFound,
    PrecisionComparison,
    Replicates,
)
from resile.records.laboratories.practice import ComparisonPractice, ScoreWords
from resile.records.laboratories.scores import RoundScore, RoundScores, ScoreTrend
from resile.records.laboratories.study import (
    CellStatistics,
    InterlaboratoryStudy,
    MaterialStatistics,
    RobustMean,
    StudyTable,
    WinsorStep,
)

__all__ = [
    "AnovaLine",
    "BiasFound",
    "CellStatistics",
    "CheckChart",
    "CheckVerdict",
    "Dispute",
    "DisputeFound",
    "DisputeParty",
    "DisputeRule",
    "DisputeZone",
    "ComparisonPractice",
    "ScoreWords",
    "InterlaboratoryStudy",
    "MaterialChecks",
    "MaterialStatistics",
    "OwnPrecisionFound",
    "PrecisionComparison",
    "RefereeOutcome",
    "Replicates",
    "RobustMean",
    "RoundScore",
    "RoundScores",
    "ScoreTrend",
    "StudyTable",
    "ToleranceZone",
    "VarianceComponent",
    "VarianceComponents",
    "WinsorStep",
]
