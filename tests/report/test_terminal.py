"""Sheets for a terminal, held against golden texts a person can read.

To accept a wanted change: RESILE_WRITE_GOLDEN=1 pytest tests/report/test_terminal.py; read the difference.
"""

import os
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from example_blends import (
    example_book,
    example_design,
    example_portfolio,
    example_recipe,
    example_trials,
)
from example_laboratories import example_sheets
from example_records import TABLE_8_2, example_ageing, example_run, example_statement

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Finding, Severity
from resile.report.terminal import plain_text, render_ageing, render_run, render_statement
from resile.report.terminal.blends import (
    render_design,
    render_next_trials,
    render_portfolio,
    render_recipe,
)

GOLDEN = Path(__file__).parent / "golden"
SHEETS = {
    "run.txt": lambda: render_run(example_run(TABLE_8_2), cycles=True),
    "run_without_doubt.txt": lambda: render_run(replace(example_run(), findings=())),
    "statement.txt": lambda: render_statement(example_statement(), determinations=True),
    "ageing.txt": lambda: render_ageing(example_ageing()),
    "blend_design.txt": lambda: render_design(example_design(), full=True),
    "blend_recipe.txt": lambda: render_recipe(example_book(invented=False), example_recipe()),
    "blend_trials.txt": lambda: render_next_trials(example_book(), example_trials()),
    "blend_portfolio.txt": lambda: render_portfolio(example_portfolio()),
    **{f"{name}.txt": partial(sheet.to_terminal, full=True) for name, sheet in example_sheets().items()},
}


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_a_sheet_reads_like_its_golden_text(name: str) -> None:
    text = plain_text(SHEETS[name]())
    path = GOLDEN / name
    if os.environ.get("RESILE_WRITE_GOLDEN"):
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_a_sheet_fits_eighty_columns_without_colour_codes(name: str) -> None:
    text = plain_text(SHEETS[name]())
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "\x1b" not in text


def test_findings_stand_before_results_and_the_heaviest_comes_first(elastic_run: CreepRecoveryRun) -> None:
    bad = Finding("specimen-failed", Severity.INVALID, "The specimen failed.")
    text = plain_text(render_run(replace(elastic_run, findings=(*elastic_run.findings, bad))))
    places = [text.index(word) for word in ("FINDINGS", "■ invalid", "▲ caution", "○ note", "RESULTS")]
    assert places == sorted(places)


def test_no_digit_of_a_cycle_is_cut_off_at_eighty_columns() -> None:
    # Newtonian liquid of 0.25 kPa.s, creep-recovery.md, section 8.1: final strain 136, that is 13 600 %.
    newtonian = {"spring": 1e12, "dashpot": 0.25, "kelvin_spring": 1e12, "kelvin_dashpot": 1.0}
    lines = plain_text(render_run(example_run(newtonian), cycles=True)).splitlines()
    last = next(line for line in lines if line.split()[:2] == ["3.2", "10"])
    assert last.split()[-2:] == ["0.0", "4.00"]
    assert "13\N{NARROW NO-BREAK SPACE}600.000" in last


def test_square_brackets_in_a_message_are_shown_as_they_are(elastic_run: CreepRecoveryRun) -> None:
    odd = Finding("odd", Severity.NOTE, "column '[red]strain[/red] [%]' taken as strain")
    assert "[red]strain[/red] [%]" in plain_text(render_run(replace(elastic_run, findings=(odd,))))


def test_the_statement_says_what_was_not_tested_and_what_to_test_next() -> None:
    text = plain_text(render_statement(example_statement()))
    assert "Not tested: flash point (original binder)" in text
    assert "Flash point on the original binder" in text
    assert "an unchecked transcription" in text
