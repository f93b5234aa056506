"""The grade sheet and the ladder say what the records hold, and nothing where there is nothing."""

import io
import itertools
from dataclasses import replace

import pytest
from example_records import example_account, example_document, example_statement
from openpyxl import load_workbook
from whole_grade_records import (
    AGED_DSR,
    BOTH_ENDS,
    ORIGINAL_DSR,
    SLOPE,
    continuous,
    full_grade,
    simulated,
    whole_statement,
)

from resile.records.critical_temperature import CriticalTemperatureDifference
from resile.records.verdict import ContinuousEnd
from resile.report.continuous import (
    chosen_grade,
    continuous_lines,
    governing_sentences,
    name_of_line,
    shown_continuous,
)
from resile.report.figures import figure_grade_ladder
from resile.report.numbers import shown_limit
from resile.report.page import html_page
from resile.report.paper.statements.answer import answer_of_statement
from resile.report.paper.statements.continuous import continuous_table, difference_sentences
from resile.report.paper.statements.whole_grade import (
    probability_sentences,
    requirements_table,
    whole_grade_sections,
)
from resile.report.terminal import render_brief, render_overview, render_statement
from resile.report.terminal.grids import plain_text
from resile.report.workbook import workbook_bytes


def texts_of(spec):
    return [layer["mark"]["text"] for layer in spec["layer"] if layer["mark"]["type"] == "text"]


def points_of(spec):
    return [
        (layer["mark"]["shape"], layer["mark"]["fill"] is not None, layer["data"]["values"][0]["at"])
        for layer in spec["layer"]
        if layer["mark"]["type"] == "point" and "at" in layer["data"]["values"][0]
    ]


def test_the_lowest_high_temperature_and_the_highest_low_temperature_govern():
    governing = {line.one.end: line.at_c for line in continuous_lines(whole_statement()) if line.governs}
    assert governing == {"high": 65.42, "low": -23.62}


def test_a_limit_of_another_class_governs_nothing():
    other = continuous(AGED_DSR, 60.0, "high", service="E")
    lines = continuous_lines(whole_statement(continuous=(*BOTH_ENDS, other)))
    assert [line.at_c for line in lines if line.governs] == [65.42, -23.62]


def test_classes_that_share_a_limit_share_a_line_and_any_of_them_may_govern():
    shared = [continuous(AGED_DSR, 65.4, "high", service=letter) for letter in "HVE"]
    (line,) = continuous_lines(whole_statement(continuous=tuple(shared)))
    assert (line.classes, name_of_line(line)) == (
        ("H", "V", "E"),
        "|G*|/sin δ, short-term aged, classes H, V and E",
    )


def test_the_ladder_tells_ends_by_shape_and_the_governing_ones_by_filling():
    assert points_of(figure_grade_ladder(whole_statement())) == [
        ("triangle-right", False, -24.9),
        ("triangle-right", True, -23.62),
        ("diamond", False, 21.7),
        ("triangle-left", False, 66.31),
        ("triangle-left", True, 65.42),
    ]


def test_the_ladder_names_property_residue_value_and_what_governs():
    texts = texts_of(figure_grade_ladder(whole_statement(claimed_grade="PG 64-22")))
    assert "|G*|/sin δ, short-term aged: 65.4 ± 0.8 °C" in texts
    assert "governs the hot end" in texts
    assert "governs the cold end, extrapolated by 1.1 °C" in texts
    assert "claimed: PG 64-22" in texts


def test_the_words_of_two_rungs_never_stand_on_the_same_height():
    close = tuple(continuous(AGED_DSR, 64.0 + 0.1 * n, "high") for n in range(5))
    spec = figure_grade_ladder(whole_statement(continuous=close, full_grades=()))
    heights = [layer["mark"]["y"] for layer in spec["layer"] if layer["mark"]["type"] == "text"]
    rungs = sorted(y for y in heights if y > 20)
    assert all(later - earlier >= 12 for earlier, later in itertools.pairwise(rungs))


