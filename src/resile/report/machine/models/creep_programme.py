"""The answer of a creep model to a programme, for machines."""

from __future__ import annotations

from typing import Any

from resile.records.models.step_programme import ProgrammeAnswer
from resile.report.machine.creep_model import creep_model_to_json
from resile.report.machine.records import finding_to_json


def programme_to_json(answer: ProgrammeAnswer) -> dict[str, Any]:
    """Give an answer at full precision.

    Parameters
    ----------
    answer : ProgrammeAnswer
        The answer.

    Returns
    -------
    dict
        Steps with the strain at their ends, strain over time, shift, model, findings.
    """
    ends, shift = answer.ends, answer.shift
    source = answer.programme.source
    return {
        "standing": "answer of a model, not a measurement",
        "steps_source": {"path": source.path, "sha256": source.sha256} if source else None,
        "shift": {
            "kind": str(shift.kind),
            "words": shift.words,
            "tested_low_c": shift.tested_low_c,
            "tested_high_c": shift.tested_high_c,
        },
        "steps": [
            {
                "duration_s": step.duration_s,
                "stress_kpa": step.stress_kpa,
                "temperature_c": answer.fit.model.temperature_c
                if step.temperature_c is None
                else step.temperature_c,
                "log_shift": shift.log_shifts[place],
                "strain": ends.strain[place],
                "flow_strain": ends.flow_strain[place],
                "strain_lower": ends.strain_lower[place],
                "strain_upper": ends.strain_upper[place],
                "flow_strain_lower": ends.flow_strain_lower[place],
                "flow_strain_upper": ends.flow_strain_upper[place],
            }
            for place, step in enumerate(answer.programme.steps)
        ],
        "time_s": list(answer.response.time_s),
        "strain": list(answer.response.strain),
        "flow_strain": list(answer.response.flow_strain),
        "strain_lower": list(answer.response.strain_lower),
        "strain_upper": list(answer.response.strain_upper),
        "flow_strain_lower": list(answer.response.flow_strain_lower),
        "flow_strain_upper": list(answer.response.flow_strain_upper),
        "outside_stresses_kpa": list(answer.response.outside_stresses_kpa),
        "model": creep_model_to_json(answer.fit),
        "findings": [finding_to_json(finding) for finding in answer.findings],
    }
