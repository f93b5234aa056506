"""Bench books: residues, tests, tolerances and hazards, from TOML under ``plans``."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import SpecificationError
from resile.records.plan import BenchBook, BenchMethod, PlanCaution, PlanTolerance, ResiduePreparation
from resile.specifications.search import find_file

if TYPE_CHECKING:
    from pydantic import BaseModel


def load_bench_book(wanted: str | Path = "binder") -> BenchBook:
    """Load a bench book.

    Parameters
    ----------
    wanted : str or Path
        Name of a file under ``plans``, or a path.

    Returns
    -------
    BenchBook
        Residues and tests in working order.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    from pydantic import ValidationError

    file = find_file("plans", wanted, words="bench book")
    try:
        content: Any = _model().model_validate(file.content)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part + 1 if isinstance(part, int) else part) for part in first["loc"])
        raise SpecificationError(f"{file.path}: key {place}: {first['msg']}") from error
    _check_cautions(content, file.path)
    return BenchBook(
        identifier=content.identifier,
        title=content.title,
        preparations=tuple(
            ResiduePreparation(tolerances=_tolerances(one), **_fields(one)) for one in content.preparation
        ),
        methods=tuple(BenchMethod(tolerances=_tolerances(one), **_fields(one)) for one in content.test),
        cautions=tuple(PlanCaution(**one.model_dump()) for one in content.caution),
        transcribed=content.transcribed,
        checked=content.checked,
        sha256=file.sha256,
    )


def _fields(one: Any) -> dict[str, Any]:
    return {
        key: tuple(value) if isinstance(value, list) else value
        for key, value in one.model_dump(exclude={"tolerance"}).items()
    }


def _tolerances(one: Any) -> tuple[PlanTolerance, ...]:
    return tuple(PlanTolerance(**row.model_dump()) for row in one.tolerance)


def _check_cautions(content: Any, path: Path) -> None:
    """Refuse a hazard that is named and not described: nobody would miss it until it is needed."""
    known = {one.name for one in content.caution}
    for one in (*content.preparation, *content.test):
        for name in one.cautions:
            if name not in known:
                listed = ", ".join(sorted(known))
                raise SpecificationError(
                    f"{path}: '{one.title}' names the caution '{name}', which is not described; "
                    f"known: {listed}"
                )


@cache
def _model() -> type[BaseModel]:
    from typing import Annotated

    from pydantic import Field, FiniteFloat, field_validator

    from resile.records.determination import Condition
    from resile.specifications.schema import Model, known_quantity

    Text = Annotated[str, Field(min_length=1)]  # noqa: N806
    Residue = Annotated[Condition, Field(strict=False)]  # noqa: N806
    Amount = Annotated[FiniteFloat, Field(ge=0)]  # noqa: N806
    Length = Annotated[FiniteFloat, Field(gt=0)]  # noqa: N806

    class ToleranceTable(Model):
        what: Text
        asked: Text
        source: Text

    class CautionTable(Model):
        name: Text
        text: Text
        source: Text

    class PreparationTable(Model):
        condition: Residue
        title: Text
        method: Text
        binder_g: Amount = 0.0
        note: str = ""
        cautions: list[str] = Field(default=[])
        source: Text
        tolerance: list[ToleranceTable] = Field(default=[])

    class TestTable(Model):
        quantities: list[str] = Field(min_length=1)
        conditions: list[Residue] = Field(default=[])
        title: Text
        method: Text
        specimen: str = ""
        plate_diameter_mm: Length | None = None
        gap_mm: Length | None = None
        specimens: int = Field(ge=1, le=12)
        binder_g: Amount = 0.0
        conditioning: str = ""
        entries: list[Text] = Field(min_length=1, max_length=6)
        cautions: list[str] = Field(default=[])
        source: Text
        tolerance: list[ToleranceTable] = Field(default=[])

        @field_validator("quantities")
        @classmethod
        def _known(cls, names: list[str]) -> list[str]:
            return [known_quantity(name) for name in names]

    class BookTable(Model):
        identifier: Text
        title: Text
        transcribed: str
        checked: str
        caution: list[CautionTable] = Field(default=[])
        preparation: list[PreparationTable] = Field(default=[])
        test: list[TestTable] = Field(min_length=1)

    return BookTable
