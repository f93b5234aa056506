"""Laws of uncertainty through grading: what a wider doubt, a stiffer residue and a shared error may do."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.probability.conformity import standard_scores
from resile.errors import SpecificationError
from resile.records.determination import Condition, Determination
from resile.records.verdict import GradeStatement, Outcome
from resile.workflows.judging.grading import Yardstick, agree, grade_sample
from resile.workflows.orders.ordering import report_order

STEPS = (58.0, 64.0, 70.0, 76.0)
FAST = settings(max_examples=25, deadline=None)
OWN_U = """title = "stated U of an invented laboratory"
[[quantity]]
name = "rutting_parameter"
input = [{{ name = "stated U", expanded = {u}, coverage_factor = 2, unit = "%", percent_per_unit = 1 }}]
"""


def one(
    quantity: str, value: float, temperature_c: float | None, condition: Condition, replicate: str = ""
) -> Determination:
    return Determination(
        "A", condition, temperature_c, quantity, value, "", text=f"{value:g}", replicate=replicate
    )


def binder(original: float = 1.3, aged: float = 3.0, m: float = 0.309) -> list[Determination]:
    """Invented: the rutting parameter halves for every 6 °C."""
    rows = [
        one("flash_point", 290.0, None, Condition.ORIGINAL),
        one("rotational_viscosity", 0.42, 135.0, Condition.ORIGINAL),
        one("mass_change_percent", -0.31, None, Condition.SHORT_TERM_AGED),
        one("fatigue_parameter", 3900.0, 25.0, Condition.LONG_TERM_AGED),
        one("creep_stiffness", 201.0, -12.0, Condition.LONG_TERM_AGED),
        one("creep_stiffness", 368.0, -18.0, Condition.LONG_TERM_AGED),
        one("m_value", m, -12.0, Condition.LONG_TERM_AGED),
        one("m_value", m - 0.046, -18.0, Condition.LONG_TERM_AGED),
    ]
    for place, step in enumerate(STEPS):
        rows.append(one("rutting_parameter", original * 2.0 ** (1 - place), step, Condition.ORIGINAL))
        rows.append(one("rutting_parameter", aged * 2.0 ** (1 - place), step, Condition.SHORT_TERM_AGED))
    return rows


def graded(rows: list[Determination], agreed: Yardstick, **more: str) -> GradeStatement:
    return grade_sample("A", rows, agreed, **more)


def passes(statement: GradeStatement) -> set[tuple[str, str, float]]:
    return {
        (c.label, v.requirement.name, v.limit)
        for c in statement.classes
        for v in c.verdicts
        if v.outcome is Outcome.PASS
    }


def high(statement: GradeStatement) -> float:
    ends = [end for end in statement.continuous_ends if end.end == "high"]
    assert ends
    assert ends[0].temperature_c is not None
    return ends[0].temperature_c


@FAST
@given(st.floats(0.7, 1.9), st.floats(1.6, 4.0), st.floats(1.0, 1.5))
def test_a_stiffer_residue_never_lowers_the_high_grade(original: float, aged: float, stiffer: float) -> None:
    agreed = agree("m320")
    before, after = (graded(binder(original, value), agreed) for value in (aged, aged * stiffer))
    assert high(after) >= high(before) - 1e-9
    assert set(before.grades) <= set(after.grades)


@FAST
@given(
    st.floats(0.8, 1.8),
    st.floats(0.285, 0.32),
    st.sampled_from(["simple", "guard-band", "guard-band-5-percent"]),
    st.sampled_from(["reproducibility", "budget", "reproducibility,budget"]),
)
def test_an_uncertainty_never_turns_a_fail_into_a_pass(
    original: float, m: float, rule: str, basis: str
) -> None:
    rows = binder(original, 2.5 * original, m)
    without = graded(rows, agree("m320"))  # simple acceptance asks for no uncertainty
    with_it = graded(rows, agree("m320", decision_rule=rule, uncertainty_basis=basis))
    assert passes(with_it) <= passes(without)


@FAST
@given(st.floats(0.8, 1.8), st.floats(1.0, 20.0), st.floats(1.1, 3.0))
def test_a_wider_uncertainty_draws_every_probability_towards_one_half(
    tmp_path_factory: pytest.TempPathFactory, original: float, u: float, wider: float
) -> None:
    folder = tmp_path_factory.mktemp("budgets")
    found = []
    for size in (u, u * wider):
        path = folder / f"{size:.6f}.toml"
        path.write_text(OWN_U.format(u=size), encoding="utf-8")
        statement = graded(binder(original), agree("m320", uncertainty_basis="budget", budget=path))
        found.append([v.probability_of_conformity for c in statement.classes for v in c.verdicts])
    for sure, unsure in zip(*found, strict=True):
        if sure is not None and unsure is not None:
            assert abs(unsure - 0.5) <= abs(sure - 0.5) + 1e-12


@FAST
@given(st.floats(0.8, 1.8), st.floats(0.29, 0.33))
def test_every_grade_that_classifying_proves_is_verified_as_a_claim(original: float, m: float) -> None:
    rows, agreed = binder(original, 2.5 * original, m), agree("m320", decision_rule="guard-band")
    for grade in graded(rows, agreed).full_grades:
        (claimed,) = [
            g for g in graded(rows, agreed, claim=grade.label).full_grades if g.label == grade.label
        ]
        assert (claimed.satisfied, claimed.probability) == (grade.satisfied, grade.probability)


def test_errors_that_two_temperatures_share_widen_a_temperature_between_them() -> None:
    standards = {}
    for name in ("independent", "laboratory-bias", "common"):
        statement = graded(binder(), agree("m320", correlation=name))
        standards[name] = [c.critical.standard for c in statement.continuous]
        for c in statement.continuous:
            apart, shared = c.critical.standard_range or (0.0, 0.0)
            assert apart <= (c.critical.standard or 0.0) + 1e-12
            assert (c.critical.standard or 0.0) <= shared + 1e-12
    for apart, between, shared in zip(*standards.values(), strict=True):
        assert apart < between < shared  # type: ignore[operator]


def test_the_correlation_of_a_published_precision_is_that_of_its_laboratory_part() -> None:
    """T 315, recalled: 2.3 % within, 6.0 % between laboratories; 1 - (2.3/6)² of the variance is shared."""
    statement = graded(binder(), agree("m320"))
    first = next(
        c for c in statement.continuous if c.requirement.name == "original_rutting_parameter_minimum"
    )
    assert first.critical.correlation == pytest.approx(1.0 - (2.3 / 6.0) ** 2, abs=1e-9)


def test_a_declared_correlation_gives_one_probability_between_the_bounds() -> None:
    basis = "reproducibility,budget"
    found = {}
    for name in ("independent", "one-factor", "common"):
        statement = graded(
            binder(), agree("m320", correlation=name, uncertainty_basis=basis), claim="PG 64-22"
        )
        probability = next(g for g in statement.full_grades if g.label == "PG 64-22").probability
        assert probability is not None
        assert probability.probability is not None
        assert probability.lowest <= probability.probability <= probability.highest
        found[name] = probability
    assert found["independent"].probability == found["independent"].if_independent


def test_a_shallow_slope_is_simulated_and_its_interval_is_not_even() -> None:
    rows = [
        one("m_value", 0.303, -12.0, Condition.LONG_TERM_AGED),
        one("m_value", 0.270, -18.0, Condition.LONG_TERM_AGED),
    ]
    independent = agree("m320", correlation="independent")
    (found,) = graded(rows, independent).continuous
    assert found.critical.uncertainty_method == "simulation"
    drawn, at = found.critical.simulated, found.critical.temperature_c
    assert drawn is not None
    assert at is not None
    assert (drawn.upper - at) / (at - drawn.lower) > 1.2  # the limit lies near the warmer point
    assert graded(rows, independent).continuous[0] == found  # the same file, the same number


def test_few_determinations_ask_for_a_wider_factor() -> None:
    """JCGM 100:2008, Table G.2, 95.45 %: 13.97 for one, 4.53 for two degrees of freedom."""
    rows = [one("m_value", 0.304 + 0.002 * i, -12.0, Condition.LONG_TERM_AGED, str(i)) for i in range(3)]
    for count, factor in ((2, 13.97), (3, 4.53)):
        (result,) = graded(rows[:count], agree("m320", uncertainty_basis="replicates")).results
        assert result.uncertainty is not None
        assert result.uncertainty.coverage_factor == pytest.approx(factor, abs=0.005)


def test_replicates_and_shared_lines_combine_by_welch_and_satterthwaite() -> None:
    rows = [one("m_value", 0.300 + 0.004 * i, -12.0, Condition.LONG_TERM_AGED, str(i)) for i in range(3)]
    (result,) = graded(rows, agree("m320", uncertainty_basis="combined")).results
    own, shared = 0.004 / 3**0.5, 0.0008  # 0.1 °C at 0.008 for 1 °C, by hand
    assert result.uncertainty is not None
    assert result.uncertainty.standard == pytest.approx((own**2 + shared**2) ** 0.5, rel=1e-9)
    assert result.uncertainty.degrees_of_freedom == pytest.approx(
        2.0 * (own**2 + shared**2) ** 2 / own**4, rel=1e-9
    )


def test_every_property_of_both_specifications_has_a_shipped_budget() -> None:
    for name in ("m320", "m332-2020"):
        agreed = agree(name, uncertainty_basis="budget")
        held = {quantity for budget in agreed.budgets for quantity in budget.quantities}
        assert {r.quantity for r in agreed.specification.requirements} - held <= {"failure_strain_percent"}


def test_a_stated_uncertainty_gives_the_scores_of_the_guide(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(OWN_U.format(u=10), encoding="utf-8")
    rows = [one("rutting_parameter", 1.1, 64.0, Condition.ORIGINAL)]
    statement = graded(rows, agree("m320", uncertainty_basis="budget", budget=path))
    (verdict,) = [v for v in statement.classes[0].verdicts if v.requirement.name.startswith("original_rut")]
    score = float(standard_scores(1.1, 1.0, 0.055, bound="minimum"))  # U 10 % at k 2: u = 0.055
    from scipy.stats import norm

    assert verdict.probability_of_conformity == pytest.approx(float(norm.cdf(score)), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('title = "x"\n[[quantity]]\nname = "m_valu"\ninput = []\n', "must be one of"),
        (OWN_U.format(u=10) + OWN_U.format(u=10).split("\n", 1)[1], "stands twice"),
        (OWN_U.format(u=10).replace("percent_per_unit = 1", "standard = 1"), "needs one of"),
    ],
)
def test_a_budget_that_cannot_be_used_is_refused_with_its_key(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SpecificationError, match=words):
        agree("m320", uncertainty_basis="budget", budget=path)


def test_a_basis_that_is_not_known_is_named() -> None:
    with pytest.raises(SpecificationError, match="'guess' is not known"):
        agree("m320", uncertainty_basis="reproducibility,guess")


def test_an_order_names_its_budget_and_its_correlation(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text(OWN_U.format(u=10), encoding="utf-8")
    (tmp_path / "typed.csv").write_text(
        "sample,condition,temperature_c,quantity,value,unit\nA,original,64,rutting_parameter,1.1,kPa\n",
        encoding="utf-8",
    )
    (tmp_path / "order.toml").write_text(
        'invented = true\nspecification = "m320"\ntables = ["typed.csv"]\nuncertainty_basis = "budget"\n'
        'budget = "own.toml"\ncorrelation = "common"\n[sample]\nname = "A"\n',
        encoding="utf-8",
    )
    statement = report_order(tmp_path / "order.toml", date="2026-05-12").statement
    (result,) = statement.results
    assert result.uncertainty is not None
    assert result.uncertainty.expanded == pytest.approx(0.11)
    assert statement.correlation is not None
    assert statement.correlation.name == "common"


def test_one_common_factor_holds_between_temperatures_too() -> None:
    # "Half of the variance of every rheological error": two errors share half, whatever the basis.
    agreed = agree("m320", correlation="one-factor", uncertainty_basis="repeatability")
    statement = graded(binder(), agreed, claim="PG 64-22")
    known = [c.critical.correlation for c in statement.continuous if c.critical.standard]
    assert known and all(correlation == pytest.approx(0.5) for correlation in known)
