"""What people outside the laboratory are told: numbers as computed, words that follow from them."""

import itertools
import re
from dataclasses import replace
from pathlib import Path

import pytest

from resile.errors import InputError, MeasurementError, SpecificationError
from resile.records.explanation import LetterLimit
from resile.specifications.explaining import load_explaining_words
from resile.specifications.load import load_specification
from resile.specifications.traffic import traffic_rule_of
from resile.workflows.demonstration import write_demonstration
from resile.workflows.explaining.page import live_body, make_leaflet, outsiders_page
from resile.workflows.explaining.result import explain_report, explain_result
from resile.workflows.explaining.sentences import comparison, letter_of, parts_back
from resile.workflows.explaining.trying import letter_limits, push_binder, try_binder
from resile.workflows.orders.ordering import report_order

WORDS = load_explaining_words()
LIMITS = letter_limits(load_specification("m332-2020"))
BINDERS = [one.name for one in WORDS.binders]


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("day")
    write_demonstration(folder)
    order = folder / "103-spring-tank-2" / "order.toml"
    report_order(order, date="2026-05-13").write(order.parent)
    return order.parent / "103.json"


@pytest.mark.parametrize("binder", BINDERS)
def test_hotter_leaves_more_of_every_binder_and_about_doubles_in_six_degrees(binder: str) -> None:
    left = [
        push_binder(WORDS, binder, stress_kpa=3.2, temperature_c=t).recovered_strain for t in range(52, 77)
    ]
    assert left == sorted(left)
    # Common practice, no source: Jnr about doubles by one grade step; error-budget figure 2.2 (recalled).
    assert 2.0 < left[18] / left[12] < 2.3


@pytest.mark.parametrize("binder", BINDERS)
def test_a_harder_push_gives_back_a_smaller_share_most_of_all_with_polymer(binder: str) -> None:
    shares = [
        push_binder(WORDS, binder, stress_kpa=0.1 * 2**n, temperature_c=64).percent_recovery for n in range(8)
    ]
    assert shares == sorted(shares, reverse=True)
    lost = {
        name: push_binder(WORDS, name, stress_kpa=0.1, temperature_c=64).percent_recovery
        - push_binder(WORDS, name, stress_kpa=12.8, temperature_c=64).percent_recovery
        for name in BINDERS
    }
    assert max(lost, key=lambda name: lost[name]) == "polymer"


@pytest.mark.parametrize(
    ("binder", "jnr", "recovery"),
    [
        # FHWA Turner-Fairbank rutting data (2025), 64 °C, tank: lanes 3 and 10 unmodified, lane 4 with SBS.
        ("plain", (2.0, 4.7), (0.0, 6.0)),
        # K. R. Hobson, SEAUPG webinar 2011: 64-22 A7 and A4 stand on either side.
        ("blended", (0.8, 2.4), (2.0, 30.0)),
        ("polymer", (0.17, 0.78), (50.0, 74.5)),
    ],
)
def test_an_invented_binder_lies_where_published_ones_of_its_kind_lie(
    binder: str, jnr: tuple[float, float], recovery: tuple[float, float]
) -> None:
    push = push_binder(WORDS, binder, stress_kpa=3.2, temperature_c=64)
    assert jnr[0] <= push.jnr <= jnr[1]
    assert recovery[0] <= push.percent_recovery <= recovery[1]


def test_the_letters_and_their_limits_come_from_the_specification() -> None:
    assert [(one.service_class, one.limit) for one in LIMITS] == [
        ("S", 4.5),
        ("H", 2.0),
        ("V", 1.0),
        ("E", 0.5),
    ]
    page = outsiders_page(try_binder())
    body = str(live_body({})[0])
    rule = traffic_rule_of("m332-2020")
    assert rule is not None
    assert f"faster than {rule.slow_up_to_kmh:g} km/h" in body
    assert page.limits == LIMITS
    # "Each letter lets only about half as much stay behind as the one before" holds for these limits.
    assert all(0.4 <= b.limit / a.limit <= 0.6 for a, b in itertools.pairwise(LIMITS))


def test_a_value_at_a_limit_has_the_letter_and_one_above_the_next() -> None:
    assert letter_of(1.0, LIMITS) == LIMITS[2]
    assert letter_of(1.0001, LIMITS) == LIMITS[1]
    assert letter_of(4.51, LIMITS) is None


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (1.0, "Just as much"),
        (1.2, "About 20 parts in 100 more than before"),
        (2.2, "About 2 times as much"),
        (0.8, "About 20 parts in 100 less than before"),
        (0.66, "About half as much"),
        (0.34, "About a third as much"),
        (0.1, "About a tenth as much"),
        (0.05, "Less than a tenth as much"),
    ],
)
def test_a_ratio_is_said_in_whole_numbers(ratio: float, words: str) -> None:
    assert comparison(ratio, WORDS) == words


def test_parts_of_a_hundred_are_whole_and_never_below_none() -> None:
    assert [parts_back(x) for x in (-3.0, 0.49, 0.5, 33.5, 99.6)] == [0, 0, 1, 34, 100]


def test_a_result_is_told_in_five_sentences_without_a_decimal() -> None:
    told = explain_result(jnr=0.5, percent_recovery=60.4, temperature_c=64.02, service_class="V")
    assert len(told.sentences) == 5
    assert not any(re.search(r"\d[.,]\d", sentence) for sentence in told.sentences)
    assert "64 °C" in told.sentences[0]
    assert "60 sprang back" in told.sentences[1]
    assert "other 40" in told.sentences[2]
    assert "used 50" in told.sentences[3]  # 0.5 of 1.0 1/kPa
    assert told.push.jnr == pytest.approx(0.5, rel=1e-12)


