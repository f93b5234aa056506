"""The kinds of specification, rule and published data that a person can list, show and check by name."""

from __future__ import annotations

from resile.records.blending.polymer import PolymerEffect
from resile.records.blending.reclaimed import ReclaimedPractice
from resile.records.control.sampling import SamplingPlan
from resile.records.house_rule import HeatingRule, RetentionRule
from resile.records.laboratories import ComparisonPractice, DisputeRule
from resile.records.models.curve_reading import ReadingConditions
from resile.records.models.published_evidence import PublishedEvidence
from resile.records.price import PriceRule
from resile.records.slope_prior import BinderKind
from resile.records.specification import Specification
from resile.records.traffic_rule import TrafficRule

RuleFile = (
    Specification
    | PriceRule
    | BinderKind
    | TrafficRule
    | HeatingRule
    | RetentionRule
    | PolymerEffect
    | ReclaimedPractice
    | SamplingPlan
    | DisputeRule
    | ComparisonPractice
    | ReadingConditions
    | PublishedEvidence
)
