"""What the how-to pages show is true: every command and script runs, and prints what stands below it.

Each page gets a folder of its own with the files of the demonstration day. Blocks are taken in order:

* ``console``: lines that begin with ``$ resile`` are run; ``# exit 2`` at the end of a line states another
  exit code than 0. ``$ export NAME=VALUE`` sets a variable. Any other line must be in what was printed.
* ``python``: run as it stands, all blocks of a page in one namespace.
* a block whose first line names a file (``toml our-agency.toml``) is written to that file.
"""

import re
import shlex
import shutil
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from resile import write_demonstration
from resile.interfaces.cli import main

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGES = [
    *sorted((DOCS / "how-to").glob("*.md")),
    DOCS / "tutorial" / "a-day-in-the-workbench.md",
    DOCS / "tutorial" / "a-year-of-production.md",
]
TUTORIAL = DOCS / "tutorial" / "a-day-in-the-laboratory.md"
"""Run by ``tests/test_tutorial.py``."""
BLOCK = re.compile(r"^( *)```([^\n`]+)\n(.*?)^\1```$", re.MULTILINE | re.DOTALL)
EXIT = re.compile(r"#\s*exit (\d+)\s*$")


@dataclass(frozen=True)
class Command:
    """One command of a page, with what the page shows below it."""

    line: str
    shown: tuple[str, ...]

    @property
    def words(self) -> list[str]:
        return shlex.split(self.line, comments=True)

    @property
    def exit_code(self) -> int:
        stated = EXIT.search(self.line)
        return int(stated[1]) if stated else 0


def commands_of(block: str) -> Iterator[Command]:
    parts = re.split(r"^\$ ", block, flags=re.MULTILINE)
    assert not parts[0].strip(), f"a console block begins with a command: {block}"
    for part in parts[1:]:
        first, *others = part.splitlines()
        yield Command(first, tuple(line for line in others if line.strip() not in ("", "...", "…")))


def plain(text: str) -> str:
    """Give the words of a text: a sheet breaks its lines where the terminal ends."""
    return " ".join(text.split())


@pytest.fixture(scope="session")
def demonstration(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demonstration")
    write_demonstration(folder)
    return folder


@pytest.fixture
def bench(demonstration: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Stand in a fresh folder of demonstration files, as a reader does."""
    folder = tmp_path / "bench"
    shutil.copytree(demonstration, folder)
    monkeypatch.chdir(folder)
    monkeypatch.delenv("RESILE_SPECIFICATIONS", raising=False)
    yield folder


def run(command: Command, monkeypatch: pytest.MonkeyPatch, capfd: Any) -> None:
    program, *arguments = command.words
    if program == "export":
        name, _, value = arguments[0].partition("=")
        monkeypatch.setenv(name, value)
        return
    assert program == "resile", f"'$ {command.line}' is no command of ours"
    monkeypatch.setattr("sys.argv", ["resile", *arguments])
    capfd.readouterr()
    code: Any = 0
    try:
        main()
    except SystemExit as end:
        code = end.code or 0
    out, err = capfd.readouterr()
    assert code == command.exit_code, f"'{command.line}' ended with {code}:\n{err[-2000:]}"
    printed = plain(out + err)
    for line in command.shown:
        assert plain(line) in printed, f"'{command.line}' does not print: {line}\n{(out + err)[-6000:]}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_is_true(page: Path, bench: Path, monkeypatch: pytest.MonkeyPatch, capfd: Any) -> None:
    names: dict[str, Any] = {}
    for indent, kind, raw in BLOCK.findall(page.read_text(encoding="utf-8")):
        content = textwrap.dedent(raw) if indent else raw
        language, _, file = kind.strip().partition(" ")
        if language == "console":
            for command in commands_of(content):
                run(command, monkeypatch, capfd)
        elif language == "python":
            exec(compile(content, f"{page.name}, python block", "exec"), names)
        elif file:
            target = bench / file
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(content, encoding="utf-8")


def test_every_command_is_shown_in_a_page() -> None:
    from resile.interfaces.cli.commands import app

    words = " ".join(page.read_text(encoding="utf-8") for page in [*PAGES, TUTORIAL])
    for registered in app.registered_commands:
        assert registered.callback is not None
        name = registered.name or registered.callback.__name__
        assert f"$ resile {name}" in words, name
