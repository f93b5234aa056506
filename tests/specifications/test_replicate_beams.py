"""The rule for replicate beams and the precision statement say the same thing of two results."""

import pytest

from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.load import load_precision


@pytest.mark.parametrize(
    ("measure", "quantity"),
    [("stiffness_range_percent", "creep_stiffness"), ("m_value_range_percent", "m_value")],
)
def test_two_beams_may_differ_by_the_repeatability_limit_of_the_precision_statement(
    measure: str, quantity: str
) -> None:
    # AASHTO T 313-12, single operator, recalled (medium to high): 7.2 % and 2.9 %, d2s.
    (band,) = [band for band in load_precision("t313").bands if band.quantity == quantity]
    limits = [
        condition.above
        for rule in load_finding_rules("replicate_beams")
        if any(condition.measure == "beams" and condition.below == 3 for condition in rule.conditions)
        for condition in rule.conditions
        if condition.measure == measure
    ]
    assert limits == [band.single_operator_limit_percent]
