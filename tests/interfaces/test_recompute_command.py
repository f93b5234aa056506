"""Stored results recomputed from the command line."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bench_files import creep_record
from resile.records.register import Result
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record

AT = "2026-03-02T09:00:00Z"


@pytest.fixture
def where(tmp_path: Path) -> str:
    """A record with two results; the second as an older version might have given it (constructed)."""
    path = str(tmp_path / "record.db")
    record = LaboratoryRecord.open(path)
    for seed in (1, 2):
        keep_record(record, one_person(), AT, creep_record(seed), f"run-{seed}.csv", RecordTold())
    with record.writing(by="P-LOCAL", at=AT) as book:
        kept = book.get(Result, "E-000002")
        first, *rest = kept.value.lines
        assert first.value is not None
        older = replace(kept.value, lines=(replace(first, value=first.value * 2), *rest), software="0.0.9")
        book.keep(older, key=kept.key, reason="constructed")
    record.close()
    return path


def test_what_differs_is_printed_and_the_exit_code_says_so(where: str, run: Callable[..., Any]) -> None:
    code, out, _ = run("recompute", "--all", "--record", where)
    assert code == 1
    assert "E-000002, revision 2: run R-000002 (run-2.csv), kept by resile 0.0.9" in out
    assert "(-50 %)" in out
    assert "E-000001" not in out
    assert "What the changelog says of numbers that changed since:" in out
    assert "1 of 2 results differ" in out
    code, out, _ = run("recompute", "E-000001", "--record", where)
    assert (code, "the same as kept" in out) == (0, True)


def test_the_json_has_every_value(where: str, run: Callable[..., Any]) -> None:
    code, out, _ = run("recompute", "--all", "--record", where, "--json")
    found = json.loads(out)
    assert (code, found["differs"], found["results"], found["stopped"]) == (1, True, 2, False)
    (value,) = found["found"][0]["difference"]["values"]
    assert value["after"] == value["before"] / 2
    assert (value["by_percent"], value["said"]) == (-50.0, "changed")


def test_what_was_kept_anew_is_the_same_afterwards(where: str, run: Callable[..., Any]) -> None:
    assert (
        "kept as revision 3; revision 2 stays as it was"
        in run("recompute", "R-000002", "--keep", "--record", where)[1]
    )
    assert run("recompute", "--all", "--record", where)[0] == 0


def test_what_is_to_be_recomputed_has_to_be_said(where: str, run: Callable[..., Any]) -> None:
    for words in ((), ("E-000001", "--all")):
        code, _, err = run("recompute", *words, "--record", where)
        assert (code, "give --all" in err) == (2, True)
    assert run("recompute", "E-000009", "--record", where)[0] == 3
