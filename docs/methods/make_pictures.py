"""Make what the pages of this folder show: the picture of a cycle, and the tables of rules.

Run ``python docs/methods/make_pictures.py`` after a figure or a rule has changed. The tables stand between
marks in the pages; ``tests/docs/test_generated.py`` tells when they are no longer those of the TOML files.
"""

from __future__ import annotations

import re
import sys
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
from resile.compute.rheology.models.simulation import simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.signal import Signal
from resile.specifications.creep_recovery import load_programme

HERE = Path(__file__).resolve().parent
SPECIFICATIONS = HERE.parents[1] / "src" / "resile" / "specifications"
PICTURE = HERE / "pictures" / "cycle.svg"
MODEL = BurgersModel(1.4, 25.0, (KelvinElement(1.5, 0.9),))
"""An invented elastomer-modified binder: enough recovery for both parts of the cycle to be seen."""


def run_with_signal(model: BurgersModel) -> CreepRecoveryRun:
    """Simulate and reduce a record, and keep its signal so that it can be drawn."""
    columns = simulate_creep_recovery(model, load_programme())
    (run,) = reduce_creep_recovery(
        columns["time_s"],
        columns["stress_kpa"],
        columns["strain"],
        temperature_c=64.0,
        programme=load_programme(),
    )
    source = SourceFile("simulated", "0" * 64, 0)
    signal = Signal(
        {name: columns[name] for name in ("time_s", "stress_kpa", "strain")},
        source,
        ReadingAccount("simulated"),
    )
    return replace(run, signal=signal)


def cycle_picture() -> str:
    """Give the picture of one cycle at 3.2 kPa as SVG."""
    from resile.report.figures.creep_recovery_cycle import figure_cycle
    from resile.report.render import render_svg

    return render_svg(figure_cycle(run_with_signal(MODEL), 3.2, 1), prefix="cycle")


def other_pictures() -> dict[str, str]:
    """Give pictures of the other tests, of an invented binder, as SVG by name."""
    from resile.compute.rheology.beam.bending_beam import reduce_stiffness
    from resile.compute.rheology.oscillation.oscillation import reduce_oscillation
    from resile.compute.rheology.viscosity.viscosity_temperature import reduce_viscosity
    from resile.report.figures import figure_beams, figure_oscillation, figure_viscosity
    from resile.report.render import render_svg

    oscillation = reduce_oscillation(
        [58.0, 64.0, 70.0], [3.2, 1.5, 0.8], [83.0, 85.0, 86.0], angular_frequency_rad_s=10.0
    )
    times = (8.0, 15.0, 30.0, 60.0, 120.0, 240.0)
    stiffness = (393.5, 333.6, 274.9, 223.6, 179.7, 142.6)
    beams = [
        reduce_stiffness(times, [share * value for value in stiffness], temperature_c=-12.0)
        for share in (1.0, 0.97)
    ]
    specs = {
        "oscillation": figure_oscillation(
            [oscillation],
            ["specimen 1"],
            parameter="rutting_parameter",
            limits=[(1.0, "at least 1.0 kPa")],
        ),
        "beam": figure_beams(beams, ["specimen 1", "specimen 2"]),
        "viscosity": figure_viscosity(reduce_viscosity([135.0, 165.0], [0.400, 0.110])),
        "prediction": prediction_picture(),
        "amplitude_sweep": amplitude_sweep_picture(),
        **spectrum_pictures(),
        "traffic_pulses": traffic_picture(),
    }
    return {name: render_svg(spec, prefix=name) for name, spec in specs.items()}


def amplitude_sweep_picture() -> dict[str, Any]:
    """Give the chart of an amplitude sweep of an invented damage law."""
    import numpy as np

    from resile.compute.rheology.damage.amplitude_sweep import AmplitudeRows, analyse_amplitude_sweep
    from resile.compute.rheology.damage.damage_simulation import simulate_integrity
    from resile.records.models.amplitude_sweep import ModulusSlope
    from resile.report.figures.models.amplitude_sweep import figure_damage

    time = np.arange(0.0, 165.0)
    whole = simulate_integrity(time, exponent=1.8, loss_coefficient=0.075, loss_exponent=0.48)
    strain = 0.001 + 0.299 * time / 310.0
    modulus = 5200.0 * whole
    rows = AmplitudeRows(time, strain, strain * modulus, modulus, np.full(time.size, 50.0), 10.0, 25.0)
    slope = ModulusSlope(1 / 1.8, 0.0, 0.001, 12, 0.999)
    return figure_damage(analyse_amplitude_sweep(rows, slope))


