"""Tasks that keep nothing: what the command line does with ``--json``, for what is sent."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, File, Form, UploadFile
from pydantic import BaseModel, Field

from resile.interfaces.web.api.asking import Asked, held
from resile.records.demand_request import DemandRequest
from resile.workflows.handed_in import from_outside, laid_out, names_given_back

router = APIRouter(tags=["compute"])

Name = Annotated[str, Form(max_length=120)]


@router.post("/reduce", summary="Reduce record files", operation_id="reduce")
def reduce(
    asking: Asked,
    files: Annotated[list[UploadFile], File(description="Raw records, text or workbook", max_length=200)],
    sheet: Name = "",
    temperature_c: Annotated[float | None, Form(ge=-60, le=200)] = None,
) -> dict[str, Any]:
    """Give the runs of files, as ``resile reduce --json``; what cannot be read is under ``errors``."""
    from resile.workflows.reducing.reading import choose_layout
    from resile.workflows.reducing.reduction import reduce_records, reductions_json

    layout = choose_layout({"sheet": sheet} if sheet else {})
    handed = [held(file) for file in files]
    return reductions_json(reduce_records(handed, layout=layout, temperature_c=temperature_c))


@router.post("/grade", summary="Grade a table of results", operation_id="grade")
def grade(
    asking: Asked,
    table: Annotated[UploadFile, File(description="Long or wide table of results, text or workbook")],
    ageing: Annotated[
        list[UploadFile] | None, File(description="Ageing records (TOML)", max_length=50)
    ] = None,
    specification: Name = "",
    decision_rule: Name = "",
    uncertainty_basis: Name = "",
    retest_rule: Name = "",
    budget: Name = "",
    correlation: Name = "",
    tested: Name = "",
    claim: Name = "",
    each: Annotated[bool, Form()] = False,
    both_rules: Annotated[bool, Form()] = False,
    allow_extrapolation: Annotated[bool, Form()] = False,
) -> dict[str, Any]:
    """Give the statements on the samples of a table, as ``resile grade --json``.

    For the basis ``own``, the laboratory's own precision is that of the record; `tested` is the day of the
    tests.
    """
    from resile.workflows.judging.grading import agree, grade_table
    from resile.workflows.laboratory.comparisons.precision_in_verdicts import precision_for

    chosen = {
        "decision_rule": decision_rule,
        "uncertainty_basis": uncertainty_basis,
        "retest_rule": retest_rule,
        "budget": budget,
        "correlation": correlation,
        "tested": tested,
    }
    rules: dict[str, Any] = {name: value for name, value in chosen.items() if value}
    rules["precision"] = precision_for(asking.record, asking.actor, uncertainty_basis)
    with laid_out([held(table), *(held(file) for file in ageing or ())], together=True) as paths:
        agreed = agree(specification, **rules) if specification else agree(**rules)
        grading = grade_table(
            paths[0],
            agreed,
            ageing=paths[1:],
            each=each,
            claim=claim or None,
            both_rules=both_rules,
            allow_extrapolation=allow_extrapolation,
        )
        return dict(names_given_back(grading.to_json(), paths))


@router.post("/predict", summary="Predict another temperature", operation_id="predict")
def predict(
    asking: Asked,
    table: Annotated[UploadFile, File(description="Table of results")],
    at_c: Annotated[list[float], Form(description="Temperatures asked for [°C]", max_length=50)],
    specification: Name = "",
    kind: Name = "",
) -> dict[str, Any]:
    """Give what the binders of a table would show at other temperatures, as ``resile predict --json``."""
    from resile.workflows.predictions.predicting import predict as predict_table

    with laid_out([held(table)]) as paths:
        prediction = predict_table(
            paths[0],
            at_c,
            specification=specification or None,
            kind=kind or None,
        )
        return dict(names_given_back(prediction.to_json(), paths))


@router.post("/match", summary="Choose a binder of a range for every site", operation_id="match")
def match(
    asking: Asked,
    sites: Annotated[UploadFile, File(description="Table of sites")],
    binders: Annotated[UploadFile, File(description="Table of binders on offer")],
    others: Annotated[
        list[UploadFile] | None,
        File(description="Files that the tables name: weather, results", max_length=50),
    ] = None,
    specification: Name = "",
    required_probability: Annotated[float, Form(gt=0, lt=1)] = 0.95,
) -> dict[str, Any]:
    """Give which binder serves which road, as ``resile match --json``."""
    from resile.workflows.choosing.task import match_sites
    from resile.workflows.judging.grading import agree

    files = [held(sites), held(binders), *(held(file) for file in others or ())]
    with laid_out(files, together=True) as paths:
        yardstick = agree(specification) if specification else None
        chosen = match_sites(paths[0], paths[1], yardstick, required_probability=required_probability)
        return dict(names_given_back(chosen.to_json(), paths))


class SiteAsked(BaseModel):
    """A site and what is known of it; everything but the latitude may be left out."""

    name: str = ""
    latitude_deg: float = Field(ge=-90, le=90)
    longitude_deg: float | None = Field(None, ge=-180, le=180)
    high_mean_c: float | None = None
    high_sd_c: float | None = None
    low_mean_c: float | None = None
    low_sd_c: float | None = None
    n_years: int = Field(0, ge=0, le=1000)
    depth_mm: float = Field(0.0, ge=0)
    reliability_percent: float = Field(98.0, gt=0, lt=100)
    high_reliability_percent: float | None = Field(None, gt=0, lt=100)
    low_reliability_percent: float | None = Field(None, gt=0, lt=100)
    million_axle_loads: float | None = Field(None, ge=0)
    speed_kmh: float | None = Field(None, gt=0)
    layer: str = ""
    specification: str = ""
    traffic_rule: str = ""


@router.post("/demand", summary="Work out the grade a road needs", operation_id="demand")
def demand(asking: Asked, site: SiteAsked) -> dict[str, Any]:
    """Give the grade a road needs from typed extremes of the air, as ``resile demand --json``."""
    from resile.workflows.sites.demand_request import DemandSettings, demand_for

    given = site.model_dump()
    settings = {name: given.pop(name) for name in ("specification", "traffic_rule")}
    chosen = {name: value for name, value in settings.items() if value}
    with from_outside():
        return dict(demand_for(DemandRequest(**given), DemandSettings(**chosen)).to_json())


class GradeAsked(BaseModel):
    """A grade whose tests are to be planned."""

    grade: str = Field(max_length=60)
    specification: str = Field("", max_length=120)
    recovered: bool = False


@router.post("/plan", summary="Plan the tests for a grade", operation_id="plan")
def plan(asking: Asked, asked: GradeAsked) -> dict[str, Any]:
    """Give the tests a grade asks for, in working order, as ``resile plan --json``."""
    from resile.workflows.plans.planning import plan_tests

    with from_outside():
        planned = plan_tests(
            asked.grade, specification=asked.specification or None, recovered=asked.recovered
        )
        return dict(planned.to_json())


@router.get("/rules", summary="List specifications and rules", operation_id="rules")
def rules(asking: Asked) -> list[dict[str, Any]]:
    """Give the rules that can be named, as ``resile rules --json`` without their places."""
    from resile.workflows.rules import list_rules

    return [{key: value for key, value in entry.items() if key != "path"} for entry in list_rules().to_json()]
