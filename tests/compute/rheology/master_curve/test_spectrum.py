"""Spectra and conversion: cited cases, an independent inverse Laplace transform, and the laws that bind G
and J."""

import tomllib
from collections.abc import Callable, Mapping
from functools import partial
from math import gamma
from pathlib import Path
from typing import Any

import mpmath
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.rheology.master_curve.forms.shapes import (
    christensen_anderson_modulus,
    christensen_anderson_phase,
)
from resile.compute.rheology.master_curve.spectra.interconversion import (
    burgers_of_modes,
    modes_of_burgers,
    relaxation_from_retardation,
    retardation_from_relaxation,
)
from resile.compute.rheology.master_curve.spectra.modes import (
    creep_compliance_of_modes,
    creep_compliance_slope,
    dynamic_moduli,
    relaxation_modulus,
    relaxation_modulus_slope,
)
from resile.compute.rheology.master_curve.spectra.shortcuts import (
    SHORTCUTS,
    creep_compliance_power_law,
    shortcut_errors_percent,
)
from resile.compute.rheology.master_curve.spectra.spectrum import fit_relaxation_spectrum, spectrum_of_curve
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement, creep_compliance
from resile.errors import InputError, MeasurementError
from resile.records.models.spectrum import RelaxationModes, RetardationModes

FILE = Path(__file__).resolve().parents[3] / "published" / "spectrum.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]
Inputs = Mapping[str, Any]


def relaxation(inputs: Inputs) -> RelaxationModes:
    return RelaxationModes(tuple(inputs["relaxation_times_s"]), tuple(inputs["mode_moduli_kpa"]))


def burgers(inputs: Inputs) -> BurgersModel:
    kelvin = KelvinElement(inputs["spring_kpa"], inputs["dashpot_kpa_s"])
    return BurgersModel(inputs["maxwell_dashpot_kpa_s"], inputs["maxwell_spring_kpa"], (kelvin,))


def retardation(inputs: Inputs) -> RetardationModes:
    if "maxwell_spring_kpa" in inputs:
        return modes_of_burgers(burgers(inputs))
    return RetardationModes((), (), inputs["glassy_compliance"], inputs["fluidity"])


def box(inputs: Inputs) -> tuple[Any, Any, Any]:
    frequency = np.logspace(-4, 4, 161)
    short, long, half = inputs["shortest_s"], inputs["longest_s"], inputs["height_kpa"] / 2.0
    storage = half * np.log((1 + (frequency * long) ** 2) / (1 + (frequency * short) ** 2))
    loss = 2.0 * half * (np.arctan(frequency * long) - np.arctan(frequency * short))
    return frequency, np.hypot(storage, loss), np.degrees(np.arctan2(loss, storage))


def density_of_box(inputs: Inputs) -> list[float]:
    spectrum = fit_relaxation_spectrum(*box(inputs), draws=0).spectrum
    times, density = [p.relaxation_time_s for p in spectrum], [p.density_kpa for p in spectrum]
    return list(np.interp(np.log(inputs["at_s"]), np.log(times), density))


def by_shortcut(name: str, inputs: Inputs) -> Any:
    return SHORTCUTS[name](partial(dynamic_moduli, relaxation(inputs)), inputs["time_s"])


ADAPTERS: dict[str, Callable[[Inputs], Any]] = {
    "dynamic_moduli": lambda i: dynamic_moduli(relaxation(i), i["angular_frequency_rad_s"]),
    "relaxation_modulus": lambda i: relaxation_modulus(relaxation(i), i["time_s"]),
    "relaxation_modulus_slope": lambda i: relaxation_modulus_slope(relaxation(i), i["time_s"]),
    "creep_compliance_of_modes": lambda i: creep_compliance_of_modes(retardation(i), i["time_s"]),
    "creep_compliance_slope": lambda i: creep_compliance_slope(retardation(i), i["time_s"]),
    "relaxation_from_retardation": lambda i: relaxation_from_retardation(retardation(i)),
    "retardation_from_relaxation": lambda i: retardation_from_relaxation(relaxation(i)),
    "modes_of_burgers": lambda i: modes_of_burgers(burgers(i)),
    "burgers_of_modes": lambda i: burgers_of_modes(retardation(i)),
    "fit_relaxation_spectrum": density_of_box,
    "spectrum_of_curve": lambda i: relaxation_modulus(spectrum_of_curve(*box(i)), i["time_s"]),
    "relaxation_modulus_christensen": partial(by_shortcut, "christensen"),
    "relaxation_modulus_ninomiya_ferry": partial(by_shortcut, "ninomiya-ferry"),
    "relaxation_modulus_equal_frequency": partial(by_shortcut, "equal-frequency"),
    "shortcut_errors_percent": lambda i: shortcut_errors_percent(relaxation(i), i["time_s"])[i["shortcut"]],
    "creep_compliance_power_law": lambda i: creep_compliance_power_law(i["relaxation"], i["slope"]),
}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    found, expected = ADAPTERS[case["function"].rpartition(".")[2]](case["inputs"]), case["expected"]
    if isinstance(expected, dict):
        for name, digits in expected.items():
            np.testing.assert_allclose(getattr(found, name), digits, rtol=0.0, atol=case["tolerance"])
    else:
        np.testing.assert_allclose(found, expected, rtol=0.0, atol=case["tolerance"])


