"""Traffic rules and rounded quantiles, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from resile.errors import SpecificationError
from resile.records.traffic_rule import RoundedQuantile, TrafficBand, TrafficRule
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, files_of, find_file, read_toml

FOLDER = "traffic_rules"


def load_traffic_rule(wanted: str | Path) -> TrafficRule:
    """Load a traffic rule by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        ``"m332-letters"``, ``"m323-raising"``, or the path of a file.

    Returns
    -------
    TrafficRule
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such rule, or a key is missing, unknown or wrong.
    """
    return _rule(find_file(FOLDER, wanted, words="traffic rule"))


def is_traffic_rule(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is that of a traffic rule.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    bool
        False for anything else, and where there is no such file.
    """
    return is_listed(wanted, keys=("band",), entries=list_traffic_rules)


def list_traffic_rules() -> tuple[SpecificationEntry, ...]:
    """List every traffic rule on the search path; a faulty file is listed with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        In search order.
    """
    return list_files(FOLDER, "traffic rule", _rule)


def traffic_rule_of(specification: str, wanted: str | Path = "") -> TrafficRule | None:
    """Give the traffic rule of a specification; refuse one that does not belong to it.

    Parameters
    ----------
    specification : str
        Identifier.
    wanted : str or Path
        Rule asked for; empty for the one that names the specification.

    Returns
    -------
    TrafficRule or None
        None where no rule names the specification and none was asked for.

    Raises
    ------
    SpecificationError
        Where the rule asked for belongs to other specifications.
    """
    rules = [_rule(read_toml(path)) for path in files_of(FOLDER)]
    own = next((rule for rule in rules if specification in rule.specifications), None)
    if not wanted:
        return own
    rule = load_traffic_rule(wanted)
    if specification in rule.specifications:
        return rule
    already = (
        f"; '{specification}' gives traffic a class of its own (rule '{own.identifier}'), and a class and "
        "raised grade steps would count the same lorries twice: one of the two is allowed, never both"
        if own is not None and own.gives == "class" and rule.gives == "steps"
        else f"; the rule of '{specification}' is '{own.identifier}'"
        if own is not None
        else ""
    )
    raise SpecificationError(
        f"traffic rule '{rule.identifier}' belongs to {', '.join(rule.specifications)}, "
        f"not to '{specification}'{already}"
    )


def load_rounded_quantiles() -> tuple[RoundedQuantile, ...]:
    """Load the quantiles that textbooks and standards print for a reliability.

    Returns
    -------
    tuple of RoundedQuantile
        In the order of the file.
    """
    from resile.specifications.schema_site import QuantilesModel

    file = find_file("quantiles", "textbook", words="file of rounded quantiles")
    return tuple(
        RoundedQuantile(**block) for block in checked_file(QuantilesModel, file).model_dump()["quantiles"]
    )


def _rule(file: SpecificationFile) -> TrafficRule:
    from resile.specifications.schema_site import TrafficRuleModel

    data: dict[str, Any] = checked_file(TrafficRuleModel, file).model_dump()
    data.pop("transcribed")
    bands = tuple(_band(block) for block in data.pop("bands"))
    for key in ("specifications", "notes"):
        data[key] = tuple(data[key])
    return TrafficRule(**data, bands=bands, sha256=file.sha256)


def _band(block: dict[str, Any]) -> TrafficBand:
    above = block["from_million"] is None
    return TrafficBand(
        million=block["above_million"] if above else block["from_million"],
        begins_above=above,
        standing=str(block["standing"]),
        slow=str(block["slow"]),
        free=str(block["free"]),
        consider=tuple(block["consider"]),
    )
