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
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, find_file

FOLDER = "reading_conditions"


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
    return _conditions(find_file(FOLDER, wanted, words="file of reading conditions"))


def is_reading_conditions(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is of conditions at which a master curve is read."""
    return is_listed(wanted, keys=("glover_rowe", "small_plate"), entries=list_reading_conditions)


def list_reading_conditions() -> tuple[SpecificationEntry, ...]:
    """List every file of reading conditions on the search path; a faulty one with its problem."""
    return list_files(FOLDER, "reading condition", _conditions)


def _conditions(file: SpecificationFile) -> ReadingConditions:
    from resile.specifications.schema_readings import ReadingConditionsModel

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
        data["title"],
        data["checked"],
    )
