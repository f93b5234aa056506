"""The command line: one door, one place where refusals become exit codes."""

from __future__ import annotations

import errno
import os
import sys
from typing import NoReturn, TextIO

from resile.errors import EXIT_DONE, EXIT_OUR_FAULT, InputError, ResileError, answer_for

_NO_ROOM = (errno.ENOSPC, errno.EFBIG, *((errno.EDQUOT,) if hasattr(errno, "EDQUOT") else ()))


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
        _leave_the_rest(sys.stdout, sys.stderr)
        sys.exit(EXIT_DONE)
    except OSError as error:
        if error.errno not in _NO_ROOM:
            raise
        _leave_the_rest(sys.stdout)
        full = InputError(f"the output cannot be written ({error.strerror}); make room, or send it elsewhere")
        print(f"resile: {full}", file=sys.stderr)  # noqa: T201
        sys.exit(answer_for(full).exit_code)


def _leave_the_rest(*streams: TextIO) -> None:
    """Lead what is still held back nowhere, or Python would try it again on closing."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in streams:
        os.dup2(nowhere, stream.fileno())


def _run() -> None:
    if sys.argv[1:] == ["--version"]:  # scripts ask this often: no need to build the commands for it
        from resile.version import __version__

        print(f"resile {__version__}")  # noqa: T201
        return
    # Our matrices are small: threads of linear algebra only wait for each other, the more so under --jobs. It
    # is read once, when numpy is loaded; who sets it keeps what was set.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
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
    except OSError as error:
        if error.errno in _NO_ROOM:
            raise
        _our_fault(error)
    except Exception as error:
        _our_fault(error)


def _our_fault(error: Exception) -> NoReturn:
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
