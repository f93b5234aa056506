"""The specifications and rules a person can choose from: list, show, check, start one of one's own."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from resile.errors import SpecificationError
from resile.records.blending.polymer import PolymerEffect
from resile.records.blending.reclaimed import ReclaimedPractice
from resile.records.control.sampling import SamplingPlan
from resile.records.house_rule import HeatingRule, RetentionRule
from resile.records.price import PriceRule
from resile.records.slope_prior import BinderKind
from resile.records.specification import Specification
from resile.records.traffic_rule import TrafficRule
from resile.specifications.blending import (
    is_polymer_effect,
    is_reclaimed_practice,
    list_blending_files,
    load_polymer_effect,
    load_reclaimed_practice,
)
from resile.specifications.house_rules import (
    is_heating_rule,
    is_retention_rule,
    list_house_rules,
    load_heating_rule,
    load_retention_rule,
)
from resile.specifications.load import SpecificationEntry, list_specifications, load_specification
from resile.specifications.prices import is_price_rule, list_price_rules, load_price_rule
from resile.specifications.sampling import is_sampling_plan, list_sampling_plans, load_sampling_plan
from resile.specifications.search import find_file
from resile.specifications.slopes import is_binder_kind, list_binder_kinds, load_binder_kind
from resile.specifications.traffic import is_traffic_rule, list_traffic_rules, load_traffic_rule

TEMPLATE = "template-agency"


@dataclass(frozen=True, slots=True)
class Rules:
    """All specifications, price rules, kinds of binder and traffic rules that can be named.

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
    """One specification, loaded and checked.

    Attributes
    ----------
    specification : Specification
        As loaded.
    """

    specification: Specification

    def to_json(self) -> dict[str, Any]:
        """Give the specification for machines."""
        from resile.report.machine.records import specification_to_json

        return specification_to_json(self.specification)

    def to_terminal(self) -> Any:
        """Give the specification as a readable sheet."""
        from resile.report.terminal import render_specification

        return render_specification(self.specification)


@dataclass(frozen=True, slots=True)
class PriceSheet:
    """One price rule, loaded and checked.

    Attributes
    ----------
    rule : PriceRule
        As loaded.
    """

    rule: PriceRule

    def to_json(self) -> dict[str, Any]:
        """Give the rule for machines."""
        from resile.report.machine.price import price_rule_to_json

        return price_rule_to_json(self.rule)

    def to_terminal(self) -> Any:
        """Give the rule as a readable sheet."""
        from resile.report.terminal.price import render_price_rule

        return render_price_rule(self.rule)


@dataclass(frozen=True, slots=True)
class KindSheet:
    """One kind of binder with its published slopes, loaded and checked.

    Attributes
    ----------
    kind : BinderKind
        As loaded.
    """

    kind: BinderKind

    def to_json(self) -> dict[str, Any]:
        """Give the kind for machines."""
        from resile.report.machine.prediction import binder_kind_to_json

        return binder_kind_to_json(self.kind)

    def to_terminal(self) -> Any:
        """Give the kind as a readable sheet."""
        from resile.report.terminal.prediction import render_binder_kind

        return render_binder_kind(self.kind)


@dataclass(frozen=True, slots=True)
class TrafficSheet:
    """One traffic rule, loaded and checked.

    Attributes
    ----------
    rule : TrafficRule
        As loaded.
    """

    rule: TrafficRule

    def to_json(self) -> dict[str, Any]:
        """Give the rule for machines."""
        return asdict(self.rule)

    def to_terminal(self) -> Any:
        """Give the rule as a readable sheet."""
        from resile.report.terminal.traffic import render_traffic_rule

        return render_traffic_rule(self.rule)


@dataclass(frozen=True, slots=True)
class HouseSheet:
    """One rule of the house, on heating or on retention, loaded and checked.

    Attributes
    ----------
    rule : HeatingRule or RetentionRule
        As loaded.
    """

    rule: HeatingRule | RetentionRule

    def to_json(self) -> dict[str, Any]:
        """Give the rule for machines."""
        return asdict(self.rule)

    def to_terminal(self) -> Any:
        """Give the rule as a readable sheet."""
        from resile.report.terminal.house_rules import render_house_rule

        return render_house_rule(self.rule)


@dataclass(frozen=True, slots=True)
class BlendDataSheet:
    """What is published of a polymer, or of reclaimed binder, loaded and checked.

    Attributes
    ----------
    data : PolymerEffect or ReclaimedPractice
        As loaded.
    """

    data: PolymerEffect | ReclaimedPractice

    def to_json(self) -> dict[str, Any]:
        """Give the file for machines."""
        return asdict(self.data)

    def to_terminal(self) -> Any:
        """Give the file as a readable sheet."""
        from resile.report.terminal.blend_data import render_blend_data

        return render_blend_data(self.data)


@dataclass(frozen=True, slots=True)
class SamplingSheet:
    """One sampling plan, loaded and checked.

    Attributes
    ----------
    plan : SamplingPlan
        As loaded.
    """

    plan: SamplingPlan

    def to_json(self) -> dict[str, Any]:
        """Give the plan for machines."""
        return asdict(self.plan)

    def to_terminal(self) -> Any:
        """Give the plan as a readable sheet."""
        from resile.report.terminal.control.sampling import render_sampling_plan

        return render_sampling_plan(self.plan)


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
        )
    )


def show_rules(
    wanted: str | Path,
) -> RuleSheet | PriceSheet | KindSheet | TrafficSheet | HouseSheet | BlendDataSheet | SamplingSheet:
    """Load one specification or rule, checking every key.

    Parameters
    ----------
    wanted : str or Path
        Name, or a file of one's own.

    Returns
    -------
    RuleSheet, PriceSheet, KindSheet, TrafficSheet, HouseSheet, BlendDataSheet or SamplingSheet
        Classes and requirements with clause and evidence; for a price rule its line or steps, for a kind of
        binder its slopes, for a traffic rule its bands, for a rule of the house its limits or days, for
        a sampling plan its levels.
    """
    if is_sampling_plan(wanted):
        return SamplingSheet(load_sampling_plan(wanted))
    if is_polymer_effect(wanted):
        return BlendDataSheet(load_polymer_effect(wanted))
    if is_reclaimed_practice(wanted):
        return BlendDataSheet(load_reclaimed_practice(wanted))
    if is_binder_kind(wanted):
        return KindSheet(load_binder_kind(wanted))
    if is_traffic_rule(wanted):
        return TrafficSheet(load_traffic_rule(wanted))
    if is_price_rule(wanted):  # asked before heating rules: both have a key `limit`
        return PriceSheet(load_price_rule(wanted))
    if is_heating_rule(wanted):
        return HouseSheet(load_heating_rule(wanted))
    if is_retention_rule(wanted):
        return HouseSheet(load_retention_rule(wanted))
    return RuleSheet(specification=load_specification(wanted))


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
