"""A fitted creep model for machines."""

from __future__ import annotations

import math
from typing import Any

from resile.records.models.creep_model import CreepModelFit
from resile.report.machine.records import finding_to_json


def creep_model_to_json(fit: CreepModelFit) -> dict[str, Any]:
    """Give a fit at full precision; None where a number is not known.

    Parameters
    ----------
    fit : CreepModelFit
        The fit.

    Returns
    -------
    dict
        Model, parameters with intervals, residuals, parts of Jnr, findings.
    """
    source, model, least = fit.source, fit.model, fit.fit
    return {
        "source": {"path": source.path, "sha256": source.sha256} if source else None,
        "label": fit.label,
        "kind": str(model.kind),
        "temperature_c": model.temperature_c,
        "probability": fit.probability,
        "parameters": [
            {
                "name": one.name,
                "stress_kpa": one.stress_kpa,
                "element": one.element,
                "value": _known(one.value),
                "lower": _known(one.lower),
                "upper": _known(one.upper),
                "unit": one.unit,
                "at_bound": one.at_bound,
            }
            for one in fit.parameters
        ],
        "splits": [
            {name: _known(getattr(one, name)) for name in one.__dataclass_fields__} for one in fit.splits
        ],
        "residual_percents": list(fit.residual_percents),
        "residual_correlations": list(fit.residual_correlations),
        "information": _known(fit.information),
        "tried": [{"elements": count, "information": _known(value)} for count, value in fit.tried],
        "starts": least.starts,
        "agreeing": least.agreeing,
        "converged": least.converged,
        "degrees_of_freedom": least.degrees_of_freedom,
        "findings": [finding_to_json(finding) for finding in fit.findings],
    }


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
