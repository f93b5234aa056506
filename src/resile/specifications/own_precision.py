"""The laboratory's own precision from a file: what `resile laboratories` or the workbench wrote.

A file that uses every key::

    title = "Precision of the harbour laboratory"
    invented = true                       # numbers of a demonstration

    [[precision]]
    key = "OP-000003"                     # by this a verdict names it
    quantity = "jnr_3.2"
    condition = "short_term_aged"         # left out: every residue
    relative = true                       # the amounts are ratios of the value, not in its unit
    repeatability = 0.021
    intermediate = 0.034
    bias = -0.008                         # inside `standard`; the value is not corrected for it
    bias_standard = 0.006
    standard = 0.036                      # of one result
    degrees_of_freedom = 41
    lowest = 0.1                          # values it was found for, in the unit of the quantity
    highest = 4.0
    duplicates = 24                       # what it rests on
    checks = 12
    rounds = 2
    since = "2025-10-01"                  # days of its data; it holds from the day after `until`
    until = "2026-09-30"
    valid_until = "2027-09-30"
    note = "mixing of two rheometers"
"""

from __future__ import annotations

from pathlib import Path

from resile.records.own_precision import KeyedPrecision
from resile.records.register.laboratories import OwnPrecision
from resile.specifications.checked import checked_file
from resile.specifications.search import find_file


def load_own_precision(wanted: str | Path) -> tuple[KeyedPrecision, ...]:
    """Load the laboratory's own precision.

    Parameters
    ----------
    wanted : str or Path
        Name of a file under ``own_precision`` of a folder on the search path, or a path.

    Returns
    -------
    tuple of KeyedPrecision
        In the order of the file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is unknown or wrong.
    """
    from resile.specifications.schema_doubt import OwnPrecisionFileModel

    content = checked_file(OwnPrecisionFileModel, find_file("own_precision", wanted, words="own precision"))
    return tuple(
        KeyedPrecision(
            one.key,
            OwnPrecision(**one.model_dump(exclude={"key"}), invented=content.invented),
        )
        for one in content.precision
    )
