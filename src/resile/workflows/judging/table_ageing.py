"""The ageing records that belong to a table of results, and the mass change they weigh."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from resile.errors import InputError
from resile.judge.findings import judge_measures
from resile.judge.results.results import determination_of_mass_change
from resile.readers.ageing.ageing_record import kinds_in_form, read_ageing_record
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding, FindingRule, Measure
from resile.workflows.reducing.ageing import reduce_ageing_of_order

_LONG = "long-term"
_SAME = "mass-change-stands-twice"


@dataclass(frozen=True, slots=True)
class SampleAgeing:
    """How the residues of one sample were made.

    Attributes
    ----------
    short_term : AgeingRecord or None
        Rolling thin film oven, reduced and checked.
    long_term : LongTermAgeingRecord or None
        Pressure vessel, reduced and checked.
    """

    short_term: AgeingRecord | None = None
    long_term: LongTermAgeingRecord | None = None


def ageing_of_table(table: Path, files: Sequence[Path], samples: Sequence[str]) -> dict[str, SampleAgeing]:
    """Read the ageing records given with a table, and those that stand in it where it is a results form.

    Parameters
    ----------
    table : Path
        The table of results.
    files : sequence of Path
        Ageing records of either kind.
    samples : sequence of str
        Samples of the table.

    Returns
    -------
    dict of str to SampleAgeing
        By sample; a sample without a record is left out.

    Raises
    ------
    InputError
        A record of a sample that the table does not hold, one that names none where there are several, or two
        records of one kind for one sample.
    """
    found: dict[tuple[str, str], Path] = {}
    given = [(table, kind) for kind in kinds_in_form(table)]
    given += [(file, kind) for file in files for kind in kinds_in_form(file) or ("",)]
    for file, asked in dict.fromkeys(given):
        record = read_ageing_record(file, prefer=asked or "short-term")
        kind = _LONG if isinstance(record, LongTermAgeingRecord) else "short-term"
        sample = _owner(record.sample, file, table, samples)
        earlier = found.setdefault((sample, kind), file)
        if earlier != file:
            raise InputError(
                f"{earlier} and {file} are both a record of {kind} ageing of sample {sample}; give the one "
                "that the residue came from"
            )
    return {
        sample: SampleAgeing(
            *reduce_ageing_of_order(found.get((sample, "short-term")), found.get((sample, _LONG)))
        )
        for sample in dict.fromkeys(sample for sample, _ in found)
    }


def _owner(named: str, file: Path, table: Path, samples: Sequence[str]) -> str:
    listed = ", ".join(samples)
    if named in samples:
        return named
    if named:
        raise InputError(
            f"{file}: the ageing record is of sample {named}; {table} holds {listed}. Write the same name in "
            "both, if they are one sample"
        )
    if len(samples) != 1:
        raise InputError(
            f"{file}: the ageing record names no sample, and {table} holds several: {listed}; "
            "write 'sample' into the record"
        )
    return samples[0]


def join_mass_change(
    determinations: Sequence[Determination],
    record: AgeingRecord | None,
    sample: str,
    rules: Sequence[FindingRule],
) -> tuple[list[Determination], tuple[Finding, ...]]:
    """Set the mass change of the bottles beside a typed one of the same sample.

    Parameters
    ----------
    determinations : sequence of Determination
        Of one sample.
    record : AgeingRecord or None
        Reduced; None where there is none.
    sample : str
        Name of the sample.
    rules : sequence of FindingRule
        As loaded from ``findings/across_tests.toml``.

    Returns
    -------
    tuple of (list of Determination, tuple of Finding)
        With the mean of the bottles; a typed value that is this very mean is left out and told, one that
        differs stays and is told. What another laboratory weighed is not compared.
    """
    weighed = determination_of_mass_change(record) if record is not None else None
    if weighed is None or weighed.value is None:
        return list(determinations), ()
    kept: list[Determination] = []
    told: list[Finding] = []
    for one in determinations:
        raised = _compared(one, weighed.value, rules)
        told += raised
        if not any(finding.code == _SAME for finding in raised):
            kept.append(one)
    return [*kept, replace(weighed, sample=sample)], tuple(told)


def _compared(one: Determination, weighed: float, rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    mass_change = one.quantity == "mass_change_percent" and one.condition is Condition.SHORT_TERM_AGED
    if not mass_change or one.value is None or one.laboratory:
        return ()
    return judge_measures(
        (
            Measure("mass_change_difference_percent", abs(one.value - weighed), "%", one.sample),
            Measure("typed_mass_change_percent", one.value, "%"),
            Measure("weighed_mass_change_percent", weighed, "%"),
        ),
        rules,
    )
