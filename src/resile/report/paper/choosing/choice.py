"""The page of a choice: for the engineer of the road first, for the laboratory after it."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.choice import Choice
from resile.records.reading import SourceFile
from resile.records.specification import Specification
from resile.records.standing import GradeStanding
from resile.report.choice_words import ALWAYS_TEST, answer_sentences, percent
from resile.report.figures.grade_map import figure_grade_map, figure_map_key
from resile.report.figures.site_map import figure_site_maps
from resile.report.paper.choosing.choice_tables import (
    binders_table,
    labels_table,
    next_tests_table,
    plans_table,
    sites_table,
    standings_key,
    suppositions_table,
)
from resile.report.paper.models.model import Column, Page, Picture, Section, Table, finding_entry

_MOST_GRADES = 24
_FIELDS_A_PICTURE = 6
HOW_TO_READ = (
    "A grade such as PG 64V-22 says what a road asks of its binder. The first number is the hottest the road "
    "gets, in °C; the road, not the air: a black road is some 20 °C hotter. The last number is the coldest. "
    "The letter is the traffic: S standard, H heavy, V very heavy or slow, E extreme.",
    "The laboratory does not test every binder at every temperature. 'Tested' means that every property was "
    "measured where this road needs it, or where it is harder to meet. 'Expected' means that something "
    "follows from tests at other temperatures, with the probability that a test would pass.",
)


def choice_page(
    choice: Choice,
    standings: Sequence[Sequence[GradeStanding]],
    specification: Specification,
    sources: Sequence[SourceFile],
    *,
    title: str,
    date: str,
    banner: str = "",
) -> Page:
    """Put a choice on a page.

    Parameters
    ----------
    choice : Choice
        The choice.
    standings : sequence of sequence of GradeStanding
        By binder, then by grade.
    specification : Specification
        The rule set.
    sources : sequence of SourceFile
        Files it was made from.
    title : str
        Name of the range.
    date : str
        Date on the page.
    banner : str
        Warning over everything.

    Returns
    -------
    Page
        Answer, sites, map, grade map, binders by grade, next tests, products, what if, sources.
    """
    first, *others = answer_sentences(choice)
    sections = [
        _sites(choice),
        _doubts(choice),
        _places(choice),
        _grade_map(standings),
        _binders(choice),
        _next(choice),
        _products(choice),
        _what_if(choice),
        _labels(choice),
        _sources(choice, specification, sources),
    ]
    return Page(
        title="Which binder for which road",
        number=f"choice-{date}",
        date=date,
        sample=title,
        laboratory=title,
        banner=banner,
        identity=(
            ("Date", date),
            ("Sites", str(len(choice.sites))),
            ("Binders", str(len(standings))),
            ("Specification", f"{specification.document}, edition {specification.edition}"),
            ("Sure asked for", percent(choice.required_probability)),
            (
                "Measured results",
                "count with their uncertainty" if choice.measured_with_uncertainty else "count as judged",
            ),
        ),
        answer=first,
        answer_more=(*others, ALWAYS_TEST),
        sections=tuple(section for section in sections if section is not None),
        signatures=(),
    )


def _sites(choice: Choice) -> Section:
    return Section(
        key="sites",
        title="The roads and their binders",
        paragraphs=HOW_TO_READ,
        tables=(sites_table(choice),),
    )


def _doubts(choice: Choice) -> Section | None:
    findings = tuple(finding_entry(finding) for finding in choice.findings)
    return Section(key="findings", title="Doubts", findings=findings) if findings else None


def _places(choice: Choice) -> Section | None:
    caption = (
        "Where the sites lie, and the binder of each. Plain degrees, true to scale at the middle latitude; "
        "names that would cover others are left out."
    )
    pictures = tuple(
        Picture(f"site-map-{number}", spec, caption)
        for number, spec in enumerate(figure_site_maps(choice), 1)
    )
    if not pictures:
        return None
    return Section(key="places", title="Where they lie", pictures=pictures)


def _grade_map(standings: Sequence[Sequence[GradeStanding]]) -> Section:
    pictures = [Picture("map-key", figure_map_key(), "Marks of the grade map.")]
    for start in range(0, len(standings), _FIELDS_A_PICTURE):
        some = standings[start : start + _FIELDS_A_PICTURE]
        names = f"{some[0][0].binder} to {some[-1][0].binder}" if len(some) > 1 else some[0][0].binder
        caption = f"{names}. Under a mark: the coldest low end that goes with it; under a ring also how sure."
        pictures.append(
            Picture(f"grade-map-{start // _FIELDS_A_PICTURE + 1}", figure_grade_map(some), caption)
        )
    return Section(
        key="map",
        title="Grade map of the range",
        paragraphs=("Climate to the right, traffic upwards. " + standings_key(),),
        pictures=tuple(pictures),
        new_page=True,
    )


def _binders(choice: Choice) -> Section:
    shown = choice.grades[:_MOST_GRADES]
    more = len(choice.grades) - len(shown)
    return Section(
        key="binders",
        title="Every binder for every grade",
        paragraphs=(
            "Those that serve, cheapest first, with what decides at the hot and at the cold end; then the "
            "others, with the reason why they fall out."
            + (f" {more} more grades stand in the workbook." if more else ""),
        ),
        tables=tuple(binders_table(choice, grade) for grade in shown),
        new_page=True,
    )


def _next(choice: Choice) -> Section:
    if not choice.next_tests:
        return Section(
            key="next",
            title="What to test next",
            paragraphs=("No single test that is not made yet would change the choice.",),
        )
    return Section(key="next", title="What to test next", tables=(next_tests_table(choice),))


def _products(choice: Choice) -> Section | None:
    told = []
    if choice.never_needed:
        told.append(f"Nowhere the cheapest: {', '.join(choice.never_needed)}.")
    if choice.idle_grades:
        told.append(f"Labels the range carries and no site needs: {', '.join(choice.idle_grades)}.")
    if not choice.plans and not told:
        return None
    return Section(
        key="products",
        title="How few products would do",
        tables=(plans_table(choice),) if choice.plans else (),
        bullets=tuple(told),
    )


def _what_if(choice: Choice) -> Section | None:
    if not choice.suppositions:
        return None
    return Section(key="what-if", title="What if", tables=(suppositions_table(choice),))


def _labels(choice: Choice) -> Section | None:
    if not any(choice.labels):
        return None
    return Section(key="labels", title="Labels of each binder", tables=(labels_table(choice),))


def _sources(choice: Choice, specification: Specification, sources: Sequence[SourceFile]) -> Section:
    checked = specification.checked or "not checked against the document by a second person"
    return Section(
        key="sources",
        title="What this rests on",
        facts=(
            ("Rule set", f"{specification.identifier}: {specification.title}"),
            ("Transcribed", specification.transcribed),
            ("Checked", checked),
            ("SHA-256 of the rule set", specification.sha256),
        ),
        tables=(
            Table(
                caption="Files",
                columns=(Column("File"), Column("SHA-256", share=3.0)),
                rows=tuple((one.path, one.sha256) for one in sources),
            ),
        ),
        bullets=specification.notes,
        bullets_title="Notes of the rule set",
    )
