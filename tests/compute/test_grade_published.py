"""The tests of the whole grade against cited cases; an adapter where a function takes more than numbers."""

import importlib
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.rheology.beam import beam_quality, beam_stiffness, bending_beam
from resile.compute.rheology.master_curve.forms import model_binder
from resile.compute.rheology.models import grade_test_simulation
from resile.compute.rheology.oscillation import linear_range, oscillation, oscillation_quality
from resile.compute.rheology.viscosity import penetration, viscosity_temperature
from resile.compute.statistics.critical import critical_difference, critical_temperature, critical_uncertainty
from resile.compute.statistics.probability import whole_grade
from resile.compute.statistics.uncertainty import draws, propagation, stated_budget
from resile.records.bending_beam import BeamGeometry, BeamRun
from resile.records.finding import Measure
from resile.records.propagation import InputQuantity, SimulatedPropagation
from resile.records.uncertainty import BudgetInput, StatedBudget
from resile.records.viscosity import ViscosityLine

PUBLISHED = Path(__file__).resolve().parents[1] / "published"
TOPICS = (
    "oscillation",
    "bending_beam",
    "viscosity_temperature",
    "critical_temperature",
    "uncertainty_propagation",
    "master_curve",
)
CASES = [
    case
    for topic in TOPICS
    for case in tomllib.loads((PUBLISHED / f"{topic}.toml").read_text(encoding="utf-8"))["case"]
]
Inputs = Mapping[str, Any]
DRAWS = 400_000


def rng() -> np.random.Generator:
    return np.random.default_rng(20_240_601)


def named(measures: tuple[Measure, ...]) -> dict[str, float]:
    return {measure.name: measure.value for measure in measures}


def fitted(inputs: Inputs) -> dict[str, float]:
    fit = beam_stiffness.fit_stiffness(**inputs)
    return {**dict(zip("ABC", fit.coefficients, strict=True)), "r_squared": float(fit.r_squared)}


def beam_numbers(run: BeamRun) -> dict[str, float]:
    return {
        "S60": run.creep_stiffness,
        "m60": run.m_value,
        **dict(zip("ABC", run.coefficients, strict=True)),
    }


def raw_beam(inputs: Inputs) -> dict[str, float]:
    geometry = BeamGeometry(*(inputs[name] for name in ("span_mm", "width_mm", "thickness_mm")))
    columns = (inputs[name] for name in ("time_s", "load_mn", "deflection_mm"))
    return beam_numbers(bending_beam.reduce_beam(*columns, geometry=geometry))


def beams(inputs: Inputs) -> dict[str, float]:
    runs = [BeamRun((), s, m, (0.0, 0.0, 0.0)) for s, m in zip(inputs["S"], inputs["m"], strict=True)]
    found = bending_beam.summarise_beams(runs)
    assert found.creep_stiffness_cv_percent is not None
    return {"S": found.creep_stiffness, "S cv": found.creep_stiffness_cv_percent}


def oscillation_numbers(inputs: Inputs) -> dict[str, Any]:
    run = oscillation.reduce_oscillation(**inputs)
    numbers: dict[str, Any] = {}
    for place, point in enumerate(run.points, start=1):
        numbers[f"rutting {place}"] = point.rutting_parameter
        numbers[f"fatigue {place}"] = point.fatigue_parameter
        numbers[f"storage {place}"] = point.storage_modulus
    return numbers


def working(inputs: Inputs) -> dict[str, float]:
    line = ViscosityLine(inputs["intercept"], inputs["slope"])
    low, high = inputs["range"]
    found = viscosity_temperature.working_temperatures(line, (low, high), purpose="any")
    return {"lowest": found.lowest_c, "middle": found.middle_c, "highest": found.highest_c}


def line_numbers(inputs: Inputs) -> dict[str, float]:
    line = viscosity_temperature.fit_viscosity_line(**inputs)
    return {"A": line.intercept, "VTS": line.slope}


def viscosity_numbers(inputs: Inputs) -> dict[str, float]:
    run = viscosity_temperature.reduce_viscosity(**inputs)
    assert run.line is not None
    return {"A": run.line.intercept, **{row.purpose: row.middle_c for row in run.working_temperatures}}


