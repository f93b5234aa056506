"""The reduction against records whose answer is known before any code runs.

Constructed cases of ``simulation.model_cycles``; the model itself is checked against its exact tables in
``test_published.py``. Here the record is bent the ways instruments bend it, and the answer must not move.
"""

from dataclasses import replace

import numpy as np
import pytest

from resile.compute.rheology.creep.creep_indices import (
    compliance_slope_percent,
    difference_percent,
    minimum_recovery_percent,
)
from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
from resile.compute.rheology.models.simulation import Imperfections, Sampling, simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement, newtonian
from resile.errors import MeasurementError
from resile.records.creep_recovery import CreepRecoveryProgramme

PROGRAMME = CreepRecoveryProgramme("T 350", 1.0, 9.0, (0.1, 3.2), 10, 10.0, 0.05, 0.30)
# Constructed: Maxwell dashpot 0.5 kPa.s and one retarded element; Jnr is near 2 and the recovery near 10 %.
BINDER = BurgersModel(0.5, 50.0, (KelvinElement(2.0, 4.0),))


def record(binder=BINDER, conditioning=10, sampling=None, generator=None, **faults):
    columns = simulate_creep_recovery(
        binder,
        PROGRAMME,
        conditioning_cycles=conditioning,
        sampling=sampling or Sampling(),
        imperfections=Imperfections(**faults),
        generator=generator,
    )
    return columns["time_s"], columns["stress_kpa"], columns["strain"]


def reduce(time, stress, strain, **more):
    return reduce_creep_recovery(time, stress, strain, programme=PROGRAMME, **more)


def numbers(run):
    return [(level.stress_kpa, level.jnr, level.percent_recovery) for level in run.levels]


def assert_same(run, reference, tolerance=1e-9):
    for (stress, jnr, recovery), (stress_0, jnr_0, recovery_0) in zip(
        numbers(run), numbers(reference), strict=True
    ):
        assert stress == stress_0
        assert jnr == pytest.approx(jnr_0, rel=tolerance)
        assert recovery == pytest.approx(recovery_0, rel=tolerance, abs=100 * tolerance)


def measure(run, name):
    return next(m.value for m in run.measures if m.name == name)


def test_a_newtonian_liquid_has_the_compliance_of_its_viscosity_and_no_recovery() -> None:
    # Constructed: 1 s of creep at stress s leaves s/0.25, so Jnr = 4 1/kPa at every stress (definition).
    (run,) = reduce(*record(newtonian(0.25)))
    four, nothing = pytest.approx(4.0), pytest.approx(0.0, abs=1e-9)
    assert numbers(run) == [(0.1, four, nothing), (3.2, four, nothing)]
    assert run.jnr_difference_percent == pytest.approx(0.0, abs=1e-9)
    assert run.recovery_difference_percent == 0.0
    assert run.jnr_slope_percent == pytest.approx(0.0, abs=1e-9)


def test_an_elastic_solid_comes_back_whole() -> None:
    time, stress, _ = record()
    (run,) = reduce(time, stress, stress / 5.0)
    for level in run.levels:
        assert level.percent_recovery == pytest.approx(100.0)
        assert level.jnr == pytest.approx(0.0, abs=1e-12)


def test_twice_the_strain_is_twice_the_compliance_and_the_same_recovery() -> None:
    time, stress, strain = record()
    (once,), (twice,) = reduce(time, stress, strain), reduce(time, stress, 2.0 * strain)
    for single, double in zip(numbers(once), numbers(twice), strict=True):
        assert double[1] == pytest.approx(2.0 * single[1], rel=1e-12)
        assert double[2] == pytest.approx(single[2], rel=1e-12)


def test_the_clock_of_the_record_may_start_anywhere() -> None:
    time, stress, strain = record()
    (reference,) = reduce(time, stress, strain)
    for offset in (612.37, 0.04, -3.0):
        (run,) = reduce(time + offset, stress, strain)
        assert_same(run, reference)


def test_a_row_at_the_switch_may_carry_the_old_or_the_new_stress() -> None:
    time, stress, strain = record()
    (reference,) = reduce(time, stress, strain)
    shifted = (np.append(0.0, time), np.append(stress, 0.0), np.append(0.0, strain))
    for offset in (0.0, 33.33):
        (run,) = reduce(shifted[0] + offset, *shifted[1:])
        assert_same(run, reference)


def test_a_strain_that_restarts_in_each_cycle_gives_the_same_numbers() -> None:
    time, stress, strain = record()
    (reference,) = reduce(time, stress, strain)
    cycle = np.floor((time - 1e-6) / 10.0).astype(int)
    ends = np.append(0.0, strain[99::100])
    (run,) = reduce(time, stress, strain - ends[cycle])
    assert_same(run, reference)
    assert measure(run, "strain_restarts") == 1.0
    assert measure(reference, "strain_restarts") == 0.0


