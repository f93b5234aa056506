"""Quick answers on blends: what was typed -> one workflow -> shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.errors import InputError
from resile.interfaces.cli.showing import emit_json, show


def run_mixing_rule(
    rule: str | None, parts: Sequence[str], *, quantity: str, interaction: float | None, as_json: bool
) -> None:
    """List the mixing rules, or mix by one."""
    from resile.workflows.blending.ruling.rules import list_mixing_rules, mix_by_rule
    from resile.workflows.blending.ruling.sheets import MixedSheet, MixingRules

    if rule is None:
        _emit(MixingRules(list_mixing_rules()), as_json)
        return
    pairs = [_split(part, "=", 2, "VALUE=PERCENT", "5000=30") for part in parts]
    answer = mix_by_rule(
        rule,
        [value for value, _ in pairs],
        [share for _, share in pairs],
        interaction=interaction,
        quantity=quantity,
    )
    _emit(MixedSheet(answer), as_json)


def run_reclaimed(criteria: Sequence[str], *, share: float | None, practice: str, as_json: bool) -> None:
    """Say how much reclaimed binder, or which new binder."""
    from resile.workflows.blending.ruling.reclaimed import ReclaimedSheet, answer_reclaimed

    given: dict[str, list[float]] = {}
    for text in criteria:
        name, _, numbers = text.partition("=")
        wanted = "RECLAIMED/WANTED or RECLAIMED/WANTED/NEW"
        given[name] = _split(numbers, "/", numbers.count("/") + 1, wanted, "original=86.6/64")
        if len(given[name]) not in (2, 3):
            raise InputError(f"'{text}': needed is CRITERION={wanted}, for example original=86.6/64")
    lengths = {len(numbers) for numbers in given.values()}
    if len(lengths) != 1:
        raise InputError("reclaimed binder: give the new binder for every criterion, or for none")
    answer = answer_reclaimed(
        {name: numbers[0] for name, numbers in given.items()},
        {name: numbers[1] for name, numbers in given.items()},
        new_c={name: numbers[2] for name, numbers in given.items()} if lengths == {3} else None,
        share_percent=share,
        practice=practice,
    )
    _emit(ReclaimedSheet(answer), as_json)


def run_agent(
    without: str, tested: str, *, dose: float, wanted: float, keep: float | None, as_json: bool
) -> None:
    """Say how much recycling agent."""
    from resile.workflows.blending.ruling.rules import dose_recycling_agent
    from resile.workflows.blending.ruling.sheets import DoseSheet

    bare, softened = (_split(text, "/", 2, "HIGH/LOW", "77.4/-22.2") for text in (without, tested))
    found = dose_recycling_agent(
        (bare[0], bare[1]),
        (softened[0], softened[1]),
        tested_percent=dose,
        wanted_high_c=wanted,
        contract_high_c=keep,
    )
    _emit(DoseSheet(found), as_json)


def run_warm_mix(binder: str, *, hot: float, warm: float, practice: str, as_json: bool) -> None:
    """Say what a cooler plant gains."""
    from resile.workflows.blending.ruling.rules import answer_warm_mix

    _emit(answer_warm_mix(binder, hot_c=hot, warm_c=warm, practice=practice), as_json)


def run_storage(hours: float, temperature_c: float, *, polymer: str, as_json: bool) -> None:
    """Say what hot storage leaves."""
    from resile.workflows.blending.ruling.rules import loss_in_storage

    _emit(loss_in_storage(hours, temperature_c, polymer=polymer), as_json)


def _emit(sheet: Any, as_json: bool) -> None:
    emit_json(sheet.to_json()) if as_json else show(sheet.to_terminal())


def _split(text: str, mark: str, count: int, wanted: str, example: str) -> list[float]:
    """Read numbers with a mark between them; a decimal comma is a decimal point."""
    try:
        numbers = [float(part.replace(",", ".")) for part in text.split(mark)]
    except ValueError:
        numbers = []
    if len(numbers) != count:
        raise InputError(f"'{text}': needed is {wanted}, for example {example}")
    return numbers
