"""How many points a chart with rules runs, on average, before it signals.

`rule_run_length` is exact, by a Markov chain, for rules about distances from the centre line;
`simulated_run_length` draws charts, for rules that compare neighbours too.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from resile.compute.statistics.control.run_rules import rule_holds
from resile.errors import MeasurementError
from resile.records.control.run_rule import RunRule

_MOST_STATES = 60_000
_STRETCH = 400

State = tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedRunLength:
    """A run length from drawn charts.

    Attributes
    ----------
    mean : float
        Points to the first signal, on average.
    standard_error : float
        Of that mean.
    """

    mean: float
    standard_error: float


def rule_run_length(rules: Sequence[RunRule], *, shift: float = 0.0) -> float:
    """Give the average number of points until one of the rules holds, for independent normal values.

    Parameters
    ----------
    rules : sequence of RunRule
        Of the kinds ``beyond``, ``within`` and ``outside``, all on together.
    shift : float
        How far the mean lies from the centre line, in standard deviations.

    Returns
    -------
    float
        Average run length, counted from a chart that begins.

    Raises
    ------
    MeasurementError
        Without a rule, with a rule that compares neighbours, or with too many states (60 000).

    Notes
    -----
    The lines of the rules cut the normal distribution into regions. A state holds, for each rule and side,
    which of the last m - 1 points were beyond its line (m - 1 marks; where all points of a run must comply,
    their number alone), and the run length follows from the chain of states before the first signal:
    ``(I - Q) L = 1``.

    References
    ----------
    Champ and Woodall, Technometrics 29 (1987), 393-399, from memory (high).

    Examples
    --------
    >>> rule = RunRule(name="a", kind="beyond", count=1, of=1, distance=3.0, sentence="")
    >>> round(rule_run_length([rule]), 1)
    370.4
    """
    from scipy.sparse import csr_matrix, identity
    from scipy.sparse.linalg import spsolve

    if not rules:
        raise MeasurementError("run length: no rule is on, so no signal ever comes")
    parts = [part for rule in rules for part in _parts(rule)]
    regions, chances = _regions(rules, shift)
    marks = [tuple(part.holds(middle) for part in parts) for middle in regions]
    start: State = (0,) * len(parts)
    number, queue = {start: 0}, [start]
    row, column, chance = [], [], []
    while queue:
        state = queue.pop()
        for marked, probability in zip(marks, chances, strict=True):
            after = _step(parts, state, marked)
            if after is None:
                continue
            if after not in number:
                number[after] = len(number)
                queue.append(after)
                if len(number) > _MOST_STATES:
                    raise MeasurementError("run length: these rules make too many states; simulate instead")
            row.append(number[state])
            column.append(number[after])
            chance.append(probability)
    size = len(number)
    chain = csr_matrix((chance, (row, column)), shape=(size, size))
    lengths = spsolve((identity(size) - chain).tocsc(), np.ones(size))
    return float(np.atleast_1d(lengths)[0])


def simulated_run_length(
    rules: Sequence[RunRule], *, seed: int, shift: float = 0.0, charts: int = 4000
) -> SimulatedRunLength:
    """Give the average number of points until one of the rules holds, from drawn charts.

    Parameters
    ----------
    rules : sequence of RunRule
        Of any kind, all on together.
    seed : int
        Start of the draws: the same seed gives the same answer.
    shift : float
        How far the mean lies from the centre line, in standard deviations.
    charts : int
        Charts that are drawn.

    Returns
    -------
    SimulatedRunLength
        Mean and its standard error.

    Raises
    ------
    MeasurementError
        Without a rule.

    Notes
    -----
    Each chart is drawn on in stretches of 400 points, with the last points of the stretch before in front,
    until every chart has signalled.

    Examples
    --------
    >>> rule = RunRule(name="a", kind="beyond", count=1, of=1, distance=1.0, sentence="")
    >>> found = simulated_run_length([rule], seed=1)
    >>> abs(found.mean - 3.15) < 4 * found.standard_error
    True
    """
    if not rules:
        raise MeasurementError("run length: no rule is on, so no signal ever comes")
    draws = np.random.default_rng(seed)
    kept = max(rule.of for rule in rules) - 1
    lengths = np.zeros(charts)
    running, before, run = np.arange(charts), np.zeros((charts, 0)), 0
    while running.size:
        fresh = draws.standard_normal((running.size, _STRETCH)) + shift
        z = np.concatenate([before, fresh], axis=1)
        held = np.zeros(z.shape, dtype=bool)
        for rule in rules:
            held |= rule_holds(z, rule) != 0
        held = held[:, before.shape[1] :]
        stops = held.any(axis=1)
        lengths[running[stops]] = run + held[stops].argmax(axis=1) + 1
        running, before = running[~stops], z[~stops, z.shape[1] - kept :]
        run += _STRETCH
    return SimulatedRunLength(
        mean=float(lengths.mean()), standard_error=float(lengths.std(ddof=1) / math.sqrt(charts))
    )


@dataclass(frozen=True, slots=True)
class _Part:
    """One side of a rule: an interval of scores that is marked, and how many marks signal."""

    low: float
    high: float
    inverted: bool
    count: int
    of: int

    def holds(self, score: float) -> bool:
        return (self.low < score < self.high) != self.inverted


def _parts(rule: RunRule) -> list[_Part]:
    d, count, of = rule.distance, rule.count, rule.of
    if rule.kind == "beyond":
        return [_Part(d, math.inf, False, count, of), _Part(-math.inf, -d, False, count, of)]
    if rule.kind in ("within", "outside"):
        return [_Part(-d, d, rule.kind == "outside", count, of)]
    raise MeasurementError(f"run rule {rule.name}: a rule about neighbours has no chain of regions; simulate")


def _regions(rules: Sequence[RunRule], shift: float) -> tuple[list[float], list[float]]:
    """Give a score inside each region between the lines of the rules, and the chance of the region."""
    from scipy.special import ndtr

    lines = sorted({side * rule.distance for rule in rules for side in (-1.0, 1.0)} | {-math.inf, math.inf})
    middles, chances = [], []
    for low, high in itertools.pairwise(lines):
        middles.append(high - 1.0 if low == -math.inf else min(low + 1.0, 0.5 * (low + high)))
        chances.append(float(ndtr(high - shift) - ndtr(low - shift)))
    return middles, chances


def _step(parts: Sequence[_Part], state: State, marked: Sequence[bool]) -> State | None:
    """Give the state after a point; None where a rule holds."""
    after = []
    for part, old, mark in zip(parts, state, marked, strict=True):
        if part.count == part.of:  # all of the run: the number of marks is all there is to know
            new = old + 1 if mark else 0
            if new >= part.count:
                return None
        else:
            bits = (old << 1) | int(mark)
            if bits.bit_count() >= part.count:
                return None
            new = bits & ((1 << (part.of - 1)) - 1)
        after.append(new)
    return tuple(after)