@st.composite
def any_modes(draw: st.DrawFn) -> RelaxationModes:
    gaps = draw(st.lists(st.floats(0.02, 3.0), min_size=1, max_size=9))
    times = 10.0 ** (np.cumsum(gaps) - 8.0)
    sizes = draw(st.lists(st.floats(-12.0, 6.0), min_size=len(gaps), max_size=len(gaps)))
    rest = draw(st.sampled_from([0.0, 0.0, 1e-3, 5.0]))
    return RelaxationModes(tuple(times.tolist()), tuple(10.0**size for size in sizes), rest)


@settings(max_examples=25)
@given(any_modes())
def test_modes_that_were_turned_into_creep_and_back_are_the_same(modes: RelaxationModes) -> None:
    back = relaxation_from_retardation(retardation_from_relaxation(modes))
    np.testing.assert_allclose(back.relaxation_times_s, modes.relaxation_times_s, rtol=1e-9)
    np.testing.assert_allclose(back.mode_moduli_kpa, modes.mode_moduli_kpa, rtol=1e-6)
    assert back.equilibrium_modulus_kpa == pytest.approx(modes.equilibrium_modulus_kpa, rel=1e-9)


@settings(max_examples=25)
@given(any_modes())
def test_each_retardation_time_lies_after_its_relaxation_time_and_before_the_next(
    modes: RelaxationModes,
) -> None:
    creep = retardation_from_relaxation(modes)
    relaxed = modes.relaxation_times_s
    solid = modes.equilibrium_modulus_kpa > 0.0
    assert len(creep.retardation_times_s) == len(relaxed) - (0 if solid else 1)
    for place, time in enumerate(creep.retardation_times_s):
        assert relaxed[place] <= time
        assert place + 1 == len(relaxed) or time <= relaxed[place + 1]


MODES = RelaxationModes((1e-6, 1e-3, 0.03, 2.0, 500.0), (8e5, 3e4, 900.0, 12.0, 0.02))


def test_creep_is_that_of_an_independent_inverse_laplace_transform() -> None:
    creep = retardation_from_relaxation(MODES)

    def transformed(s: Any) -> Any:
        operational = sum(
            g * s * r / (1 + s * r)
            for g, r in zip(MODES.mode_moduli_kpa, MODES.relaxation_times_s, strict=True)
        )
        return 1 / (s * operational)

    with mpmath.workdps(30):
        for time in (1e-5, 0.01, 1.0, 60.0, 3e3):
            reference = float(mpmath.invertlaplace(transformed, time, method="talbot"))
            assert float(creep_compliance_of_modes(creep, time)) == pytest.approx(reference, rel=1e-12)


@pytest.mark.parametrize("time", [1e-4, 0.05, 3.0, 400.0])
def test_relaxation_folded_with_creep_gives_the_time_itself(time: float) -> None:
    # The definition of J: the integral of G(t - s) J(s) over s from 0 to t is t, for every t.
    creep = retardation_from_relaxation(MODES)
    half = np.concatenate([[0.0], np.logspace(-9, np.log10(time / 2), 240)])
    edges = np.concatenate([half, (time - half[::-1])[1:]])
    nodes, weights = np.polynomial.legendre.leggauss(8)
    middle, reach = (edges[1:] + edges[:-1])[:, None] / 2, (edges[1:] - edges[:-1])[:, None] / 2
    s = middle + reach * nodes
    folded = relaxation_modulus(MODES, np.maximum(time - s, 0.0)) * creep_compliance_of_modes(creep, s)
    assert float((folded * weights * reach).sum()) == pytest.approx(time, rel=1e-8)


def test_a_mode_of_next_to_no_size_is_kept_and_comes_back() -> None:
    modes = RelaxationModes((1.0, 10.0, 100.0), (5.0, 1e-60, 2.0))
    back = relaxation_from_retardation(retardation_from_relaxation(modes))
    np.testing.assert_allclose(back.mode_moduli_kpa[0::2], (5.0, 2.0), rtol=1e-12)
    np.testing.assert_allclose(back.relaxation_times_s, (1.0, 10.0, 100.0), rtol=1e-12)


