"""What a month of production brought, on the command line."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kept_production import AT, keep_season
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.control.proposals import propose_watches
from resile.workflows.laboratory.control.watches import begin_watch


def test_a_month_is_told_written_and_given_to_machines(tmp_path: Path, run: Callable[..., Any]) -> None:
    where = str(tmp_path / "record.db")
    record = LaboratoryRecord.open(where)
    product = keep_season(record).product
    begin_watch(record, one_person(), AT, propose_watches(record, one_person(), product)[0].typed)
    record.close()
    asked = ("watch", "month", "--record", where, "--month", "2026-04")
    out = run(*asked, "--page", str(tmp_path / "april.pdf"))[1]
    assert "15 lots were sampled and none failed" in " ".join(out.split())
    assert (tmp_path / "april.pdf").read_bytes().startswith(b"%PDF")
    found = json.loads(run(*asked, "--json")[1])
    assert found["month"] == "2026-04"
    assert {one["load"] for one in found["products"][0]["misfits"]} == {"N-1", "N-2"}
    assert found["products"][0]["charts"][0]["signals"]
    assert run("watch", "month", "--record", where, "--month", "soon")[0] == 2
    assert run(*asked, "--page", str(tmp_path / "april.txt"))[0] == 2
