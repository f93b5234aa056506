"""The command line: one door, one place where refusals become exit codes."""

from __future__ import annotations

import os
import sys

from resile.errors import EXIT_DONE, EXIT_OUR_FAULT, ResileError, answer_for


def main() -> None:
    """Run one command; every refusal becomes one sentence on standard error and an exit code."""
    try:
        try:
            _run()
        finally:
            sys.stdout.flush()
    except (BrokenPipeError, SystemExit) as end:
        if not _reader_has_gone(end):
            raise
        nowhere = os.open(os.devnull, os.O_WRONLY)  # for what is still held back when Python closes
        for stream in (sys.stdout, sys.stderr):
            os.dup2(nowhere, stream.fileno())
        sys.exit(EXIT_DONE)


def _run() -> None:
    if sys.argv[1:] == ["--version"]:  # scripts ask this often: no need to build the commands for it
        from resile.version import __version__

        print(f"resile {__version__}")  # noqa: T201
        return
    from resile.interfaces.cli.commands import app

    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a pipe on Windows would otherwise choke on the degree sign
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    try:
        app()
    except ResileError as error:
        print(f"resile: {error}", file=sys.stderr)  # noqa: T201
        sys.exit(answer_for(error).exit_code)
    except BrokenPipeError:
        raise
    except Exception as error:
        import traceback

        traceback.print_exc()
        print(  # noqa: T201
            f"resile: this is a fault of the program, not of your data ({type(error).__name__}: {error}). "
            "Please report it with the lines above.",
            file=sys.stderr,
        )
        sys.exit(EXIT_OUR_FAULT)


def _reader_has_gone(end: BaseException | None) -> bool:
    """Tell whether the pipe was closed, as by head; the libraries that print make an exit with 1 of it."""
    while end is not None:
        if isinstance(end, BrokenPipeError):
            return True
        end = end.__context__
    return False
