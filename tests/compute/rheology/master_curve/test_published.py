"""Shapes, shifts and fits of master curves against cited cases."""

import tomllib
from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from compute.rheology.master_curve.sweeps import planted_sweeps
from resile.compute.rheology.master_curve.fitting import (
    curve_quality,
    fit_doubt,
    fitted_curve,
    joint_fit,
    smooth_curve,
    starting_values,
    strain_sweeps,
    sweep_rows,
)
from resile.compute.rheology.master_curve.forms import shape_slopes, shapes, shifts
from resile.compute.rheology.master_curve.readings import derived_numbers
from resile.records.models.master_curve import MasterCurve
from resile.records.models.parameter import ModelParameter

FILE = Path(__file__).resolve().parents[3] / "published" / "joint_fit.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]
Inputs = Mapping[str, Any]


def planted(inputs: Inputs) -> MasterCurve:
    rows = planted_sweeps(**inputs["planted"], reference_c=inputs["reference_c"])
    return joint_fit.fit_master_curve(*rows, reference_c=inputs["reference_c"])


def at(inputs: Inputs) -> dict[str, Any]:
    return {name: inputs[name] for name in ("temperature_c", "angular_frequency_rad_s") if name in inputs}


def numbers_of(parameters: tuple[ModelParameter, ...]) -> dict[str, float]:
    return {parameter.name: parameter.value for parameter in parameters}


def two_springs(inputs: Inputs) -> dict[str, Any]:
    found = shapes.olard_di_benedetto_modulus(**inputs)
    return {"storage": found.real, "loss": found.imag}


def slopes(inputs: Inputs) -> dict[str, Any]:
    found = shape_slopes.shape_slopes(**inputs)
    return {"log_modulus": found.log_modulus, "phase": found.phase_deg, "along": found.log_modulus_along}


def shift(inputs: Inputs) -> dict[str, Any]:
    found, by = shifts.shift_slopes(**inputs)
    return {"log_shift": found, "by_c1": by[:, 0]}


def arranged(inputs: Inputs) -> dict[str, Any]:
    rows = sweep_rows.arrange_sweeps(**inputs)
    return {"temperature": rows.temperature_c, "nodes": rows.nodes_c, "repeated": rows.repeated_rows}


def joined(inputs: Inputs) -> dict[str, float]:
    found = smooth_curve.smooth_curve(
        sweep_rows.arrange_sweeps(**inputs["rows"]), reference_c=inputs["reference_c"]
    )
    return {"rms": found.modulus_rms_decades, "cold_shift": found.shift_parameters[0].value}


def misfits(inputs: Inputs) -> dict[str, float]:
    rows = sweep_rows.arrange_sweeps([20.0, 20.0], [1.0, 10.0], [1.0, 2.0], [60.0, 50.0])
    off = np.array(inputs["modulus_off"]), np.array(inputs["phase_off"])
    (found,) = curve_quality.isotherm_misfits(rows, np.zeros(2), *off, labels=("",))
    return {
        "modulus_rms": found.modulus_rms_decades,
        "modulus_worst": found.modulus_worst_decades,
        "phase_rms": found.phase_rms_deg,
    }


def crossover(inputs: Inputs) -> dict[str, float]:
    derived = (ModelParameter("crossover_frequency_rad_s", inputs["crossover"], "rad/s"),)
    found = derived_numbers.crossover_measures(derived, tuple(inputs["reduced_range"]))
    return {measure.name: measure.value for measure in found}


def interval(parameter: ModelParameter) -> dict[str, float | None]:
    return {"lower": parameter.lower, "upper": parameter.upper}


ADAPTERS: dict[str, Callable[[Inputs], Any]] = {
    "olard_di_benedetto_modulus": two_springs,
    "shape_slopes": slopes,
    "shift_slopes": shift,
    "arrange_sweeps": arranged,
    "neighbouring_shifts": lambda i: starting_values.neighbouring_shifts(
        sweep_rows.arrange_sweeps(**i["rows"]), reference_c=i["reference_c"]
    ),
    "smooth_curve": joined,
    "constants_through": lambda i: numbers_of(smooth_curve.constants_through(**i)),
    "with_interval": lambda i: interval(joint_fit.with_interval(**i)),
    "fit_master_curve": lambda i: numbers_of((*planted(i).parameters, *planted(i).shift_parameters)),
    "middle_temperature_c": lambda i: joint_fit.middle_temperature_c(sweep_rows.arrange_sweeps(**i)),
    "derived_numbers": lambda i: numbers_of(planted(i).derived),
    "crossover_measures": crossover,
    "isotherm_misfits": misfits,
    "strain_ratio_at_one_condition": lambda i: strain_sweeps.strain_ratio_at_one_condition(**i).value,
    "curve_measures": lambda i: {m.name: m.value for m in planted(i).measures},
    "curve_log_shift": lambda i: fitted_curve.curve_log_shift(planted(i), **at(i)),
    "curve_modulus_and_phase": lambda i: dict(
        zip(("modulus", "phase"), fitted_curve.curve_modulus_and_phase(planted(i), **at(i)), strict=True)
    ),
    "sweep_of_rows": lambda i: fit_doubt.sweep_of_rows(sweep_rows.arrange_sweeps(**i)),
    "curve_fit_of_correlated_rows": lambda i: planted(i).residual_correlations,
    "outside_measured": lambda i: fitted_curve.outside_measured(planted(i), **at(i)),
}


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['function'].split('.')[-1]}: {c['name']}")
def test_a_cited_number_comes_out_as_printed(case: dict[str, Any]) -> None:
    module, _, name = case["function"].rpartition(".")
    direct = getattr(import_module(module), name)
    found = ADAPTERS[name](case["inputs"]) if name in ADAPTERS else direct(**case["inputs"])
    expected = case["expected"] if isinstance(case["expected"], dict) else {"": case["expected"]}
    for key, number in expected.items():
        got = found[key] if key else found
        np.testing.assert_allclose(
            np.asarray(got, dtype=float),
            number,
            rtol=0,
            atol=case["tolerance"],
            err_msg=f"{case['name']} {key}",
        )
