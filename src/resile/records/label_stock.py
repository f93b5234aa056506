"""The sizes of labels on a sheet or a roll."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LabelStock:
    """One kind of labels, as read from a file under ``specifications/label_stock``.

    Attributes
    ----------
    identifier, title : str
        Name, and words for a person.
    page_width_mm, page_height_mm : float
        Sheet, or one label of a roll [mm].
    label_width_mm, label_height_mm : float
        One label [mm].
    columns, rows : int
        Labels across and down.
    margin_top_mm, margin_left_mm, gap_across_mm, gap_down_mm : float
        Edge of the sheet before the first label, and between labels [mm].
    source : str
        Where the sizes come from.
    """

    identifier: str
    title: str
    page_width_mm: float
    page_height_mm: float
    label_width_mm: float
    label_height_mm: float
    columns: int
    rows: int
    margin_top_mm: float = 0.0
    margin_left_mm: float = 0.0
    gap_across_mm: float = 0.0
    gap_down_mm: float = 0.0
    source: str = ""
