"""Predictions for other temperatures, and kinds of binder, as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.slope_prior import BinderKind


def binder_kind_to_json(kind: BinderKind) -> dict[str, Any]:
    """Give a kind of binder with the keys of its file.

    Parameters
    ----------
    kind : BinderKind
        As loaded.

    Returns
    -------
    dict
        Identity and slopes.
    """
    return {
        "identifier": kind.identifier,
        "title": kind.title,
        "checked": kind.checked,
        "sha256": kind.sha256,
        "slopes": [
            {
                "quantity": slope.quantity,
                "condition": str(slope.condition) if slope.condition is not None else None,
                "slope_per_c": slope.slope_per_c,
                "standard_per_c": slope.standard_per_c,
                "source": slope.source,
                "evidence": slope.evidence,
            }
            for slope in kind.slopes
        ],
        "notes": list(kind.notes),
    }
