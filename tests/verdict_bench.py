"""A small bench for verdicts: results and determinations of an invented tank, made in one line."""

from resile.records.determination import Condition, Determination, Result, Uncertainty
from resile.records.finding import Finding
from resile.records.quantity import QUANTITIES


def result(
    value: float | None,
    quantity: str = "jnr_3.2",
    *,
    temperature_c: float | None = 64.0,
    condition: Condition = Condition.SHORT_TERM_AGED,
    standard: float | None = None,
    distribution: str = "normal",
    freedom: float | None = None,
    repeatability: float | None = None,
    findings: tuple[Finding, ...] = (),
    sample: str = "tank",
) -> Result:
    uncertainty = None if standard is None else Uncertainty(standard, "budget", distribution, freedom)
    return Result(
        sample=sample,
        condition=condition,
        temperature_c=temperature_c,
        quantity=quantity,
        unit=QUANTITIES[quantity].unit,
        value=value,
        repeatability=repeatability,
        uncertainty=uncertainty,
        findings=findings,
    )


def determination(
    quantity: str,
    text: str,
    *,
    value: float | None = None,
    temperature_c: float | None = 64.0,
    condition: Condition = Condition.SHORT_TERM_AGED,
    replicate: str = "1",
    findings: tuple[Finding, ...] = (),
    sample: str = "tank",
) -> Determination:
    if value is None and quantity != "traffic_class":
        value = float(text)
    unit = QUANTITIES[quantity].unit
    return Determination(
        sample, condition, temperature_c, quantity, value, unit, text, replicate=replicate, findings=findings
    )
