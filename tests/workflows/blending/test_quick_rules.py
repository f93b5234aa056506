"""Quick answers by published rules, as a person asks them."""

import json
from pathlib import Path

import pytest

from resile.errors import InputError, SpecificationError
from resile.records.quantity import QUANTITIES
from resile.specifications.blending import list_blending_files, load_polymer_effect, load_reclaimed_practice
from resile.workflows.blending.ruling.reclaimed import ReclaimedSheet, answer_reclaimed
from resile.workflows.blending.ruling.rules import (
    dose_recycling_agent,
    gain_of_warm_mix,
    list_mixing_rules,
    loss_in_storage,
    mix_by_rule,
)
from resile.workflows.blending.ruling.sheets import MixedSheet
from resile.workflows.rules import list_rules, show_rules

# NCHRP Report 452, method A, from memory (high).
RECLAIMED = {
    "original": 86.6,
    "short_term_aged": 88.7,
    "intermediate": 30.5,
    "stiffness": -4.5,
    "m_value": -1.7,
}
WANTED = {
    "original": 64.0,
    "short_term_aged": 64.0,
    "intermediate": 25.0,
    "stiffness": -12.0,
    "m_value": -12.0,
}


def test_thirty_percent_reclaimed_for_pg_64_22_need_a_pg_58_28() -> None:
    answer = answer_reclaimed(RECLAIMED, WANTED, share_percent=30.0)
    needed = [line.needed_c for line in answer.lines]
    assert needed == pytest.approx([54.3, 53.4, 22.6, -15.2, -16.4], abs=0.05)
    assert (answer.needed_high_c, answer.needed_low_c) == (58.0, -28.0)
    assert answer.window is None
    assert answer.tier is not None
    assert "blending chart" in answer.tier.asks


def test_a_new_binder_gives_a_window_and_a_share_its_blend_with_the_error_of_the_rule_beside() -> None:
    reclaimed, new = {"original": 80.0, "stiffness": -1.0}, {"original": 52.0, "stiffness": -24.0}
    answer = answer_reclaimed(
        reclaimed, {"original": 58.0, "stiffness": -18.0}, new_c=new, share_percent=22.0
    )
    assert answer.window is not None
    assert (answer.window.lowest, answer.window.highest) == (0.22, 0.26)  # MnDOT chart: 21.4 and 26.1 %
    assert answer.lines[0].blend_c == pytest.approx(58.16)
    said = json.loads(json.dumps(ReclaimedSheet(answer).to_json()))
    assert [(one["high_error_c"], one["low_error_c"]) for one in said["blends"]] == [
        (0.8, -0.4),
        (2.1, 2.0),
    ]
    assert "FHWA" in said["blends_source"]
    assert "recalled" in said["tiers_source"]


@pytest.mark.parametrize(
    ("share", "words"), [(14.9, "no change"), (15.0, "softer"), (25.0, "softer"), (25.1, "chart")]
)
def test_the_tier_follows_the_share(share: float, words: str) -> None:
    tier = answer_reclaimed(RECLAIMED, WANTED, share_percent=share).tier
    assert tier is not None
    assert words in tier.asks


def test_a_question_that_lacks_something_is_answered_with_what_is_needed() -> None:
    with pytest.raises(InputError, match="needed is the new binder, or the share"):
        answer_reclaimed(RECLAIMED, WANTED)
    with pytest.raises(InputError, match="criterion 'intermediate': needed is its temperature"):
        answer_reclaimed(RECLAIMED, {"original": 64.0, "stiffness": -12.0}, share_percent=20.0)
    with pytest.raises(InputError, match="'fatigue' is not known"):
        answer_reclaimed({"fatigue": 20.0}, {"fatigue": 20.0}, share_percent=20.0)
    with pytest.raises(InputError, match="120 % found"):
        answer_reclaimed(RECLAIMED, WANTED, share_percent=120.0)


def test_a_blend_by_a_rule_says_its_unit_and_source() -> None:
    answer = MixedSheet(mix_by_rule("log-log-viscosity-cp", [5000.0, 100.0], [30.0, 70.0])).to_json()
    assert answer["value"] == pytest.approx(287.5, abs=0.05)
    assert (answer["worked_in"], answer["unit"]) == ("cP", "Pa·s")
    assert "D4887" in answer["source"]
    with pytest.raises(InputError, match="mixes penetration"):
        mix_by_rule("en13108-penetration", [20.0, 85.0], [30.0, 70.0], quantity="softening_point")
    with pytest.raises(InputError, match="one share a value"):
        mix_by_rule("log-viscosity", [20.0, 85.0], [30.0])


def test_every_rule_is_listed_with_quantities_that_the_glossary_has() -> None:
    for rule in list_mixing_rules():
        assert set(rule["quantities"]) <= QUANTITIES.keys()
        assert rule["validity"]
        assert rule["source"]


def test_dose_warm_mix_and_storage_answer_from_published_numbers() -> None:
    dose = dose_recycling_agent((77.4, -22.2), (65.55, -32.0), tested_percent=5.0, wanted_high_c=71.35)
    assert dose.dose_percent == pytest.approx(2.553, abs=5e-4)
    assert gain_of_warm_mix("PG 58-28", hot_c=140.6, warm_c=121.1) == pytest.approx(0.7, abs=0.05)
    with pytest.raises(InputError, match="nothing is published for PG 76-22"):
        gain_of_warm_mix("PG 76-22", hot_c=160.0, warm_c=130.0)
    assert loss_in_storage(24.0, 150.0).answer.retained == 1.0
    assert loss_in_storage(24.0, 210.0).answer.retained == 0.0


def test_the_files_are_listed_and_a_wrong_one_is_named(tmp_path) -> None:
    assert {entry.identifier for entry in list_blending_files()} >= {"common", "sbs"}
    assert all(not entry.problem for entry in list_blending_files())
    assert load_reclaimed_practice().blends[1].share == 0.4
    own = tmp_path / "mine.toml"
    own.write_text('identifier = "mine"\ntitle = "mine"\n', encoding="utf-8")
    with pytest.raises(SpecificationError, match="recovery: missing"):
        load_polymer_effect(own)


def test_published_practice_for_blends_is_listed_shown_and_ones_own_checked(tmp_path: Path) -> None:
    listed = {entry.identifier for entry in list_rules().entries}
    assert {"sbs", "other", "common"} <= listed
    assert show_rules("sbs").to_json()["prior"]["plateau"] == 90.0  # the file, as transcribed
    own = tmp_path / "mine.toml"
    own.write_text('identifier = "mine"\ntitle = "mine"\n[recovery]\nplateau = 120\n', encoding="utf-8")
    with pytest.raises(SpecificationError, match="plateau"):
        show_rules(own)
