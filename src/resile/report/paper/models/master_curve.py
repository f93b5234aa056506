"""The page of a master curve: numbers with intervals, how well it fits, and the pictures."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.models.curve_reading import CurveDerivation
from resile.records.models.master_curve import CurveShape, CurveShift, MasterCurve
from resile.records.models.parameter import ModelParameter
from resile.report.figures.models.curve_fit import figures_of_curve
from resile.report.figures.models.master_curve import isotherm_name
from resile.report.numbers import fixed, three_figures
from resile.report.paper.models.curve_readings import derivation_sections
from resile.report.paper.models.doubts import findings_section
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.paper.runs.reading import file_name
from resile.report.paper.statements.provenance import caution_section

SHAPE_WORDS = {
    CurveShape.CA: "CA (Christensen and Anderson 1992)",
    CurveShape.CAM: "CAM (Marasteanu and Anderson 1999)",
    CurveShape.TWO_S_TWO_P_ONE_D: "2S2P1D (Olard and Di Benedetto 2003)",
}
SHIFT_WORDS = {
    CurveShift.FREE: "free shifts",
    CurveShift.WLF: "WLF (Williams, Landel and Ferry 1955)",
    CurveShift.ARRHENIUS: "Arrhenius",
    CurveShift.KAELBLE: "Kaelble, as modified by Rowe and Sharrock 2011",
}
_PARAMETER_WORDS = {
    "log_glassy_modulus": ("glassy modulus Gg", "log₁₀ kPa", 3),
    "log_crossover_frequency": ("crossover frequency ωc", "log₁₀ rad/s", 3),
    "rheological_index": ("rheological index R", "", 3),
    "log_location_frequency": ("frequency of the asymptotes ωc", "log₁₀ rad/s", 3),
    "viscous_exponent": ("viscous exponent w′", "", 3),
    "log_characteristic_time": ("characteristic time τ", "log₁₀ s", 3),
    "creep_weight": ("weight of the first parabolic element", "", 2),
    "slow_exponent": ("exponent k", "", 3),
    "fast_exponent": ("exponent h", "", 3),
    "log_dashpot_ratio": ("dashpot ratio β", "log₁₀", 3),
    "c1": ("C1", "", 2),
    "c2": ("C2", "°C", 1),
    "activation_energy_kj_mol": ("activation energy Ea", "kJ/mol", 1),
    "defining_c": ("defining temperature Td", "°C", 1),
    "log_shift": ("shift log aT at", "", 3),
    "crossover_frequency_rad_s": ("crossover frequency (δ = 45°)", "rad/s", None),
    "crossover_modulus": ("modulus at the crossover", "kPa", None),
    "crossover_index": ("index from the crossover, log₁₀(Gg/|G*|)", "", 3),
    "one_point_index": ("index from one point, at", "", 3),
}
INTERVALS = (
    "In brackets the 95 % interval. Where residuals follow their neighbours it is wider, as for noise that "
    "drifts; a wrong shape is more than noise."
)
_CAPTIONS = {
    "curve": "Measured points moved to the reference temperature, and the fitted curve (line).",
    "spaces": "Left: phase angle over modulus. Right: loss over storage modulus. No shift enters here: "
    "isotherms that part do not share one curve.",
    "shifts": "Line: the shift of the fit. Diamonds: the shifts that join the sweeps best without any shape.",
    "residuals": "Each mark is one row. Marks on one side of the line are a miss in a pattern.",
}


def curve_name(curve: MasterCurve) -> str:
    """Give what a curve is called: sample and label, or file."""
    named = ", ".join(part for part in (curve.sample, curve.label) if part)
    return named or (curve.sources[0].path if curve.sources else "this binder")


def curve_sentence(curve: MasterCurve) -> str:
    """Give the answer in one sentence."""
    crossover = _named(curve, "crossover_frequency_rad_s")
    index = _named(curve, "rheological_index") or _named(curve, "crossover_index")
    found = [
        f"crossover at {value_words(crossover)} rad/s" if crossover else "no crossover within reach",
        f"R {value_words(index)}" if index else "",
    ]
    numbers = ", ".join(part for part in found if part)
    plural = "s" if curve.shift is CurveShift.FREE else ""
    how = f"{curve.shape} with {curve.shift} shift{plural} at {_degrees(curve.reference_c)}"
    return f"{curve_name(curve)}, {how}: {numbers}; {quality_words(curve)}."


def quality_words(curve: MasterCurve) -> str:
    """Say how far the curve misses, and what no shape could better."""
    return (
        f"misses {fixed(curve.modulus_rms_decades, 4)} decades and {fixed(curve.phase_rms_deg, 2)}° rms "
        f"(isotherms join to {fixed(curve.smooth.modulus_rms_decades, 4)} decades without a shape)"
    )


def value_words(parameter: ModelParameter) -> str:
    """Give a number with its interval in brackets."""
    _, _, decimals = _PARAMETER_WORDS[parameter.name]
    shown = [
        three_figures(value) if decimals is None else fixed(value, decimals)
        for value in (parameter.value, parameter.lower, parameter.upper)
        if value is not None
    ]
    if len(shown) == 3:
        return f"{shown[0]} ({shown[1]} to {shown[2]})"
    return shown[0]


def parameter_table(curve: MasterCurve) -> Table:
    """Tabulate parameters of shape and shift, and what follows from them."""
    groups = (
        ("shape", curve.parameters),
        ("shift", curve.shift_parameters),
        ("follows", curve.derived),
    )
    lines = []
    for group, parameters in groups:
        for one in parameters:
            words, unit, _ = _PARAMETER_WORDS[one.name]
            given = one.name == "log_glassy_modulus" and not one.fitted
            lines.append(
                (
                    group,
                    f"{words} {one.where}".strip(),
                    value_words(one) + (", given" if given else ""),
                    unit,
                )
            )
    return Table(
        "Parameters, and the numbers that follow.",
        (Column("Of the"), Column("Number", share=3.0), Column("Value", RIGHT, 2.6), Column("Unit")),
        tuple(lines),
        note=INTERVALS,
    )


def isotherm_table(curve: MasterCurve) -> Table:
    """Tabulate the residuals of every isotherm."""
    return Table(
        "Residuals by isotherm, measured less fitted.",
        (
            Column("Isotherm", share=1.8),
            Column("Rows", RIGHT),
            Column("Logged °C", RIGHT, 2.0),
            Column("log aT", RIGHT),
            Column("|G*| rms", RIGHT, 1.2),
            Column("worst (decades)", RIGHT, 1.4),
            Column("δ rms", RIGHT),
            Column("worst (°)", RIGHT),
            Column("slope − δ (°)", RIGHT, 1.2),
        ),
        tuple(
            (
                isotherm_name(one),
                fixed(one.points, 0),
                _range_words(one.lowest_temperature_c, one.highest_temperature_c),
                fixed(one.log_shift, 3),
                fixed(one.modulus_rms_decades, 4),
                fixed(one.modulus_worst_decades, 4),
                fixed(one.phase_rms_deg, 2),
                fixed(one.phase_worst_deg, 2),
                "–" if one.slope_phase_mean_deg is None else fixed(one.slope_phase_mean_deg, 2),
            )
            for one in curve.isotherms
        ),
        note="0.01 decades are 2.3 %. Slope − δ: mean of 90 d ln|G*|/d ln ω − δ within the isotherm.",
    )


def settings_facts(curve: MasterCurve) -> tuple[tuple[str, str], ...]:
    """Say by which shape, shift and weights a curve was fitted, and over what range."""
    low, high = curve.lowest_reduced_frequency_rad_s, curve.highest_reduced_frequency_rad_s
    through = curve.smooth.wlf_parameters
    facts = [
        ("Shape", SHAPE_WORDS[curve.shape]),
        ("Shift", SHIFT_WORDS[curve.shift]),
        ("Reference temperature", _degrees(curve.reference_c)),
        (
            "Weights",
            f"{curve.modulus_weight_decades:g} decades of |G*| and {curve.phase_weight_deg:g}° count alike",
        ),
        ("Measured", f"{three_figures(low)} to {three_figures(high)} rad/s at the reference temperature"),
    ]
    if through:
        words = ", ".join(f"{_PARAMETER_WORDS[one.name][0]} {value_words(one)}" for one in through)
        facts.append(("WLF through free shifts", words))
    return tuple(facts)


def master_curve_page(
    curves: Sequence[MasterCurve],
    derivations: Sequence[CurveDerivation] = (),
    *,
    date: str,
    package_version: str = "",
) -> Page:
    """Give the page of one or several master curves.

    Parameters
    ----------
    curves : sequence of MasterCurve
        As fitted.
    derivations : sequence of CurveDerivation
        What follows from each, in their order; may be left out.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    first, several = curves[0], len(curves) > 1
    title = f"{len(curves)} curves" if several else curve_name(first)
    of_curves = [finding for curve in curves for finding in curve.findings]
    of_readings = [finding for one in derivations for finding in one.findings]
    doubts = (*of_curves, *of_readings)
    return Page(
        title="Master curve of a binder",
        number=title,
        date=date,
        sample=title,
        laboratory="",
        banner="",
        identity=(("Binder", title), *settings_facts(first)[:3], ("Date", date)),
        answer=f"{len(curves)} curves; each stands below." if several else curve_sentence(first),
        answer_more=(INTERVALS,),
        sections=(
            findings_section(doubts),
            *(
                section
                for place, curve in enumerate(curves, 1)
                for section in (
                    *_sections(curve, place, several=several),
                    *_follows(curve, derivations[place - 1 : place], place, several=several),
                )
            ),
            _basis(curves, package_version),
            caution_section(),
        ),
        signatures=(),
    )


