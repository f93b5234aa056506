"""Simulate, write in any layout, read, reduce: the truth comes back."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st

from binders import PROGRAMME, binders, samplings
from drawn_layouts import text_layouts, workbook_layouts
from layouts import GAP_MM, PLATE_DIAMETER_MM, Layout, prepare, printed_error, write_layout
from resile.compute.rheology.models.simulation import (
    Imperfections,
    Sampling,
    model_cycles,
    simulate_creep_recovery,
)
from resile.compute.rheology.models.viscoelastic_models import Binder, BurgersModel, KelvinElement
from resile.records.creep_recovery import CreepRecoveryRun
from resile.workflows.reducing.reduction import reduce_record

NOISE = 1e-5
BINDER = {
    0.1: BurgersModel(1.4, 25.0, (KelvinElement(1.5, 0.9),)),
    3.2: BurgersModel(1.0, 30.0, (KelvinElement(1.8, 1.1),)),
}
noises = st.sampled_from([0.0, NOISE])
seeds = st.integers(min_value=0, max_value=2**32)


def printed_strain_error(record: dict[str, np.ndarray], layout: Layout) -> float:
    """Largest rounding error of the strain as read: half a last digit, through the plate for an angle."""
    columns = prepare(record, layout, np.random.default_rng(0))
    if "angle_rad" in columns:
        return printed_error("angle_rad", columns["angle_rad"], layout) * PLATE_DIAMETER_MM / 2 / GAP_MM
    return printed_error("strain", columns["strain"], layout)


def carried_error(binder: Binder, sampling: Sampling) -> float:
    """Largest error of a strain carried on over the lead: its last rise, for creep is concave."""
    if sampling.lead_s == 0:
        return 0.0
    strain = simulate_creep_recovery(binder, PROGRAMME, sampling=sampling)["strain"].reshape(-1, 100)
    creep_rise = np.max((strain[:, 9] - strain[:, 8]) / 0.1 * sampling.lead_s)
    recovery_fall = np.max((strain[:, 98] - strain[:, 99]) / 0.1 * sampling.lead_s)
    return float(creep_rise + 2 * max(recovery_fall, 0.0))


def assert_truth(
    run: CreepRecoveryRun, binder: Binder, sampling: Sampling, *, rounding: float, noise: float
) -> None:
    truth = model_cycles(binder, PROGRAMME)
    assert len(run.conditioning) == 10
    assert [level.stress_kpa for level in run.levels] == [0.1, 3.2]
    for level, chosen in zip(run.levels, (slice(10, 20), slice(20, 30)), strict=True):
        # Three strains make a cycle. Each is off by the rounding of the print, by what is carried on where
        # the end of a step has no row, and by noise (six standard deviations of a mean of ten differences).
        worst = 2.5 * rounding + carried_error(binder, sampling) + 6 * math.sqrt(2 / 10) * noise + 1e-10
        creep = (truth["creep_strain"] - truth["initial_strain"])[chosen].min()
        assert level.jnr == pytest.approx(truth["jnr"][chosen].mean(), abs=worst / level.stress_kpa)
        recovery = truth["percent_recovery"][chosen].mean()
        assert level.percent_recovery == pytest.approx(recovery, abs=250 * worst / creep)


def round_trip(
    folder: Path, binder: Binder, layout: Layout, sampling: Sampling, seed: int, noise: float
) -> None:
    if layout.time_restarts or layout.strain_restarts:
        # Without a row at the end of a step nobody can tell where a restarting time or strain went on.
        sampling = Sampling(sampling.creep_interval_s, sampling.recovery_interval_s, sampling.irregularity)
    generator = np.random.default_rng(seed)
    record = simulate_creep_recovery(
        binder,
        PROGRAMME,
        sampling=sampling,
        imperfections=Imperfections(strain_noise=noise, stress_noise_percent=100 * noise),
        generator=generator,
    )
    path = folder / ("record.xlsx" if layout.workbook else "record.txt")
    write_layout(path, record, layout, generator=generator)
    note(f"sampling {sampling}")
    reduction = reduce_record(path)
    (run,) = reduction.runs
    assert_truth(run, binder, sampling, rounding=printed_strain_error(record, layout), noise=noise)
    if "temperature_c" in layout.columns:
        assert run.temperature_c == pytest.approx(64.0, abs=1e-6)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    binder=binders(),
    layout=text_layouts(),
    sampling=samplings(),
    seed=seeds,
    noise=noises,
)
def test_the_truth_comes_back_from_separated_text(tmp_path, binder, layout, sampling, seed, noise) -> None:
    round_trip(tmp_path, binder, layout, sampling, seed, noise)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(binder=binders(), layout=workbook_layouts(), seed=seeds)
def test_the_truth_comes_back_from_a_workbook(tmp_path, binder, layout, seed) -> None:
    round_trip(tmp_path, binder, layout, Sampling(0.1, 0.3), seed, 0.0)


@pytest.mark.parametrize(
    "layout",
    [
        Layout(arrangement="stacked"),
        Layout(arrangement="side by side", separator=";", decimal_mark=","),
        Layout(workbook=True, arrangement="side by side", group_row=True),
        Layout(workbook=True, arrangement="sheets", unit_style="row"),
    ],
    ids=lambda layout: f"{'workbook' if layout.workbook else 'text'}, {layout.arrangement}",
)
def test_two_runs_at_two_temperatures_in_one_file_are_two_runs(tmp_path: Path, layout: Layout) -> None:
    softer = {level: BurgersModel(model.maxwell_dashpot_kpa_s / 2) for level, model in BINDER.items()}
    sampling = Sampling(0.1, 0.3)
    records = [
        simulate_creep_recovery(binder, PROGRAMME, sampling=sampling, temperature_c=temperature)
        for binder, temperature in ((BINDER, 58.0), (softer, 64.0))
    ]
    path = write_layout(tmp_path / f"two.{'xlsx' if layout.workbook else 'csv'}", records, layout)
    runs = reduce_record(path).runs
    assert [run.temperature_c for run in runs] == [pytest.approx(58.0), pytest.approx(64.0)]
    for run, binder in zip(runs, (BINDER, softer), strict=True):
        assert_truth(run, binder, sampling, rounding=printed_strain_error(records[0], layout), noise=0.0)


def test_rows_at_the_start_of_each_step_do_no_harm(tmp_path: Path) -> None:
    sampling = Sampling(0.1, 0.1, start_rows=True)
    record = simulate_creep_recovery(BINDER, PROGRAMME, sampling=sampling)
    (run,) = reduce_record(write_layout(tmp_path / "record.csv", record, Layout())).runs
    assert_truth(run, BINDER, sampling, rounding=5e-8, noise=0.0)