def test_every_grade_step_inside_the_ladder_is_a_tick():
    spec = figure_grade_ladder(whole_statement())
    axes = [layer["encoding"]["x"].get("axis") for layer in spec["layer"] if "x" in layer.get("encoding", {})]
    values = next(axis["values"] for axis in axes if axis)
    assert {-28.0, -22.0, -16.0, -10.0, 46.0, 52.0, 58.0, 64.0, 70.0} <= set(values)


def test_a_wide_interval_ends_at_the_axis():
    wide = continuous(ORIGINAL_DSR, 66.3, "high", standard=60.0)
    spec = figure_grade_ladder(whole_statement(continuous=(wide,), full_grades=()))
    domain = next(layer for layer in spec["layer"] if "x" in layer.get("encoding", {}))["encoding"]["x"][
        "scale"
    ]["domain"]
    drawn = [row for layer in spec["layer"] for row in layer["data"]["values"] if "until" in row]
    assert all(domain[0] <= row["at"] and row["until"] <= domain[1] for row in drawn)


def test_a_ladder_without_rungs_says_so():
    spec = figure_grade_ladder(whole_statement(continuous=()))
    assert spec["description"] == "No continuous temperature could be stated."


def test_an_uneven_interval_is_shown_by_its_ends():
    one = continuous(AGED_DSR, 65.4, "high", linear_holds=False, simulated=simulated(61.2, 75.9))
    (line,) = continuous_lines(whole_statement(continuous=(one,)))
    assert shown_continuous(line) == "65.4 (61.2 to 75.9) °C"


def test_the_claimed_grade_is_chosen_whatever_the_kind_of_dash():
    assert chosen_grade(whole_statement(claimed_grade="pg64\N{MINUS SIGN}22")).label == "PG 64-22"
    assert chosen_grade(whole_statement(claimed_grade="PG 70-22")) is None


def test_a_claim_that_was_not_judged_is_said():
    (section, _) = whole_grade_sections(whole_statement(claimed_grade="PG 70-22"))
    assert "PG 70-22 is not among the grades" in section.paragraphs[0]


def test_the_requirements_stand_residue_by_residue_with_margin_and_probability():
    table = requirements_table(full_grade())
    assert [row[0] for row in table.rows] == ["original binder", "short-term aged"] + ["long-term aged"] * 3
    assert table.rows[-1] == (
        "long-term aged", "m", "−12.0", "≥ 0.300", "0.312 ± 0.012", "+0.012", "✓ pass", "97.0 %",
    )  # fmt: skip


def test_bounds_are_said_honestly_where_the_correlation_is_not_known():
    first, weakest = probability_sentences(full_grade())
    assert "between 80.9 % and 90.0 %" in first
    assert "whatever the correlation of their errors, which is not known" in first
    assert weakest == "Least sure: |G*|·sin δ, long-term aged, 90.0 %."


def test_a_satisfied_grade_without_uncertainties_says_that_the_probability_is_missing():
    (sentence,) = probability_sentences(replace(full_grade(), probability=None))
    assert "is not stated" in sentence


def test_the_difference_names_its_ageing_and_its_extrapolation():
    (sentence,) = difference_sentences(whole_statement())
    assert "−1.3 ± 1.9 °C, from an extrapolated temperature. Ageing: one ageing of 20 h" in sentence


def test_a_difference_that_cannot_be_stated_says_why():
    missing = CriticalTemperatureDifference(None, reason="m was measured at one temperature only")
    (sentence,) = difference_sentences(whole_statement(delta_tc=missing, delta_tc_note=""))
    assert sentence == "ΔTc cannot be stated: m was measured at one temperature only. Ageing: not stated."


def test_the_other_rule_has_a_column_only_where_it_is_known():
    assert continuous_table(whole_statement()).columns[-1].title == "Other rule (°C)"
    without = whole_statement(continuous=BOTH_ENDS[3:])
    assert continuous_table(without).columns[-1].title == "Standing"


