"""What must be known about an own precision, and how it compares with a published one."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.findings import judge_measures
from resile.judge.wording import number_words
from resile.records.finding import Finding, FindingRule, Measure
from resile.records.laboratories import OwnPrecisionFound, VarianceComponents

WORSE = "worse"
AS_PUBLISHED = "as-published"
BETTER = "better"


def own_findings(
    found: OwnPrecisionFound,
    where: str,
    rules: Sequence[FindingRule],
    *,
    over_days: bool,
    bias_excess: float | None,
    level_probability: float | None,
) -> tuple[Finding, ...]:
    """Give what must be known before an own precision is used in verdicts.

    Parameters
    ----------
    found : OwnPrecisionFound
        Worked out.
    where : str
        Property and residue in words.
    rules : sequence of FindingRule
        Of own precision.
    over_days : bool
        Whether checks over days stand behind the intermediate precision.
    bias_excess : float or None
        Scatter of the biases of the sources over what their doubts explain, as a ratio of variances.
    level_probability : float or None
        Of the rank correlation of scatter and level by chance.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    measures = [
        Measure("repeatability_freedom", found.repeatability_freedom, where=where),
        Measure("intermediate_freedom", found.intermediate_freedom, where=where),
        Measure("over_days", float(over_days), where=where, flag=True),
        Measure("bias_sources", len(found.biases), where=where),
    ]
    if found.bias_standard > 0.0:
        measures.append(Measure("bias_share", abs(found.bias) / found.bias_standard, where=where))
    if bias_excess is not None:
        measures.append(Measure("bias_excess", bias_excess, where=where))
    if level_probability is not None and found.level_slope is not None:
        measures += [
            Measure("level_probability", level_probability, where=where),
            Measure("level_slope", found.level_slope, where=where),
        ]
    return judge_measures(measures, rules)


def comparison_words(
    what: str, own: float, published: float, ratio: float, limits: tuple[float, float]
) -> tuple[str, str]:
    """Give the word and the sentence for an own standard deviation against a published one.

    Parameters
    ----------
    what : str
        ``repeatability`` or ``intermediate``.
    own, published : float
        Standard deviations in one unit.
    ratio : float
        Own over published variance.
    limits : tuple of float
        Between them the ratio says nothing against the published one.

    Returns
    -------
    tuple of str
        ``worse``, ``as-published`` or ``better``, and the sentence.
    """
    name = "repeatability" if what == "repeatability" else "scatter over days, operators and instruments"
    numbers = f"{number_words(own, published)} against {number_words(published, own)}"
    if what == "intermediate":
        numbers += " between laboratories"
    if ratio > limits[1]:
        return WORSE, f"The {name} is larger than published ({numbers}): look for the cause."
    if ratio < limits[0]:
        return BETTER, f"The {name} is smaller than published ({numbers})."
    return AS_PUBLISHED, f"The {name} is what is published, as far as these data tell ({numbers})."


def component_findings(found: VarianceComponents, rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    """Give what weakens components of variance.

    Parameters
    ----------
    found : VarianceComponents
        Worked out.
    rules : sequence of FindingRule
        Of components.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    raised: list[Finding] = []
    for line, component in zip(found.lines, found.components, strict=True):
        share = -component.variance_raw / found.total**2
        measures = [
            Measure("negative_share", share, where=component.source),
            Measure("degrees_of_freedom", line.degrees_of_freedom, where=component.source),
        ]
        raised += judge_measures(measures, rules)
    if found.measurement_percent is not None:
        where = found.quantity or "these results"
        raised += judge_measures(
            [Measure("measurement_percent", found.measurement_percent, where=where)], rules
        )
    return tuple(sorted(raised, key=lambda finding: ["invalid", "caution", "note"].index(finding.severity)))
