"""Tasks by which programs keep things in the record: samples and record files."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, File, Form, UploadFile
from pydantic import BaseModel

from resile.interfaces.web.api.asking import Asked, held
from resile.records.determination import Condition
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

router = APIRouter(tags=["record"])

Text = Annotated[str, Form(max_length=200)]
Length = Annotated[float | None, Form(gt=0, le=1000)]


class KeptKey(BaseModel):
    """What was kept."""

    key: str
    revision: int


class RunTold(BaseModel):
    """A run of a record file, with the findings on it."""

    key: str
    test: str
    part: str
    sample: str
    worst: str
    findings: list[str]
    messages: list[str]
    lines: list[dict[str, Any]]


class RecordKept(BaseModel):
    """What became of a record file."""

    file: str
    name: str
    already: bool
    refusal: str
    question: str
    layout: str
    runs: list[RunTold]
    ageings: list[str]


@router.post("/samples", summary="Receive a sample", operation_id="receive_sample", status_code=201)
def receive(asking: Asked, arrival: Arrival) -> KeptKey:
    """Keep a sample as it was handed in; product, tank and customer by name."""
    kept = receive_sample(asking.record, asking.actor, asking.at, arrival)
    return KeptKey(key=kept.key, revision=kept.revision)


@router.post("/records", summary="Keep a record file", operation_id="keep_record", status_code=201)
def keep(
    asking: Asked,
    file: Annotated[UploadFile, File(description="Raw record, text or workbook, or ageing record (TOML)")],
    sample: Text = "",
    specimen: Text = "",
    condition: Annotated[Condition, Form()] = Condition.UNKNOWN,
    instrument: Text = "",
    operator: Text = "",
    tested: Text = "",
    note: Text = "",
    sheet: Text = "",
    temperature_c: Annotated[float | None, Form(ge=-60, le=200)] = None,
    plate_diameter_mm: Length = None,
    gap_mm: Length = None,
) -> RecordKept:
    """Keep a file byte for byte with the runs and results it gives; `sample` and `instrument` are keys.

    The same file sent again doubles nothing. A file that cannot be read yet is kept all the same: `refusal`
    says why, and `question` names what has to be said of it.
    """
    told = RecordTold(
        sample=sample,
        specimen=specimen,
        condition=condition,
        instrument=instrument,
        operator=operator,
        tested=tested,
        note=note,
        sheet=sheet,
        temperature_c=temperature_c,
        plate_diameter_mm=plate_diameter_mm,
        gap_mm=gap_mm,
    )
    given = held(file)
    kept = keep_record(asking.record, asking.actor, asking.at, given.content, given.name, told)
    return RecordKept(
        file=kept.file,
        name=kept.name,
        already=kept.already,
        refusal=str(kept.refusal or ""),
        question=kept.question,
        layout=kept.layout,
        runs=[_told(one) for one in kept.runs],
        ageings=[one.key for one in kept.ageings],
    )


def _told(one: Any) -> RunTold:
    run, result = one.run, one.result.value
    return RunTold(
        key=run.key,
        test=run.value.test,
        part=run.value.part,
        sample=run.value.sample,
        worst=result.worst,
        findings=list(result.findings),
        messages=list(result.messages),
        lines=[asdict(line) for line in result.lines],
    )
