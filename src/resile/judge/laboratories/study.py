"""What stands out in an interlaboratory study."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.findings import judge_measures
from resile.records.finding import Finding, FindingRule, Measure
from resile.records.laboratories import CellStatistics, MaterialStatistics


def study_findings(
    materials: Sequence[MaterialStatistics], rules: Sequence[FindingRule]
) -> tuple[Finding, ...]:
    """Give what is worth a look before the precision is used.

    Parameters
    ----------
    materials : sequence of MaterialStatistics
        Of one study.
    rules : sequence of FindingRule
        Of studies.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    found: list[Finding] = []
    for one in materials:
        found += judge_measures(_of_material(one), rules)
        for cell in one.cells:
            found += judge_measures(_of_cell(cell, one), rules)
    found += _one_sided(materials, rules)
    return tuple(sorted(found, key=lambda finding: ["invalid", "caution", "note"].index(finding.severity)))


def _of_material(one: MaterialStatistics) -> list[Measure]:
    where = f"material {one.material}"
    measures = [
        Measure("laboratories", len(one.cells), where=where),
        Measure("unequal", float(not one.balanced), where=where, flag=True),
        Measure("no_scatter", float(one.repeatability == 0.0), where=where, flag=True),
    ]
    if one.repeatability > 0.0:
        share = one.reproducibility_raw / one.repeatability
        measures.append(Measure("floor_share", share if share < 1.0 - 1e-12 else 1.0, where=where))
    return measures


def _of_cell(cell: CellStatistics, one: MaterialStatistics) -> list[Measure]:
    where = f"laboratory {cell.laboratory}, material {one.material}"
    measures = []
    if cell.h is not None and one.h_critical:
        measures += [
            Measure("h", cell.h, where=where),
            Measure("h_critical", one.h_critical, where=where),
            Measure("h_share", abs(cell.h) / one.h_critical, where=where),
        ]
        if one.grubbs_critical and abs(cell.h) == max(abs(other.h or 0.0) for other in one.cells):
            measures += [
                Measure("grubbs", abs(cell.h), where=where),
                Measure("grubbs_critical", one.grubbs_critical, where=where),
                Measure("grubbs_share", abs(cell.h) / one.grubbs_critical, where=where),
            ]
    if cell.k is not None and cell.k_critical:
        measures += [
            Measure("k", cell.k, where=where),
            Measure("k_critical", cell.k_critical, where=where),
            Measure("k_share", cell.k / cell.k_critical, where=where),
        ]
    if one.cochran is not None and one.cochran_critical and cell.laboratory == one.cochran_laboratory:
        measures += [
            Measure("cochran", one.cochran, where=where),
            Measure("cochran_critical", one.cochran_critical, where=where),
            Measure("cochran_share", one.cochran / one.cochran_critical, where=where),
        ]
    return measures


def _one_sided(materials: Sequence[MaterialStatistics], rules: Sequence[FindingRule]) -> list[Finding]:
    by_laboratory: dict[str, list[float]] = {}
    for one in materials:
        for cell in one.cells:
            if cell.h is not None:
                by_laboratory.setdefault(cell.laboratory, []).append(cell.h)
    found: list[Finding] = []
    for laboratory, scores in by_laboratory.items():
        if min(scores) > 0.0 or max(scores) < 0.0:
            where = f"laboratory {laboratory}"
            measures = [
                Measure("least_h_one_side", min(abs(h) for h in scores), where=where),
                Measure("materials", len(scores), where=where),
            ]
            found += judge_measures(measures, rules)
    return found
