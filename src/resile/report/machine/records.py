"""The fixed JSON interface: plain dictionaries in full precision, ``None`` where unknown.

The keys are a promise to other programs: new keys may be added after the promised ones, none is renamed or
removed.
"""

from __future__ import annotations

from typing import Any

from resile.records.creep_recovery import CreepRecoveryRun, Cycle, StressLevel
from resile.records.derived import DerivedNumber
from resile.records.determination import Determination, Result
from resile.records.finding import Finding
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.specification import Requirement, Specification
from resile.records.verdict import GradeStatement
from resile.report.machine.grade import verdict_to_json, whole_grade_to_json
from resile.report.machine.price import price_to_json

Json = dict[str, Any]


def finding_to_json(finding: Finding) -> Json:
    """Give a finding as a dictionary."""
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
        "rule": finding.rule,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "source": finding.source,
        "advice": finding.advice,
    }


def source_to_json(source: SourceFile | None) -> Json | None:
    """Give a file with its hash; None where there is none."""
    return None if source is None else {"path": source.path, "sha256": source.sha256}


def _cycle(cycle: Cycle) -> Json:
    return {
        "number": cycle.number,
        "initial_strain": cycle.initial_strain,
        "creep_strain": cycle.creep_strain,
        "recovered_strain": cycle.recovered_strain,
        "percent_recovery": cycle.percent_recovery,
        "jnr": cycle.jnr,
    }


def _level(level: StressLevel) -> Json:
    return {
        "stress_kpa": level.stress_kpa,
        "percent_recovery": level.percent_recovery,
        "jnr": level.jnr,
        "cycles": [_cycle(cycle) for cycle in level.cycles],
        "measured_stress_kpa": level.measured_stress_kpa,
        "percent_recovery_sd": level.percent_recovery_sd,
        "jnr_sd": level.jnr_sd,
        "jnr_trend_percent": level.jnr_trend_percent,
        "recovery_trend": level.recovery_trend,
    }


def account_to_json(account: ReadingAccount | None) -> Json | None:
    """Give how a file was read as a dictionary; None where nothing was read."""
    if account is None:
        return None
    return {
        "form": account.form,
        "encoding": account.encoding,
        "separator": account.separator,
        "decimal_mark": account.decimal_mark,
        "sheet": account.sheet,
        "heading_rows": list(account.heading_rows),
        "first_data_row": account.first_data_row,
        "columns": [
            {
                "position": column.position,
                "heading": column.heading,
                "quantity": column.quantity,
                "unit_found": column.unit_found,
                "factor": column.factor,
                "unit_taken": column.unit_taken,
            }
            for column in account.columns
        ],
        "rows_kept": account.rows_kept,
        "rows_converted": account.rows_converted,
        "rows_refused": account.rows_refused_count,
        "remarks": list(account.remarks),
    }


def run_to_json(run: CreepRecoveryRun) -> Json:
    """Give a run as the fixed interface names it.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.

    Returns
    -------
    dict
        Strains as ratios, Jnr in 1/kPa, full precision.
    """
    return {
        "source": source_to_json(run.source),
        "method": run.method,
        "temperature_c": run.temperature_c,
        "conditioning_cycles": len(run.conditioning),
        "levels": [_level(level) for level in run.levels],
        "jnr_difference_percent": run.jnr_difference_percent,
        "recovery_difference_percent": run.recovery_difference_percent,
        "jnr_slope_percent": run.jnr_slope_percent,
        "findings": [finding_to_json(finding) for finding in run.findings],
        "elastic_response_minimum_percent": run.elastic_response_minimum_percent,
        "label": run.label,
        "sample": run.sample,
        "account": account_to_json(run.account),
    }


def _determination(determination: Determination, counted: bool) -> Json:
    return {
        "value": determination.value,
        "text": determination.text,
        "replicate": determination.replicate,
        "counted": counted,
        "raw": determination.raw,
        "source": source_to_json(determination.source),
        "place": determination.place,
        "laboratory": determination.laboratory or None,
    }