def test_springs_and_dashpots_creep_as_the_model_of_the_creep_tests_does() -> None:
    model = BurgersModel(
        1.4, 25.0, (KelvinElement(1.5, 0.9), KelvinElement(4.0, 20.0), KelvinElement(1.5, 0.9))
    )
    modes = modes_of_burgers(model)
    assert len(modes.retardation_times_s) == 2  # two elements of one time are one mode
    time = np.logspace(-3, 3, 13)
    np.testing.assert_allclose(
        creep_compliance_of_modes(modes, time), creep_compliance(model, time), rtol=1e-13
    )
    again = burgers_of_modes(retardation_from_relaxation(relaxation_from_retardation(modes)))
    np.testing.assert_allclose(creep_compliance(again, time), creep_compliance(model, time), rtol=1e-10)


# A material with springs and dashpots without end: two parabolic elements, a spring and a dashpot in a row
# (Olard and Di Benedetto 2003). Its creep is known in closed form: s^-(1+k) goes back to t^k/Gamma(1+k).
GLASSY, LEVEL, FIRST, SECOND, TIME, FLOW = 1.0e6, 3.0, 0.25, 0.6, 1e-4, 200.0


def parabolic_operational(s: Any) -> Any:
    return GLASSY / (1 + LEVEL * (s * TIME) ** -FIRST + (s * TIME) ** -SECOND + 1 / (s * FLOW * TIME))


def parabolic_creep(time: float) -> float:
    share = time / TIME
    return (
        1 + LEVEL * share**FIRST / gamma(1 + FIRST) + share**SECOND / gamma(1 + SECOND) + share / FLOW
    ) / GLASSY


def test_a_curve_without_modes_of_its_own_is_converted_to_half_a_per_cent() -> None:
    frequency = np.logspace(-4, 10, 141)
    modulus = parabolic_operational(1j * frequency)
    modes = spectrum_of_curve(frequency, np.abs(modulus), np.degrees(np.angle(modulus)))
    creep = retardation_from_relaxation(modes)
    times = np.array([0.01, 1.0, 60.0, 600.0])
    exact = [parabolic_creep(float(time)) for time in times]
    np.testing.assert_allclose(creep_compliance_of_modes(creep, times), exact, rtol=5e-3)
    with mpmath.workdps(20):
        relaxed = [
            float(mpmath.invertlaplace(lambda s: parabolic_operational(s) / s, time, method="talbot"))
            for time in times
        ]
    np.testing.assert_allclose(relaxation_modulus(modes, times), relaxed, rtol=5e-3)


def test_shortcuts_are_told_apart_and_the_equal_frequency_rule_stands_between_relaxation_and_creep() -> None:
    frequency = np.logspace(-4, 10, 141)
    modulus = parabolic_operational(1j * frequency)
    modes = spectrum_of_curve(frequency, np.abs(modulus), np.degrees(np.angle(modulus)))
    errors = shortcut_errors_percent(modes, [0.01, 1.0])
    assert set(errors) == set(SHORTCUTS)
    assert np.all(errors["equal-frequency"] > 10.0)  # |G*|(1/t) is well above G(t) where the binder flows
    assert np.all(np.abs(errors["ninomiya-ferry"]) < 3.0)


def test_a_power_law_obeys_its_shortcut() -> None:
    # G = t^-m: G*(iw) = Gamma(1 - m) (iw)^m, J = t^m sin(m pi)/(m pi).
    m, frequency = 0.4, np.logspace(-6, 6, 121)
    modes = spectrum_of_curve(frequency, gamma(1 - m) * frequency**m, np.full(121, 90.0 * m))
    creep = retardation_from_relaxation(modes)
    time = np.logspace(-2, 2, 9)
    np.testing.assert_allclose(relaxation_modulus(modes, time), time**-m, rtol=3e-3)
    by_rule = creep_compliance_power_law(time**-m, m)
    np.testing.assert_allclose(creep_compliance_of_modes(creep, time), by_rule, rtol=3e-3)
    np.testing.assert_allclose(creep_compliance_slope(creep, time), m, atol=4e-3)
    np.testing.assert_allclose(relaxation_modulus_slope(modes, time), m, atol=1e-2)


def smooth_density(times: Any) -> Any:
    """An invented spectrum without an edge: a bell over five decades."""
    return 5e4 * np.exp(-0.5 * ((np.log10(times) + 5.5) / 2.2) ** 2)


