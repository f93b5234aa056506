"""The sheet of fitted creep models: the answer on Jnr, doubts, parameters, pictures, sources."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.models.creep_model import CreepModelFit, CreepModelKind, JnrSplit, ModelParameter
from resile.report.figures.models.creep_model import figure_fitted_cycles, figure_jnr_split, figure_residuals
from resile.report.numbers import THREE_FIGURES, decimals_of, fixed, shown
from resile.report.paper.models.doubts import findings_section
from resile.report.paper.models.model import RIGHT, Column, Page, Picture, Section, Table
from resile.report.paper.statements.provenance import caution_section
from resile.report.words import joined

KIND_WORDS = {
    CreepModelKind.BURGERS: "Burgers model",
    CreepModelKind.KELVIN: "generalised Kelvin model",
    CreepModelKind.FRACTIONAL: "fractional model",
}
_UNKNOWN = "not known"
_ALL_PERCENT = 99.95  # would be shown as 100.0 %


def creep_model_page(fits: Sequence[CreepModelFit], *, date: str, package_version: str = "") -> Page:
    """Give the page of fitted models.

    Parameters
    ----------
    fits : sequence of CreepModelFit
        At least one.
    date : str
        Date on the sheet, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    several = len(fits) > 1
    sections = [
        part for place, fit in enumerate(fits, 1) for part in model_sections(fit, place, several=several)
    ]
    name = model_name(fits[0]) if not several else f"{len(fits)} runs"
    return Page(
        title="Creep and recovery as a model",
        number=name,
        date=date,
        sample=name,
        laboratory="",
        banner="",
        identity=(("Runs", joined([model_name(fit, folder=several) for fit in fits])), ("Date", date)),
        answer=answer_of(fits[0]) if not several else f"{len(fits)} runs were fitted; each stands below.",
        answer_more=("A model describes this record; it does not replace the result of the test.",),
        sections=(*sections, _basis(fits, package_version), caution_section()),
        signatures=(),
    )


def model_name(fit: CreepModelFit, *, folder: bool = False) -> str:
    """Give a run its name: its file, with the folder where files of several may be alike, and its label."""
    parts = fit.source.path.replace("\\", "/").split("/") if fit.source else [""]
    file = "/".join(parts[-2:] if folder else parts[-1:])
    return ", ".join(part for part in (file, fit.label) if part) or "the run"


def model_sections(fit: CreepModelFit, place: int = 1, *, several: bool = False) -> list[Section]:
    """Give the sections of one fit: what it says of Jnr, doubts, parameters, residuals.

    Parameters
    ----------
    fit : CreepModelFit
        The fit.
    place : int
        Place among the fits of the page, for the names of pictures.
    several : bool
        Whether the titles name the run.

    Returns
    -------
    list of Section
        For page and workbench.
    """
    name = f"{model_name(fit, folder=True)}: " if several else ""
    key = f"model-{place}"
    return [
        Section(
            key=f"{key}-jnr",
            title=f"{name}What Jnr consists of",
            paragraphs=(answer_of(fit),) if several else (),
            pictures=(
                Picture(
                    f"{key}-split",
                    figure_jnr_split(fit),
                    "What one push leaves when the recovery ends. The rule shows the interval of the flow.",
                ),
            ),
            tables=(splits_table(fit),),
        ),
        findings_section(fit.findings, key=f"{key}-findings", title=f"{name}Findings"),
        Section(
            key=f"{key}-parameters",
            title=f"{name}Springs and dashpots",
            paragraphs=(kind_sentence(fit),),
            tables=tuple(table for table in (parameters_table(fit), tried_table(fit)) if table is not None),
        ),
        Section(
            key=f"{key}-pictures",
            title=f"{name}Measured and fitted",
            paragraphs=(residual_sentence(fit),),
            pictures=(
                Picture(
                    f"{key}-cycles",
                    figure_fitted_cycles(fit),
                    "Last cycle at each stress: circles are measured, the line is the model.",
                ),
                Picture(
                    f"{key}-residuals",
                    figure_residuals(fit),
                    "Measured less fitted strain: left a drift would show, right a wave of each cycle.",
                ),
            ),
        ),
    ]


def answer_of(fit: CreepModelFit) -> str:
    """Give the answer in one sentence: which part of Jnr flows at each stress."""
    if len(fit.splits) > 1 and all(_flows_wholly(split) for split in fit.splits):
        stresses = joined([f"at {split.stress_kpa:g} kPa" for split in fit.splits])
        return f"Of what a push leaves, practically all is viscous flow {stresses}."
    return "Of what a push leaves, " + "; ".join(_split_words(split) for split in fit.splits) + "."


def _flows_wholly(split: JnrSplit) -> bool:
    return 0.0 < split.flow + split.late < split.flow * 100.0 / _ALL_PERCENT


def _split_words(split: JnrSplit) -> str:
    whole = split.flow + split.late
    if whole <= 0.0:
        return f"nothing is left at {split.stress_kpa:g} kPa"
    if _flows_wholly(split):
        return f"practically all is viscous flow at {split.stress_kpa:g} kPa"
    share = 100.0 * split.flow / whole
    return (
        f"{shown(share, 'percent_recovery_3.2')} % is viscous flow at {split.stress_kpa:g} kPa and "
        f"{shown(100.0 - share, 'percent_recovery_3.2')} % is recovery still under way"
    )


