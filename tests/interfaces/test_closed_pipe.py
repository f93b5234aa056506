"""Whoever reads a command through a pipe may stop when they have seen enough, as head does."""

import datetime
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer import Typer

from laboratory_key import PASSWORD, make_identity
from report.example_records import example_document
from resile.interfaces.cli.commands import PANELS
from resile.report.page import pdf_page
from resile.workflows.demonstration import write_demonstration
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.record.moving import back_up_record, export_record
from resile.workflows.laboratory.record.opening import now, open_record
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.orders.ordering import report_order

pytestmark = pytest.mark.skipif(os.name != "posix", reason="a closed pipe is another error elsewhere")

CALLS = (
    "--version",
    "--help",
    "read 101-plain/specimen-1.csv",
    "reduce 101-plain/specimen-1.csv",
    "reduce 101-plain/specimen-1.csv --json",
    "batch 101-plain --into archive",
    "archive show archive",
    "laboratories study study.csv",
    "grade 101-plain/other-results.csv",
    "compare 101-plain/other-results.csv",
    "report 101-plain/order.toml --folder pages",
    "changes older.json older.json",
    "leaflet older.json",
    "ageing 101-plain/ageing.toml",
    "plan PG64-22",
    "certificate 104-certificate/certificate.csv --claim PG64V-22",
    "form PG64-22",
    "predict 101-plain/other-results.csv --at 70 --kind unmodified",
    "model creep 101-plain/specimen-1.csv --kind burgers",
    "model programme 101-plain/specimen-1.csv steps.csv --kind burgers",
    "match roads/sites.csv roads/range.csv",
    "blend start blends/new.toml",
    "demand --latitude 45 --air-high-mean-c 30 --air-high-sd-c 2 --air-low-mean-c -20 --air-low-sd-c 3",
    "watch capability lots.csv -p jnr_3.2 --at-most 0.5",
    "watch target -p jnr_3.2 --at-most 0.5 --plant 12%",
    "watch quick lots.csv complex_modulus -p jnr_3.2 --at-most 0.5",
    "watch sampling modified-by-tank",
    "rules",
    "rules --json",
    "sign report.pdf --key laboratory.p12",
    "verify report.pdf",
    "demo again",
    "serve --record here.db --port 0",
    "due --record here.db",
    "watch month --record here.db",
    "receive 26-101 --record here.db",
    "keep 101-plain/specimen-1.csv --record here.db",
    "recompute --all --record here.db",
    "backup again.backup --record here.db",
    "restore here.backup --record restored.db",
    "export exported_again --record here.db",
    "import exported --record imported.db",
    "watch rules",
)


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("day")
    write_demonstration(folder)
    (folder / "steps.csv").write_text("duration (s),stress (kPa)\n1,3.2\n9,0\n", encoding="utf-8")
    lots = [f"L{at},{0.3 + 0.02 * (at % 5):.2f},{2.4 - 0.11 * (at % 5) + 0.01 * at:.2f}" for at in range(9)]
    (folder / "lots.csv").write_text(
        "\n".join(["lot,jnr_3.2,complex_modulus", *lots]) + "\n", encoding="utf-8"
    )
    (folder / "study.csv").write_text("Lab,A\n1,1.0 1.1\n2,1.2 1.3\n3,1.1 1.3\n", encoding="utf-8")
    report = report_order(folder / "101-plain" / "order.toml", date="2026-05-12")
    (folder / "older.json").write_text(json.dumps(report.to_json()), encoding="utf-8")
    (folder / "report.pdf").write_bytes(pdf_page(example_document()))
    today, year = datetime.datetime.now(datetime.UTC), datetime.timedelta(days=365)
    here = open_record(str(folder / "here.db"))
    receive_sample(here, one_person(), now(), Arrival(number="26-100"))
    back_up_record(here, one_person(), folder / "here.backup", now())
    export_record(here, one_person(), folder / "exported", now())
    here.close()
    key = make_identity("Reports of the Kaltbach works (invented)", first=today - year, last=today + year)
    (folder / "laboratory.p12").write_bytes(key.key_file())
    return folder


def test_every_command_is_asked() -> None:
    asked = {call.split()[0] for call in CALLS if not call.startswith("-")}
    assert asked - {"archive", "blend", "laboratories", "model", "watch"} == {
        member.__name__.rstrip("_")
        for members in PANELS.values()
        for member in members
        if not isinstance(member, Typer)
    }


def _is_telling(call: str) -> bool:
    """One command of each way to print: plain, long, as JSON, on a record, as a server."""
    return call.split()[0] in {
        "--version",
        "--help",
        "read",
        "reduce",
        "grade",
        "blend",
        "rules",
        "serve",
        "due",
    }


@pytest.mark.parametrize(
    "call",
    [call if _is_telling(call) else pytest.param(call, marks=pytest.mark.nightly) for call in CALLS],
)
def test_a_pipe_closed_by_its_reader_is_a_normal_end(call: str, day: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as closed:
        done = subprocess.run(
            [sys.executable, "-m", "resile", *call.split()],
            cwd=day,
            stdout=closed,
            stderr=subprocess.PIPE,
            env=os.environ | {"RESILE_KEY_PASSWORD": PASSWORD},
            check=False,
        )
    assert (done.returncode, done.stderr.decode()) == (0, "")
