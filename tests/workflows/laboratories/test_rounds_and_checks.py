"""Studies, scores and checks: words and findings as the standards and the trade have them."""

from collections.abc import Iterable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from published_studies import GLUCOSE
from resile.errors import InputError
from resile.judge.laboratories.checks import judge_checks, stated_zone
from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.laboratories import StudyTable
from resile.records.register.laboratories import CheckMaterial, CheckResult, RoundResult
from resile.workflows.laboratories.checks import check_chart
from resile.workflows.laboratories.scores import round_scores
from resile.workflows.laboratories.study import robust_means_of, study_of

RTFO = Condition.SHORT_TERM_AGED


def codes(findings: Iterable[Finding]) -> set[str]:
    return {one.code for one in findings}


def study(cells: tuple[tuple[float, ...], ...]) -> StudyTable:
    names = tuple(str(place) for place in range(1, len(cells) + 1))
    return StudyTable(laboratories=names, materials=("C",), results=(cells,))


def test_laboratory_four_stands_out_by_its_scatter_and_not_by_its_mean() -> None:
    # The package marks its h too; |h| is 2.14, below 2.15: its verdict on h is not followed.
    found = study_of(study(GLUCOSE.results[0]))
    assert [(c.h_beyond, c.k_beyond) for c in found.materials[0].cells if c.laboratory == "4"] == [
        (False, True)
    ]
    assert not any(cell.h_beyond for cell in found.materials[0].cells)
    assert codes(found.findings) == {
        "study-scatter-stands-out",
        "study-largest-scatter",
        "study-furthest-mean",
    }


def test_a_small_study_and_unequal_cells_are_told() -> None:
    found = study_of(study(((1.0, 1.2), (1.1, 1.3), (1.4,))))
    assert {"study-few-laboratories", "study-unequal-cells"} <= codes(found.findings)
    assert found.materials[0].cochran is None


def test_a_study_of_single_results_points_to_the_robust_mean() -> None:
    table = study(((1.0,), (1.1,), (1.4,)))
    with pytest.raises(InputError, match="material C: no laboratory has two results"):
        study_of(table)
    ((material, names, robust),) = robust_means_of(table)
    assert (material, names, robust.count) == ("C", ("1", "2", "3"), 3)


def rounds(*scores: float, **more: object) -> list[RoundResult]:
    made = [
        RoundResult(
            scheme="N",
            round=f"{place:02d}",
            material="A",
            quantity="jnr_3.2",
            condition=RTFO,
            value=0.8 + 0.05 * score,
            assigned=0.8,
            deviation=0.05,
            day=f"2025-01-{place:02d}",
        )
        for place, score in enumerate(scores, 1)
    ]
    return [replace(one, **more) for one in made]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("score", "word"),
    [
        (1.9, "satisfactory"),
        (-1.999, "satisfactory"),
        (2.1, "questionable"),
        (-2.9, "questionable"),
        (3.1, "action"),
    ],
)
def test_the_word_of_a_score_is_that_of_the_standard(score: float, word: str) -> None:
    (found,) = round_scores(rounds(score)).scores
    assert (found.kind, found.judged) == ("z", word)


def test_a_doubtful_assigned_value_makes_z_prime_the_score_that_counts() -> None:
    (small,) = round_scores(rounds(2.05, assigned_standard=0.014)).scores
    (large,) = round_scores(rounds(2.05, assigned_standard=0.03)).scores
    assert (small.kind, small.judged) == ("z", "questionable")
    assert (large.kind, large.judged) == ("z-prime", "satisfactory")


def test_without_a_deviation_the_own_uncertainty_scores() -> None:
    (found,) = round_scores(rounds(2.0, deviation=None, own_standard=0.03, assigned_standard=0.04)).scores
    assert (found.kind, found.judged) == ("zeta", "satisfactory")
    assert found.zeta == pytest.approx(2.0)
    assert found.en == pytest.approx(1.0)


def test_within_the_difference_of_two_laboratories_and_yet_a_poor_score() -> None:
    # Jnr3.2 0.80: d2s between laboratories 39 %, which is 0.31; 2.5 deviations of 0.05 are 0.125.
    found = round_scores(rounds(2.5))
    assert found.scores[0].within_difference_limit
    assert "round-inside-limit-poor-score" in codes(found.findings)


def test_a_small_lasting_bias_is_found_though_every_score_is_satisfactory() -> None:
    found = round_scores(rounds(1.2, 0.8, 1.1, 0.9, 1.3, 0.7, 1.0))
    assert {one.judged for one in found.scores} == {"satisfactory"}
    assert {"rounds-biased", "rounds-one-side"} <= codes(found.findings)
    assert found.trends[0].same_side == 7


def test_a_growing_score_is_found() -> None:
    assert "rounds-growing" in codes(round_scores(rounds(-1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5)).findings)


def test_scores_about_zero_raise_nothing_and_the_order_of_rows_does_not_matter() -> None:
    given = rounds(0.5, -0.7, 0.2, -0.1, 0.9, -0.4)
    found = round_scores(given)
    assert not found.findings
    assert round_scores(given[::-1]) == found


def test_a_round_with_a_deviation_of_zero_is_refused() -> None:
    with pytest.raises(InputError, match="above zero is needed"):
        round_scores(rounds(0.0, deviation=0.0))


# Certificate of a check fluid after ASTM D6617 [read]: 33.98 mm2/s, s 0.19 %, expanded 0.22 %.
FLUID = CheckMaterial(
    name="check fluid",
    kind="check-fluid",
    quantity="kinematic_viscosity",
    reference=33.98,
    reference_expanded=33.98 * 0.0022,
    site_deviation=33.98 * 0.0019,
    until="2025-06-30",
)


