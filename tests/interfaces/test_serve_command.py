"""`resile serve`: where it may be reached from, a port in use, and how it ends."""

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.people import make_first_person


@pytest.mark.parametrize(
    "more", [["--host", "0.0.0.0"], ["--host", "::"], ["--address", "https://resile.example"]]
)
def test_without_sign_in_it_is_served_to_this_computer_alone(run, tmp_path: Path, more: list[str]) -> None:
    code, _, err = run("serve", "--record", tmp_path / "r.db", "--port", "0", *more)
    assert code == 2
    assert "--sign-in" in err and "Traceback" not in err


def test_a_record_with_accounts_is_not_opened_without_sign_in(run, tmp_path: Path) -> None:
    record = LaboratoryRecord.open(tmp_path / "r.db")
    make_first_person(record, "2026-05-12T10:00:00Z", name="A", account="ada", password="four words in a row")
    record.close()
    code, _, err = run("serve", "--record", tmp_path / "r.db", "--port", "0", "--no-sign-in")
    assert code == 2 and "holds accounts" in err


def test_a_port_in_use_is_told_in_one_sentence(run, tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as held:
        port = held.getsockname()[1]
        code, _, err = run("serve", "--record", tmp_path / "r.db", "--port", port)
    assert code == 2
    assert f"port {port}" in err and "--port" in err and err.count("\n") == 1


def test_an_address_this_computer_does_not_have_is_told(run, tmp_path: Path) -> None:
    code, _, err = run("serve", "--record", tmp_path / "r.db", "--host", "192.0.2.1", "--sign-in")
    assert code == 2 and "does not have that address" in err


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C is sent as a signal")
@pytest.mark.parametrize("workers", [1, 2])
def test_it_tells_where_it_is_answers_and_ends_on_ctrl_c(tmp_path: Path, workers: int) -> None:
    command = [sys.executable, "-m", "resile", "serve", "--port", "0", "--workers", str(workers)]
    with subprocess.Popen(
        [*command, "--record", str(tmp_path / "r.db")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    ) as server:
        assert server.stdout is not None
        told = [server.stdout.readline() for _ in range(4)]
        address = told[0].split()[1]
        with urllib.request.urlopen(address, timeout=180) as answer:
            assert answer.status == 200 and b"resile" in answer.read()
        server.send_signal(signal.SIGINT)
        out, err = server.communicate(timeout=180)
    assert server.returncode == 0
    assert "workbench stopped" in out and "Traceback" not in err
    assert "one person" in told[2] and str(tmp_path / "r.db") in told[1]


def test_a_set_up_code_is_shown_where_others_can_reach_it_first(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "resile", "serve", "--port", "0", "--host", "0.0.0.0", "--sign-in"]
    with subprocess.Popen(
        [*command, "--record", str(tmp_path / "r.db")],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    ) as server:
        assert server.stdout is not None
        told = [server.stdout.readline() for _ in range(4)]
        server.terminate()
    assert "/set-up?code=" in told[3]
