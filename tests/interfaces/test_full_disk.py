"""A full disk is no fault of the program: one sentence, exit code 2."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

FULL = Path("/dev/full")
pytestmark = pytest.mark.skipif(not FULL.exists(), reason="no device that is always full")


@pytest.mark.parametrize("call", ["rules", "rules --json", "plan PG64-22"])
def test_output_that_finds_no_room_is_told_in_one_sentence(call: str) -> None:
    with FULL.open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "resile", *call.split()],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            env=os.environ | {"PYTHONUTF8": "1"},
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr.startswith("resile: the output cannot be written (")
    assert done.stderr.count("\n") == 1
