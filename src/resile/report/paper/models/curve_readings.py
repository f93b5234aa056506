"""What follows from a master curve: readings at named conditions, beams from shear, and the spectrum."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from resile.records.models.curve_reading import (
    BeamEstimate,
    CurveDerivation,
    CurveReading,
    ReadingStanding,
    ReadingThreshold,
)
from resile.records.models.master_curve import MasterCurve
from resile.records.models.spectrum import RelaxationSpectrum
from resile.report.figures.models.spectrum import figures_of_derivation
from resile.report.figures.style import Spec
from resile.report.numbers import fixed, shown
from resile.report.paper.models.model import LEFT, RIGHT, Column, Picture, Section, Table

INTERVAL_NOTE = (
    "Intervals hold 95 %: the doubt of the fit and the size of its residuals. What the form of the shift "
    "does outside "
    "the tests is not in them; beside an extrapolated number stands what a straight shift would give."
)


def derivation_sections(
    derivation: CurveDerivation, curve: MasterCurve, place: int = 1, *, begun: str = ""
) -> list[Section]:
    """Give the sections on what follows from a curve.

    Parameters
    ----------
    derivation : CurveDerivation
        Readings, beams, spectrum.
    curve : MasterCurve
        The curve they were read from.
    place : int
        Place of the curve on its page.
    begun : str
        What the titles begin with, where a page holds several curves.

    Returns
    -------
    list of Section
        For page, paper and workbench.
    """
    drawn = figures_of_derivation(derivation, curve)
    captions = {
        name: f"{one.title}. The lines hold for the mark alone; grey points were measured elsewhere."
        for one in derivation.readings
        for name in [one.name.replace("_", "-").replace(".", "-")]
        if name in drawn
    }
    return [
        Section(
            key=f"readings-{place}",
            title=f"{begun}Read from the curve",
            paragraphs=(not_interchangeable(derivation),),
            tables=(readings_table(derivation.readings),),
            pictures=tuple(
                Picture(f"{name}-{place}", drawn[name], caption) for name, caption in captions.items()
            ),
        ),
        *_beam_section(derivation, place, begun),
        _spectrum_section(derivation, curve, drawn, place, begun),
    ]


def not_interchangeable(derivation: CurveDerivation) -> str:
    """Say that Glover-Rowe numbers of two conditions are two numbers."""
    names = [one.title for one in derivation.readings if one.name.startswith("glover_rowe")]
    if len(names) < 2:
        return ""
    return (
        f"{names[0]} and {names[1].replace('Glover-Rowe ', '')} are two numbers: neither takes the place "
        "of the other, "
        "and a threshold holds for its own condition alone."
    )


def readings_table(readings: Sequence[CurveReading]) -> Table:
    """Tabulate readings with their interval, where they stand, and what sources set beside them."""
    return Table(
        "Numbers read from the curve. Not judged.",
        (
            Column("Reading", LEFT, 3.0),
            Column("Value (interval)", RIGHT, 2.2),
            Column("Where it stands", LEFT, 2.6),
            Column("Beside it", LEFT, 3.0),
        ),
        tuple(
            (one.title, value_with_interval(one), standing_words(one), beside_words(one)) for one in readings
        ),
        INTERVAL_NOTE,
    )


def value_with_interval(one: CurveReading) -> str:
    """Show a reading and its interval: temperatures to 0.1 °C, moduli to three figures."""
    if one.value is None:
        return "not reached"
    text = f"{_number(one, one.value)} {one.unit}".strip()
    if one.lower is None or one.upper is None:
        return text
    return f"{text} ({_number(one, one.lower)} to {_number(one, one.upper)})"


def standing_words(one: CurveReading | BeamEstimate) -> str:
    """Say whether a number was measured, interpolated or extrapolated, and how far."""
    if isinstance(one, CurveReading) and one.value is None:
        return one.note
    if one.standing is not ReadingStanding.EXTRAPOLATED:
        return str(one.standing)
    far = [
        *([f"{fixed(one.beyond_c, 1)} °C"] if one.beyond_c >= 0.05 else []),
        *([f"{fixed(one.beyond_decades, 1)} decades"] if one.beyond_decades >= 0.05 else []),
    ]
    return f"extrapolated by {' and '.join(far)}" if far else "extrapolated"


def beside_words(one: CurveReading) -> str:
    """Say what stands beside a reading: a straight shift, thresholds with their evidence."""
    parts = []
    if one.straight_shift_value is not None:
        parts.append(f"{_number(one, one.straight_shift_value)} {one.unit} with a straight shift")
    parts += [threshold_words(threshold, one.unit) for threshold in one.thresholds]
    if not one.thresholds and one.name.startswith("glover_rowe"):
        parts.append("no threshold is established for this condition")
    return "; ".join(parts)


def threshold_words(threshold: ReadingThreshold, unit: str) -> str:
    """Say what a source sets as a threshold, with its evidence."""
    beyond = "above" if threshold.bound == "maximum" else "below"
    evidence = f" ({threshold.evidence})" if threshold.evidence else ""
    return f"{beyond} {threshold.limit:g} {unit} {threshold.meaning}{evidence}"


def beams_table(beams: Sequence[BeamEstimate]) -> Table:
    """Tabulate stiffness and m-value estimated from shear."""
    time = f"{beams[0].loading_time_s:g}"
    return Table(
        f"Stiffness and m-value after {time} s, estimated from shear",
        (
            Column("Test at", RIGHT, 1.2),
            Column("Stiffness, MPa", RIGHT, 2.0),
            Column("m-value", RIGHT, 2.0),
            Column("Straight shift", RIGHT, 1.5),
            Column("3 G(t), MPa", RIGHT, 1.0),
            Column("3 |G*|, MPa", RIGHT, 1.0),
            Column("R", RIGHT, 0.6),
            Column("Where it stands", LEFT, 2.2),
        ),
        tuple(_beam_row(beam) for beam in beams),
        "In brackets the interval. Stiffness is 3/J(t) and the m-value its slope, by exact conversion "
        "through the spectrum of the "
        "curve: what a "
        "beam shows. 3 G(t) is relaxation; 3 |G*| at one over the time is the rule of thumb. R follows "
        "from stiffness "
        "and m-value. Straight shift: stiffness and m-value with the shift carried on in a straight "
        "line. A beam that "
        "was tested goes before all of these.",
    )


def _beam_row(beam: BeamEstimate) -> tuple[str, ...]:
    straight = (
        "\N{EN DASH}"
        if beam.straight_shift_stiffness is None or beam.straight_shift_m_value is None
        else f"{shown(beam.straight_shift_stiffness, '')}; {fixed(beam.straight_shift_m_value, 3)}"
    )
    return (
        f"{fixed(beam.temperature_c, 0)} °C",
        _ends(
            shown(beam.creep_stiffness, ""),
            *(
                None if end is None else shown(end, "")
                for end in (beam.creep_stiffness_lower, beam.creep_stiffness_upper)
            ),
        ),
        _ends(
            fixed(beam.m_value, 3),
            *(None if end is None else fixed(end, 3) for end in (beam.m_value_lower, beam.m_value_upper)),
        ),
        straight,
        shown(beam.relaxation_stiffness, ""),
        shown(beam.equal_frequency_stiffness, ""),
        fixed(beam.beam_index, 2),
        standing_words(beam),
    )


def spectrum_sentence(spectrum: RelaxationSpectrum) -> str:
    """Say how the spectrum was found and how well it repeats the points."""
    at = "" if spectrum.reference_c is None else f" at {fixed(spectrum.reference_c, 1)} °C"
    band = (
        f" The band holds {100 * spectrum.probability:g} %, from {spectrum.draws} repeats with residuals "
        "drawn anew."
        if spectrum.draws
        else ""
    )
    return (
        f"{len(spectrum.modes.relaxation_times_s)} modes{at}, {spectrum.modes_per_decade:g} a decade, "
        "none below zero, "
        f"smoothed with strength {spectrum.smoothing:.3g} ({spectrum.smoothing_rule}). They repeat "
        f"{spectrum.point_count} points with a root mean square of "
        f"{fixed(spectrum.modulus_residual_percent, 1)} % of "
        f"|G*| and {fixed(spectrum.phase_residual_deg, 2)}° of the phase angle.{band}"
    )


def _beam_section(derivation: CurveDerivation, place: int, begun: str) -> list[Section]:
    if not derivation.beams:
        return []
    return [
        Section(
            key=f"beams-{place}",
            title=f"{begun}A beam, estimated from shear",
            tables=(beams_table(derivation.beams),),
        )
    ]


def _spectrum_section(
    derivation: CurveDerivation, curve: MasterCurve, drawn: Mapping[str, Spec], place: int, begun: str
) -> Section:
    spectrum = derivation.spectrum
    captions = {
        "spectrum": "Relaxation spectrum. Open marks lie outside the span that was measured: they only "
        "make up "
        "the ends.",
        "relaxation-and-creep": "Relaxation modulus and creep compliance at "
        f"{fixed(curve.reference_c, 1)} °C, each by exact conversion of the spectrum.",
    }
    return Section(
        key=f"spectrum-{place}",
        title=f"{begun}Relaxation spectrum, relaxation and creep",
        paragraphs=(derivation.spectrum_missing if spectrum is None else spectrum_sentence(spectrum),),
        pictures=tuple(
            Picture(f"{name}-{place}", drawn[name], caption)
            for name, caption in captions.items()
            if name in drawn
        ),
    )


def _number(one: CurveReading, value: float) -> str:
    return fixed(value, 1) if one.unit == "°C" else shown(value, "")


def _ends(value: str, lower: str | None, upper: str | None) -> str:
    return value if lower is None or upper is None else f"{value} ({lower} to {upper})"
