"""Refusals for a page: without the options of the command line, which a form has fields for."""

from __future__ import annotations

import re

from resile.errors import ResileError

_OPTIONS = re.compile(r"\s*\((?:see: )?(?:resile|--)[^()]*\)")


def spoken(error: ResileError) -> ResileError:
    """Give a refusal whose sentence names no command and no option."""
    error.args = tuple(_OPTIONS.sub("", word) if isinstance(word, str) else word for word in error.args)
    return error
