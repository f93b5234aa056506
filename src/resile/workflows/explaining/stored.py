"""A statement or a run in the laboratory's record, explained to people outside it."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import InputError, MeasurementError
from resile.records.explanation import Explanation
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, Result, Run, Sample, Statement, StatementState
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.explaining.result import DOUBT, explain_report, explain_result
from resile.workflows.laboratory.record.looking import look_through, look_up
from resile.workflows.laboratory.statements.statements_seen import statement_file

_NO_LONGER = {
    StatementState.DRAFT: "This statement is a draft: it has not been issued.",
    StatementState.REPLACED: "This statement was replaced by a newer one; ask for that.",
    StatementState.WITHDRAWN: "This statement was withdrawn: it does not stand any more.",
}


def explain_statement(record: LaboratoryRecord, actor: Actor, key: str) -> Explanation:
    """Explain the creep-recovery result that a statement states, as it was issued.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the statement.

    Returns
    -------
    Explanation
        With sample, laboratory and number; a statement that does not stand says so first.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        Where there is no such statement, or it is not for this person.
    MeasurementError
        Where it states no Jnr and recovery at 3.2 kPa.
    """
    kept: Kept[Statement] = look_up(record, actor, key, kind=Statement)
    name = next((name for name in kept.value.files if name.endswith(".json")), "")
    if not name:
        raise MeasurementError(f"statement {kept.value.number}: it has no results that can be explained")
    _, content = statement_file(record, actor, key, name)
    told = explain_report(HeldFile(f"statement {kept.value.number}", content))
    gone = _NO_LONGER.get(kept.value.state)
    return replace(told, cautions=((gone, *told.cautions) if gone else told.cautions))


def explain_run(record: LaboratoryRecord, actor: Actor, key: str) -> Explanation:
    """Explain the creep-recovery result of a stored run; no letter is claimed, a run alone carries none.

    Parameters
    ----------
    record : LaboratoryRecord
        The record.
    actor : Actor
        Who asks.
    key : str
        Key of the run.

    Returns
    -------
    Explanation
        With the number of its sample, where it has one.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        Where there is no such run, or it is not for this person.
    InputError, MeasurementError
        Where the key is of something else, or the run gave no Jnr and recovery at 3.2 kPa.
    """
    kept = look_up(record, actor, key)
    if not isinstance(kept.value, Run):
        raise InputError(f"{key}: this is no run; the key of a run is needed")
    results = look_through(record, actor, Result, run=key, limit=1)
    lines = {line.quantity: line for line in results[0].value.lines} if results else {}
    jnr, recovery = lines.get("jnr_3.2"), lines.get("percent_recovery_3.2")
    temperature = jnr.temperature_c if jnr else None
    if not (jnr and recovery) or jnr.value is None or recovery.value is None or temperature is None:
        raise MeasurementError(
            f"{key}: the run gives no Jnr and recovery at 3.2 kPa with a temperature; "
            "a creep-recovery run is needed"
        )
    told = explain_result(
        jnr=jnr.value, percent_recovery=recovery.value, temperature_c=temperature, judged=False
    )
    of_sample = kept.value.sample
    sample = look_up(record, actor, of_sample).value if of_sample else None
    doubted = results[0].value.worst in ("caution", "invalid")
    return replace(
        told,
        sample=sample.number if isinstance(sample, Sample) else key,
        cautions=(*told.cautions, *((DOUBT,) if doubted else ())),
    )
