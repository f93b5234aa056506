"""Published practice for blends, from TOML: reclaimed binder, and the effect of polymer."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import Any

from resile.records.blending.polymer import PolymerEffect, RecoveryPrior, StoragePoint
from resile.records.blending.reclaimed import PublishedBlend, ReclaimedPractice, ReclaimedTier, WarmMixGain
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, find_file

PRACTICE_FOLDER, PRACTICE_KIND = "reclaimed_practice", "practice for reclaimed binder"
POLYMER_FOLDER, POLYMER_KIND = "polymer_effects", "published polymer effect"


def load_reclaimed_practice(wanted: str | Path = "common") -> ReclaimedPractice:
    """Load published practice for reclaimed binder by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        ``"common"``, or the path of a file.

    Returns
    -------
    ReclaimedPractice
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    return _practice(find_file(PRACTICE_FOLDER, wanted, words=PRACTICE_KIND))


def load_polymer_effect(wanted: str | Path = "sbs") -> PolymerEffect:
    """Load what is published of a polymer by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        ``"sbs"``, or the path of a file.

    Returns
    -------
    PolymerEffect
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    return _polymer(find_file(POLYMER_FOLDER, wanted, words=POLYMER_KIND))


def list_blending_files() -> tuple[SpecificationEntry, ...]:
    """List every file of published practice for blends on the search path, a faulty one with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        In search order.
    """
    return (
        *list_files(PRACTICE_FOLDER, PRACTICE_KIND, _practice),
        *list_files(POLYMER_FOLDER, POLYMER_KIND, _polymer),
    )


def is_polymer_effect(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is of the effect of a polymer."""
    return is_listed(
        wanted, keys=("recovery",), entries=lambda: list_files(POLYMER_FOLDER, POLYMER_KIND, _polymer)
    )


def is_reclaimed_practice(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is of practice for reclaimed binder."""
    return is_listed(
        wanted, keys=("warm_mix",), entries=lambda: list_files(PRACTICE_FOLDER, PRACTICE_KIND, _practice)
    )


def _practice(file: SpecificationFile) -> ReclaimedPractice:
    from resile.specifications.schema_blending import ReclaimedPracticeModel

    data: dict[str, Any] = checked_file(ReclaimedPracticeModel, file).model_dump()
    warm, tiers, tested = data.pop("warm_mix"), data.pop("tiers"), data.pop("tested_blends")
    for key in ("notes", "high_temperatures_c", "low_temperatures_c"):
        data[key] = tuple(data[key])
    return ReclaimedPractice(
        **data,
        warm_mix=tuple(WarmMixGain(**one) for one in warm["gain"]),
        warm_mix_source=_marked(warm),
        tiers=tuple(ReclaimedTier(**one) for one in tiers["tier"]),
        tiers_source=_marked(tiers),
        blends=tuple(PublishedBlend(**one) for one in tested["blend"]),
        blends_source=_marked(tested),
        sha256=file.sha256,
    )


def _polymer(file: SpecificationFile) -> PolymerEffect:
    from resile.specifications.schema_blending import PolymerEffectModel

    data: dict[str, Any] = checked_file(PolymerEffectModel, file).model_dump()
    recovery, storage = data.pop("recovery"), data.pop("storage")
    data["notes"] = tuple(data["notes"])
    return PolymerEffect(
        **data,
        prior=RecoveryPrior(**{one.name: recovery[one.name] for one in fields(RecoveryPrior)}),
        prior_source=_marked(recovery),
        storage=tuple(StoragePoint(**one) for one in storage["point"]),
        storage_source=_marked(storage),
        sha256=file.sha256,
    )


def _marked(table: dict[str, Any]) -> str:
    """Give the source with its evidence mark."""
    return f"{table['source']} [{table['evidence']}]" if table["evidence"] else str(table["source"])
