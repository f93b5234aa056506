"""The page of sampling: what is due, the severity with its history, the plan."""

from __future__ import annotations

from resile.records.control.sampling import SamplingPlan, SamplingState, SwitchingRule
from resile.report.figures.control.sampling import figure_sampling, severity_words
from resile.report.numbers import NOT_KNOWN
from resile.report.paper.control.common import basis_section
from resile.report.paper.models.model import Column, Page, Picture, Section, Table

CAUTION = (
    "Hot binder burns: sampling by trained people with face shield, gloves for heat and long sleeves, "
    "with water to cool "
    "burns at hand, nobody alone."
)
_KIND_WORDS = {"at once": "at once", "later": "in its turn"}


def sampling_page(state: SamplingState, *, product: str, date: str, package_version: str = "") -> Page:
    """Give the page of sampling.

    Parameters
    ----------
    state : SamplingState
        As it stands.
    product : str
        Product in words; may be empty.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For terminal, web page and paper.
    """
    plan = state.plan
    return Page(
        title="Sampling",
        number=product or plan.identifier,
        date=date,
        sample=product or plan.identifier,
        laboratory="",
        banner="",
        identity=(
            *((("Product", product),) if product else ()),
            ("Plan", f"{plan.title} ({plan.identifier})"),
            ("Severity now", severity_words(state.severity)),
            ("Lots", str(sum(not one.extra for one in state.lots))),
            ("Date", date),
        ),
        answer=sampling_answer(state),
        answer_more=(),
        sections=(
            Section(key="due", title="Due", tables=(due_table(state),)),
            Section(key="lots", title="Lots", pictures=_pictures(state)),
            Section(key="history", title="Severity and why", tables=(history_table(state),)),
            *plan_sections(plan),
            Section(key="cautions", title="Cautions", bullets=(CAUTION,)),
            basis_section((), package_version),
        ),
        signatures=(),
    )


def sampling_answer(state: SamplingState) -> str:
    """Give the answer in a sentence or two."""
    urgent = [one for one in state.due if one.at_once]
    first = f"Sampling is {severity_words(state.severity)}."
    if urgent:
        return f"{first} {urgent[0].sentence}"
    newest = next((one for one in state.due if one.kind == "next lot"), None)
    return f"{first} {newest.sentence}" if newest is not None else first


def due_table(state: SamplingState) -> Table:
    """Give what is due, the most urgent first."""
    rows = tuple(
        (one.kind, one.lot or NOT_KNOWN, _KIND_WORDS["at once" if one.at_once else "later"], one.sentence)
        for one in state.due
    )
    columns = (
        Column("What", share=0.9),
        Column("Lot", share=0.8),
        Column("When", share=0.8),
        Column("Why", share=4.0),
    )
    return Table(
        "What to do", columns, rows, strong=tuple(at for at, one in enumerate(state.due) if one.at_once)
    )


def history_table(state: SamplingState) -> Table:
    """Give each severity with the lot after which it began, and why."""
    rows = tuple(
        (
            one.after_lot or NOT_KNOWN,
            one.when[:10] or NOT_KNOWN,
            severity_words(one.severity),
            one.reason,
            one.source,
        )
        for one in state.history
    )
    columns = (
        Column("After lot", share=0.8),
        Column("Taken", share=0.9),
        Column("Severity", share=0.9),
        Column("Why", share=2.4),
        Column("Rule", share=2.4),
    )
    return Table("Severity", columns, rows)


def plan_sections(plan: SamplingPlan) -> tuple[Section, ...]:
    """Give the plan itself: levels, switching, notes."""
    levels = tuple(
        (
            one.severity,
            one.rhythm,
            _lot_words(plan, one.lot_t),
        )
        for one in plan.levels
    )
    columns = (Column("Severity"), Column("Sampled"), Column("Lot"))
    asked = Table("Levels", columns, levels, f"Source: {plan.cited}.")
    switching = tuple((one.severity, one.to, switch_words(one), one.cited) for one in plan.switching)
    rules = (
        Column("From", share=0.8),
        Column("To", share=0.8),
        Column("When", share=2.4),
        Column("Source", share=2.6),
    )
    tables = (asked, *((Table("Switching", rules, switching),) if switching else ()))
    return (Section(key="plan", title="Plan", tables=tables, facts=_plan_facts(plan), bullets=plan.notes),)


def switch_words(rule: SwitchingRule) -> str:
    """Say when a rule changes the severity."""
    if rule.accepted_in_a_row is not None:
        words = f"{rule.accepted_in_a_row} sampled lots in a row accepted"
    elif rule.failures == 1:
        words = "a sampled lot not accepted"
    elif rule.among is None:
        words = f"{rule.failures} sampled lots not accepted since it began"
    else:
        words = f"{rule.failures} of {rule.among} sampled lots or fewer not accepted"
    return f"{words}, with consent" if rule.needs_consent else words


def _lot_words(plan: SamplingPlan, lot_t: float | None) -> str:
    return (
        f"up to {lot_t:g} t"
        if lot_t is not None
        else ("content of a tank" if plan.lot_is == "tank" else NOT_KNOWN)
    )


def _plan_facts(plan: SamplingPlan) -> tuple[tuple[str, str], ...]:
    size = "" if plan.container_l is None else f" of {plan.container_l:g} L"
    facts = [("Document", plan.document), ("Filled at each sampling", f"{plan.containers} containers{size}")]
    if plan.material:
        facts.insert(0, ("For", plan.material))
    if plan.lot_days is not None:
        facts.append(
            (
                "A lot ends",
                f"after {plan.lot_days:g} days{', or when product is added' if plan.ends_when_added else ''}",
            )
        )
    if plan.tests:
        facts.append(("Tested", f"{plan.tested_share}: {', '.join(plan.tests)}"))
    if plan.extra_after_failure:
        facts.append(("After a failure", "an extra sample of that lot at once; no shutdown"))
    facts.append(("Checked", plan.checked or "not yet compared with the document by a second person"))
    return tuple(facts)


def _pictures(state: SamplingState) -> tuple[Picture, ...]:
    caption = "The newest lots at the severity at which they were made, with what became of them."
    return (Picture("sampling", figure_sampling(state), caption),) if state.lots else ()
