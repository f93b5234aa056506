"""What crosses between laboratories as plain data for machines, by the names of the glossary."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from resile.records.finding import Finding
from resile.report.machine.records import finding_to_json


def laboratory_record_to_json(record: Any) -> Any:
    """Give a record of laboratories, or a tuple of them, as plain data.

    Parameters
    ----------
    record : dataclass, tuple, mapping or plain value
        From `resile.records.laboratories`.

    Returns
    -------
    dict, list or plain value
        Fields by name; a number that is not finite becomes None.
    """
    if isinstance(record, Finding):
        return finding_to_json(record)
    if is_dataclass(record) and not isinstance(record, type):
        return {one.name: laboratory_record_to_json(getattr(record, one.name)) for one in fields(record)}
    if isinstance(record, dict):
        return {str(name): laboratory_record_to_json(value) for name, value in record.items()}
    if isinstance(record, tuple | list):
        return [laboratory_record_to_json(one) for one in record]
    if isinstance(record, Enum):
        return str(record.value)
    if isinstance(record, float) and not math.isfinite(record):
        return None
    return record
