"""From a check material to an own precision that is kept, by hand in a real browser."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.going import follow
from resile.records.determination import Condition
from resile.records.register import Instrument, Result, ResultLine, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord


def keep_duplicates(where: str) -> None:
    """Two samples by two specimens each."""
    record = LaboratoryRecord.open(where)
    with record.writing(by="P-LOCAL", at="2026-03-02T08:00:00Z") as book:
        bench = book.keep(Instrument(name="rheometer", tests=("creep_recovery",))).key
        file = book.keep_file(b"nothing")
        for number, values in (("101", (0.48, 0.52)), ("102", (0.95, 1.05))):
            sample = book.keep(Sample(number=number)).key
            for value in values:
                run = Run(
                    test="creep_recovery",
                    file=file,
                    file_name="run.csv",
                    sample=sample,
                    condition=Condition.SHORT_TERM_AGED,
                    tested="2026-03-01",
                    instrument=bench,
                )
                line = ResultLine("jnr_3.2", value, "1/kPa", temperature_c=64.0)
                book.keep(Result(run=book.keep(run).key, sample=sample, lines=(line,)))
    record.close()


def test_checks_and_duplicates_become_an_own_precision(serve: Any, tab: Page, tmp_path: Path) -> None:
    where = str(tmp_path / "laboratory.db")
    keep_duplicates(where)
    home = serve(record=where)
    tab.goto(f"{home}/laboratory/materials")
    tab.get_by_label("Name and lot, as on the bottle").fill("Binder K (invented)")
    tab.get_by_label("Kind").select_option("check-binder")
    tab.get_by_label("Property").select_option("jnr_3.2")
    tab.get_by_label("Reference needed").fill("0.84")
    tab.get_by_label("Its expanded uncertainty").fill("0.03")
    tab.get_by_label("Standard deviation of such checks here").fill("0.034")
    follow(tab.get_by_role("button", name="Register"))
    # 1.44 sqrt(0.034² + 0.015²) = 0.0535; rounded as the certificate prints it
    expect(tab.get_by_text("0.786 to 0.894 1/kPa").first).to_be_visible()
    assert_accessible(tab)
    for measured, said in (("0.85", "the instrument is verified"), ("0.95", "outside the zone")):
        tab.goto(f"{home}/laboratory/checks")
        tab.get_by_role("textbox", name="Measured needed").fill(measured)
        follow(tab.get_by_role("button", name="Keep the check"))
        expect(tab.get_by_text(said).first).to_be_visible()
    tab.goto(f"{home}/laboratory/precision")
    assert_accessible(tab)
    follow(tab.get_by_role("button", name="Work it out"))
    expect(tab.get_by_role("heading", name="What to know before it is kept")).to_be_visible()
    assert_accessible(tab)
    tab.get_by_label("Why it may stand").fill("to begin with")
    follow(tab.get_by_role("button", name="Keep as own precision"))
    expect(tab.get_by_text("to begin with")).to_be_visible()
    tab.set_viewport_size({"width": 360, "height": 900})
    for address in ("", "/rounds", "/checks", "/precision"):
        tab.goto(f"{home}/laboratory{address}")
        assert_fits(tab)
        assert_accessible(tab)