def test_pauses_between_cycles_do_not_move_the_result() -> None:
    time, stress, strain = record()
    (reference,) = reduce(time, stress, strain)
    (run,) = reduce(time + 3.7 * np.floor((time - 1e-6) / 10.0), stress, strain)
    assert_same(run, reference)


@pytest.mark.parametrize(
    ("sampling", "tolerance"),
    [
        (Sampling(0.01, 0.05), 1e-9),
        (Sampling(0.1, 0.1, start_rows=True), 1e-9),
        (Sampling(0.2, 0.45), 1e-9),
        (Sampling(0.05, 0.2, irregularity=0.5), 1e-9),
        # No row at the ends: 0.03 s are bridged along the last two rows; the curve bends less than 0.2 %.
        (Sampling(0.1, 0.1, lead_s=0.03), 2e-3),
    ],
    ids=["fine", "rows at the start", "coarse", "irregular", "ends missing"],
)
def test_the_sampling_does_not_move_the_result(sampling: Sampling, tolerance: float) -> None:
    (reference,) = reduce(*record())
    (run,) = reduce(*record(sampling=sampling, generator=np.random.default_rng(7)))
    assert_same(run, reference, tolerance)


def test_a_missing_end_of_creep_is_measured() -> None:
    time, stress, strain = record()
    keep = ~np.isclose(np.mod(time, 10.0), 1.0)
    (run,) = reduce(time[keep], stress[keep], strain[keep])
    assert measure(run, "creep_gap_s") == pytest.approx(0.1)


def test_conditioning_cycles_are_counted_and_left_out() -> None:
    (thirty,) = reduce(*record(conditioning=10))
    (twenty,) = reduce(*record(conditioning=0))
    assert (len(thirty.conditioning), len(twenty.conditioning)) == (10, 0)
    assert [cycle.number for cycle in thirty.levels[0].cycles] == list(range(11, 21))
    assert [cycle.number for cycle in thirty.levels[1].cycles] == list(range(1, 11))
    assert [cycle.number for cycle in twenty.levels[0].cycles] == list(range(1, 11))


def test_two_specimens_in_one_record_are_two_runs() -> None:
    time, stress, strain = record()
    runs = reduce(
        np.append(time, time + 300.0), np.tile(stress, 2), np.append(strain, 1.5 * strain + strain[-1])
    )
    assert len(runs) == 2
    assert runs[1].levels[1].jnr == pytest.approx(1.5 * runs[0].levels[1].jnr, rel=1e-9)


def test_a_spike_and_a_drop_out_of_the_stress_change_no_cycle() -> None:
    time, stress, strain = record()
    (reference,) = reduce(time, stress, strain)
    stress = stress.copy()
    stress[555], stress[1503] = 0.5, 0.0
    (run,) = reduce(time, stress, strain)
    assert_same(run, reference)


def test_a_cut_record_tells_how_many_cycles_it_still_has() -> None:
    time, stress, strain = (column[:2742] for column in record())
    (run,) = reduce(time, stress, strain)
    assert len(run.levels[1].cycles) == 7
    assert measure(run, "incomplete_cycles") == 1.0


def test_a_specimen_that_fails_shows_a_rising_compliance() -> None:
    (sound,) = reduce(*record())
    (failing,) = reduce(*record(failing_percent_per_cycle=5.0))
    assert abs(measure(sound, "jnr_rise_percent")) < 0.1
    assert measure(failing, "jnr_rise_percent") > 30.0  # 5 % a cycle over nine steps is more than 40 % in all


def test_a_jump_of_the_strain_makes_a_push_stand_out() -> None:
    (run,) = reduce(*record(jump_cycle=25, jump_strain=1.0))
    odd = next(m for m in run.measures if m.name == "odd_cycle_percent")
    assert odd.where == "3.2 kPa, cycle 5"
    assert odd.value == pytest.approx(100.0 / 7.09, rel=0.05)  # 1.0 on a push of about 7.1


def test_a_late_stress_is_measured() -> None:
    fine = Sampling(0.01, 0.1)
    (run,) = reduce(*record(sampling=fine, stress_rise_s=0.08))
    assert measure(run, "late_stress_s") == pytest.approx(0.04, abs=0.02)
    (prompt,) = reduce(*record(sampling=fine))
    assert measure(prompt, "late_stress_s") == 0.0


def test_a_stress_far_from_nominal_keeps_its_own_name() -> None:
    time, stress, strain = record()
    (run,) = reduce(time, 1.5 * stress, strain)
    assert [level.stress_kpa for level in run.levels] == [pytest.approx(0.15), pytest.approx(4.8)]
    assert measure(run, "stress_not_nominal_ratio") == pytest.approx(1.5)


