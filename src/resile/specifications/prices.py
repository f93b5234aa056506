"""Price rules of contracts, from TOML: a factor along a line, or in steps."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from resile.records.price import PriceRule, PriceStep
from resile.specifications.checked import checked_file
from resile.specifications.listing import is_listed, list_files
from resile.specifications.load import SpecificationEntry
from resile.specifications.search import SpecificationFile, find_file

FOLDER = "price_rules"
KIND = "price rule"


def load_price_rule(wanted: str | Path) -> PriceRule:
    """Load a price rule by identifier or path.

    Parameters
    ----------
    wanted : str or Path
        ``"recovery-two-point-allowance"``, ``"m-value-steps"``, or the path of a file.

    Returns
    -------
    PriceRule
        Checked, with the hash of its file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such rule, or a key is missing, unknown or wrong.
    """
    return _rule(find_file(FOLDER, wanted, words="price rule"))


def is_price_rule(wanted: str | Path) -> bool:
    """Tell whether a name, or a file, is that of a price rule.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Returns
    -------
    bool
        False for anything else, and where there is no such file.
    """
    return is_listed(wanted, keys=("line", "step"), entries=list_price_rules)


def list_price_rules() -> tuple[SpecificationEntry, ...]:
    """List every price rule on the search path; a faulty file is listed with its problem.

    Returns
    -------
    tuple of SpecificationEntry
        In search order.
    """
    return list_files(FOLDER, KIND, _rule)


def _rule(file: SpecificationFile) -> PriceRule:
    from resile.specifications.schema_prices import PriceRuleModel

    data: dict[str, Any] = checked_file(PriceRuleModel, file).model_dump()
    line = data.pop("line") or {}
    steps = tuple(PriceStep(**block) for block in data.pop("steps"))
    data["notes"] = tuple(data["notes"])
    return PriceRule(**data, **line, steps=steps, sha256=file.sha256)
