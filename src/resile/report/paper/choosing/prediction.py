"""The sheet of a prediction: answers, values with band, classes, limits, and what it all rests on."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.finding import Finding
from resile.records.prediction import (
    BandPoint,
    PropertyLine,
    SamplePrediction,
)
from resile.records.reading import ReadingAccount, SourceFile
from resile.report.figures.property_line import figure_property
from resile.report.numbers import (
    shown_probability,
    shown_step,
)
from resile.report.paper.assemble import BANNER
from resile.report.paper.choosing.prediction_tables import (
    NO_TEST,
    classes_table,
    headline,
    limits_table,
    lines_table,
    values_table,
)
from resile.report.paper.models.model import Page, Picture, Section, finding_entry
from resile.report.paper.runs.reading import account_facts
from resile.report.paper.statements.provenance import caution_section, specification_facts, unchecked_notice
from resile.report.words import CONDITION_WORDS, heaviest_first, joined, symbol_of

Curves = Sequence[Sequence[tuple[str, PropertyLine, Sequence[BandPoint]]]]


def prediction_page(
    samples: Sequence[SamplePrediction],
    curves: Curves,
    *,
    date: str,
    source: SourceFile | None = None,
    account: ReadingAccount | None = None,
    findings: Sequence[Finding] = (),
    invented: bool = False,
    package_version: str = "",
) -> Page:
    """Give the page of predictions.

    Parameters
    ----------
    samples : sequence of SamplePrediction
        One or several, by one specification.
    curves : sequence
        For each sample its properties with a line: name of the picture, the property, its curve.
    date : str
        Date on the sheet, YYYY-MM-DD.
    source, account
        The file, and how it was read.
    findings : sequence of Finding
        Doubts about the file as a whole.
    invented : bool
        True for demonstration data.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    first = samples[0]
    several = len(samples) > 1
    asked = joined([f"{shown_step(one.temperature_c)} °C" for one in first.temperatures])
    doubts = heaviest_first((*findings, *(f for sample in samples for f in sample.findings)))
    sections: list[Section] = []
    for sample, drawn in zip(samples, curves, strict=True):
        sections += _sample_sections(sample, drawn, several=several)
    sections.append(
        Section(key="findings", title="Findings", findings=tuple(finding_entry(one) for one in doubts))
    )
    kind = first.kind
    return Page(
        title="What a binder would show at other temperatures",
        number=first.sample if not several else f"{len(samples)} samples",
        date=date,
        sample=first.sample if not several else f"{len(samples)} samples",
        laboratory="",
        banner=BANNER if invented else "",
        identity=(
            ("Sample", joined([sample.sample for sample in samples])),
            ("Asked for", asked),
            (
                "Specification",
                f"{first.specification.document} ({first.specification.edition or 'edition not stated'})",
            ),
            ("Counts as sure", f"{shown_probability(first.required_probability)} or more"),
            ("Kind of binder", kind.title if kind is not None else "not named"),
            ("Date", date),
        ),
        answer=page_answer(samples),
        answer_more=(NO_TEST,),
        sections=(*sections, _basis(first, source, account, package_version), caution_section()),
        signatures=(),
    )


def page_answer(samples: Sequence[SamplePrediction]) -> str:
    """Give the answer of a page in one sentence: the sample, or how many there are."""
    if len(samples) == 1:
        return f"{samples[0].sample}: {'; '.join(headline(one) for one in samples[0].temperatures)}."
    asked = joined([f"{shown_step(one.temperature_c)} °C" for one in samples[0].temperatures])
    return f"{len(samples)} samples were carried to {asked}; each stands below."


def _sample_sections(
    sample: SamplePrediction, drawn: Sequence[tuple[str, PropertyLine, Sequence[BandPoint]]], *, several: bool
) -> list[Section]:
    name = f"{sample.sample}: " if several else ""
    key = drawn[0][0].rpartition("-")[0] if drawn else f"sample-{sample.sample}"
    pictures = tuple(
        Picture(picture, figure_property(line, curve, sample.temperatures), _caption(line))
        for picture, line, curve in drawn
    )
    limits = limits_table(sample)
    return [
        Section(
            key=f"{key}-answer",
            title=f"{name}What to expect",
            paragraphs=tuple(one.answer for one in sample.temperatures if one.answer),
            tables=(values_table(sample), classes_table(sample)),
        ),
        Section(key=f"{key}-pictures", title=f"{name}Properties against temperature", pictures=pictures),
        Section(
            key=f"{key}-lines",
            title=f"{name}Limits and lines",
            tables=(*((limits,) if limits is not None else ()), lines_table(sample)),
        ),
    ]


def _caption(line: PropertyLine) -> str:
    stairs = ", stairs the limits of the classes as far as the line keeps them" if line.limits else ""
    return (
        f"{symbol_of(line.quantity)}, {CONDITION_WORDS[line.condition]}. Filled circles are single tests, "
        f"the shaded band holds 95 % of single further tests{stairs}; open squares with whiskers are "
        "predictions, filled squares measured values at a temperature asked for."
    )


def _basis(
    sample: SamplePrediction, source: SourceFile | None, account: ReadingAccount | None, version: str
) -> Section:
    facts: list[tuple[str, str]] = []
    if source is not None and account is not None:
        facts += account_facts(source, account)
    elif source is not None:
        facts.append((source.path, f"SHA-256 {source.sha256}"))
    facts += specification_facts(sample.specification)
    if sample.kind is not None:
        facts += [
            (
                "Kind of binder",
                f"{sample.kind.identifier}: {sample.kind.title} (SHA-256 {sample.kind.sha256})",
            ),
            *(
                (f"Slope of {symbol_of(one.quantity)}", f"{one.source} [{one.evidence or 'not marked'}]")
                for one in sample.kind.slopes
                if any(
                    line.quantity == one.quantity
                    and one.condition in (None, line.condition)
                    and getattr(line.line, "prior", None) is not None
                    for line in sample.properties
                )
            ),
        ]
    facts.append(("Made with", f"resile {version}".strip()))
    return Section(
        key="basis",
        title="What this rests on",
        notice=unchecked_notice(sample.specification),
        facts=tuple(facts),
    )