@pytest.mark.parametrize(
    ("grade", "words"),
    [
        (full_grade(), "Erle 70/100 satisfies PG 64-22 of AASHTO M 320"),
        (full_grade(satisfied=False, slope=0.290), "does not satisfy PG 64-22 of AASHTO M 320"),
        (full_grade(satisfied=False), "is not shown to satisfy PG 64-22"),
    ],
)
def test_the_answer_leads_with_the_claimed_grade(grade, words):
    answer, _ = answer_of_statement(whole_statement(full_grades=(grade,), claimed_grade="PG 64-22"))
    assert words in answer


def test_terminal_sheets_show_the_grade_sheet():
    statement = whole_statement(full_grades=(full_grade(satisfied=False),))
    full = plain_text(render_statement(statement), width=100)
    assert "WHOLE GRADE" in full
    assert "CONTINUOUS TEMPERATURES" in full
    assert "not tested: flash point, Cleveland open cup (original binder)" in full
    brief = plain_text(render_brief(statement), width=100)
    assert "○ not tested" in brief
    assert "ΔTc" in brief


def test_the_page_shows_sections_and_ladder():
    page = html_page(example_document(statement=whole_statement(), runs=(), sample="Erle 70/100"))
    for words in ("Whole grade", "Continuous temperatures", "Grade ladder, coldest first", "PG 64-22"):
        assert words in page


def test_the_workbook_holds_margins_as_formulas_with_their_value():
    content = workbook_bytes(example_document(statement=whole_statement(), runs=()))
    formulas = load_workbook(io.BytesIO(content))["Whole grade"]
    values = load_workbook(io.BytesIO(content), data_only=True)["Whole grade"]
    row = next(r for r in range(1, 40) if formulas.cell(r, 2).value == "m")
    assert formulas.cell(row, 9).value == f"=F{row}-E{row}"
    assert values.cell(row, 9).value == pytest.approx(0.012)


def test_nothing_is_added_where_only_classes_were_judged():
    statement = example_statement()
    assert whole_grade_sections(statement) == ()
    assert "Whole grade" not in load_workbook(io.BytesIO(workbook_bytes(example_document()))).sheetnames


def test_an_m_value_limit_has_three_decimals():
    assert shown_limit(0.3, "m_value") == "0.300"
    assert shown_limit(SLOPE.limits["*"]) == "0.3"


def test_what_the_statement_says_governs_is_taken_as_it_is():
    ends = (ContinuousEnd("high", "", 66.31, "original_rutting"), ContinuousEnd("low", "", -23.62, "slope"))
    lines = continuous_lines(whole_statement(continuous_ends=ends))
    assert [line.at_c for line in lines if line.governs] == [66.31, -23.62]


def test_an_end_where_a_property_is_missing_has_no_governing_one_and_says_so():
    ends = (
        ContinuousEnd("high", "", None, "", ("aged_rutting",)),
        ContinuousEnd("low", "", -23.62, "slope"),
    )
    statement = whole_statement(continuous=(BOTH_ENDS[0], *BOTH_ENDS[3:]), continuous_ends=ends)
    assert [line.at_c for line in continuous_lines(statement) if line.governs] == [-23.62]
    assert governing_sentences(statement)[0] == (
        "The hot end has no continuous grade yet: |G*|/sin δ, short-term aged might govern it and has no "
        "temperature."
    )


def test_the_overview_gives_one_line_a_sample_on_its_whole_grade():
    text = plain_text(render_overview((whole_statement(),), (), example_account()), width=100)
    assert "WHOLE GRADES" in text
    assert "65.4 ± 0.8" in text
    assert "WHOLE GRADES" not in plain_text(
        render_overview((example_statement(),), (), example_account()), width=100
    )


def test_on_the_page_how_sure_one_can_be_is_said_behind_the_table_of_requirements():
    section = whole_grade_sections(whole_statement())[0]
    assert len(section.paragraphs) == 1
    assert section.closing == probability_sentences(full_grade())
    page = html_page(example_document(statement=whole_statement(), runs=(), sample="Erle 70/100"))
    assert page.index("every requirement.") < page.index("whatever the correlation of their errors")