def kind_sentence(fit: CreepModelFit) -> str:
    """Say which model it is, and what the levels share."""
    model = fit.model
    count = len(model.compliances[0].delayed_compliance)
    elements = f"{count} Kelvin element{'' if count == 1 else 's'}"
    words = KIND_WORDS[model.kind]
    what = (
        "a spring, a dashpot and a fractional element in a row; all stresses share its exponent"
        if model.kind is CreepModelKind.FRACTIONAL
        else f"a spring, a dashpot and {elements} in a row; all stresses share the retardation times"
    )
    starts = f"{fit.fit.agreeing} of {fit.fit.starts} starts agree"
    return (
        f"{words[0].upper()}{words[1:]}: {what} and have compliances of their own. Fitted to all cycles at "
        f"once, with what earlier pushes left; {starts}. Intervals hold {100.0 * fit.probability:g} %."
    )


def residual_sentence(fit: CreepModelFit) -> str:
    """Say how far the model is from the record."""
    told = joined(
        [
            f"{_figures(root)} % at {level.stress_kpa:g} kPa"
            for root, level in zip(fit.residual_percents, fit.model.compliances, strict=True)
        ]
    )
    said = f"Root mean square of the residuals, in per cent of the mean creep strain of a cycle: {told}."
    together = [
        f"{fixed(one, 2)} at {level.stress_kpa:g} kPa"
        for one, level in zip(fit.residual_correlations, fit.model.compliances, strict=False)
        if one > 0.0
    ]
    if not together:
        return said
    correlated = f"Neighbouring residuals hang together (correlation {joined(together)})"
    return f"{said} {correlated}: the intervals are wider for it."


def splits_table(fit: CreepModelFit) -> Table:
    """Give the parts of Jnr at each stress."""
    rows = tuple(
        (
            f"{one.stress_kpa:g} kPa",
            _figures(one.jnr),
            _with_ends(one.flow, one.flow_lower, one.flow_upper),
            _with_ends(one.late, one.late_lower, one.late_upper),
            _figures(one.earlier),
        )
        for one in fit.splits
    )
    return Table(
        caption="Jnr by the model and its parts, in 1/kPa",
        columns=(
            Column("Stress"),
            Column("Jnr", RIGHT),
            Column("Viscous flow (interval)", RIGHT),
            Column("Still recovering (interval)", RIGHT),
            Column("Earlier pushes", RIGHT),
        ),
        rows=rows,
        note="Jnr is the sum of the three parts. Earlier pushes still recover during a cycle: at most 0.",
    )


def parameters_table(fit: CreepModelFit) -> Table:
    """Give the parameters with their intervals: one row a part, one column a stress."""
    model = fit.model
    stresses = [one.stress_kpa for one in model.compliances]
    found = {(one.name, one.stress_kpa, one.element): one for one in fit.parameters}
    count = len(model.compliances[0].delayed_compliance)
    rows = [
        (label, *(_parameter(found[name, stress, None]) for stress in stresses))
        for label, name in (
            ("Spring, compliance (1/kPa)", "elastic_compliance"),
            ("Dashpot, viscosity (kPa·s)", "viscosity"),
        )
    ]
    for element in range(1, count + 1):
        shared = (
            f"exponent {_parameter(found['exponent', None, None])}; compliance after 1 s (1/kPa)"
            if model.exponent is not None
            else f"{_parameter(found['retardation_time', None, element])} s; compliance (1/kPa)"
        )
        own = (_parameter(found["delayed_compliance", stress, element]) for stress in stresses)
        rows.append((f"Element {element}, {shared}", *own))
    return Table(
        caption="Parameters with intervals",
        columns=(Column("Part"), *(Column(f"{stress:g} kPa", RIGHT) for stress in stresses)),
        rows=tuple(rows),
        note="An element with its retardation time: after that time 63 % of its strain has come. "
        "0 without interval: the fit needs no such part at that stress."
        if model.exponent is None
        else "Strain of the fractional element grows with time to the power of the exponent.",
    )


def tried_table(fit: CreepModelFit) -> Table | None:
    """Give the numbers of elements that were tried; None where the number was given."""
    if not fit.tried:
        return None
    best, kept = min(value for _, value in fit.tried), len(fit.model.retardation_times_s)
    return Table(
        caption="Numbers of Kelvin elements that were tried",
        columns=(Column("Elements", RIGHT), Column("Information criterion above the best", RIGHT)),
        rows=tuple((str(count), fixed(value - best, 1)) for count, value in fit.tried),
        note="Akaike's criterion, corrected for the number of data; kept are the fewest elements within "
        "10 of the best.",
        strong=tuple(place for place, (count, _) in enumerate(fit.tried) if count == kept),
    )


def _parameter(one: ModelParameter) -> str:
    if math.isinf(one.value):
        return "does not flow"
    return _with_ends(one.value, one.lower, one.upper) + (
        " (on its bound)" if one.at_bound and one.value else ""
    )


def _with_ends(value: float, lower: float, upper: float) -> str:
    if math.isnan(lower) and math.isnan(upper):
        return _figures(value)
    ends = [_figures(end) if math.isfinite(end) else _UNKNOWN for end in (lower, upper)]
    return f"{_figures(value)} ({ends[0]} to {ends[1]})"


def _figures(value: float) -> str:
    """Show three significant figures, whatever the size."""
    if not math.isfinite(value):
        return _UNKNOWN
    if abs(value) < 1e-6:
        return "0"
    return fixed(value, min(decimals_of(value, THREE_FIGURES), 7))


def _basis(fits: Sequence[CreepModelFit], package_version: str) -> Section:
    sources = dict.fromkeys((fit.source.path, fit.source.sha256) for fit in fits if fit.source)
    facts = [(path, f"SHA-256 {digest}") for path, digest in sources]
    if package_version:
        facts.append(("Computed with", f"resile {package_version}"))
    return Section(key="basis", title="What this rests on", facts=tuple(facts))