def planted(frequency: Any, seed: int) -> tuple[Any, Any, Any]:
    fine = 10 ** np.arange(-12, 10, 0.05)
    sizes = smooth_density(fine) * 0.05 * np.log(10.0)
    storage, loss = dynamic_moduli(RelaxationModes(tuple(fine), tuple(sizes)), frequency)
    noise = np.random.default_rng(seed)
    modulus = np.hypot(storage, loss) * np.exp(0.01 * noise.standard_normal(len(frequency)))
    return modulus, np.degrees(np.arctan2(loss, storage)) + 0.3 * noise.standard_normal(len(frequency)), None


def share_held(repeats: range) -> float:
    frequency, held = np.logspace(-4, 6, 101), []
    for seed in repeats:
        modulus, phase, _ = planted(frequency, seed)
        found = fit_relaxation_spectrum(frequency, modulus, phase, draws=100, seed=seed)
        inside = [point for point in found.spectrum if point.supported][1:-1]
        held += [p.lower_kpa <= smooth_density(p.relaxation_time_s) <= p.upper_kpa for p in inside]
    return float(np.mean(held))


def test_a_planted_spectrum_lies_within_its_interval() -> None:
    assert share_held(range(5)) > 0.9


@pytest.mark.nightly
def test_the_interval_of_a_planted_spectrum_holds_at_least_what_it_promises() -> None:
    assert 0.95 <= share_held(range(300)) <= 1.0


def test_noise_comes_out_as_residual_and_not_as_spectrum() -> None:
    frequency = np.logspace(-4, 6, 101)
    modulus, phase, _ = planted(frequency, 11)
    found = fit_relaxation_spectrum(frequency, modulus, phase, reference_c=20.0, draws=0)
    assert found.modulus_residual_percent == pytest.approx(1.0, abs=0.25)
    assert found.phase_residual_deg == pytest.approx(0.3, abs=0.08)
    inside = [point for point in found.spectrum if point.supported]
    density = np.array([point.density_kpa for point in inside])
    np.testing.assert_allclose(density, smooth_density([p.relaxation_time_s for p in inside]), rtol=0.05)
    assert found.reference_c == 20.0 and found.point_count == 101


def test_less_smoothing_fits_closer() -> None:
    frequency = np.logspace(-4, 6, 101)
    modulus, phase, _ = planted(frequency, 3)
    rough, even = (
        fit_relaxation_spectrum(frequency, modulus, phase, smoothing=s, draws=0) for s in (0.001, 1e4)
    )
    assert rough.residual_standard < even.residual_standard
    assert rough.smoothing_rule == "given"


def test_christensen_and_anderson_is_nearly_but_not_quite_a_material() -> None:
    # Its angle is the slope of its modulus (Booij and Thoone), which a spectrum only nears: no set of modes
    # repeats it to better than about a tenth of a degree; modes half a decade apart do to 0.3°.
    frequency = np.logspace(-6, 6, 121)
    for index in (1.5, 2.5):
        modulus = christensen_anderson_modulus(
            frequency, glassy_modulus=1e6, crossover_frequency_rad_s=1.0, rheological_index=index
        )
        phase = christensen_anderson_phase(frequency, crossover_frequency_rad_s=1.0, rheological_index=index)
        storage, loss = dynamic_moduli(spectrum_of_curve(frequency, modulus, phase), frequency)
        inner = slice(10, -10)
        assert np.max(np.abs(np.hypot(storage, loss) / modulus - 1)[inner]) < 0.003
        assert 0.05 < np.max(np.abs(np.degrees(np.arctan2(loss, storage)) - phase)[inner]) < 0.3


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"count": 4}, "five or more points"),
        ({"modulus": np.nan}, "above zero"),
        ({"last": 2.0}, "a decade or more"),
        ({"modes_per_decade": 9.0}, "modes per decade"),
    ],
)
def test_what_no_spectrum_can_come_of_is_refused(change: dict[str, Any], words: str) -> None:
    frequency = np.geomspace(1.0, change.get("last", 1e3), change.get("count", 20))
    modulus = 10.0 * frequency**0.5
    modulus[0] = change.get("modulus", modulus[0])
    with pytest.raises(MeasurementError, match=words):
        fit_relaxation_spectrum(
            frequency,
            modulus,
            np.full_like(frequency, 45.0),
            modes_per_decade=change.get("modes_per_decade", 2.0),
        )


def test_what_cannot_be_converted_is_refused() -> None:
    with pytest.raises(InputError, match="bare spring"):
        relaxation_from_retardation(RetardationModes((), (), 0.1))
    with pytest.raises(InputError, match="no Maxwell spring"):
        modes_of_burgers(BurgersModel(1.0))
    with pytest.raises(InputError, match="no flow"):
        burgers_of_modes(RetardationModes((1.0,), (1.0,), 0.1))
    with pytest.raises(InputError, match="must rise"):
        RelaxationModes((2.0, 1.0), (1.0, 1.0))
