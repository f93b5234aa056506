"""The open sweeps fit with residuals at the published level.

Trade notes, oscillation and beam, sections 1.3 and 4.3 [derived].
The figures were derived there by other means; expected digits stand as printed.
"""

import numpy as np
import pytest

from compute.rheology.master_curve.sweeps import aged_sweep, recovered_sweep
from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
from resile.compute.rheology.master_curve.fitting.smooth_curve import smooth_curve
from resile.compute.rheology.master_curve.fitting.sweep_rows import arrange_sweeps
from resile.compute.rheology.oscillation.oscillation_quality import sweep_slope_misfits_deg
from resile.records.models.parameter import ModelParameter

LANES = (1, 3, 4, 7, 10)
# Table 4.3: shifts at 10, 22, 34, 46, 58, 70, 82 °C; log wc, R, C1, C2 at 22 °C; rms in log G*, in °.
SHIFTS = {
    3: (4.25, 2.64, 1.22, 0.0, -0.98, -1.83, -2.56),
    4: (4.17, 2.62, 1.25, 0.0, -0.92, -1.72, -2.41),
    7: (4.11, 2.55, 1.17, 0.0, -0.95, -1.76, -2.46),
    10: (4.21, 2.62, 1.22, 0.0, -0.96, -1.78, -2.47),
}
JOINT = {
    3: (1.4092, 1.9657, 17.739, 144.53, 0.036, 3.29),
    4: (1.0364, 2.4047, 13.306, 100.90, 0.043, 3.27),
    7: (1.6343, 1.9255, 16.579, 138.50, 0.031, 2.94),
    10: (1.8488, 1.8005, 16.787, 136.46, 0.040, 3.37),
}


def values(parameters: tuple[ModelParameter, ...]) -> list[float]:
    return [parameter.value for parameter in parameters]


def test_free_shifts_under_a_polynomial_leave_what_is_published() -> None:
    # 'rms 0.0039 to 0.0054 decades, worst point 0.014 to 0.018; C1 11.5 to 13.2, C2 134 to 145 °C'.
    found = [smooth_curve(arrange_sweeps(*recovered_sweep(lane)), reference_c=46.0) for lane in LANES]
    rms = [one.modulus_rms_decades for one in found]
    worst = [one.modulus_worst_decades for one in found]
    assert (min(rms), max(rms)) == (pytest.approx(0.0039, abs=5e-5), pytest.approx(0.0054, abs=5e-5))
    assert (min(worst), max(worst)) == (pytest.approx(0.014, abs=5e-4), pytest.approx(0.018, abs=5e-4))
    c1, c2 = zip(*(values(one.wlf_parameters) for one in found), strict=True)
    assert (min(c1), max(c1)) == (pytest.approx(11.5, abs=0.05), pytest.approx(13.2, abs=0.05))
    assert (min(c2), max(c2)) == (pytest.approx(134.0, abs=0.5), pytest.approx(145.0, abs=0.5))
    for lane, shifts in SHIFTS.items():
        ours = values(found[LANES.index(lane)].shift_parameters)
        assert ours == pytest.approx(shifts, abs=0.0051), lane


@pytest.mark.parametrize("lane", JOINT)
def test_joint_fits_give_the_printed_digits(lane: int) -> None:
    log_wc, index, c1, c2, rms, rms_deg = JOINT[lane]
    curve = fit_master_curve(*recovered_sweep(lane), reference_c=22.0)
    assert curve.value_of("log_crossover_frequency") == pytest.approx(log_wc, abs=5.1e-5)
    assert curve.value_of("rheological_index") == pytest.approx(index, abs=5.1e-5)
    # C1 of lane 7 is 16.5785 at the least sum and printed as 16.579: one in the last digit is allowed.
    assert curve.value_of("c1") == pytest.approx(c1, abs=1e-3)
    assert curve.value_of("c2") == pytest.approx(c2, abs=5.1e-3)
    assert curve.modulus_rms_decades == pytest.approx(rms, abs=5.1e-4)
    assert curve.phase_rms_deg == pytest.approx(rms_deg, abs=5.1e-3)


