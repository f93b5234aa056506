"""Trial blends drawn anew from the planted truth of the invented book, and what a recipe really keeps."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from resile.compute.blending.design.conformity import Conformity, conformity_of
from resile.compute.blending.design.kept_windows import kept_windows
from resile.compute.blending.design.subsets import best_of_problem
from resile.records.blending.book import BlendBook
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface
from resile.records.determination import Determination
from resile.workflows.blending.designing.framing import Frame, frame_book
from resile.workflows.demonstration.blends import CONCENTRATE, HARD, PlantedProperty, planted_properties

EIGHT = ("V-01", "V-02", "V-03", "V-05", "V-06", "V-08", "V-09", "V-11")
"""Trials at the rim, as a laboratory with time for eight would make them."""
GRADES = ("PG 64S-28", "PG 64H-28", "PG 64V-28")
NETWORK = {
    "jnr_3.2": -0.35,
    "rutting_parameter": 0.25,
    "rotational_viscosity": 0.10,
    "percent_recovery_3.2": 8.0,
    "jnr_difference_percent": 12.0,
    "m_value": -0.004,
    "creep_stiffness": 0.03,
}
"""What a polymer network adds once it spans the binder: a step at 2.6 % that no form here can follow."""


@dataclass(frozen=True, slots=True)
class Truth:
    """The planted truth, its scatter multiplied, with or without the step of a network."""

    scatter: float = 1.0
    network: bool = False

    def mean(self, planted: PlantedProperty, percent: Mapping[str, float]) -> float:
        """Mean of all batches, on the scale of the property."""
        plain = planted.mean(percent)
        if not self.network:
            return plain
        polymer = 0.12 * percent.get(CONCENTRATE, 0.0)
        step = NETWORK.get(planted.response.quantity, 0.0)
        return plain + step / (1.0 + math.exp(-(polymer - 2.6) / 0.35))

    def tested(self, percent: Mapping[str, float], generator: np.random.Generator) -> dict[object, float]:
        """One batch of a recipe, tested once for everything, printed with its digits."""
        found: dict[object, float] = {}
        for planted in planted_properties():
            batch, test = self.scatter * generator.standard_normal(2)
            scaled = self.mean(planted, percent) + planted.values["batch"] * batch
            value = planted.unscaled(scaled + planted.values["test"] * test)
            step = planted.values.get("step", 0)
            value = step * round(value / step) if step else value
            found[key_of(planted.response)] = round(value, planted.values["decimals"])
        return found


def key_of(tested: Response | Determination) -> tuple[object, ...]:
    """What is tested, where."""
    return tested.quantity, tested.condition, tested.temperature_c


def drawn_book(book: BlendBook, truth: Truth, seed: int, *, trials: Sequence[str] = ()) -> BlendBook:
    """The invented book with every result drawn anew, or with some of its trials alone."""
    generator = np.random.default_rng(seed)

    def retested(percent: Mapping[str, float], old: Sequence[Determination]) -> tuple[Determination, ...]:
        """The same tests with new values."""
        values = truth.tested(percent, generator)
        return tuple(replace(one, value=values[key_of(one)]) for one in old)

    components = tuple(
        replace(one, determinations=retested({one.name: 100.0}, one.determinations)) if number < 2 else one
        for number, one in enumerate(book.components)
    )
    drawn = tuple(
        replace(one, determinations=retested(one.percent, one.determinations)) for one in book.trials
    )
    kept = tuple(one for one in drawn if not trials or one.name in trials)
    return replace(book, components=components, trials=kept)


def varied_aim(book: BlendBook, seed: int) -> BlendBook:
    """The book with another grade, another recovery asked for and another price of the hard base.

    The recipe then sits on other limits, elsewhere among the trials, each time. Nothing is stored hot: the
    truth knows no storage, and an allowance for it would hide where a fit errs.
    """
    generator = np.random.default_rng(10_000 + seed)
    recovery, price = float(generator.uniform(10, 60)), float(generator.uniform(380, 560))
    limits = tuple(
        replace(one, value=recovery) if one.response.quantity == "percent_recovery_3.2" else one
        for one in book.aim.limits
    )
    grade = GRADES[int(generator.integers(3))]
    aim = replace(book.aim, limits=limits, grade=grade, storage_h=None, storage_c=None)
    components = tuple(
        replace(one, price_per_tonne=price) if one.name == HARD else one for one in book.components
    )
    return replace(book, aim=aim, components=components)


@dataclass(frozen=True, slots=True)
class Kept:
    """A proposed recipe, and what the truth makes of it.

    Attributes
    ----------
    frame : Frame
        What the tool worked from.
    shares : ndarray
        The recipe, as ratios.
    found : Conformity
        What the tool says of it.
    batch, test : ndarray, shape (r,)
        True probability for each property that a batch, and that one test of it, lies in its window.
    mean : ndarray, shape (r,)
        True mean, on the scale of the fit.
    """

    frame: Frame
    shares: NDArray[np.float64]
    found: Conformity
    batch: NDArray[np.float64]
    test: NDArray[np.float64]
    mean: NDArray[np.float64]

    @property
    def surfaces(self) -> tuple[Surface, ...]:
        """One for each property, in the order of the arrays."""
        windows = kept_windows(self.frame.problem.limits, self.frame.problem.surfaces)
        return tuple(window.surface for window in windows)


def sure_recipe(frame: Frame) -> NDArray[np.float64] | None:
    """The cheapest recipe with the probability asked for; none where none serves."""
    found = best_of_problem(frame.problem, seed=20, probability=frame.problem.probability)
    return None if found is None or not found.best.feasible else np.array(found.best.shares)


def kept_by_truth(book: BlendBook, truth: Truth) -> Kept | None:
    """Have a recipe proposed and ask the truth about it; none where no recipe serves."""
    frame = frame_book(book)
    shares = sure_recipe(frame)
    return None if shares is None else truth_of(frame, shares, truth)


def truth_of(frame: Frame, shares: NDArray[np.float64], truth: Truth) -> Kept:
    """Ask the truth about a recipe: probabilities in closed form, for scatter is normal."""
    windows = kept_windows(frame.problem.limits, frame.problem.surfaces)
    planted = {key_of(one.response): one for one in planted_properties()}
    percent = frame.percent(shares)
    batch, test, mean = (np.empty(len(windows)) for _ in range(3))
    for row, window in enumerate(windows):
        own = planted[key_of(window.surface.response)]
        mean[row] = truth.mean(own, percent)
        scatters = own.values["batch"], np.hypot(own.values["batch"], own.values["test"])
        batch[row], test[row] = (
            ndtr((window.upper - mean[row]) / (truth.scatter * scatter))
            - ndtr((window.lower - mean[row]) / (truth.scatter * scatter))
            for scatter in scatters
        )
    return Kept(frame, shares, conformity_of(windows, shares[None, :]), batch, test, mean)
