"""The same block of numbers under two names: one of them was copied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from resile.judge.across.pairs import method_of
from resile.judge.findings import judge_measures
from resile.judge.wording import property_words, residue_words, temperature_words
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding, FindingRule, Measure

Owner = tuple[str, Condition, str]
Block = tuple[Owner, str, float | None]
Signature = tuple[tuple[str, float | None, float], ...]
_FIGURES = 3
"""A number with fewer printed figures repeats by chance."""


def findings_of_repeated_blocks(
    determinations: Sequence[Determination], rules: Sequence[FindingRule]
) -> dict[str, tuple[Finding, ...]]:
    """Find blocks of numbers that stand under two samples, residues, temperatures or replicates.

    Parameters
    ----------
    determinations : sequence of Determination
        Of any number of samples.
    rules : sequence of FindingRule
        As loaded from ``findings/across_tests.toml``.

    Returns
    -------
    dict of str to tuple of Finding
        By sample; a block shared by two samples is told of both.
    """
    at_one, of_all = _blocks(determinations)
    found: dict[str, dict[str, Finding]] = {}
    told: set[tuple[frozenset[Owner], str]] = set()
    for blocks in (of_all, at_one):
        for first, second in _alike(blocks):
            owners = (frozenset((first[0], second[0])), first[1])
            if blocks is at_one and owners in told:
                continue  # the whole of it has been told
            told.add(owners)
            for finding in _raised(first, second, blocks[first], rules):
                for sample in dict.fromkeys((first[0][0], second[0][0])):
                    found.setdefault(sample, {})[finding.message] = finding
    return {sample: tuple(by.values()) for sample, by in found.items()}


def _blocks(
    determinations: Sequence[Determination],
) -> tuple[dict[Block, Signature], dict[Block, Signature]]:
    """Give the numbers of each specimen by test: those at one temperature, and those at all of them."""
    at_one: dict[Block, list[tuple[str, float | None, float]]] = {}
    of_all: dict[Block, list[tuple[str, float | None, float]]] = {}
    for one in determinations:
        if one.value is None or one.raw or _figures(one) < _FIGURES:
            continue
        owner, method = (one.sample, one.condition, one.replicate), method_of(one.quantity)
        at_one.setdefault((owner, method, one.temperature_c), []).append((one.quantity, None, one.value))
        of_all.setdefault((owner, method, None), []).append((one.quantity, one.temperature_c, one.value))
    return _sorted(at_one), _sorted(of_all)


def _sorted(blocks: Mapping[Block, list[tuple[str, float | None, float]]]) -> dict[Block, Signature]:
    return {key: tuple(sorted(set(block), key=str)) for key, block in blocks.items()}


def _figures(one: Determination) -> int:
    digits = one.text.lower().partition("e")[0].lstrip("+-")
    return len("".join(sign for sign in digits if sign.isdigit()).lstrip("0"))


def _alike(blocks: Mapping[Block, Signature]) -> list[tuple[Block, Block]]:
    by_signature: dict[Signature, list[Block]] = {}
    for key, signature in blocks.items():
        by_signature.setdefault(signature, []).append(key)
    return [pair for keys in by_signature.values() for pair in combinations(keys, 2)]


def _raised(
    first: Block, second: Block, signature: Signature, rules: Sequence[FindingRule]
) -> tuple[Finding, ...]:
    names = ", ".join(dict.fromkeys(property_words(quantity) for quantity, _, _ in signature))
    where = f"{_owner_words(first)} and {_owner_words(second)} ({names})"
    return judge_measures((Measure("repeated_numbers", float(len(signature)), "", where),), rules)


def _owner_words(block: Block) -> str:
    (sample, condition, replicate), _, temperature = block
    parts = (
        sample,
        "" if condition is Condition.UNKNOWN else f"{residue_words(condition)} binder",
        "" if temperature is None else temperature_words(temperature),
        f"replicate {replicate}" if replicate else "",
    )
    return ", ".join(part for part in parts if part)
