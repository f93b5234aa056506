"""The JSON of ageing records: full precision, ``None`` where unknown."""

from __future__ import annotations

from typing import Any

from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.report.machine.records import finding_to_json, source_to_json

Json = dict[str, Any]


def ageing_to_json(record: AgeingRecord | LongTermAgeingRecord) -> Json:
    """Give an ageing record as a dictionary.

    Parameters
    ----------
    record : AgeingRecord or LongTermAgeingRecord
        Reduced and checked.

    Returns
    -------
    dict
        Masses in g, mass changes in %; ``kind`` tells which of the two it is.
    """
    own = _short_term(record) if isinstance(record, AgeingRecord) else _long_term(record)
    return {
        "source": source_to_json(record.source),
        "sample": record.sample,
        "method": record.method,
        "aged_on": record.aged_on or None,
        "temperature_c": record.temperature_c,
        **own,
        "findings": [finding_to_json(finding) for finding in record.findings],
    }


def _short_term(record: AgeingRecord) -> Json:
    return {
        "kind": "short-term",
        "duration_min": record.duration_min,
        "air_flow_ml_min": record.air_flow_ml_min,
        "rotation_r_min": record.rotation_r_min,
        "recovery_min": record.recovery_min,
        "mass_change_percent": record.mass_change_percent,
        "bottles": [
            {
                "name": bottle.name,
                "empty_g": bottle.empty_g,
                "before_g": bottle.before_g,
                "after_g": bottle.after_g,
                "mass_change_percent": bottle.mass_change_percent,
                "note": bottle.note,
            }
            for bottle in record.bottles
        ],
    }


def _long_term(record: LongTermAgeingRecord) -> Json:
    return {
        "kind": "long-term",
        "feed": str(record.feed),
        "short_term_record": record.short_term_record or None,
        "pressure_mpa": record.pressure_mpa,
        "duration_h": record.duration_h,
        "pan_count": record.pan_count,
        "pan_diameter_mm": record.pan_diameter_mm,
        "pans": [
            {"name": pan.name, "mass_g": pan.mass_g, "film_mm": pan.film_mm, "note": pan.note}
            for pan in record.pans
        ],
        "release_min": record.release_min,
        "pan_heating_temperature_c": record.pan_heating_temperature_c,
        "pan_heating_min": record.pan_heating_min,
        "degassing_temperature_c": record.degassing_temperature_c,
        "degassing_pressure_kpa": record.degassing_pressure_kpa,
        "degassing_min": record.degassing_min,
        "departure": record.departure or None,
        "note": record.note or None,
    }
