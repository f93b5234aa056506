"""Sizes of label sheets and label rolls, from TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field, FiniteFloat, model_validator

from resile.records.label_stock import LabelStock
from resile.specifications.checked import checked_file
from resile.specifications.schema import Model, Name
from resile.specifications.search import files_of, find_file, read_toml

FOLDER = "label_stock"
Size = Annotated[FiniteFloat, Field(gt=0, le=1000)]
Gap = Annotated[FiniteFloat, Field(ge=0, le=100)]
Count = Annotated[int, Field(ge=1, le=50)]


class LabelStockModel(Model):
    """A file of label sizes."""

    identifier: Name
    title: str = Field(min_length=1)
    page_width_mm: Size
    page_height_mm: Size
    label_width_mm: Size
    label_height_mm: Size
    margin_top_mm: Gap = 0.0
    margin_left_mm: Gap = 0.0
    gap_across_mm: Gap = 0.0
    gap_down_mm: Gap = 0.0
    columns: Count
    rows: Count
    source: str = ""

    @model_validator(mode="after")
    def _labels_fit_the_page(self) -> LabelStockModel:
        """Labels that do not fit on their sheet would be cut."""
        wide = self.margin_left_mm + self.columns * self.label_width_mm
        high = self.margin_top_mm + self.rows * self.label_height_mm
        wide += (self.columns - 1) * self.gap_across_mm
        high += (self.rows - 1) * self.gap_down_mm
        if wide > self.page_width_mm + 0.05 or high > self.page_height_mm + 0.05:
            raise ValueError(f"labels of {wide:g} × {high:g} mm do not fit on the page")
        return self


def load_label_stock(wanted: str | Path) -> LabelStock:
    """Load the sizes of one kind of labels.

    Parameters
    ----------
    wanted : str or Path
        Name, or the path of a file.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is missing, unknown or wrong.
    """
    file = find_file(FOLDER, wanted, words="label stock")
    return LabelStock(**checked_file(LabelStockModel, file).model_dump())


def list_label_stock() -> list[LabelStock]:
    """List every kind of labels on the search path, those of one's own first."""
    found: dict[str, LabelStock] = {}
    for path in files_of(FOLDER):
        stock = LabelStock(**checked_file(LabelStockModel, read_toml(path)).model_dump())
        found.setdefault(stock.identifier, stock)
    return list(found.values())
