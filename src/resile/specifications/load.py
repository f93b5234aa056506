"""Load and check limits, precision statements, decision and retest rules, ageing methods and summary checks.

A file is found by `resile.specifications.search`, checked by `resile.specifications.schema`, and handed on as
a frozen record. A wrong file is refused with every fault at once, each with the key it stands under.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import SpecificationError
from resile.records.ageing import AgeingMethod, Tolerance
from resile.records.check import SummaryCheck
from resile.records.published_limit import PublishedLimit
from resile.records.specification import (
    DecisionRule,
    PrecisionBand,
    PrecisionStatement,
    Requirement,
    RetestRule,
    ServiceClass,
    Specification,
)
from resile.specifications.checked import checked_file
from resile.specifications.search import SpecificationFile, files_of, find_file, read_toml

if TYPE_CHECKING:
    pass

BASES = ("repeatability", "reproducibility", "replicates", "budget", "combined", "own")


@dataclass(frozen=True, slots=True)
class SpecificationEntry:
    """One specification, price rule or kind of binder that can be asked for.

    Attributes
    ----------
    identifier, title, edition, checked : str
        As stated in the file; `checked` empty means unchecked.
    path : str
        The file.
    problem : str
        Why the file cannot be used; empty where it can.
    kind : str
        ``"specification"``, ``"price rule"`` or ``"kind of binder"``.
    """

    identifier: str
    title: str
    edition: str
    checked: str
    path: str
    problem: str = ""
    kind: str = "specification"


def _requirement(block: dict[str, Any]) -> Requirement:
    waiver = {k: v for k, v in (block.pop("waived_when") or {}).items() if v is not None}
    also = tuple(block.pop("also_accepts"))
    return Requirement(**block, waived_when=waiver, also_accepts=also)


def load_specification(wanted: str | Path) -> Specification:
    """Load a specification by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        ``"m332-2014"``, or the path of a file of one's own.

    Returns
    -------
    Specification
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError
        Where there is no such specification; lists those there are.
    SpecificationError
        Where the file is wrong; names the file and every key.

    Examples
    --------
    >>> load_specification("m332-2014").classes[-1].name
    'E'
    """
    return _specification(find_file("limits", wanted, words="specification"))


def _specification(file: SpecificationFile) -> Specification:
    from resile.specifications.schema import SpecificationModel

    data = checked_file(SpecificationModel, file).model_dump()
    data["classes"] = tuple(
        sorted((ServiceClass(**block) for block in data["classes"]), key=lambda c: c.rank)
    )
    data["requirements"] = tuple(_requirement(block) for block in data["requirements"])
    data["high_temperatures_c"] = tuple(sorted(data["high_temperatures_c"]))
    data["notes"] = tuple(data["notes"])
    for key in ("low_temperatures_c", "long_term_ageing_temperatures_c"):
        data[key] = {float(step): tuple(found) for step, found in data[key].items()}
    data["low_temperatures_c"] = {
        step: tuple(sorted(lows, reverse=True)) for step, lows in sorted(data["low_temperatures_c"].items())
    }
    return Specification(**data, sha256=file.sha256)


def list_specifications() -> tuple[SpecificationEntry, ...]:
    """List every specification on the search path; a faulty file is listed with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        In search order; where an identifier occurs twice, the first is the one that is used.
    """
    entries: list[SpecificationEntry] = []
    for path in files_of("limits"):
        try:
            specification = _specification(read_toml(path))
        except SpecificationError as error:
            entries.append(SpecificationEntry(path.stem, "", "", "", str(path), problem=str(error)))
        else:
            entries.append(
                SpecificationEntry(
                    specification.identifier,
                    specification.title,
                    specification.edition,
                    specification.checked,
                    str(path),
                )
            )
    return tuple(entries)


def load_precision(wanted: str | Path) -> PrecisionStatement:
    """Load a precision statement by identifier or path, bands and gaps as printed.

    Parameters
    ----------
    wanted : str or Path
        ``"t350-2014"``, or the path of a file.

    Returns
    -------
    PrecisionStatement
        The statement.
    """
    return _precision(find_file("precision", wanted, words="precision statement"))


def load_all_precision() -> tuple[PrecisionStatement, ...]:
    """Load every precision statement on the search path, own ones first.

    Returns
    -------
    tuple of PrecisionStatement
        Where two statements cover a quantity, the first is the one that is used.
    """
    return tuple(_precision(read_toml(path)) for path in files_of("precision"))


def _precision(file: SpecificationFile) -> PrecisionStatement:
    from resile.specifications.schema_rules import PrecisionModel

    data = checked_file(PrecisionModel, file).model_dump()
    checked = data.pop("checked")
    notes = (*data.pop("notes"), *(() if checked else ("Not checked against the document.",)))
    data.pop("transcribed")
    bands = tuple(PrecisionBand(**block) for block in data.pop("bands"))
    return PrecisionStatement(**data, bands=bands, notes=notes)


def load_decision_rule(name: str | Path, *, basis: str = "reproducibility") -> DecisionRule:
    """Load a decision rule and say on which uncertainty it is to rest.

    Parameters
    ----------
    name : str or Path
        ``"simple"``, ``"guard-band"``, ``"guard-band-5-percent"``, ``"four-state"``,
        ``"four-state-conditional"``, or a path.
    basis : str
        ``"repeatability"``, ``"reproducibility"``, ``"replicates"``, ``"budget"``, ``"combined"`` or
        ``"own"``; several with commas: the first that gives an uncertainty is taken, property by property.

    Returns
    -------
    DecisionRule
        The rule.

    Raises
    ------
    SpecificationError
        Where the basis is none of these.
    """
    from resile.specifications.schema_rules import DecisionRuleModel

    for one in basis.split(","):
        if one.strip() not in BASES:
            raise SpecificationError(
                f"uncertainty basis '{one.strip()}' is not known; needed: {', '.join(BASES)}, "
                "or several of them with commas"
            )
    file = find_file("decision_rules", name, words="decision rule")
    return DecisionRule(**checked_file(DecisionRuleModel, file).model_dump(), basis=basis)


def load_retest_rule(name: str | Path) -> RetestRule:
    """Load a retest rule.

    Parameters
    ----------
    name : str or Path
        ``"mean-of-all"``, ``"first"``, ``"first-two-then-third"``, ``"first-two-then-median"``, or a path.

    Returns
    -------
    RetestRule
        The rule.
    """
    from resile.specifications.schema_rules import RetestRuleModel

    file = find_file("retest_rules", name, words="retest rule")
    return RetestRule(**checked_file(RetestRuleModel, file).model_dump())


def load_summary_checks(path: str | Path = "summary") -> tuple[SummaryCheck, ...]:
    """Load the checks of a creep-recovery summary.

    Parameters
    ----------
    path : str or Path
        Left out for the checks on the search path, or the path of a file of one's own.

    Returns
    -------
    tuple of SummaryCheck
        In the order of the file.
    """
    from resile.specifications.schema_rules import SummaryChecksModel

    file = find_file("findings", path, words="file of summary checks", pattern="summary.toml")
    blocks = checked_file(SummaryChecksModel, file).model_dump()["checks"]
    return tuple(SummaryCheck(**block) for block in blocks)


def load_ageing_method(wanted: str | Path) -> AgeingMethod:
    """Load an ageing method.

    Parameters
    ----------
    wanted : str or Path
        Short-term ``"t240"``, ``"en12607-1"``, ``"local"``; long-term ``"r28"``, ``"r28-40h"``, ``"d6521"``,
        ``"local-pressure"``; or the path of a file.

    Returns
    -------
    AgeingMethod
        The method with its tolerances.
    """
    from resile.specifications.schema_rules import AgeingMethodModel

    file = find_file("methods", wanted, words="ageing method", pattern="rtfo_*.toml|pav_*.toml")
    data = checked_file(AgeingMethodModel, file).model_dump()
    data["tolerances"] = tuple(
        Tolerance(**{**block, "slips": tuple(block["slips"])}) for block in data["tolerances"]
    )
    data["notes"] = tuple(data["notes"])
    return AgeingMethod(**data, sha256=file.sha256)


def load_published_limits(quantity: str) -> tuple[PublishedLimit, ...]:
    """Load the limits that published sources print for a quantity.

    Parameters
    ----------
    quantity : str
        Name from the glossary, which is also the name of the file: ``"delta_tc"``.

    Returns
    -------
    tuple of PublishedLimit
        In the order of the file.
    """
    from resile.specifications.schema_rules import PublishedLimitsModel

    file = find_file("published_limits", quantity, words="file of published limits")
    data = checked_file(PublishedLimitsModel, file).model_dump()
    shared = {key: data[key] for key in ("quantity", "unit", "hours_tolerance_h")}
    return tuple(PublishedLimit(**shared, **block) for block in data["limits"])
