"""Test support: model binders and samplings for hypothesis, in the range real binders span.

Jnr from about 0.05 (highly modified) to 6 1/kPa (too soft for any class), recovery from 0 to about 90 %.
"""

from __future__ import annotations

from hypothesis import strategies as st

from resile.compute.rheology.models.simulation import Sampling
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.records.creep_recovery import CreepRecoveryProgramme

# AASHTO R 92 section 4.2 [read]; windows of extrapolation from memory of TP 70-09, section 8.
PROGRAMME = CreepRecoveryProgramme("R 92", 1.0, 9.0, (0.1, 3.2), 10, 10.0, 0.05, 0.30)


@st.composite
def models(draw: st.DrawFn) -> BurgersModel:
    """One level's model: a dashpot, a spring, and up to two elements whose strain comes and goes late."""
    jnr = draw(st.floats(min_value=0.05, max_value=6.0))
    late = draw(st.lists(st.tuples(st.floats(0.01, 4.0), st.floats(0.1, 6.0)), max_size=2))
    return BurgersModel(
        maxwell_dashpot_kpa_s=1 / jnr,
        maxwell_spring_kpa=1 / (jnr * draw(st.floats(min_value=0.001, max_value=0.2))),
        kelvin_elements=tuple(KelvinElement(1 / (jnr * share), time / (jnr * share)) for share, time in late),
    )


@st.composite
def binders(draw: st.DrawFn) -> dict[float, BurgersModel]:
    """A binder whose compliance at 3.2 kPa is 0.9 to 2 times that at 0.1 kPa."""
    low = draw(models())
    factor = draw(st.floats(min_value=0.9, max_value=2.0))
    high = BurgersModel(
        maxwell_dashpot_kpa_s=low.maxwell_dashpot_kpa_s / factor,
        maxwell_spring_kpa=low.maxwell_spring_kpa,
        kelvin_elements=low.kelvin_elements,
    )
    return {0.1: low, 3.2: high}


def samplings() -> st.SearchStrategy[Sampling]:
    """Every 0.1 s; finer and irregular; or without rows at the ends of steps."""
    return st.one_of(
        st.builds(Sampling, recovery_interval_s=st.sampled_from([0.1, 0.2, 0.3])),
        st.builds(
            Sampling,
            creep_interval_s=st.sampled_from([0.02, 0.05]),
            recovery_interval_s=st.sampled_from([0.05, 0.1]),
            irregularity=st.floats(min_value=0.1, max_value=0.9),
        ),
        st.builds(Sampling, lead_s=st.floats(min_value=0.005, max_value=0.04)),
    )
