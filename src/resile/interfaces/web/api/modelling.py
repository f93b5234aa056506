"""Models of one binder: of files sent, and of runs of the record."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, File, Form, Query, UploadFile

from resile.interfaces.web.api.asking import Asked, held
from resile.interfaces.web.api.computing import Name
from resile.interfaces.web.api.kept import Key
from resile.workflows.handed_in import from_outside, laid_out, names_given_back

router = APIRouter()

Kind = Annotated[
    str, Form(max_length=40, description="chosen, burgers, kelvin or fractional; chosen where left out")
]
Elements = Annotated[int | None, Form(ge=1, le=8, description="Kelvin elements, or the most that are tried")]
Word = Annotated[str, Query(max_length=40)]


@router.post("/model/creep", tags=["compute"], summary="Fit creep models", operation_id="model_creep")
def creep(
    asking: Asked,
    files: Annotated[list[UploadFile], File(description="Creep-recovery records", max_length=50)],
    kind: Kind = "chosen",
    elements: Elements = None,
    probability: Annotated[float, Form(ge=0.5, le=0.999)] = 0.95,
) -> dict[str, Any]:
    """Give which part of Jnr flows and which still recovers, as ``resile model creep --json``."""
    from resile.workflows.modelling.creep_model import creep_models_json, model_creep_records

    with from_outside():
        handed = [held(file) for file in files]
        return creep_models_json(
            list(
                model_creep_records(
                    handed, keep_rows=False, kind=kind, elements=elements, probability=probability
                )
            )
        )


@router.post("/model/sweep", tags=["compute"], summary="Fit master curves", operation_id="model_sweep")
def sweep(
    asking: Asked,
    files: Annotated[list[UploadFile], File(description="Records of frequency sweeps", max_length=50)],
    shape: Annotated[str, Form(max_length=120, description="CA, CAM or 2S2P1D")] = "CA",
    shift: Annotated[str, Form(max_length=120, description="WLF, free, Arrhenius or Kaelble")] = "WLF",
    reference_c: Annotated[float | None, Form(description="Reference temperature [°C]")] = None,
    glassy_modulus_mpa: Annotated[float | None, Form(description="In shear [MPa]; 1000 if left out")] = None,
    fit_glassy_modulus: Annotated[bool, Form()] = False,
    join: Annotated[bool, Form(description="All sweeps are of one binder in one state")] = False,
    only: Annotated[
        str, Form(max_length=120, description="Take only the runs whose name holds this text")
    ] = "",
) -> dict[str, Any]:
    """Give master curves and what follows from them, as ``resile model sweep --json``."""
    from resile.workflows.modelling.curve_settings import curve_settings
    from resile.workflows.modelling.master_curve import fit_sweeps

    settings = curve_settings(
        shape=shape,
        shift=shift,
        reference_c=reference_c,
        glassy_modulus_mpa=glassy_modulus_mpa,
        fit_glassy_modulus=fit_glassy_modulus,
    )
    with from_outside():
        return fit_sweeps([held(file) for file in files], settings=settings, join=join, only=only).to_json()


@router.post(
    "/model/damage", tags=["compute"], summary="Analyse amplitude sweeps", operation_id="model_damage"
)
def damage(
    asking: Asked,
    file: Annotated[UploadFile, File(description="Record of a linear amplitude sweep")],
    exponent: Annotated[
        str, Form(max_length=120, description="inverse-slope or one-plus-inverse-slope")
    ] = "inverse-slope",
    slope: Annotated[float | None, Form(description="Slope m, where the file has no frequency part")] = None,
    strain: Annotated[list[float] | None, Form(description="Strain amplitudes [%]", max_length=12)] = None,
) -> dict[str, Any]:
    """Give damage, fatigue law and cycles to failure, as ``resile model damage --json``."""
    from resile.workflows.modelling.damage import analyse_damage

    with from_outside():
        return analyse_damage(
            held(file), convention=exponent, slope=slope, at_strain_percent=strain
        ).to_json()


@router.post(
    "/model/traffic", tags=["compute"], summary="Compare binders under traffic", operation_id="model_traffic"
)
def traffic(
    asking: Asked,
    sites: Annotated[UploadFile, File(description="Table of sites")],
    binders: Annotated[UploadFile, File(description="List of binders with results of Jnr")],
    others: Annotated[
        list[UploadFile] | None, File(description="Files the tables name: weather, results", max_length=50)
    ] = None,
    site: Name = "",
    reference: Name = "",
    stress_kpa: Annotated[float, Form(ge=0.1, le=3.2, description="Shear stress of a pulse")] = 3.2,
    speed_kmh: Annotated[float | None, Form(gt=0, le=200)] = None,
    loaded_length_m: Annotated[float, Form(gt=0, le=5)] = 0.25,
    rest_s: Annotated[float | None, Form(ge=0, le=3600, description="From axle to axle [s]")] = None,
    axles_per_hour: Annotated[int | None, Form(ge=1, le=100_000)] = None,
    within_c: Annotated[float, Form(ge=0, le=40)] = 10.0,
    pavement_model: Annotated[str, Form(max_length=120, description="ltpp or shrp")] = "ltpp",
) -> dict[str, Any]:
    """Give a relative index of each binder, never the depth of a rut, as ``resile model traffic --json``."""
    from resile.workflows.modelling.traffic import TrafficQuestion, compare_under_traffic

    question = TrafficQuestion(
        reference=reference,
        stress_kpa=stress_kpa,
        speed_kmh=speed_kmh,
        loaded_length_m=loaded_length_m,
        rest_s=rest_s,
        axles_per_hour=axles_per_hour,
        within_c=within_c,
        model=pavement_model,
    )
    handed = [held(sites), held(binders), *(held(file) for file in others or ())]
    with laid_out(handed, together=True) as paths:
        report = compare_under_traffic(paths[0], paths[1], site=site, question=question)
        return dict(names_given_back(report.to_json(), paths))


@router.get(
    "/runs/{key}/model",
    tags=["record"],
    summary="Fit a creep model to a kept run",
    operation_id="model_of_run",
)
def model_of_kept(asking: Asked, key: Key, kind: Word = "", elements: Word = "") -> dict[str, Any]:
    """Give the model of a creep-recovery run of the record, as ``resile model creep --json``."""
    from resile.workflows.laboratory.runs.run_model import model_of_run

    found = model_of_run(
        asking.record, key, actor=asking.actor, kind=kind, elements=elements, day=asking.at[:10]
    )
    return found.to_json()


@router.get(
    "/runs/{key}/master-curve",
    tags=["record"],
    summary="Fit a master curve to a kept run",
    operation_id="master_curve_of_run",
)
def curve_of_kept(
    asking: Asked, key: Key, shape: Word = "", shift: Word = "", reference: Word = ""
) -> dict[str, Any]:
    """Give the master curve of a frequency sweep of the record, as ``resile model sweep --json``."""
    from resile.workflows.laboratory.runs.run_curve import curve_of_run

    typed = {"shape": shape, "shift": shift, "reference": reference}
    return curve_of_run(asking.record, key, actor=asking.actor, typed=typed, day=asking.at[:10]).to_json()


@router.get(
    "/runs/{key}/damage",
    tags=["record"],
    summary="Analyse a kept amplitude sweep",
    operation_id="damage_of_run",
)
def damage_of_kept(asking: Asked, key: Key, exponent: Word = "inverse-slope") -> dict[str, Any]:
    """Give damage and cycles to failure of a run of the record, as ``resile model damage --json``."""
    from resile.workflows.laboratory.runs.damage_of_run import damage_of_run

    return damage_of_run(asking.record, key, actor=asking.actor, convention=exponent).to_json()
