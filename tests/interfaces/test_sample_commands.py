"""From the terminal: a sample of the record is graded, drafted and released."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from interfaces.test_sign_commands import valid_today
from laboratory_key import PASSWORD
from resile.interfaces.cli.commands import app
from resile.records.register import Statement
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.orders.signing import verify_report
from stored_samples import keep_order


def test_a_sample_is_graded_drafted_and_released_from_the_terminal(tmp_path: Path) -> None:
    where = str(tmp_path / "laboratory.db")
    record = LaboratoryRecord.open(where)
    keep_order(record, "101-plain")
    record.close()
    runner = CliRunner()
    graded = runner.invoke(app, ["sample", "grade", "101", "--record", where])
    assert graded.exit_code == 0
    assert "64S" in graded.stdout
    assert "101-1 is a draft" in runner.invoke(app, ["sample", "draft", "101", "--record", where]).stdout
    released = runner.invoke(app, ["sample", "release", "101", "--record", where])
    assert "101-1 is issued" in released.stdout
    assert "101-1.pdf" in released.stdout
    again = runner.invoke(app, ["sample", "release", "101", "--record", where])
    assert "has no draft" in str(again.exception)


def test_a_statement_is_signed_while_it_is_released(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    where, key = str(tmp_path / "laboratory.db"), tmp_path / "laboratory.p12"
    key.write_bytes(valid_today().key_file())
    monkeypatch.setenv("RESILE_KEY_PASSWORD", PASSWORD)
    record = LaboratoryRecord.open(where)
    keep_order(record, "101-plain")
    runner = CliRunner()
    runner.invoke(app, ["sample", "grade", "101", "--record", where])
    runner.invoke(app, ["sample", "draft", "101", "--record", where])
    released = runner.invoke(app, ["sample", "release", "101", "--record", where, "--key", str(key)])
    assert released.exit_code == 0
    with record.reading() as reading:
        files = reading.find(Statement)[0].value.files
        page = tmp_path / "issued.pdf"
        page.write_bytes(reading.file(next(sha for name, sha in files.items() if name.endswith(".pdf"))))
    record.close()
    assert verify_report(page).intact


def test_the_terminal_releases_nothing_where_four_eyes_are_wanted(tmp_path: Path) -> None:
    where = str(tmp_path / "laboratory.db")
    record = LaboratoryRecord.open(where)
    keep_order(record, "101-plain", four_eyes=True)
    record.close()
    runner = CliRunner()
    runner.invoke(app, ["sample", "grade", "101", "--record", where])
    runner.invoke(app, ["sample", "draft", "101", "--record", where])
    refused = runner.invoke(app, ["sample", "release", "101", "--record", where])
    assert "Sign in to the workbench" in str(refused.exception)
