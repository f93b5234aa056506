"""A line tested at 0 °C: nought is a temperature like any other."""

from resile.judge.grades.waivers import waiver_for
from resile.records.determination import Condition, Result
from resile.specifications.load import load_specification


def result(quantity: str, value: float, unit: str) -> Result:
    return Result("Q", Condition.LONG_TERM_AGED, 0.0, quantity, unit, value)


def test_a_stiffness_at_nought_degrees_is_waived_by_the_failure_strain_at_nought_degrees() -> None:
    specification = load_specification("m320")
    line = next(r for r in specification.requirements if r.quantity == "creep_stiffness")
    found = waiver_for(
        line,
        [result("creep_stiffness", 420.0, "MPa"), result("failure_strain_percent", 1.2, "%")],
        service_class="",
        high_temperature_c=52.0,
        low_temperature_c=-10.0,  # tested 10 °C above: at 0 °C
        specification=specification,
    )
    assert "above 300 but not above 600 MPa" in found
