"""JCGM 106:2012, 9.5.4: ball bearings whose run-out is known beforehand, and the risks of both sides."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from resile.compute.statistics.probability.conformity import conformity_probability

LIMIT, STANDARD = 2.0, 0.25  # µm
PRIOR = gamma(4.0, scale=1.0 / 4.0)  # mean 1 µm, standard deviation 0.5 µm


def accepted(run_out: float, acceptance: float) -> float:
    """Probability that a bearing of this run-out measures no more than the acceptance limit."""
    return float(np.squeeze(conformity_probability(run_out, acceptance, STANDARD, bound="maximum")))


def false_accept(acceptance: float) -> float:
    return quad(lambda x: PRIOR.pdf(x) * accepted(x, acceptance), LIMIT, 8.0)[0]


def false_reject(acceptance: float) -> float:
    return quad(lambda x: PRIOR.pdf(x) * (1.0 - accepted(x, acceptance)), 0.0, LIMIT)[0]


def test_shares_out_of_specification_and_falsely_accepted_are_those_of_the_example() -> None:
    # Published [second-hand]: 4.2 % and 0.8 %; in full 0.04238 and 0.00802.
    assert PRIOR.sf(LIMIT) == pytest.approx(0.04238, abs=5e-6)
    assert false_accept(LIMIT) == pytest.approx(0.00802, abs=5e-6)


def test_the_guard_band_of_the_example_brings_the_risk_to_one_in_a_thousand() -> None:
    # Published [second-hand]: guard band 0.33 µm, acceptance limit 1.67183 µm.
    assert false_accept(1.67183) == pytest.approx(0.001, abs=5e-6)


def test_the_producer_pays_for_the_guard_band() -> None:
    # Trade notes [derived]: 1.74 % at 2 µm, 7.55 % at the acceptance limit (1.672 µm).
    assert false_reject(LIMIT) == pytest.approx(0.0174, abs=5e-5)
    assert false_reject(1.67183) == pytest.approx(0.0755, abs=5e-5)
