"""What follows from a master curve, for machines."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from resile.records.models.curve_reading import CurveDerivation
from resile.report.machine.records import finding_to_json


def derivation_to_json(derivation: CurveDerivation) -> dict[str, Any]:
    """Give readings, beams, spectrum, relaxation and creep at full precision.

    Parameters
    ----------
    derivation : CurveDerivation
        What follows from one curve.

    Returns
    -------
    dict
        Names as in the glossary; None where a number is not known.
    """
    content = asdict(replace(derivation, measures=(), findings=()))
    for row in (*content["readings"], *content["beams"]):
        row["standing"] = str(row["standing"])
    content["measures"] = {measure.name: measure.value for measure in derivation.measures}
    content["findings"] = [finding_to_json(finding) for finding in derivation.findings]
    return content