def test_a_thousandfold_stress_is_still_found() -> None:
    time, stress, strain = record()
    (run,) = reduce(time, 1000.0 * stress, strain)
    assert measure(run, "stress_not_nominal_ratio") == pytest.approx(1000.0)


def test_the_temperature_is_measured_against_the_nearest_whole_degree() -> None:
    time, stress, strain = record()
    (run,) = reduce(time, stress, strain, temperature_c=np.linspace(64.0, 64.4, len(time)))
    assert measure(run, "temperature_deviation_c") == pytest.approx(0.4, abs=1e-3)
    assert measure(run, "temperature_drift_c") == pytest.approx(0.4, abs=1e-2)
    (given,) = reduce(time, stress, strain, temperature_c=58.0)
    assert given.temperature_c == 58.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda t, s, e: (t, 0.0 * s, e), "never above zero"),
        (lambda t, s, e: (t, s, 0.0 * e), "does not change"),
        (lambda t, s, e: (t[:3], s[:3], e[:3]), "3 points"),
        (lambda t, s, e: (t, s, e[:-1]), "one length"),
        (lambda t, s, e: (t, s, np.where(e > 1, np.nan, e)), "strain column holds"),
        (lambda t, s, e: (0.01 * t, s, e), "recovery lasts 0.09 s"),
        (lambda t, s, e: (0.4 * t, s, e), "needs 9 s"),
        (lambda t, s, e: (t, np.where(np.arange(len(t)) == 500, 1.0, 0.0), e), "no push of about 1 s"),
    ],
)
def test_what_is_no_record_is_refused_with_a_reason(change, words: str) -> None:
    with pytest.raises(MeasurementError, match=words):
        reduce(*change(*record()))


def test_the_elastic_curve_has_its_step_at_a_tenth_and_ends_at_two() -> None:
    # DNIT 423/2020-ME (second-hand): 29.371 Jnr^-0.2633, 55 % below 0.1, nothing above 2.0.
    below, at, end, beyond = minimum_recovery_percent([0.0999, 0.1, 2.0, 2.0001])
    assert below == 55.0
    assert at == pytest.approx(53.85, abs=0.005)
    assert end == pytest.approx(24.47, abs=0.005)
    assert np.isnan(beyond)
    with pytest.raises(MeasurementError):
        minimum_recovery_percent(-0.1)


def test_differences_follow_their_definitions() -> None:
    # Constructed: 0.2 to 0.3 is a rise of half, and 0.1 over 3.1 kPa.
    assert float(difference_percent(0.2, 0.3)) == pytest.approx(50.0)
    assert np.isnan(difference_percent(0.0, 0.3))
    assert float(compliance_slope_percent(0.2, 0.3)) == pytest.approx(100.0 * 0.1 / 3.1)


def test_other_programmes_use_their_own_times() -> None:
    programme = replace(PROGRAMME, creep_time_s=2.0, recovery_time_s=8.0)
    columns = simulate_creep_recovery(newtonian(0.25), programme)
    (run,) = reduce_creep_recovery(
        columns["time_s"], columns["stress_kpa"], columns["strain"], programme=programme
    )
    assert run.levels[1].jnr == pytest.approx(8.0)  # twice the creep time leaves twice the strain


# Constructed: Kelvin elements of 100 kPa and a stiff dashpot leave little behind, far less than the offset.
ELASTIC = BurgersModel(200.0, 500.0, (KelvinElement(30.0, 6.0), KelvinElement(15.0, 40.0)))


@pytest.mark.parametrize("offset", [0.37, -0.1, 5.0])
@pytest.mark.parametrize("binder", [BINDER, ELASTIC])
@pytest.mark.parametrize("start_rows", [True, False])
def test_a_strain_not_zeroed_before_the_test_is_not_taken_for_one_that_restarts(
    offset: float, binder: BurgersModel, start_rows: bool
) -> None:
    time, stress, strain = record(binder, sampling=Sampling(start_rows=start_rows))
    (reference,) = reduce(*record(binder))
    (run,) = reduce(time, stress, strain + offset)
    assert measure(run, "strain_restarts") == 0.0
    # The first cycle has no row at its start in one of the two samplings; it is left out of the means.
    assert_same(run, reference, tolerance=1e-8)


@pytest.mark.parametrize("binder", [BINDER, ELASTIC])
def test_a_strain_set_back_in_each_cycle_is_still_known_as_such(binder: BurgersModel) -> None:
    time, stress, strain = record(binder)
    (reference,) = reduce(time, stress, strain)
    (run,) = reduce(time, stress, with_restarts(time, strain))
    assert measure(run, "strain_restarts") == 1.0
    assert_same(run, reference)


