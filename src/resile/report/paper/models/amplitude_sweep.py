"""The page of a linear amplitude sweep: cycles to failure, what they rest on, and both conventions."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.models.amplitude_sweep import (
    AmplitudeSweep,
    DamageForm,
    ExponentConvention,
    FailureRule,
    FatigueLaw,
)
from resile.report.figures.models.amplitude_sweep import figures_of_sweep
from resile.report.numbers import fixed, three_figures
from resile.report.paper.models.doubts import findings_section
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table, measured
from resile.report.paper.runs.reading import account_facts
from resile.report.paper.statements.provenance import caution_section

CONVENTION_WORDS = {
    ExponentConvention.INVERSE_SLOPE: "α = 1/m",
    ExponentConvention.ONE_PLUS_INVERSE_SLOPE: "α = 1 + 1/m",
}
FORM_WORDS = {DamageForm.MODULUS_RATIO: "|G*| ratio", DamageForm.LOSS_MODULUS: "|G*| sin δ"}
FAILURE_WORDS = {FailureRule.PEAK_STRESS: "peak stress", FailureRule.LOSS_OF_35_PERCENT: "35 % loss"}
NO_SPECIMENS = (
    "The intervals (95 %) hold the scatter inside this one specimen: slope, fit, peak and step length. The "
    "scatter between specimens is larger; run replicates before two binders are called different."
)
_CAPTIONS = {
    "damage": (
        "Left: stress amplitude against strain, the diamond is the highest stress. Right: what is left of "
        "|G*| against damage, the dashed line is the fitted law, the diamond is failure."
    ),
    "fatigue": "Cycles to failure against strain, both axes logarithmic; the band is the 95 % interval.",
}


def sweep_name(sweep: AmplitudeSweep) -> str:
    """Give what a sweep is called: sample, label or file."""
    return sweep.sample or sweep.label or (sweep.source.path if sweep.source else "this specimen")


def sweep_sentence(sweep: AmplitudeSweep) -> str:
    """Give the answer in one sentence, with the convention it was made by."""
    if not sweep.laws:
        return f"{sweep_name(sweep)}: the specimen did not fail, so no cycles to failure can be given."
    law = sweep.laws[0]
    lives = ", ".join(
        f"{cycles_words(law, place)} at {measured(life.strain_percent)} %"
        for place, life in enumerate(law.lives)
    )
    return (
        f"{sweep_name(sweep)} at {fixed(sweep.temperature_c, 1)} °C: cycles to failure {lives} strain "
        f"({CONVENTION_WORDS[law.convention]}, {FAILURE_WORDS[law.failure]})."
    )


def cycles_words(law: FatigueLaw, place: int) -> str:
    """Give the cycles at one strain with their interval."""
    life = law.lives[place]
    return with_interval(life.cycles, life.low, life.high)


def with_interval(value: float, low: float | None, high: float | None, *, decimals: int | None = None) -> str:
    """Give a number with its interval in brackets, three figures where no decimals are named."""
    shown = [
        three_figures(n) if decimals is None else fixed(n, decimals)
        for n in (value, low, high)
        if n is not None
    ]
    return shown[0] if len(shown) < 3 else f"{shown[0]} ({shown[1]} to {shown[2]})"


_HOW = (Column("Exponent", share=1.3), Column("Damage by", share=1.3), Column("Failure", share=1.3))


def _how(law: FatigueLaw) -> tuple[str, str, str]:
    return CONVENTION_WORDS[law.convention], FORM_WORDS[law.form], FAILURE_WORDS[law.failure]


def cycles_table(sweep: AmplitudeSweep) -> Table:
    """Tabulate the cycles to failure by every law: each convention, form and rule of failure."""
    strains = [life.strain_percent for life in sweep.laws[0].lives] if sweep.laws else []
    return Table(
        "Cycles to failure by each convention of the exponent, each form of damage and each rule of failure.",
        (*_HOW, *(Column(f"At {measured(strain)} %", RIGHT, 2.4) for strain in strains)),
        tuple(
            (*_how(law), *(cycles_words(law, place) for place in range(len(strains)))) for law in sweep.laws
        ),
        note=f"The first row leads. {NO_SPECIMENS}",
        strong=(0,) if sweep.laws else (),
    )


def coefficients_table(sweep: AmplitudeSweep) -> Table:
    """Tabulate A and B of every law."""
    return Table(
        "The fatigue law: cycles to failure are A over the B-th power of the strain in %.",
        (*_HOW, Column("A", RIGHT, 3.2), Column("B", RIGHT, 2.4)),
        tuple(
            (
                *_how(law),
                with_interval(law.coefficient_a, law.a_low, law.a_high),
                with_interval(law.exponent_b, law.b_low, law.b_high, decimals=2),
            )
            for law in sweep.laws
        ),
        note="In brackets the 95 % interval.",
    )


def fit_table(sweep: AmplitudeSweep) -> Table:
    """Tabulate what each law rests on."""
    return Table(
        "What the laws rest on: what is left falls by C1 times the C2-th power of D; failure where it fell "
        "by the loss.",
        (
            *_HOW,
            Column("α", RIGHT),
            Column("C1", RIGHT),
            Column("C2", RIGHT),
            Column("Loss", RIGHT),
            Column("D at failure", RIGHT, 1.3),
            Column("Rows", RIGHT),
        ),
        tuple(
            (
                *_how(law),
                fixed(law.damage_exponent, 3),
                measured(law.fit.loss_coefficient),
                fixed(law.fit.loss_exponent, 4),
                measured(law.loss_at_failure),
                measured(law.damage_at_failure),
                fixed(law.fit.points, 0),
            )
            for law in sweep.laws
        ),
        note="By |G*| sin δ the loss and C1 are in MPa; by the |G*| ratio they are shares of the first |G*|.",
    )


def slope_words(sweep: AmplitudeSweep) -> str:
    """Say the slope of the frequency part."""
    slope = sweep.slope
    if slope.standard is None:
        return f"{fixed(slope.slope, 4)} as stated"
    return (
        f"{fixed(slope.slope, 4)} ± {fixed(slope.standard, 4)} (standard error, {slope.points} frequencies)"
    )


def amplitude_sweep_page(sweeps: Sequence[AmplitudeSweep], *, date: str, package_version: str = "") -> Page:
    """Give the page of one or several amplitude sweeps.

    Parameters
    ----------
    sweeps : sequence of AmplitudeSweep
        Of one file.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    first = sweeps[0]
    several = len(sweeps) > 1
    title = f"{len(sweeps)} specimens" if several else sweep_name(first)
    sections = [
        section for place, sweep in enumerate(sweeps, 1) for section in _sections(sweep, place, several)
    ]
    doubts = tuple(finding for sweep in sweeps for finding in sweep.findings)
    return Page(
        title="Fatigue of a binder in a linear amplitude sweep",
        number=title,
        date=date,
        sample=title,
        laboratory="",
        banner="",
        identity=(
            ("Specimen", title),
            ("Temperature", f"{fixed(first.temperature_c, 1)} °C"),
            ("Frequency", f"{fixed(first.frequency_hz, 1)} Hz"),
            ("Slope m of log G'", slope_words(first)),
            ("Date", date),
        ),
        answer=sweep_sentence(first) if not several else f"{len(sweeps)} specimens; each stands below.",
        answer_more=(NO_SPECIMENS,),
        sections=(
            findings_section(doubts),
            *sections,
            _basis(first, package_version),
            caution_section(),
        ),
        signatures=(),
    )


