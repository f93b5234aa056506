"""Answers of published rules as they are shown: mixing, recycling agent, hot storage, warm mix."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from resile.records.blending.mixed import RuleAnswer
from resile.records.blending.polymer import StorageLoss
from resile.records.blending.reclaimed import RecyclingDose


@dataclass(frozen=True, slots=True)
class MixedSheet:
    """A property by a rule, as a sheet.

    Attributes
    ----------
    answer : RuleAnswer
        As worked out.
    """

    answer: RuleAnswer

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        answer, mixed = self.answer, self.answer.mixed
        return {
            "rule": mixed.rule,
            "title": answer.title,
            "quantity": answer.quantity,
            "unit": answer.unit,
            "percent": list(answer.percent),
            "values": list(answer.values),
            "value": mixed.values[0],
            "worked_in": mixed.worked_in,
            "validity": mixed.validity,
            "source": mixed.source,
            "evidence": mixed.evidence,
        }

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.blend_rules import render_mixed

        return render_mixed(self.answer)


@dataclass(frozen=True, slots=True)
class MixingRules:
    """Every mixing rule, as a sheet.

    Attributes
    ----------
    entries : tuple of dict
        As `list_mixing_rules` gives them.
    """

    entries: tuple[dict[str, Any], ...]

    def to_json(self) -> list[dict[str, Any]]:
        """Give the list for machines."""
        return list(self.entries)

    def to_terminal(self) -> Any:
        """Give the list as a readable sheet."""
        from resile.report.terminal.blend_rules import render_mixing_rules

        return render_mixing_rules(self.entries)


@dataclass(frozen=True, slots=True)
class DoseSheet:
    """Dose of a recycling agent, as a sheet.

    Attributes
    ----------
    answer : RecyclingDose
        As worked out.
    """

    answer: RecyclingDose

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        return asdict(self.answer)

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.blend_rules import render_dose

        return render_dose(self.answer)


@dataclass(frozen=True, slots=True)
class StorageSheet:
    """What hot storage leaves, as a sheet.

    Attributes
    ----------
    answer : StorageLoss
        As worked out.
    source : str
        Where the statements come from.
    """

    answer: StorageLoss
    source: str

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        return {**asdict(self.answer), "source": self.source}

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.blend_rules import render_storage

        return render_storage(self.answer, self.source)


@dataclass(frozen=True, slots=True)
class WarmMixSheet:
    """What a cooler plant gains at the low grade, as a sheet.

    Attributes
    ----------
    new_binder : str
        Grade of the new binder.
    hot_c, warm_c : float
        Temperatures of the plant [°C].
    gain_c : float
        Improvement towards colder [°C].
    source : str
        Where the rate was published.
    """

    new_binder: str
    hot_c: float
    warm_c: float
    gain_c: float
    source: str

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        return asdict(self)

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.blend_rules import render_warm_mix

        return render_warm_mix(self.new_binder, (self.hot_c, self.warm_c), self.gain_c, self.source)
