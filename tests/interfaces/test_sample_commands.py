"""From the terminal: a sample of the record is graded, drafted and released."""

from pathlib import Path

from typer.testing import CliRunner

from resile.interfaces.cli.commands import app
from resile.storage.laboratory_record import LaboratoryRecord
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
