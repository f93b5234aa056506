"""Where to aim: the mean at which a share of loads conforms, passes its test, or both.

Everything is on the watched scale. `load_outcomes` gives the four fates of a load for a mean;
`target_mean` turns it round. Costs are in `margin_cost`.
"""

from __future__ import annotations

import math

from resile.compute.statistics.capability.bivariate import bivariate_normal_below
from resile.errors import InputError
from resile.records.control.target import LoadOutcomes

AIMS = ("conforms", "passes", "both")
"""What a share of loads is to do: truly conform, pass the test, or both."""
_FARTHEST = 12.0  # standard deviations within which a target is sought
_BOUNDS = {"at_most": 1.0, "at_least": -1.0}


def load_outcomes(
    mean: float,
    *,
    limit: float,
    limit_is: str,
    plant_deviation: float,
    test_standard: float,
    guard_factor: float = 0.0,
) -> LoadOutcomes:
    """Give what becomes of loads of a plant with a mean.

    Parameters
    ----------
    mean : float
        True mean of the loads, on the watched scale.
    limit : float
        Limit on the same scale.
    limit_is : str
        ``at_most`` or ``at_least``.
    plant_deviation : float
        Standard deviation of the true values from load to load; zero or more.
    test_standard : float
        Standard uncertainty of the result that decides; zero or more.
    guard_factor : float
        Width of the guard band in standard uncertainties; negative where the buyer must prove failure.

    Returns
    -------
    LoadOutcomes
        Shares of loads that conform, pass, do both, and the two ways of going wrong.

    Raises
    ------
    InputError
        Where a number is not finite or negative, both scatters are zero, or `limit_is` is not known.

    Notes
    -----
    True value ``X ~ N(m, p²)``, result ``Y = X + e``, ``e ~ N(0, u²)`` independent; accepted where ``Y <= L
    - g u`` for a limit not to be exceeded. Joint probabilities by the bivariate normal with correlation
    ``p/sqrt(p² + u²)``. Producer's risk: conforms and fails; customer's risk: does not conform and passes;
    each is given as a share of all loads and as a share of those it concerns.

    References
    ----------
    JCGM 106:2012, section 9 (global risks), from memory (high).

    Examples
    --------
    >>> found = load_outcomes(1.0, limit=1.0, limit_is="at_most", plant_deviation=0.1, test_standard=0.1)
    >>> found.conforms, found.passes, round(found.both, 3)
    (0.5, 0.5, 0.375)
    """
    h, k, correlation = _scores(mean, limit, limit_is, plant_deviation, test_standard, guard_factor)
    conforms, passes = _below(h), _below(k)
    both = float(bivariate_normal_below(h, k, correlation))
    wrongly_failed = max(conforms - both, 0.0)
    # of the tail itself, or rounding would hide the risks that matter
    wrongly_passed = max(float(bivariate_normal_below(-h, k, -correlation)), 0.0)
    return LoadOutcomes(
        mean=mean,
        conforms=conforms,
        passes=passes,
        both=both,
        wrongly_failed=wrongly_failed,
        wrongly_passed=wrongly_passed,
        producers_risk=wrongly_failed / conforms if conforms > 0.0 else 0.0,
        customers_risk=wrongly_passed / passes if passes > 0.0 else 0.0,
    )


def target_mean(
    share: float,
    *,
    limit: float,
    limit_is: str,
    plant_deviation: float,
    test_standard: float,
    guard_factor: float = 0.0,
    aim: str = "both",
) -> float:
    """Give the mean to aim at so that a share of loads does what is wanted.

    Parameters
    ----------
    share : float
        Of the loads, above 0 and below 1.
    limit, limit_is, plant_deviation, test_standard, guard_factor
        See `load_outcomes`.
    aim : str
        ``conforms``, ``passes`` or ``both``.

    Returns
    -------
    float
        Mean on the watched scale; the nearest to the limit that does it.

    Raises
    ------
    InputError
        See `load_outcomes`; where the share is none or the aim not known.

    Notes
    -----
    ``L - z(share) p`` for true conformity and ``L - g u - z(share) sqrt(p² + u²)`` for passing, with signs
    turned for a minimum; both together by root finding between the outer of the two and beyond. Every share
    rises as the mean moves to the good side, so that the root is one.

    References
    ----------
    Definition of the normal distribution; JCGM 106:2012, section 9, from memory (high).

    Examples
    --------
    >>> round(target_mean(0.95, limit=1.0, limit_is="at_most", plant_deviation=0.1, test_standard=0.0), 4)
    0.8355
    """
    from scipy.optimize import brentq
    from scipy.special import ndtri

    if not 0.0 < share < 1.0 or aim not in AIMS:
        raise InputError(
            f"target: share {share:g} and aim '{aim}' found; a share between 0 and 1 and one of "
            f"{', '.join(AIMS)} are needed"
        )
    _scores(limit, limit, limit_is, plant_deviation, test_standard, guard_factor)  # refuses what is unusable
    sign, z = _BOUNDS[limit_is], float(ndtri(share))
    result_deviation = math.hypot(plant_deviation, test_standard)
    conforming = limit - sign * z * plant_deviation
    passing = limit - sign * (guard_factor * test_standard + z * result_deviation)
    if aim != "both":
        return conforming if aim == "conforms" else passing
    nearest = min(sign * conforming, sign * passing) * sign

    def excess(margin: float) -> float:
        mean = nearest - sign * margin
        h, k, correlation = _scores(mean, limit, limit_is, plant_deviation, test_standard, guard_factor)
        return float(bivariate_normal_below(h, k, correlation)) - share

    if excess(0.0) >= 0.0:
        return nearest
    return nearest - sign * float(brentq(excess, 0.0, _FARTHEST * result_deviation, xtol=1e-13))


def _scores(
    mean: float, limit: float, limit_is: str, plant: float, test: float, guard: float
) -> tuple[float, float, float]:
    """Give the bounds of truth and of result in standard deviations, and their correlation."""
    if limit_is not in _BOUNDS:
        raise InputError(f"limit: '{limit_is}' found; at_most or at_least is needed")
    numbers = (mean, limit, plant, test, guard)
    if not all(math.isfinite(one) for one in numbers) or min(plant, test) < 0.0 or plant + test <= 0.0:
        raise InputError(
            f"target: scatter of the plant {plant:g} and of the test {test:g} found; finite numbers of at "
            "least 0 are needed, one of them above 0"
        )
    sign, wide = _BOUNDS[limit_is], math.hypot(plant, test)
    to_limit = sign * (limit - mean)
    h = _score(to_limit, plant)
    k = _score(to_limit - guard * test, wide)
    return h, k, plant / wide


def _score(distance: float, deviation: float) -> float:
    """Give a score that is finite: without scatter all loads lie on one side."""
    far = 40.0
    if deviation <= 0.0:
        return far if distance >= 0.0 else -far
    return max(-far, min(far, distance / deviation))


def _below(score: float) -> float:
    from scipy.special import ndtr

    return float(ndtr(score))
