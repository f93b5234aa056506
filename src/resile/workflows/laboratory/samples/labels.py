"""Labels for cans: number, grade, dates, hazards, and a code that opens the sample."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.label_stock import LabelStock
from resile.records.register import Actor, Can, Product, Sample
from resile.specifications.label_stock import list_label_stock, load_label_stock
from resile.specifications.plans import load_bench_book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.bench_hub import sample_named

USUAL_STOCK = "sheet-70x37"
_WARNED_OF = ("hot-binder", "hydrogen-sulphide")


@dataclass(frozen=True, slots=True)
class CanLabel:
    """One label.

    Attributes
    ----------
    number, can, half, grade, product, lot : str
        What it names; empty where not known.
    taken, received : str
        Days.
    invented : bool
        True for a sample of the demonstration.
    address : str
        Where the code leads: the page of the sample.
    code : str
        The code as an address that holds the drawing.
    """

    number: str
    can: str
    half: str
    grade: str
    product: str
    lot: str
    taken: str
    received: str
    invented: bool
    address: str
    code: str


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """The labels of a sample.

    Attributes
    ----------
    sample_key : str
        Key of the sample.
    labels : tuple of CanLabel
        One a can and copy; one for the sample where no can is kept.
    hazards : tuple of str
        First sentence of each hazard, from the bench book.
    stock : LabelStock
        Sizes.
    stocks : tuple of LabelStock
        All that may be chosen.
    """

    sample_key: str
    labels: tuple[CanLabel, ...]
    hazards: tuple[str, ...]
    stock: LabelStock
    stocks: tuple[LabelStock, ...]


def label_sheet(
    record: LaboratoryRecord, actor: Actor, sample: str, *, site: str, stock: str = "", copies: int = 1
) -> LabelSheet:
    """Give the labels of a sample.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks.
    sample : str
        Number or key of the sample.
    site : str
        Address of the workbench, without a stroke at its end.
    stock : str
        Name of the labels; empty for the usual ones.
    copies : int
        Labels for each can, 1 to 24.
    """
    require(actor, "samples.see")
    whole = sample_named(record, actor, sample)
    with record.reading() as reading:
        cans = [one.value for one in reading.find(Can, sample=whole.key, order="name")]
        product = reading.get(Product, whole.value.product).value.name if whole.value.product else ""
    address = f"{site}/samples/{whole.key}"
    code = code_of(address)
    each: list[Can | None] = [*cans] or [None]
    labels = [_label(whole.value, can, product, address, code) for can in each]
    book = load_bench_book()
    original = next((p for p in book.preparations if p.condition is Condition.ORIGINAL), None)
    named = original.cautions if original else ()
    texts = [one.text for one in book.cautions if one.name in _WARNED_OF and one.name in named]
    return LabelSheet(
        whole.key,
        tuple(label for label in labels for _ in range(max(1, min(copies, 24)))),
        tuple(f"{text.partition(':')[0]}." for text in texts),
        load_label_stock(stock or USUAL_STOCK),
        tuple(list_label_stock()),
    )


def _label(sample: Sample, can: Can | None, product: str, address: str, code: str) -> CanLabel:
    return CanLabel(
        number=sample.number,
        can=can.name if can else "",
        half=sample.half,
        grade=sample.claimed_grade,
        product=product,
        lot=sample.lot,
        taken=sample.taken[:10],
        received=sample.received[:10],
        invented=sample.invented,
        address=address,
        code=code,
    )


def code_of(text: str) -> str:
    """Draw a QR code and give it as an address that holds the drawing.

    Parameters
    ----------
    text : str
        What the code says.
    """
    import segno

    drawn = io.BytesIO()
    segno.make(text, error="m", micro=False).save(drawn, kind="svg", border=2, xmldecl=False)
    return f"data:image/svg+xml;base64,{base64.b64encode(drawn.getvalue()).decode()}"


def label_style(name: str) -> str:
    """Give the style sheet that prints labels of one kind.

    Parameters
    ----------
    name : str
        Name of the labels.
    """
    stock = load_label_stock(name)
    return (
        "@media print {\n"
        f"  @page {{ size: {stock.page_width_mm:g}mm {stock.page_height_mm:g}mm; margin: 0; }}\n"
        "  .labels { display: grid !important; "
        f"grid-template-columns: repeat({stock.columns}, {stock.label_width_mm:g}mm); "
        f"gap: {stock.gap_down_mm:g}mm {stock.gap_across_mm:g}mm; "
        f"padding: {stock.margin_top_mm:g}mm 0 0 {stock.margin_left_mm:g}mm !important; margin: 0; }}\n"
        f"  .label {{ width: {stock.label_width_mm:g}mm; height: {stock.label_height_mm:g}mm; "
        "box-sizing: border-box; padding: 2mm 2.5mm; }\n"
        f"  .label:nth-child({stock.columns * stock.rows}n) {{ break-after: page; }}\n"
        "}\n"
    )
