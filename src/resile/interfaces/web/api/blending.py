"""Tasks on blends: a recipe designed or asked about, the next trial; of files sent, and of kept books."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, File, Form, UploadFile
from pydantic import Json

from resile.interfaces.web.api.asking import Asked, held
from resile.interfaces.web.api.kept import Key
from resile.workflows.handed_in import laid_out, names_given_back

router = APIRouter()

Book = Annotated[UploadFile, File(description="Blend book (TOML)")]
Tables = Annotated[
    list[UploadFile] | None, File(description="Tables that the book names: shares, results", max_length=50)
]
Percent = Annotated[
    Json[dict[str, float]],
    Form(description="Share of each component by mass [%], as a JSON object; together 100"),
]
Count = Annotated[int, Form(ge=1, le=20, description="How many at most")]


@router.post("/blend/design", tags=["compute"], summary="Design a blend", operation_id="design_blend")
def design(asking: Asked, book: Book, tables: Tables = None) -> dict[str, Any]:
    """Give the recipes of a blend book, as ``resile blend design --json``."""
    from resile.workflows.blending.task import design_book

    with laid_out([held(book), *(held(file) for file in tables or ())], together=True) as paths:
        return dict(names_given_back(design_book(paths[0]).to_json(), paths))


@router.post(
    "/blend/predict", tags=["compute"], summary="Say what a recipe keeps", operation_id="predict_blend"
)
def predict(asking: Asked, book: Book, percent: Percent, tables: Tables = None) -> dict[str, Any]:
    """Give every limit with its probability for a recipe, as ``resile blend predict --json``."""
    from resile.workflows.blending.task import predict_recipe

    with laid_out([held(book), *(held(file) for file in tables or ())], together=True) as paths:
        return dict(names_given_back(predict_recipe(paths[0], percent).to_json(), paths))


@router.post("/blend/trial", tags=["compute"], summary="Choose the next trial", operation_id="next_trial")
def trial(asking: Asked, book: Book, tables: Tables = None, count: Count = 3) -> dict[str, Any]:
    """Give which blends to make and test next, as ``resile blend trial --json``."""
    from resile.workflows.blending.task import propose_trials

    with laid_out([held(book), *(held(file) for file in tables or ())], together=True) as paths:
        return dict(names_given_back(propose_trials(paths[0], count=count).to_json(), paths))


@router.get(
    "/blends/{key}/design",
    tags=["record"],
    summary="Design with a kept blend book",
    operation_id="design_kept_blend",
)
def design_kept(asking: Asked, key: Key) -> dict[str, Any]:
    """Give the recipes of a blend book of the record, as ``resile blend design --json``."""
    from resile.workflows.laboratory.blends.designing import design_json

    return design_json(asking.record, asking.actor, key)