def index_of(inputs: Inputs) -> Any:
    slope = penetration.penetration_slope(inputs["penetration"], inputs["softening_point_c"])
    return penetration.penetration_index(slope)


def delta(inputs: Inputs) -> float | None:
    temperatures = inputs["temperatures_c"]
    stiffness = critical_temperature.critical_temperature(temperatures, inputs["stiffness"], 300.0)
    slope = critical_temperature.critical_temperature(temperatures, inputs["m"], 0.3, rule="linear")
    return critical_difference.critical_temperature_difference(stiffness, slope).difference_c


Example = tuple[Callable[..., Any], tuple[InputQuantity, ...], Any]
OBSERVED = (  # JCGM 100:2008, H.2: volt, ampere, radian
    (5.007, 4.994, 5.005, 4.990, 4.999),
    (19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3),
    (1.0456, 1.0438, 1.0468, 1.0428, 1.0433),
)


def quantities(distribution: str, *rows: tuple[str, float, float]) -> tuple[InputQuantity, ...]:
    return tuple(InputQuantity(*row, distribution, 3.0) for row in rows)


def end_gauge() -> Example:  # JCGM 100:2008, H.1, in mm and °C
    inputs = (
        InputQuantity("standard", 50.000623, 25e-6, degrees_of_freedom=18.0),
        InputQuantity("difference", 215e-6, 9.7e-6, degrees_of_freedom=25.6),
        InputQuantity("expansion", 11.5e-6, 1.2e-6),
        InputQuantity("temperature", -0.1, 0.41),
        InputQuantity("expansion difference", 0.0, 0.58e-6, degrees_of_freedom=50.0),
        InputQuantity("temperature difference", 0.0, 0.029, degrees_of_freedom=2.0),
    )
    return lambda s, d, a, t, da, dt: s + d - s * (da * t + a * dt), inputs, None


def impedance() -> Example:
    means, standards, correlation = propagation.mean_with_correlation(OBSERVED)
    inputs = quantities("normal", *zip("VIp", means, standards, strict=True))
    return lambda v, i, p: np.stack((v / i * np.cos(p), v / i * np.sin(p), v / i)), inputs, correlation


def mass() -> Example:  # JCGM 101:2008, 9.3, in mg and kg/m3
    root = 3.0**0.5
    inputs = (
        *quantities("normal", ("reference", 1e5, 0.050), ("added", 1.234, 0.020)),
        *quantities(
            "rectangular", ("air", 1.2, 0.1 / root), ("weight", 8e3, 1e3 / root), ("ref", 8e3, 50 / root)
        ),
    )
    return lambda r, d, a, w, s: (r + d) * (1 + (a - 1.2) * (1 / w - 1 / s)) - 1e5, inputs, None


def expansion() -> Example:  # NIST TN 1900, E13
    rows = (("L0", 1.4999, 1e-4), ("L1", 1.5021, 2e-4), ("T0", 288.15, 0.02), ("T1", 373.10, 0.05))
    return lambda a, b, s, t: (b - a) / (a * (t - s)), quantities("student", *rows), None


def of_four(distribution: str) -> Callable[[], Example]:
    rows = tuple((str(place), 0.0, 1.0) for place in range(4))
    return lambda: (lambda *x: sum(x), quantities(distribution, *rows), None)


EXAMPLES: dict[str, Callable[[], Example]] = {
    "end gauge": end_gauge,
    "impedance": impedance,
    "mass": mass,
    "expansion": expansion,
    "four normal": of_four("normal"),
    "four rectangular": of_four("rectangular"),
    "logarithm": lambda: (np.log, quantities("rectangular", ("x", 0.6, 0.5 / 3.0**0.5)), None),
}