def checks(*measured: float, instrument: str = "V1") -> list[CheckResult]:
    return [
        CheckResult(material="f", instrument=instrument, measured=one, done=f"2025-06-{day:02d}")
        for day, one in enumerate(measured, 1)
    ]


def test_the_zone_is_that_of_the_certificate() -> None:
    zone = check_chart(FLUID, []).zone
    assert (zone.lower, zone.upper, zone.decimals) == (33.87, 34.09, 2)
    assert round(100.0 * zone.exact_half_width / zone.reference, 5) == 0.31614  # before rounding


@pytest.mark.parametrize(
    ("measured", "judged"),
    [(34.09, "inside"), (34.0874, "inside"), (34.0949, "inside"), (34.0951, "repeat"), (34.10, "repeat")],
)
def test_a_check_is_rounded_as_the_printed_zone_is_before_it_is_compared(
    measured: float, judged: str
) -> None:
    # By the rounding method of ASTM E29: 33.87 to 34.09 are printed, so a reading counts to 0.01.
    assert check_chart(FLUID, checks(measured)).verdicts[0].judged == judged
    mirrored = 2.0 * 33.98 - measured
    assert check_chart(FLUID, checks(round(mirrored, 6))).verdicts[0].judged == judged


def test_it_is_said_when_a_check_passes_only_because_it_was_rounded() -> None:
    sharp, plain = check_chart(FLUID, checks(34.09, 34.08)).verdicts
    assert "only as both are rounded: 34.09 beside 33.8726 to 34.0874" in sharp.sentence
    assert plain.sentence == "34.08 lies inside 33.87 to 34.09: the instrument may be used."


def test_a_reference_that_ends_in_noughts_does_not_widen_the_zone() -> None:
    zone = check_chart(replace(FLUID, reference=34.0), []).zone  # 0.1074 is 0.11 to two figures, never 0
    assert (zone.lower, zone.upper) == (33.89, 34.11)
    stiff = check_chart(replace(FLUID, reference=100.0, reference_expanded=2.0, site_deviation=10.0), []).zone
    assert (stiff.lower, stiff.upper) == (86.0, 114.0)  # 1.44 sqrt(10² + 1²) is 14.47


@given(st.floats(0.01, 1e4), st.floats(1e-3, 0.1), st.lists(st.floats(-2.0, 2.0), min_size=1, max_size=4))
def test_rounding_moves_no_end_by_more_than_a_twentieth_of_the_half_width(
    reference: float, share: float, places: list[float]
) -> None:
    half = reference * share
    zone = stated_zone(reference, half, figures=2, rounding="half-even")
    assert abs(zone.half_width - half) <= half / 20.0 + 1e-9
    verdicts = judge_checks(zone, checks(*(reference + place * half for place in places)))
    for place, verdict in zip(places, verdicts, strict=True):
        if abs(abs(place) - 1.0) > 0.1 + 1e-6:
            assert (verdict.judged == "inside") is (abs(place) < 1.0)


def test_a_house_may_compare_every_digit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shipped = files("resile.specifications") / "laboratory_comparison" / "between-laboratories.toml"
    text = shipped.read_text(encoding="utf-8").replace(
        'zone_rounding = "half-even"', 'zone_rounding = "none"'
    )
    (tmp_path / "laboratory_comparison").mkdir()
    (tmp_path / "laboratory_comparison" / "between-laboratories.toml").write_text(text, encoding="utf-8")
    monkeypatch.setenv("RESILE_SPECIFICATIONS", str(tmp_path))
    assert [one.judged for one in check_chart(FLUID, checks(34.0874, 34.0875)).verdicts] == [
        "inside",
        "repeat",
    ]


def test_a_stated_difference_is_the_zone_as_it_stands() -> None:
    found = check_chart(replace(FLUID, tolerance=0.1), checks(34.08, 34.0801))
    assert [one.judged for one in found.verdicts] == ["inside", "repeat"]
    assert not codes(found.findings) & {"check-reference-doubt-unknown", "check-site-deviation-from-checks"}


def test_a_check_outside_is_repeated_and_outside_again_it_stops_the_instrument() -> None:
    found = check_chart(FLUID, checks(34.0, 34.2, 34.0, 34.2, 34.3))
    assert [one.judged for one in found.verdicts] == ["inside", "repeat", "inside", "repeat", "outside"]
    assert "check-outside" in codes(found.findings)
    other = check_chart(FLUID, [*checks(34.2), replace(checks(34.2)[0], instrument="V2", done="2025-06-02")])
    assert [one.judged for one in other.verdicts] == ["repeat", "repeat"]  # each instrument for itself


def test_a_shift_inside_the_zone_and_an_old_bottle_are_told() -> None:
    found = check_chart(replace(FLUID, until="2025-06-04"), checks(*[34.02] * 8))
    assert {"checks-one-side", "check-material-expired"} <= codes(found.findings)


def test_without_a_site_deviation_few_checks_are_refused_and_many_stand_in() -> None:
    bare = replace(FLUID, site_deviation=None)
    with pytest.raises(InputError, match="no site deviation is stated and 2 checks are too few"):
        check_chart(bare, checks(34.0, 34.1))
    found = check_chart(bare, checks(*[33.9, 34.1] * 5))
    assert "check-site-deviation-from-checks" in codes(found.findings)
