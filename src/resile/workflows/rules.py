"""The specifications and rules a person can choose from: list, show, check, start one of one's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import SpecificationError
from resile.records.rule_file import RuleFile
from resile.specifications.blending import (
    is_polymer_effect,
    is_reclaimed_practice,
    list_blending_files,
    load_polymer_effect,
    load_reclaimed_practice,
)
from resile.specifications.evidence import is_evidence, list_evidence, load_published_evidence
from resile.specifications.house_rules import (
    is_heating_rule,
    is_retention_rule,
    list_house_rules,
    load_heating_rule,
    load_retention_rule,
)
from resile.specifications.laboratories import (
    is_comparison_practice,
    is_dispute_rule,
    list_comparison_practices,
    list_dispute_rule_files,
    load_comparison_practice,
    load_dispute_rule,
)
from resile.specifications.load import SpecificationEntry, list_specifications, load_specification
from resile.specifications.prices import is_price_rule, list_price_rules, load_price_rule
from resile.specifications.readings import (
    is_reading_conditions,
    list_reading_conditions,
    load_reading_conditions,
)
from resile.specifications.sampling import is_sampling_plan, list_sampling_plans, load_sampling_plan
from resile.specifications.search import find_file
from resile.specifications.slopes import is_binder_kind, list_binder_kinds, load_binder_kind
from resile.specifications.traffic import is_traffic_rule, list_traffic_rules, load_traffic_rule

TEMPLATE = "template-agency"


@dataclass(frozen=True, slots=True)
class Rules:
    """All specifications, rules, plans and published data that can be named.

    Attributes
    ----------
    entries : tuple of SpecificationEntry
        In search order.
    """

    entries: tuple[SpecificationEntry, ...]

    def to_json(self) -> list[dict[str, Any]]:
        """Give the list for machines."""
        return [
            {
                "kind": entry.kind,
                "identifier": entry.identifier,
                "title": entry.title,
                "edition": entry.edition,
                "checked": entry.checked,
                "path": entry.path,
                "problem": entry.problem or None,
            }
            for entry in self.entries
        ]

    def to_terminal(self) -> Any:
        """Give the list as a readable sheet."""
        from resile.report.terminal import render_rules

        return render_rules(
            [(e.kind, e.identifier, e.title, e.edition, e.checked, e.problem) for e in self.entries]
        )


@dataclass(frozen=True, slots=True)
class RuleSheet:
    """One specification or rule, loaded and checked.

    Attributes
    ----------
    rule : RuleFile
        As loaded.
    """

    rule: RuleFile

    def to_json(self) -> Any:
        """Give it for machines."""
        from resile.report.machine.rule_files import rule_file_to_json

        return rule_file_to_json(self.rule)

    def to_terminal(self) -> Any:
        """Give it as a readable sheet."""
        from resile.report.terminal.rule_files import render_rule_file

        return render_rule_file(self.rule)


def list_rules() -> Rules:
    """List every specification and rule that can be named."""
    return Rules(
        entries=(
            *list_specifications(),
            *list_price_rules(),
            *list_binder_kinds(),
            *list_traffic_rules(),
            *list_house_rules(),
            *list_blending_files(),
            *list_sampling_plans(),
            *list_dispute_rule_files(),
            *list_comparison_practices(),
            *list_reading_conditions(),
            *list_evidence(),
        )
    )


_Kind = tuple[Callable[[str | Path], bool], Callable[[str | Path], RuleFile]]
_KINDS: tuple[_Kind, ...] = (
    (is_sampling_plan, load_sampling_plan),
    (is_polymer_effect, load_polymer_effect),
    (is_reclaimed_practice, load_reclaimed_practice),
    (is_binder_kind, load_binder_kind),
    (is_traffic_rule, load_traffic_rule),
    (is_price_rule, load_price_rule),  # asked before heating rules: both have a key `limit`
    (is_heating_rule, load_heating_rule),
    (is_retention_rule, load_retention_rule),
    (is_dispute_rule, load_dispute_rule),
    (is_comparison_practice, load_comparison_practice),
    (is_reading_conditions, load_reading_conditions),
    (is_evidence, load_published_evidence),
)


def show_rules(wanted: str | Path) -> RuleSheet:
    """Load one specification or rule, checking every key.

    Parameters
    ----------
    wanted : str or Path
        Name, or a file of one's own.

    Returns
    -------
    RuleSheet
        Classes and requirements with clause and evidence; for a price rule its line or steps, for a kind of
        binder its slopes, for a traffic rule its bands, for a rule of the house its limits or days, for
        a sampling plan its levels, for a dispute rule its words, for published evidence its statements.
    """
    load = next((load for is_one, load in _KINDS if is_one(wanted)), load_specification)
    return RuleSheet(load(wanted))


def write_template(path: str | Path) -> Path:
    """Write the template of a specification of one's own; an existing file is not overwritten.

    Parameters
    ----------
    path : str or Path
        File to make.

    Returns
    -------
    Path
        The file.
    """
    target = Path(path)
    source = find_file("limits", TEMPLATE, words="specification").path
    try:
        with target.open("xb") as file:
            file.write(source.read_bytes())
    except FileExistsError:
        raise SpecificationError(
            f"{target} exists already; choose another name for your specification"
        ) from None
    except OSError as error:
        raise SpecificationError(f"{target}: cannot be written ({error.strerror})") from error
    return target
