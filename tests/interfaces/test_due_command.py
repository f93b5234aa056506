"""What is due, on the command line."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from laboratory_bench import can_in
from resile.records.register import Instrument
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.bench.heating import start_heating
from resile.workflows.laboratory.bench.instruments import keep_instrument

AT = "2026-03-02T09:00:00Z"


def test_what_is_due_is_printed_line_by_line(tmp_path: Path, run: Callable[..., Any]) -> None:
    where = str(tmp_path / "record.db")
    record = LaboratoryRecord.open(where)
    can = can_in(record)
    assert "nothing is due on 2026-03-02" in run("due", "--record", where, "--day", "2026-03-02")[1]
    keep_instrument(record, one_person(), AT, Instrument(name="Beam 1"))
    start_heating(record, one_person(), AT, can, 150.0)
    record.close()
    out = run("due", "--record", where, "--day", "2026-03-02")[1]
    assert "Beam 1: never verified: unknown" in out
    assert "26-101, can A1: in since 2026-03-02 09:00 UTC" in out
    found = json.loads(run("due", "--record", where, "--day", "2026-03-02", "--json")[1])
    assert [one["name"] for one in found["oven"]] == ["A1"]


def test_a_day_that_is_none_is_refused(tmp_path: Path, run: Callable[..., Any]) -> None:
    where = str(tmp_path / "record.db")
    LaboratoryRecord.open(where).close()
    assert run("due", "--record", where, "--day", "soon")[0] == 2
