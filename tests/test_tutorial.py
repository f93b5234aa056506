"""The tutorial and the example do what they say: their commands are run as a reader would run them."""

import contextlib
import io
import re
import runpy
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from resile.interfaces.cli import main

ROOT = Path(__file__).resolve().parents[1]
TUTORIAL = ROOT / "docs" / "tutorial" / "a-day-in-the-laboratory.md"
EXAMPLE = ROOT / "examples" / "a_day_in_the_laboratory.py"


def commands() -> list[tuple[list[str], int]]:
    """Give each command of the tutorial with the exit code it announces."""
    blocks = re.findall(r"```console\n(.*?)```", TUTORIAL.read_text(encoding="utf-8"), re.DOTALL)
    found = []
    for line in "".join(blocks).splitlines():
        command, _, remark = line.removeprefix("$ ").partition("  # exit code ")
        found.append((command.split()[1:], int(remark or 0)))
    return found


def run(
    monkeypatch: pytest.MonkeyPatch, folder: Path, *words: str, script: Path | None = None
) -> tuple[int, str]:
    """Run a command, or a script, in this process (the drawing library takes a second to start in each)."""
    said = io.StringIO()
    monkeypatch.chdir(folder)
    monkeypatch.setattr(sys, "argv", [str(script or "resile"), *words])
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            if script is None:
                main()
            else:
                runpy.run_path(str(script), run_name="__main__")
        except SystemExit as ending:
            return int(ending.code or 0), said.getvalue()
    return 0, said.getvalue()


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    folder = tmp_path_factory.mktemp("tutorial")
    said = {}
    with pytest.MonkeyPatch.context() as monkeypatch:
        for words, announced in commands():
            if "=" in words[0]:  # export NAME=VALUE
                monkeypatch.setenv(*words[0].split("="))
                continue
            code, text = run(monkeypatch, folder, *words)
            assert code == announced, f"resile {' '.join(words)}\n{text}"
            said[" ".join(words)] = text
    said["pages"] = " ".join(sorted(path.name for path in (folder / "pages").iterdir()))
    yield said


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("ageing day/101-plain/ageing.toml", ["−0.309"]),
        ("report day/101-plain/order.toml", ["101 satisfies 64S"]),
        ("report day/102-spring/order.toml", ["conditional pass", "76.", "Repeat"]),
        ("reduce day/103-spring-tank-2/specimens.xlsx", ["invalid", "Repeat with a fresh specimen"]),
        ("grade day/104-certificate/certificate.csv", ["62.8", "26.8"]),
        ("report day/105-receipt/order.toml", ["No conditioning cycles", "64-heavy"]),
        ("report day/2*/order.toml", ["PG 64S-22 (claimed grade): ✓ satisfied in full"]),
        ("report day/2*/order.toml", ["PG 58H-28 (claimed grade): ✓ satisfied in full"]),
        (
            "report day/2*/order.toml",
            ["PG 70V-22 (claimed grade): ✓ satisfied in full", "The file states plates of 25 mm"],
        ),
        ("verify pages/203-signed.pdf", ["signed, and unchanged since", "worth nothing"]),
        ("read day/105-receipt/specimen-1.txt", ["torque"]),
    ],
)
def test_a_command_of_the_tutorial_says_what_the_story_says(outputs, command: str, words: list[str]) -> None:
    (said,) = [text for name, text in outputs.items() if name.startswith(command)]
    for word in words:
        assert word in said, f"{word!r} is not in the answer to: resile {command}"


def test_the_pages_of_seven_orders_are_on_disk(outputs) -> None:
    for number in ("101", "102", "103", "105", "201-signed", "202-signed", "203-signed"):
        assert f"{number}.pdf" in outputs["pages"]


def test_the_example_runs_and_tells_the_same_story(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code, said = run(monkeypatch, tmp_path, "my-day", script=EXAMPLE)
    assert code == 0, said
    for words in ("invented for demonstration", "conditional pass", "the specimen did not last the test"):
        assert words in said
    assert (tmp_path / "my-day" / "102-spring" / "102.pdf").is_file()
