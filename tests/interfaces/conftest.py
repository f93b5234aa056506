"""A command run in the process of the test."""

import sys

import pytest

from resile.interfaces.cli import main


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]):
    """Run a command in this process: exit code, standard output and error as text."""

    def call(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["resile", *map(str, words)])
        code = 0
        try:
            main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        sys.stdout.flush()
        out, err = capfdbinary.readouterr()
        return code, out.decode("utf-8"), err.decode("utf-8")

    return call
