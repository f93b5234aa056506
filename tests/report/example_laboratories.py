"""Laboratories beside one another: numbers of published examples where there are any, else by hand."""

from published_studies import CREOSOTE, GLUCOSE
from resile.records.determination import Condition
from resile.records.laboratories import (
    CheckChart,
    Dispute,
    DisputeFound,
    DisputeParty,
    DisputeRule,
    InterlaboratoryStudy,
    MaterialChecks,
    OwnPrecisionFound,
    Replicates,
    RoundScores,
    VarianceComponents,
)
from resile.records.register.laboratories import CheckMaterial, CheckResult, RoundResult
from resile.report.paper.laboratories.checks import check_page
from resile.report.paper.laboratories.components import components_page
from resile.report.paper.laboratories.dispute import dispute_page
from resile.report.paper.laboratories.own import own_page
from resile.report.paper.laboratories.robust import robust_page
from resile.report.paper.laboratories.scores import scores_page
from resile.report.paper.laboratories.study import study_page
from resile.specifications.laboratories import load_comparison_practice
from resile.workflows.laboratories.checks import check_chart
from resile.workflows.laboratories.compared import compare_precision
from resile.workflows.laboratories.components import components_of
from resile.workflows.laboratories.dispute import dispute_of
from resile.workflows.laboratories.own_precision import own_precision
from resile.workflows.laboratories.scores import round_scores
from resile.workflows.laboratories.shown import LaboratorySheet
from resile.workflows.laboratories.study import robust_means_of, study_of

RTFO = Condition.SHORT_TERM_AGED

# Certificate of a check fluid after ASTM D6617 [read]: 33.98 mm²/s, s 0.19 %, expanded 0.22 %.
FLUID = CheckMaterial(
    name="Fluid 34, lot 7",
    kind="check-fluid",
    quantity="kinematic_viscosity",
    reference=33.98,
    reference_expanded=33.98 * 0.0022,
    site_deviation=33.98 * 0.0019,
    certificate="C-7",
    until="2025-12-31",
)


def example_study() -> InterlaboratoryStudy:
    return study_of(GLUCOSE)


def example_scores() -> RoundScores:
    scores = (1.2, 1.1, 1.3, -0.4, 2.4, 3.2)
    return round_scores(
        [
            RoundResult(
                scheme="Neighbours",
                round=str(place),
                material=chr(64 + place),
                quantity="jnr_3.2",
                condition=RTFO,
                temperature_c=64.0,
                value=0.8 + 0.05 * score,
                assigned=0.8,
                deviation=0.05,
                day=f"2025-{2 * place:02d}-10",
            )
            for place, score in enumerate(scores, 1)
        ]
    )


def example_dispute() -> DisputeFound:
    """Rule agreed first, r and R given: 0.42 R of two laboratories is shown by hand in the trade notes."""
    rule = DisputeRule(
        name="failure-must-be-shown",
        text="",
        source="",
        agreed_on="2025-03-01",
        agreed_by=("Supplier S", "Receiver R"),
    )
    return dispute_of(
        Dispute(
            sample="tank 4",
            quantity="jnr_3.2",
            unit="1/kPa",
            condition=RTFO,
            temperature_c=64.0,
            limit=0.5,
            limit_is="at_most",
            clause="contract, table 1",
            rule=rule,
            first=DisputeParty(name="S", role="supplier", values=(0.42, 0.44), tested="2025-03-04"),
            second=DisputeParty(name="R", role="receiver", values=(0.68,), tested="2025-03-05"),
            repeatability_limit=0.05,
            reproducibility_limit=0.20,
        )
    )


def example_components() -> VarianceComponents:
    """Two operators, two days each, two results: mean squares 128, 16 and 2 by hand.

    Means of days 12, 16; 20, 24 (within each ±1), of operators 14 and 22: components 2 (duplicates),
    (16 - 2)/2 = 7 (days) and (128 - 16)/4 = 28 (operators).
    """
    values = [11.0, 13.0, 15.0, 17.0, 19.0, 21.0, 23.0, 25.0]
    factors = [("operator", list("PPPPQQQQ")), ("day", list("aabbaabb"))]
    return components_of(values, factors, design="nested", quantity="softening_point")


def example_precision() -> OwnPrecisionFound:
    pairs = ((0.412, 0.420), (0.655, 0.640), (0.388, 0.393), (0.721, 0.733), (0.502, 0.495))
    return own_precision(
        "jnr_3.2",
        duplicates=[
            Replicates(values=pair, when=f"2025-03-{place:02d}") for place, pair in enumerate(pairs, 1)
        ],
        checks=[
            MaterialChecks(
                material=CheckMaterial(
                    name="Tin 7",
                    kind="check-binder",
                    quantity="jnr_3.2",
                    reference=0.80,
                    reference_expanded=0.02,
                ),
                checks=tuple(
                    CheckResult(material="m", instrument="R", measured=one, done=f"2025-04-{place:02d}")
                    for place, one in enumerate((0.81, 0.84, 0.79, 0.83, 0.82), 1)
                ),
            )
        ],
        condition=RTFO,
    )


def example_checks() -> CheckChart:
    measured = (34.01, 33.95, 34.09, 34.15, 34.18, 33.97)
    return check_chart(
        FLUID,
        [
            CheckResult(
                material="Fluid 34", instrument="Viscometer 1", measured=one, done=f"2025-06-{day:02d}"
            )
            for day, one in enumerate(measured, 2)
        ],
    )


def example_sheets() -> dict[str, LaboratorySheet]:
    """Every sheet by the name of its golden text."""
    practice, told = load_comparison_practice(), {"version": "0"}
    study, scores, dispute = example_study(), example_scores(), example_dispute()
    components, own, checks = example_components(), example_precision(), example_checks()
    compared = compare_precision(own)
    robust = robust_means_of(CREOSOTE)
    return {
        "laboratory_study": LaboratorySheet(
            {}, lambda date: study_page(study, date=date, path="", practice=practice, **told), study.findings
        ),
        "laboratory_robust": LaboratorySheet(
            {}, lambda date: robust_page(CREOSOTE, robust, date=date, path="", **told)
        ),
        "laboratory_scores": LaboratorySheet(
            {},
            lambda date: scores_page(scores, date=date, path="", remarks=(), practice=practice, **told),
            scores.findings,
        ),
        "laboratory_dispute": LaboratorySheet(
            {}, lambda date: dispute_page(dispute, date=date, file=("", ""), **told), dispute.findings
        ),
        "laboratory_components": LaboratorySheet(
            {},
            lambda date: components_page(components, title="operators", date=date, path="", **told),
            components.findings,
        ),
        "laboratory_precision": LaboratorySheet(
            {}, lambda date: own_page(own, compared, date=date, practice=practice, **told), own.findings
        ),
        "laboratory_checks": LaboratorySheet(
            {}, lambda date: check_page(checks, date=date, practice=practice, **told), checks.findings
        ),
    }