def _result(result: Result) -> Json:
    uncertainty = result.uncertainty
    counted = result.counted or (True,) * len(result.determinations)
    return {
        "quantity": result.quantity,
        "condition": str(result.condition),
        "temperature_c": result.temperature_c,
        "value": result.value,
        "unit": result.unit,
        "spread": result.spread,
        "repeatability": result.repeatability,
        "reproducibility": result.reproducibility,
        "precision_note": result.precision_note,
        "uncertainty": None
        if uncertainty is None
        else {
            "standard": uncertainty.standard,
            "basis": uncertainty.basis,
            "distribution": uncertainty.distribution,
            "note": uncertainty.note,
            "degrees_of_freedom": uncertainty.degrees_of_freedom,
            "common_standard": uncertainty.common_standard,
            "coverage_factor": uncertainty.coverage_factor,
            "expanded": uncertainty.expanded,
        },
        "determinations": [
            _determination(one, counts) for one, counts in zip(result.determinations, counted, strict=True)
        ],
        "findings": [finding_to_json(finding) for finding in result.findings],
    }


def derived_to_json(number: DerivedNumber) -> Json:
    """Give a number that follows from results, with its rule and source."""
    return {
        "name": number.name,
        "condition": str(number.condition),
        "lowest": number.lowest,
        "highest": number.highest,
        "unit": number.unit,
        "rule": number.rule,
        "source": number.source,
    }


def statement_to_json(statement: GradeStatement) -> Json:
    """Give a grade statement as the fixed interface names it.

    Parameters
    ----------
    statement : GradeStatement
        What can be said of one sample.

    Returns
    -------
    dict
        One verdict a requirement and class; `grades` holds the labels of the satisfied classes.
    """
    specification = statement.specification
    return {
        "sample": statement.sample,
        "specification": {
            "identifier": specification.identifier,
            "edition": specification.edition,
            "sha256": specification.sha256,
        },
        "decision_rule": statement.decision_rule.name,
        "verdicts": [
            {"class": service.label, **verdict_to_json(verdict)}
            for service in statement.classes
            for verdict in service.verdicts
        ],
        "grades": list(statement.grades),
        "classes": [
            {
                "label": service.label,
                "satisfied": service.satisfied,
                "complete": service.complete,
                "limiting": service.limiting or None,
                "not_tested": [verdict.requirement.name for verdict in service.not_tested],
            }
            for service in statement.classes
        ],
        "results": [_result(result) for result in statement.results],
        "findings": [finding_to_json(finding) for finding in statement.findings],
        "next_tests": list(statement.next_tests),
        "reported_class": statement.reported_class or None,
        "retest_rule": statement.retest_rule.name,
        "derived": [derived_to_json(number) for number in statement.derived],
        **whole_grade_to_json(statement),
        "price_views": [price_to_json(view) for view in statement.price_views],
    }


def _requirement(requirement: Requirement) -> Json:
    return {
        "name": requirement.name,
        "title": requirement.title,
        "clause": requirement.clause,
        "condition": str(requirement.condition),
        "quantity": requirement.quantity,
        "bound": requirement.bound,
        "unit": requirement.unit,
        "limits": dict(requirement.limits),
        "temperature": requirement.temperature,
        "decides_class": requirement.decides_class,
        "evidence": requirement.evidence,
        "note": requirement.note,
    }


def specification_to_json(specification: Specification) -> Json:
    """Give a specification as a dictionary: identity, classes, requirements with clause and evidence."""
    return {
        "identifier": specification.identifier,
        "title": specification.title,
        "document": specification.document,
        "edition": specification.edition,
        "transcribed": specification.transcribed,
        "checked": specification.checked or None,
        "sha256": specification.sha256,
        "high_temperatures_c": list(specification.high_temperatures_c),
        "rounding": specification.rounding,
        "classes": [
            {"name": one.name, "title": one.title, "rank": one.rank} for one in specification.classes
        ],
        "requirements": [_requirement(requirement) for requirement in specification.requirements],
        "notes": list(specification.notes),
    }
