"""Names taken from the folders a file stands in, by a pattern such as ``{product}/{lot}/{sample}``.

The pattern is held against the path below the folder that was named, level by level from the top; its last
level may be the name of the file, without its ending. Levels behind the pattern say nothing. ``*`` stands for
anything in a level.
"""

from __future__ import annotations

import re
from dataclasses import fields

from resile.errors import InputError
from resile.readers.batches.details import condition_told
from resile.records.batch import FileTold, FoundFile

_NAMES = tuple(field.name for field in fields(FileTold))
_PART = re.compile(r"\{([^{}]*)\}|(\*)|([^{}*]+)|([{}])")
_DAY = re.compile(r"(\d{4})-?(\d{2})-?(\d{2})\Z")


class FolderNames:
    """A pattern made ready.

    Parameters
    ----------
    pattern : str
        As a person wrote it.

    Raises
    ------
    InputError
        It names what is not known, names something twice, or names nothing.
    """

    def __init__(self, pattern: str) -> None:
        self.pattern = pattern
        levels = [_level(level, pattern) for level in pattern.replace("\\", "/").strip("/").split("/")]
        names = [name for level in levels for name in re.findall(r"\(\?P<(\w+)>", level)]
        if not names or len(set(names)) != len(names):
            raise InputError(
                f"the pattern of folders '{pattern}' must name at least one of {_choice()}, none twice"
            )
        self._levels = [re.compile(level + r"\Z") for level in levels]

    def told(self, file: FoundFile) -> FileTold | None:
        """Give what the folders of a file say; None where they do not fit the pattern."""
        levels = file.below.split("/")
        levels[-1] = levels[-1].rpartition(".")[0] or levels[-1]
        if len(levels) < len(self._levels):
            return None
        found: dict[str, str] = {}
        for pattern, level in zip(self._levels, levels, strict=False):
            fits = pattern.match(level)
            if fits is None:
                return None
            found |= {name: text.strip() for name, text in fits.groupdict().items()}
        return _checked(found)


def _checked(found: dict[str, str]) -> FileTold | None:
    if "tested" in found:
        day = _DAY.match(found["tested"])
        if day is None:
            return None
        found["tested"] = "-".join(day.groups())
    if "condition" in found:
        found["condition"] = condition_told(found["condition"])
        if not found["condition"]:
            return None
    return FileTold(**found)


def _level(level: str, pattern: str) -> str:
    made = ""
    for name, star, words, brace in _PART.findall(level):
        if brace or (not star and not words and name not in _NAMES):
            raise InputError(
                f"the pattern of folders '{pattern}': '{{{name}}}' is not known; write {_choice()}, "
                "for example '{product}/{lot}/{sample}'"
            )
        if star:
            made += ".*?"
        elif words:
            made += re.escape(words)
        else:
            made += f"(?P<{name}>.+?)"
    return made


def _choice() -> str:
    return ", ".join(f"{{{name}}}" for name in _NAMES)