def by_the_linear_law(inputs: Inputs) -> dict[str, Any]:
    function, given, correlation = EXAMPLES[inputs["example"]]()
    found = propagation.propagate_linear(function, given, correlation=correlation)
    numbers: dict[str, Any] = {
        "value": found.values[0],
        "standard": found.standards[0],
        "standard nm": 1e6 * found.standards[0],
        "value e5": 1e5 * found.values[0],
        "standard e5": 1e5 * found.standards[0],
        "freedom": found.degrees_of_freedom[0],
    }
    for place, name in enumerate("RXZ"[: len(found.values)]):
        numbers |= {name: found.values[place], f"u {name}": found.standards[place]}
    if len(found.values) == 3:
        (_, rx, rz), (_, _, xz), _ = found.correlation
        numbers |= {"r RX": rx, "r RZ": rz, "r XZ": xz}
    return numbers


def by_drawing(inputs: Inputs) -> dict[str, float]:
    function, given, correlation = EXAMPLES[inputs["example"]]()
    (found,) = propagation.simulate_propagation(
        function,
        given,
        rng=rng(),
        draws=DRAWS,
        correlation=correlation,
        interval=inputs.get("interval", "symmetric"),
    )
    return {
        "value": found.value,
        "standard": found.standard,
        "lower": found.lower,
        "upper": found.upper,
        "value e5": 1e5 * found.value,
        "standard e5": 1e5 * found.standard,
    }


def observed(_: Inputs) -> dict[str, float]:
    means, _standards, r = propagation.mean_with_correlation(OBSERVED)
    return {"V": means[0], "phase": means[2], "r VI": r[0, 1], "r Vp": r[0, 2], "r Ip": r[1, 2]}


def holds(inputs: Inputs) -> float:
    simulated = SimulatedPropagation(0.0, 0.0, inputs["lower"], inputs["upper"], 0.95, "symmetric", 1000, 0.0)
    return float(propagation.linear_method_holds(inputs["value"], inputs["standard"], simulated))


def scores_apart(inputs: Inputs) -> dict[str, float]:
    first, second = draws.correlated_scores(np.array(inputs["correlation"]), rng=rng(), draws=1000)
    return {"largest difference": float(np.abs(first - second).max())}


def drawn(inputs: Inputs) -> dict[str, float]:
    (row,) = draws.draw_inputs([InputQuantity("x", 1.0, 1.0, inputs["distribution"])], rng=rng(), draws=DRAWS)
    logarithms = np.log(row) if np.all(row > 0.0) else np.ones(2)
    return {
        "standard": float(row.std()),
        "largest": float(row.max() - 1.0),
        "median": float(np.median(row)),
        "sd of logarithm": float(logarithms.std()),
    }


def grade_numbers(inputs: Inputs) -> dict[str, Any]:
    found = whole_grade.whole_grade_probability(**inputs)
    return {"probability": found.probability, "lowest": found.lowest, "highest": found.highest}


def all_numbers(inputs: Inputs) -> dict[str, Any]:
    found = whole_grade.probability_of_all(**inputs)
    return {
        "probability": found.probability,
        "lowest": found.lowest,
        "highest": found.highest,
        "independent": found.if_independent,
    }


def doubted(inputs: Inputs) -> dict[str, Any]:
    found = critical_temperature.critical_temperature(
        inputs["temperatures_c"],
        inputs["values"],
        inputs["limit"],
        rule="linear",
        standards=inputs["standards"],
    )
    found = critical_uncertainty.with_uncertainty(
        found, degrees_of_freedom=tuple(inputs["degrees_of_freedom"])
    )
    apart, shared = found.standard_range or (None, None)
    return {
        "standard": found.standard,
        "apart": apart,
        "shared": shared,
        "freedom": found.degrees_of_freedom,
    }


def budgeted(inputs: Inputs) -> dict[str, float]:
    lines = tuple(BudgetInput(**line) for line in inputs["lines"])
    found = stated_budget.combined_budget(StatedBudget(inputs["quantity"], "", "", lines))
    return {"absolute": found.absolute_standard, "relative": found.relative_standard}


def inconsistent(inputs: Inputs) -> dict[str, float]:
    columns = {name: np.array(values) for name, values in inputs["columns"].items()}
    return named(oscillation_quality.oscillation_measures(**{**inputs, "columns": columns}))


# Trade notes, section 4.1: Gg 1 GPa, R 2, crossover 10 rad/s; shift WLF(19, 92) from 0 °C.
BINDER = model_binder.ModelBinder(2.0, 10.0, 0.0, 0.0)


