"""What two reports state differently."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.revision import Change, Entry


def changes_between(before: Sequence[Entry], after: Sequence[Entry]) -> tuple[Change, ...]:
    """Hold what one report states against what another does.

    Parameters
    ----------
    before, after : sequence of Entry
        Of the older and of the newer report.

    Returns
    -------
    tuple of Change
        In the order of the newer report; what only the older one states stands at the end of its kind. Values
        are the same where they are equal in full precision: a change too small for show is still a change.
    """
    old, new = _by_key(before), _by_key(after)
    changes = [Change(old.get(key), one) for key, one in new.items() if not _same(old.get(key), one)]
    changes += [Change(one, None) for key, one in old.items() if key not in new]
    kinds = list(dict.fromkeys(one.kind for one in (*after, *before)))
    return tuple(sorted(changes, key=lambda change: kinds.index(change.entry.kind)))


def _by_key(entries: Sequence[Entry]) -> dict[tuple[object, ...], Entry]:
    """Count what stands more than once under one key, so that none hides another."""
    found: dict[tuple[object, ...], Entry] = {}
    for entry in entries:
        count = 0
        while (*entry.key, count) in found:
            count += 1
        found[(*entry.key, count)] = entry
    return found


def _same(before: Entry | None, after: Entry) -> bool:
    return before is not None and (before.value, before.unit) == (after.value, after.unit)
