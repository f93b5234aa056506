"""All comparisons of one sample's results, asked of the rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from resile.judge.across.methods import method_measures
from resile.judge.across.pairs import Measures
from resile.judge.across.residues import ageing_measures
from resile.judge.across.sizes import place_measures, size_measures, spread_measures
from resile.judge.across.temperatures import temperature_measures
from resile.judge.findings import judge_measures
from resile.records.determination import Result
from resile.records.finding import Finding, FindingRule, Severity, worst_severity


def findings_across_tests(results: Sequence[Result], rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    """Compare the results of one sample across residues, temperatures and methods.

    Parameters
    ----------
    results : sequence of Result
        Of one sample, from raw records and typed tables alike; one that rests on invalid determinations alone
        is left out.
    rules : sequence of FindingRule
        As loaded from ``findings/across_tests.toml``; a rule that is left out is not asked.

    Returns
    -------
    tuple of Finding
        In the order of the comparisons, each told once.
    """
    sound = [r for r in results if worst_severity(r.findings) is not Severity.INVALID]
    return tuple(
        dict.fromkeys(found for group in _comparisons(sound) for found in judge_measures(group, rules))
    )


def _comparisons(results: Sequence[Result]) -> Iterator[Measures]:
    yield from ageing_measures(results)
    yield from temperature_measures(results)
    yield from method_measures(results)
    yield from size_measures(results)
    yield from place_measures(results)
    yield from spread_measures(results)