def _sections(sweep: AmplitudeSweep, place: int, several: bool) -> list[Section]:
    name = f"{sweep_name(sweep)}: " if several else ""
    pictures = tuple(
        Picture(f"{key}-{place}", spec, _CAPTIONS[key]) for key, spec in figures_of_sweep(sweep).items()
    )
    return [
        Section(
            key=f"fatigue-{place}",
            title=f"{name}Cycles to failure",
            paragraphs=(sweep_sentence(sweep),) if several else (),
            tables=(cycles_table(sweep), coefficients_table(sweep)) if sweep.laws else (),
        ),
        Section(key=f"pictures-{place}", title=f"{name}Stress, damage and fatigue", pictures=pictures),
        Section(
            key=f"fit-{place}",
            title=f"{name}Exponent and fit",
            facts=(("Slope m of log G' against log frequency", slope_words(sweep)),),
            tables=(fit_table(sweep),) if sweep.laws else (),
        ),
    ]


def _basis(sweep: AmplitudeSweep, version: str) -> Section:
    facts: list[tuple[str, str]] = []
    if sweep.source is not None and sweep.account is not None:
        facts += account_facts(sweep.source, sweep.account)
        facts.append(("SHA-256", sweep.source.sha256))
    facts += [
        (
            "Method",
            "AASHTO T 391 (formerly TP 101), equations from memory (high), not checked against the text",
        ),
        ("Made with", f"resile {version}".strip()),
    ]
    return Section(key="basis", title="What this rests on", facts=tuple(facts))