def _sections(curve: MasterCurve, place: int, *, several: bool) -> list[Section]:
    name = f"{curve_name(curve)}: " if several else ""
    drawn = figures_of_curve(curve)

    def pictures(*keys: str) -> tuple[Picture, ...]:
        return tuple(Picture(f"{key}-{place}", drawn[key], _CAPTIONS[key]) for key in keys)

    return [
        Section(
            key=f"curve-{place}",
            title=f"{name}Master curve",
            paragraphs=(curve_sentence(curve),) if several else (),
            pictures=pictures("curve"),
            tables=(parameter_table(curve),),
        ),
        Section(
            key=f"fit-{place}",
            title=f"{name}How well it fits",
            facts=settings_facts(curve),
            tables=(isotherm_table(curve),),
            pictures=pictures("residuals"),
        ),
        Section(
            key=f"shifts-{place}", title=f"{name}Shifts and spaces", pictures=pictures("shifts", "spaces")
        ),
    ]


def _follows(
    curve: MasterCurve, derivations: Sequence[CurveDerivation], place: int, *, several: bool
) -> list[Section]:
    begun = f"{curve_name(curve)}: " if several else ""
    return [part for one in derivations for part in derivation_sections(one, curve, place, begun=begun)]


def _basis(curves: Sequence[MasterCurve], version: str) -> Section:
    sources = {source.sha256: source for curve in curves for source in curve.sources}
    facts = [
        fact
        for source in sources.values()
        for fact in (("Record", file_name(source.path)), ("SHA-256", source.sha256))
    ]
    facts.append(
        ("Equations", "by author and year, several from memory (high); time and temperature interchangeable")
    )
    facts.append(("Made with", f"resile {version}".strip()))
    return Section(key="basis", title="What this rests on", facts=tuple(facts))


def _named(curve: MasterCurve, name: str) -> ModelParameter | None:
    every = (*curve.parameters, *curve.derived)
    return next((one for one in every if one.name == name), None)


def _range_words(low: float, high: float) -> str:
    first, last = fixed(low, 1), fixed(high, 1)
    return first if first == last else f"{first} to {last}"


def _degrees(temperature_c: float) -> str:
    return f"{fixed(temperature_c, 0 if float(temperature_c).is_integer() else 1)} °C"
