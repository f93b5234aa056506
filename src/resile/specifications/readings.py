"""Conditions at which a master curve is read, from TOML."""

from __future__ import annotations

from pathlib import Path

from resile.records.models.curve_reading import (
    BeamCondition,
    GloverRoweCondition,
    PhaseCondition,
    ReadingConditions,
    ReadingThreshold,
    SmallPlateCondition,
)
from resile.specifications.checked import checked_file
from resile.specifications.search import find_file


def load_reading_conditions(wanted: str | Path = "master-curve") -> ReadingConditions:
    """Load the conditions at which a master curve is read.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    ReadingConditions
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    from resile.specifications.schema_readings import ReadingConditionsModel

    file = find_file("reading_conditions", wanted, words="file of reading conditions")
    data = checked_file(ReadingConditionsModel, file).model_dump()
    beam = data["beam"]
    return ReadingConditions(
        data["name"],
        data["measured_within_c"],
        data["measured_within_decades"],
        tuple(
            GloverRoweCondition(
                **{**block, "thresholds": tuple(ReadingThreshold(**one) for one in block["thresholds"])}
            )
            for block in data["glover_rowe"]
        ),
        tuple(PhaseCondition(**block) for block in data["phase"]),
        BeamCondition(**{**beam, "temperatures_c": tuple(beam["temperatures_c"])}),
        SmallPlateCondition(**data["small_plate"]),
        file.sha256,
    )
