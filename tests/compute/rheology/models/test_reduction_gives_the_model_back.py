"""The law of the reduction: what a model binder was made of comes back out of its record."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from binders import PROGRAMME, binders, samplings
from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
from resile.compute.rheology.models.simulation import (
    Imperfections,
    Sampling,
    model_cycles,
    simulate_creep_recovery,
)
from resile.compute.rheology.models.viscoelastic_models import Binder
from resile.records.creep_recovery import CreepRecoveryRun


def reduce(record: dict[str, np.ndarray]) -> CreepRecoveryRun:
    (run,) = reduce_creep_recovery(
        record["time_s"],
        record["stress_kpa"],
        record["strain"],
        temperature_c=record["temperature_c"],
        programme=PROGRAMME,
    )
    return run


def carried_error(binder: Binder, sampling: Sampling, conditioning: int) -> np.ndarray:
    """Largest error of a strain that is carried on in a line over the lead, for every cycle.

    Creep curves are concave: the line through the last two points overshoots by at most its own rise over
    the lead. In recovery the same holds downwards; the start of the next cycle may be taken at the last row.
    """
    if sampling.lead_s == 0:
        return np.zeros(1)
    record = simulate_creep_recovery(binder, PROGRAMME, conditioning_cycles=conditioning, sampling=sampling)
    strain = record["strain"].reshape(-1, 100)  # every 0.1 s
    creep_rise = (strain[:, 9] - strain[:, 8]) / 0.1 * sampling.lead_s
    recovery_fall = (strain[:, 98] - strain[:, 99]) / 0.1 * sampling.lead_s
    return creep_rise + 2 * np.maximum(recovery_fall, np.r_[0.0, recovery_fall[:-1]])


@settings(max_examples=60, deadline=None)
@given(binders(), samplings(), st.sampled_from([0, 10]), st.booleans(), st.randoms(use_true_random=False))
def test_a_sound_record_gives_its_model_back(binder, sampling, conditioning, start_rows, random) -> None:
    if start_rows:
        sampling = Sampling(sampling.creep_interval_s, sampling.recovery_interval_s, start_rows=True)
    record = simulate_creep_recovery(
        binder,
        PROGRAMME,
        conditioning_cycles=conditioning,
        sampling=sampling,
        generator=np.random.default_rng(random.getrandbits(64)),
    )
    truth = model_cycles(binder, PROGRAMME, conditioning_cycles=conditioning)
    run = reduce(record)
    error = carried_error(binder, sampling, conditioning)
    assert len(run.conditioning) == conditioning
    for level in run.levels:
        of_level = (truth["stress_kpa"] == level.stress_kpa) & (
            truth["cycle_number"] > (conditioning if level.stress_kpa == 0.1 else 0)
        )
        worst = float(np.broadcast_to(error, len(of_level))[of_level].max())
        creep = (truth["creep_strain"] - truth["initial_strain"])[of_level].min()
        assert abs(level.jnr - truth["jnr"][of_level].mean()) <= worst / level.stress_kpa + 1e-9
        # R = 100 (1 - e10/e1): an error in each of the three strains of at most `worst` in all.
        allowed = 200 * worst / creep + 1e-7
        assert abs(level.percent_recovery - truth["percent_recovery"][of_level].mean()) <= allowed


@settings(max_examples=25, deadline=None)
@given(binders(), st.integers(min_value=0, max_value=2**32))
def test_small_noise_moves_the_results_by_no_more_than_noise_can(binder, seed) -> None:
    noise = 2e-5
    record = simulate_creep_recovery(
        binder,
        PROGRAMME,
        imperfections=Imperfections(strain_noise=noise, stress_noise_percent=0.2, temperature_noise_c=0.01),
        generator=np.random.default_rng(seed),
    )
    truth = model_cycles(binder, PROGRAMME)
    for level, chosen in zip(reduce(record).levels, (slice(10, 20), slice(20, 30)), strict=True):
        # Jnr of ten cycles in a row telescopes to (last - first strain)/(10 stresses): two noises, taken at
        # six standard deviations.
        allowed = 6 * np.sqrt(2) * noise / 10 / level.stress_kpa + 1e-9
        assert abs(level.jnr - truth["jnr"][chosen].mean()) <= allowed


@settings(max_examples=25, deadline=None)
@given(binders(), st.floats(min_value=0.1, max_value=20.0))
def test_results_do_not_change_when_strain_and_compliance_are_scaled_together(binder, factor) -> None:
    record = simulate_creep_recovery(binder, PROGRAMME)
    plain = reduce(record)
    scaled = reduce({**record, "strain": factor * record["strain"]})
    for one, other in zip(plain.levels, scaled.levels, strict=True):
        np.testing.assert_allclose(other.jnr, factor * one.jnr, rtol=1e-9)
        np.testing.assert_allclose(other.percent_recovery, one.percent_recovery, rtol=1e-9, atol=1e-9)