def test_nothing_back_is_said_so_and_a_negative_recovery_stands_as_reported() -> None:
    told = explain_result(jnr=3.9, percent_recovery=-2.0, temperature_c=64, service_class="S")
    assert told.sentences[1] == "Next to nothing sprang back."
    assert told.push.percent_recovery == -2.0


def test_no_letter_is_claimed_that_the_laboratory_did_not_state() -> None:
    assert "carries no letter" in explain_result(jnr=5.3, percent_recovery=0, temperature_c=64).sentences[3]
    withheld = explain_result(jnr=0.9, percent_recovery=20, temperature_c=64).sentences[3]
    assert "did not state" in withheld
    own = (LetterLimit("heavy", "heavy traffic", 1.0),)
    named = explain_result(
        jnr=0.9, percent_recovery=20, temperature_c=64, service_class="heavy", limits=own
    ).sentences[3]
    assert named.startswith("Class heavy")


def test_the_sentences_are_short() -> None:
    told = explain_result(jnr=0.9, percent_recovery=20, temperature_c=64, service_class="V")
    everything = [*told.sentences, *(one["answer"] for one in WORDS.misunderstandings), *WORDS.cautions]
    for text in everything:
        for sentence in re.split(r"(?<=[.;:])\s", text):
            assert len(sentence.split()) <= 26, sentence


def test_a_report_is_explained_by_its_own_numbers_and_letter(report: Path) -> None:
    told = explain_report(report)
    assert (told.sample, told.number, told.service_class) == ("103", "103", "V")
    assert told.specification == "m332-2014"
    assert "62" in told.sentences[3]
    assert "34 sprang back" in told.sentences[1]
    assert any("findings" in caution for caution in told.cautions)
    with pytest.raises(MeasurementError, match="no creep recovery at 50 °C; the report states it at 64 °C"):
        explain_report(report, at_c=50)


def test_the_page_to_send_needs_no_script_and_no_network(report: Path, tmp_path: Path) -> None:
    target = tmp_path / "out.html"
    made = make_leaflet(report)
    assert made.write([target], spare=[report]) == [target]
    page = target.read_text(encoding="utf-8")
    assert "<script" not in page
    assert not re.search(r"(?:src|href)=", page)
    assert not re.search(r"https?://", page)
    assert ' style="' not in page
    assert "invented" in page
    for sentence in made.to_json()["sentences"]:
        assert sentence.replace("'", "&#39;") in page
    with pytest.raises(InputError, match="made from this file"):
        made.write([tmp_path / "x.html"], spare=[tmp_path / "x.html"])
    with pytest.raises(InputError, match=r"ends in \.html"):
        made.write([tmp_path / "x.pdf"])


def test_the_numbers_on_the_page_are_those_computed() -> None:
    body = str(live_body({"stress": "3,2", "temperature": "70", "binder": "polymer"})[0])
    push = try_binder(stress=3.2, temperature=70, binder="polymer").push
    assert f'data-number="peak">{100 * push.creep_strain:.0f}<' in body
    assert f'data-number="jnr">{push.jnr:.3g}<' in body
    assert f'data-parts="back">{parts_back(push.percent_recovery)}<' in body
    assert ' style="' not in body


def test_six_degrees_hotter_is_one_step_and_stops_at_the_end_of_the_page() -> None:
    assert try_binder(temperature=64, hotter=True).push.temperature_c == 70
    assert try_binder(temperature=73, hotter=True).push.temperature_c == 76


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"stress": "20"}, "a number from 0.1 to 12.8 kPa is needed"),
        ({"temperature": "hot"}, "temperature: &#39;hot&#39; found"),
        ({"binder": "gold"}, "one of plain, blended, polymer is needed"),
        ({"stress": "nan"}, "is needed"),
    ],
)
def test_what_cannot_be_tried_is_told_and_the_page_still_comes(asked: dict[str, str], words: str) -> None:
    body, status = live_body(asked)
    assert status == 400
    assert words in body
    assert 'role="alert"' in body


def test_every_word_of_the_trade_leads_to_a_name_in_the_glossary() -> None:
    glossary = (Path(__file__).parents[2] / "docs" / "glossary.md").read_text(encoding="utf-8")
    assert all(f"`{one['glossary']}`" in glossary for one in WORDS.terms if one["glossary"])


def test_a_file_of_words_with_a_slip_names_the_key(tmp_path: Path) -> None:
    from resile.specifications.search import PACKAGE_FOLDER

    text = (PACKAGE_FOLDER / "explanations" / "binder.toml").read_text(encoding="utf-8")
    wrong = tmp_path / "wrong.toml"
    wrong.write_text(text.replace('first_binder = "polymer"', 'first_binder = "gold"'), encoding="utf-8")
    with pytest.raises(SpecificationError, match="first_binder 'gold' is none of the binders"):
        load_explaining_words(wrong)
    wrong.write_text(text.replace("warmest_c = 12", "warmest = 12"), encoding="utf-8")
    with pytest.raises(SpecificationError, match="warmest"):
        load_explaining_words(wrong)


def test_the_steps_of_the_axis_are_round_and_cover_the_picture() -> None:
    from resile.report.explaining.geometry import push_geometry

    push = try_binder().push
    for factor in (0.001, 0.3, 1.0, 7.7, 500.0):
        grown = replace(
            push, creep_strain=push.creep_strain * factor, recovered_strain=push.recovered_strain * factor
        )
        ticks = push_geometry(grown).ticks
        assert 2 <= len(ticks) <= 5
        assert ticks[0][1] == "0"