def curve_numbers(inputs: Inputs) -> dict[str, float]:
    modulus, phase = model_binder.modulus_and_phase(BINDER, **inputs)
    return {"modulus": float(modulus), "phase": float(phase)}


def sweep_numbers(inputs: Inputs) -> dict[str, float]:
    record = grade_test_simulation.simulate_oscillation(BINDER, **inputs)
    return {name: float(values[0]) for name, values in record.items()}


def beam_record(inputs: Inputs) -> dict[str, float]:
    geometry = BeamGeometry(*(inputs[name] for name in ("span_mm", "width_mm", "thickness_mm")))
    record = grade_test_simulation.simulate_beam(BINDER, inputs["temperature_c"], geometry=geometry)
    loaded_since = record["time_s"] - grade_test_simulation.BEFORE_LOAD_S
    row = int(np.argmin(np.abs(loaded_since - inputs["at_loading_time_s"])))
    return {
        "deflection": record["deflection_mm"][row],
        "load": record["load_mn"][row],
        "last": record["time_s"][-1],
    }


def viscosity_record(inputs: Inputs) -> dict[str, float]:
    line = ViscosityLine(inputs["intercept"], inputs["slope"])
    record = grade_test_simulation.simulate_viscosity(
        line, inputs["temperature_c"], full_scale_pa_s=inputs["full_scale_pa_s"]
    )
    names = {"viscosity": "rotational_viscosity", "share": "torque_share_percent"}
    return {
        f"{name}_{place}": value
        for name, column in names.items()
        for place, value in enumerate(record[column].tolist(), start=1)
    }


ADAPTERS: dict[str, Callable[[Inputs], Any]] = {
    "fit_stiffness": fitted,
    "reduce_stiffness": lambda i: beam_numbers(bending_beam.reduce_stiffness(**i)),
    "reduce_beam": raw_beam,
    "summarise_beams": beams,
    "fit_measures": lambda i: named(beam_quality.fit_measures(**i)),
    "beam_measures": lambda i: named(beam_quality.beam_measures(**i)),
    "grade_time_gap": lambda i: beam_quality.grade_time_gap(**i).value,
    "reduce_oscillation": oscillation_numbers,
    "oscillation_measures": inconsistent,
    "linearity_measures": lambda i: named(linear_range.linearity_measures(**i)),
    "fit_viscosity_line": line_numbers,
    "working_temperatures": working,
    "reduce_viscosity": viscosity_numbers,
    "penetration_index": index_of,
    "critical_temperature": lambda i: critical_temperature.critical_temperature(**i).temperature_c,
    "critical_temperature_difference": delta,
    "propagate_linear": by_the_linear_law,
    "simulate_propagation": by_drawing,
    "mean_with_correlation": observed,
    "linear_method_holds": holds,
    "correlated_scores": scores_apart,
    "draw_inputs": drawn,
    "all_below_probability": lambda i: whole_grade.all_below_probability(**i, rng=rng())[0],
    "whole_grade_probability": grade_numbers,
    "modulus_and_phase": curve_numbers,
    "bending_stiffness_mpa": lambda i: model_binder.bending_stiffness_mpa(BINDER, **i),
    "simulate_oscillation": sweep_numbers,
    "simulate_beam": beam_record,
    "simulate_viscosity": viscosity_record,
    "probability_of_all": all_numbers,
    "with_uncertainty": doubted,
    "combined_budget": budgeted,
}


def found_in(case: Mapping[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    adapter = ADAPTERS.get(name)
    return (
        adapter(case["inputs"])
        if adapter
        else getattr(importlib.import_module(module), name)(**case["inputs"])
    )


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['function'].split('.')[-1]}: {c['name']}")
def test_a_cited_number_comes_out_as_printed(case: dict[str, Any]) -> None:
    found, expected = found_in(case), case["expected"]
    if isinstance(expected, dict):
        for name, number in expected.items():
            assert found[name] == pytest.approx(number, rel=0, abs=case["tolerance"]), name
    else:
        np.testing.assert_allclose(
            np.asarray(found, dtype=float), expected, rtol=0, atol=case["tolerance"], err_msg=case["name"]
        )