def with_restarts(time: np.ndarray, strain: np.ndarray) -> np.ndarray:
    """Set the strain back to zero at the start of each cycle of 10 s."""
    cycle = np.ceil(np.round(time / 10.0, 6))
    left = {number: strain[cycle < number][-1] if number > 1 else 0.0 for number in np.unique(cycle)}
    return strain - np.array([left[number] for number in cycle])


# Constructed: a spring of 2 kPa gives most of the strain at once, so that the first row of a push is high.
SPRINGY = BurgersModel(20.0, 2.0, (KelvinElement(15.0, 40.0),))


@pytest.mark.parametrize("creep_interval", [0.002, 0.05, 0.5, 1.0])
@pytest.mark.parametrize("recovery_interval", [0.1, 1.0, 9.0])
@pytest.mark.parametrize("kind", ["running on", "not zeroed", "far from zero", "restarting"])
@pytest.mark.parametrize("binder", [BINDER, ELASTIC, SPRINGY])
def test_sampling_and_origin_of_the_strain_move_no_number(
    creep_interval: float, recovery_interval: float, kind: str, binder: BurgersModel
) -> None:
    time, stress, strain = record(binder, sampling=Sampling(creep_interval, recovery_interval))
    (reference,) = reduce(*record(binder))
    offset = {"not zeroed": 0.2, "far from zero": -5.0}.get(kind, 0.0)
    shown = with_restarts(time, strain) if kind == "restarting" else strain + offset
    (run,) = reduce(time, stress, shown)
    assert measure(run, "strain_restarts") == float(kind == "restarting")
    assert_same(run, reference, tolerance=1e-6)


def test_a_late_first_row_is_not_taken_for_a_strain_that_was_not_zeroed() -> None:
    # Constructed: the first cycle's first row stands at 0.1 s, the others have rows at 0.02 s and 0.1 s.
    time, stress, strain = record(SPRINGY, conditioning=0, sampling=Sampling(0.02, 0.1))
    (reference,) = reduce(time, stress, strain)
    kept = (time > 0.1 - 1e-6) | (time > 10.0)
    (run,) = reduce(time[kept], stress[kept], strain[kept])
    assert_same(run, reference)


def test_a_record_that_begins_at_the_high_stress_keeps_its_compliance() -> None:
    # Constructed: the 3.2 kPa part of a whole record, which carries the strain of the 20 cycles before it.
    time, stress, strain = record()
    (whole,) = reduce(time, stress, strain)
    part = time > 200.0 + 1e-6
    (run,) = reduce(time[part] - 200.0, stress[part], strain[part])
    assert run.levels[0].jnr == pytest.approx(whole.levels[1].jnr, rel=2e-3)
    assert run.levels[0].percent_recovery == pytest.approx(whole.levels[1].percent_recovery, abs=0.05)
    assert measure(run, "strain_offset_percent") > 5.0


@pytest.mark.parametrize("clock", [-0.1, 35_880.337, 0.05])
def test_a_clock_that_starts_with_the_first_row_moves_no_number(clock: float) -> None:
    # Constructed: the first row stands 0.1 s after the start, whatever the clock shows there.
    time, stress, strain = record(sampling=Sampling(start_rows=False))
    (reference,) = reduce(time, stress, strain)
    (run,) = reduce(time + clock, stress, strain)
    assert_same(run, reference, tolerance=1e-6)


def test_a_level_of_a_quarter_of_the_lowest_nominal_stress_is_found() -> None:
    # Constructed: a linear binder has one compliance at every stress; 0.025 to 25.6 kPa in doublings.
    levels = tuple(0.025 * 2.0**step for step in range(11))
    columns = simulate_creep_recovery(
        BINDER, replace(PROGRAMME, stresses_kpa=levels), conditioning_cycles=0, sampling=Sampling()
    )
    (run,) = reduce(columns["time_s"], columns["stress_kpa"], columns["strain"])
    assert [level.stress_kpa for level in run.levels] == pytest.approx(levels)
    assert [level.jnr for level in run.levels[1:]] == pytest.approx([run.levels[1].jnr] * 10, rel=1e-3)


def test_noise_below_the_lowest_stress_makes_no_level() -> None:
    time, stress, strain = record()
    generator = np.random.default_rng(5)
    noisy = stress + 0.008 * generator.standard_normal(len(stress))  # 8 Pa, far above any real balance
    (run,) = reduce(time, noisy, strain)
    assert [level.stress_kpa for level in run.levels] == [0.1, 3.2]
    assert len(run.conditioning) == 10