def spectrum_pictures() -> dict[str, dict[str, Any]]:
    """Give spectrum, relaxation and creep, and Black diagram of an invented binder with invented scatter."""
    import numpy as np

    from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
    from resile.compute.rheology.master_curve.forms.model_binder import ModelBinder, modulus_and_phase
    from resile.report.figures.models.spectrum import (
        figure_glover_rowe,
        figure_relaxation_and_creep,
        figure_spectrum,
    )
    from resile.workflows.modelling.derived import derive_from_curve

    binder = ModelBinder(2.2, 1.0, reference_c=20.0, defining_c=-10.0, c1=18.0, c2=110.0)
    grid = np.meshgrid([0.0, 10.0, 20.0, 30.0, 45.0, 60.0], 10.0 ** np.linspace(-1.0, 2.0, 13), indexing="ij")
    temperature, frequency = (axis.ravel() for axis in grid)
    modulus, phase = modulus_and_phase(binder, temperature, frequency)
    noise = np.random.default_rng(7)
    modulus = modulus * np.exp(0.02 * noise.standard_normal(len(modulus)))
    phase = phase + 0.4 * noise.standard_normal(len(phase))
    curve = fit_master_curve(temperature, frequency, modulus, phase, reference_c=20.0)
    derivation = derive_from_curve(curve)
    assert derivation.spectrum is not None
    return {
        "spectrum": figure_spectrum(derivation.spectrum),
        "relaxation_and_creep": figure_relaxation_and_creep(derivation.responses, reference_c=20.0),
        "glover_rowe": figure_glover_rowe(curve, derivation.readings[0]),
    }


def traffic_picture() -> dict[str, Any]:
    """Give the chart of the invented range on an invented hot road."""
    import tempfile

    from resile import write_demonstration
    from resile.report.figures.models.traffic import figure_traffic
    from resile.workflows.modelling.traffic import TrafficQuestion, compare_under_traffic

    with tempfile.TemporaryDirectory() as folder:
        write_demonstration(Path(folder))
        roads = Path(folder) / "roads"
        report = compare_under_traffic(
            roads / "sites.csv",
            roads / "range.csv",
            site="Red Plain highway",
            question=TrafficQuestion(reference="Quarnsk Plain"),
        )
    return figure_traffic(report.comparison)


def evidence_rows() -> str:
    """Give what was published on compliance and rutting as a table."""
    rows = [
        (one["statement"], one["weakness"], one["source"], one["evidence"])
        for one in read("published_evidence/rutting.toml")["statement"]
    ]
    return table(("statement", "its weakness", "source", "evidence"), rows)


def prediction_picture() -> dict[str, Any]:
    """Give the chart of an invented binder that is carried to another temperature."""
    from resile.records.determination import Condition, Determination
    from resile.report.figures.property_line import figure_property
    from resile.workflows.judging.agreement import agree
    from resile.workflows.predictions.prediction import predict_sample
    from resile.workflows.predictions.shown import curve_of

    tests = [
        Determination("Tank 8", Condition.SHORT_TERM_AGED, at, "jnr_3.2", value, "1/kPa")
        for at, value in ((58.0, 0.42), (64.0, 0.88))
    ]
    sample = predict_sample("Tank 8", tests, agree(), at_c=[70.0])
    (line,) = sample.properties
    return figure_property(line, curve_of(line, sample), sample.temperatures)


def prediction_findings() -> str:
    """Give the findings of a prediction as a table."""
    return findings_table("prediction")


def bound_words(condition: dict[str, Any]) -> str:
    """Give one comparison of a rule as a person writes it."""
    signs = {"above": ">", "below": "<", "unlike": "≠"}
    return " ".join(
        f"`{condition['measure']}` {sign} {condition[key]:g}"
        for key, sign in signs.items()
        if key in condition
    )


def findings_table(name: str = "creep_recovery") -> str:
    """Give the findings of a file of rules as a table."""
    rules = read(f"findings/{name}.toml")["finding"]
    rows = [
        (
            f"`{r['code']}`",
            r["severity"],
            " and ".join(map(bound_words, r["conditions"])),
            r["rule"],
            r["source"],
        )
        for r in rules
    ]
    return table(("code", "severity", "raised when", "rule", "source"), rows)


def across_table() -> str:
    """Give the findings across the tests of a binder as a table, with what they ask for."""
    rows = [
        (
            f"`{r['code']}`",
            " and ".join(map(bound_words, r["conditions"])),
            r["rule"],
            r["source"],
            r["advice"],
        )
        for r in read("findings/across_tests.toml")["finding"]
    ]
    return table(
        ("code", "raised when", "rule", "source", "causes, the likeliest first, and what settles it"), rows
    )


def checks_table() -> str:
    """Give the checks of a summary as a table."""
    checks = read("findings/summary.toml")["check"]
    rows = [
        (
            f"`{c['code']}`",
            c["severity"],
            c["rule"],
            ", ".join(f"`{name}` {value:g}" for name, value in c.get("limits", {}).items()) or "–",
            c["source"],
        )
        for c in checks
    ]
    return table(("code", "severity", "rule", "thresholds", "source"), rows)


