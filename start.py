"""Set up resile in a folder of its own and run it: nothing but Python 3.11 or newer is needed.

    python start.py              set up, then run the demonstration day
    python start.py test         set up, then run every test
    python start.py check        set up, then format, lint, types and tests (what CI runs)
    python start.py bench        set up, then run the benchmarks
    python start.py run ...      set up, then run any resile command, for example: run reduce my-record.csv

The environment is made in .venv beside this file, from the pinned and hashed requirements. Your system's
Python is not touched. Run it again at any time: what is up to date is not installed again.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ENVIRONMENT = HERE / ".venv"
BIN = ENVIRONMENT / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
LOCKS = {"run": "requirements.lock", "test": "requirements-dev.lock", "bench": "requirements-benchmark.lock"}
RECORDS = HERE / "requirements-records.lock"
"""Packages of which the tests read data files alone: installed without what their code needs."""


def say(text: str) -> None:
    print(f"resile: {text}", flush=True)


def fail(text: str) -> None:
    print(f"resile: {text}", file=sys.stderr)
    raise SystemExit(2)


def call(*words: str | Path, quiet: bool = False) -> None:
    command = [str(word) for word in words]
    done = subprocess.run(command, cwd=HERE, capture_output=quiet, text=True, check=False)
    if done.returncode:
        if quiet:
            print(done.stdout, done.stderr, sep="\n", file=sys.stderr)
        raise SystemExit(done.returncode)


def make_environment() -> None:
    if PYTHON.exists():
        return
    say(f"making an environment in {ENVIRONMENT.name} ...")
    try:
        import ensurepip  # noqa: F401
        import venv
    except ImportError:
        fail(
            "this Python has no venv module; install it (on Debian and Ubuntu: apt install python3-venv) "
            "and run the same command again"
        )
    venv.create(ENVIRONMENT, with_pip=True, clear=ENVIRONMENT.exists())


def install(what: str) -> None:
    """Install the locked requirements and the package, unless that very lock is already there."""
    lock = HERE / LOCKS[what]
    stamp = ENVIRONMENT / f"installed-{what}"
    files = [lock, HERE / "pyproject.toml", *([RECORDS] if what == "test" else [])]
    state = hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()
    if stamp.exists() and stamp.read_text() == state:
        return
    say("installing the pinned requirements (once, about a minute) ...")
    pip = (PYTHON, "-m", "pip", "--disable-pip-version-check", "--quiet")
    call(*pip, "install", "--require-hashes", "-r", lock)
    if what == "test":
        call(*pip, "install", "--require-hashes", "--no-deps", "-r", RECORDS)
    # The build tool is pinned in the same lock, so that no unpinned package is fetched for the build.
    call(*pip, "install", "--no-deps", "--no-build-isolation", "--editable", ".")
    stamp.write_text(state)


def main(words: list[str]) -> None:
    if sys.version_info < (3, 11):  # noqa: UP036 - said before anything fails in a less clear way
        fail(f"Python 3.11 or newer is needed; this is {sys.version.split()[0]}")
    task = words[0] if words else "demo"
    if task not in {"demo", "test", "check", "bench", "run"}:
        fail(f"'{task}' is not a task; the tasks are: demo (or nothing), test, check, bench, run")
    make_environment()
    install({"demo": "run", "run": "run", "bench": "bench"}.get(task, "test"))
    if task in {"test", "check"}:
        if task == "check":
            call(PYTHON, "-m", "ruff", "format", "--check", ".")
            call(PYTHON, "-m", "ruff", "check", ".")
            call(PYTHON, "-m", "mypy")
        in_files = ["-n", "auto", "--dist", "loadfile"]
        side_by_side = [] if any(word.startswith("-n") for word in words) else in_files
        call(PYTHON, "-m", "pytest", *side_by_side, *words[1:])
    elif task == "bench":
        call(PYTHON, "-m", "benchmarks", *words[1:])
    else:
        rest = words[1:] if words else []
        call(PYTHON, "-m", "resile", *(["demo", *rest] if task == "demo" else rest))


if __name__ == "__main__":
    main(sys.argv[1:])