@pytest.mark.parametrize("lane", LANES)
def test_2s2p1d_with_free_shifts_comes_near_what_no_shape_could_better(lane: int) -> None:
    # No printed figure for this shape: it is held to at most twice the published rms of a free polynomial.
    curve = fit_master_curve(*recovered_sweep(lane), shape="2S2P1D", shift="free", reference_c=22.0)
    assert curve.modulus_rms_decades < 2.0 * 0.0054
    assert curve.phase_rms_deg < 1.6


def test_the_logged_temperature_betters_the_fresh_binder_as_published() -> None:
    # 'the master curve of the fresh binder improves from 0.041 to 0.025 decades rms'; WLF, polynomial.
    temperature, frequency, modulus, phase = aged_sweep("fresh")
    rows = arrange_sweeps(temperature, frequency, modulus, phase)
    logged = smooth_curve(rows, shift="WLF", reference_c=20.0)
    blocks = np.cumsum(np.concatenate(([0], np.diff(frequency) > 0.0)))
    means = np.array([temperature[blocks == block].mean() for block in blocks])
    set_point = np.round(means / 5.0) * 5.0
    by_block = smooth_curve(
        arrange_sweeps(set_point, frequency, modulus, phase), shift="WLF", reference_c=20.0
    )
    assert by_block.modulus_rms_decades == pytest.approx(0.041, abs=5e-4)
    assert logged.modulus_rms_decades == pytest.approx(0.025, abs=5e-4)


def test_a_block_that_stands_twice_is_counted_once() -> None:
    # Notes, 1.3: '21 duplicates, 272 distinct of 293'; all of them in one state.
    curves = {state: fit_master_curve(*aged_sweep(state), reference_c=20.0) for state in AGES}
    assert sum(curve.repeated_rows for curve in curves.values()) == 21
    assert sum(len(curve.points) for curve in curves.values()) == 272


AGES = ("fresh", "short-term aged", "long-term aged")


def test_ageing_lowers_the_crossover_frequency_and_raises_the_index() -> None:
    # Notes, 4.3: 'expect wc to fall and R to rise with ageing'.
    curves = [fit_master_curve(*aged_sweep(state), reference_c=20.0) for state in AGES]
    frequency = [curve.value_of("crossover_frequency_rad_s") for curve in curves]
    index = [curve.value_of("rheological_index") for curve in curves]
    assert frequency == sorted(frequency, reverse=True)
    assert index == sorted(index)


def test_the_slope_rule_holds_in_every_recovered_sweep() -> None:
    # Notes, 1.3: over 65 sweeps the mean is -0.34 to +0.67° and the scatter at most about 1.0°: so
    # with two points left out at either end, one more than `sweep_slope_misfits_deg` drops.
    means, scatters = [], []
    for lane in LANES:
        for replicate in (1, 2, 3):
            temperature, *rest = recovered_sweep(lane, replicate)
            for at in np.unique(temperature):
                here = temperature == at
                off = sweep_slope_misfits_deg(*(column[here] for column in rest))[1:-1]
                means.append(float(off.mean()))
                scatters.append(float(off.std()))
    assert len(means) == 65
    assert (min(means), max(means)) == (pytest.approx(-0.34, abs=5e-3), pytest.approx(0.67, abs=5e-3))
    assert max(scatters) == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("lane", [3, 10])
def test_intervals_reach_as_far_as_fits_without_one_isotherm_say(lane: int) -> None:
    """The jackknife over isotherms (Tukey 1958, from memory, high) knows nothing of rows and correlations."""
    columns = recovered_sweep(lane)
    curve = fit_master_curve(*columns, reference_c=22.0)
    isotherms = [one.temperature_c for one in curve.isotherms]
    without = [
        values((*one.parameters[1:], *one.shift_parameters))
        for one in (
            fit_master_curve(*(column[np.abs(columns[0] - at) > 1.5] for column in columns), reference_c=22.0)
            for at in isotherms
        )
    ]
    away = np.array(without) - np.mean(without, axis=0)
    standard = np.sqrt((len(isotherms) - 1) / len(isotherms) * np.sum(away**2, axis=0))
    ours = np.array(curve.fit.standards)
    assert ((ours / standard > 0.5) & (ours / standard < 2.0)).all()