def short_term_tolerances() -> str:
    """Give what the shipped methods of the thin film oven ask."""
    return tolerances_table("rtfo_t240", "rtfo_en12607", "rtfo_local")


def long_term_tolerances() -> str:
    """Give what the shipped methods of the pressure vessel ask."""
    return tolerances_table("pav_r28", "pav_d6521", "pav_r28_40h", "pav_local")


def tolerances_table(*names: str) -> str:
    """Give what ageing methods ask, side by side."""
    methods = [read(f"methods/{name}.toml") for name in names]
    asked = [{t["measure"]: t for t in method["tolerance"]} for method in methods]
    measures = dict.fromkeys(measure for method in asked for measure in method)
    rows = [
        (
            f"`{measure}`",
            next(m[measure]["title"] for m in asked if measure in m),
            *(span(m[measure]) if measure in m else "not checked" for m in asked),
        )
        for measure in measures
    ]
    return table(("measure", "what", *(f"`{m['identifier']}`" for m in methods)), rows)


def span(tolerance: dict[str, Any]) -> str:
    """Give the ends of a tolerance, its unit and its severity."""
    low, high = tolerance.get("lowest"), tolerance.get("highest")
    if low is not None and high is not None:
        ends = f"{low:g} to {high:g}"
    else:
        ends = f"at least {low:g}" if low is not None else f"at most {high:g}"
    return f"{ends} {tolerance['unit']}".strip() + f" ({tolerance['severity']})"


def table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """Give a table in Markdown."""
    lines = [heads, ("---",) * len(heads), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)


def read(name: str) -> dict[str, Any]:
    """Read one of the shipped TOML files."""
    return tomllib.loads((SPECIFICATIONS / name).read_text(encoding="utf-8"))


def planted_events() -> str:
    """Give what was planted in the invented year, when it was found and what theory promised."""
    tests = str(HERE.parents[1] / "tests")
    if tests not in sys.path:
        sys.path.append(tests)
    from planted_production import find_event
    from resile.workflows.demonstration.production import produce, read_year

    rows = []
    lots = produce()
    for event in read_year().events:
        found = find_event(lots, event)
        size = f"{event.moves[event.watched]:+g} sd".replace("-", "−")
        rows.append(
            (
                event.name,
                f"{event.watched}, {size}{' at its end' if event.drift else ''}",
                event.chart,
                found.planted_day,
                found.found_day or "not found",
                str(found.place),
                f"{found.promised:.1f}",
                f"{found.high:.0f}",
                "; ".join(found.suggested) or "none",
                "" if found.change is None else f"{100 * (found.change.step_probability or 0.0):.0f} %",
            )
        )
    heads = ("planted", "watched", "chart", "begins", "found", "after results", "promised on average")
    return table((*heads, "95 % within", "suggested", "step?"), rows)


TABLES = {
    "planted_year.md": {"events": planted_events},
    "creep_recovery.md": {"findings": findings_table},
    "summary_checks.md": {"checks": checks_table},
    "short_term_ageing.md": {"tolerances": short_term_tolerances},
    "long_term_ageing.md": {"tolerances": long_term_tolerances},
    "across_tests.md": {"findings": across_table},
    "temperature_dependence.md": {"findings": prediction_findings},
    "traffic_pulses.md": {"findings": lambda: findings_table("traffic_pulses"), "evidence": evidence_rows},
    "amplitude_sweep.md": {"findings": lambda: findings_table("amplitude_sweep")},
    "spectra_and_conversion.md": {"findings": lambda: findings_table("curve_readings")},
}


def with_tables(page: Path) -> str:
    """Give the text of a page with its tables made anew."""
    text = page.read_text(encoding="utf-8")
    for name, make in TABLES[page.name].items():
        begin, end = f"<!-- {name}: made by make_pictures.py -->", f"<!-- end of {name} -->"
        pattern = re.compile(f"({re.escape(begin)}\n).*?({re.escape(end)})", re.DOTALL)
        if not pattern.search(text):
            raise SystemExit(f"{page.name}: the marks of the table '{name}' are missing")
        content = make()
        text = pattern.sub(lambda found, content=content: f"{found[1]}\n{content}\n\n{found[2]}", text)
    return text


def main() -> None:
    """Write picture and tables."""
    PICTURE.write_text(cycle_picture(), encoding="utf-8")
    for name, drawn in other_pictures().items():
        (PICTURE.parent / f"{name}.svg").write_text(drawn, encoding="utf-8")
    for name in TABLES:
        page = HERE / name
        page.write_text(with_tables(page), encoding="utf-8")


if __name__ == "__main__":
    main()
