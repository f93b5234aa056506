"""The command line: one door, one place where refusals become exit codes."""

from __future__ import annotations

import sys

from resile.errors import EXIT_OUR_FAULT, ResileError, answer_for


def main() -> None:
    """Run one command; every refusal becomes one sentence on standard error and an exit code."""
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
        sys.stderr.close()  # the reader of the pipe has seen enough
        sys.exit(0)
    except Exception as error:
        import traceback

        traceback.print_exc()
        print(  # noqa: T201
            f"resile: this is a fault of the program, not of your data ({type(error).__name__}: {error}). "
            "Please report it with the lines above.",
            file=sys.stderr,
        )
        sys.exit(EXIT_OUR_FAULT)
