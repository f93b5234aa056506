"""Groups of options that several commands take in the same words, handed to a command as one mapping."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from typing import Any

Command = Callable[..., None]


def with_options(into: str, offered: dict[str, Any]) -> Callable[[Command], Command]:
    """Give a command options; it receives those that were given as one mapping.

    Parameters
    ----------
    into : str
        Name of the parameter of the command that takes the mapping.
    offered : dict
        Annotated options by the names under which the mapping holds them.

    Returns
    -------
    callable
        Decorator: the same command, with the options in its signature, as typer reads it.
    """
    return functools.partial(_with, into=into, offered=offered)


def _with(command: Command, *, into: str, offered: dict[str, Any]) -> Command:
    @functools.wraps(command)
    def wrapped(**given: Any) -> None:
        told = {name: given.pop(name) for name in offered}
        given[into] = {name: value for name, value in told.items() if value not in (None, [])}
        command(**given)

    own = inspect.signature(command)
    options = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=kind)
        for name, kind in offered.items()
    ]
    kept = [
        parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY)
        for name, parameter in own.parameters.items()
        if name != into
    ]
    wrapped.__signature__ = own.replace(parameters=[*kept, *options])  # type: ignore[attr-defined]
    wrapped.__annotations__ = {p.name: p.annotation for p in (*kept, *options)}
    del wrapped.__wrapped__
    return wrapped
