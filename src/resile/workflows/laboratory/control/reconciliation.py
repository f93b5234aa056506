"""Loads, lots and certificates laid side by side: what does not fit, and what to do about it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from resile.records.register import Actor
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.deliveries import (
    CertificateOfLot,
    DeliveryRow,
    certificates_by_number,
    list_deliveries,
)
from resile.storage.lists.lots import ProducedLot, lots_named
from resile.storage.lists.samples import names_of
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require

_FILE = Path(__file__).with_name("reconciliation.toml")
WEIGHTS = {"wrong": "wrong", "missing": "papers missing", "look": "to find out"}
"""How much a line weighs, in words; in the order of the list."""
_GRADE = re.compile(r"[^A-Z0-9+-]")
_GRADE_WORD = re.compile(r"^(PG|BITUMEN)")


@dataclass(frozen=True, slots=True)
class Misfit:
    """Something about a load that does not fit.

    Attributes
    ----------
    delivery : DeliveryRow
        The load.
    kind : str
        Name of what was found.
    weight : str
        ``wrong``, ``missing`` or ``look``.
    said, action : str
        What was found, and what to do; a sentence each.
    """

    delivery: DeliveryRow
    kind: str
    weight: str
    said: str
    action: str


@dataclass(frozen=True, slots=True)
class Reconciled:
    """What the loads of a time were found to be.

    Attributes
    ----------
    loads : int
        How many loads were looked at.
    in_order : int
        Of how many everything fits.
    misfits : tuple of Misfit
        What weighs most first, then the newest load first.
    """

    loads: int
    in_order: int
    misfits: tuple[Misfit, ...]


def reconcile_deliveries(
    record: LaboratoryRecord, actor: Actor, *, product: str = "", since: str = "", until: str = ""
) -> Reconciled:
    """Lay loads, lots and certificates side by side.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    product : str
        Key of a product; empty for all.
    since, until : str
        First and last day of loading; empty without a bound.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        return reconciled(reading, product=product, since=since, until=until)


def reconciled(reading: Reading, *, product: str = "", since: str = "", until: str = "") -> Reconciled:
    """Lay loads, lots and certificates side by side, within a transaction; see `reconcile_deliveries`."""
    loads = list_deliveries(reading, product=product, since=since, until=until)
    names = dict(names_of(reading, "product", limit=5000))
    tanks = dict(names_of(reading, "tank", limit=5000))
    lots = lots_named(reading, sorted({load.lot for load in loads} - {""}))
    certificates = certificates_by_number(reading, [load.certificate for load in loads])
    loaded: dict[str, float] = {}
    for load in loads:
        loaded[load.lot] = loaded.get(load.lot, 0.0) + (load.quantity_t or 0.0)
    found = []
    for load in loads:
        side = _Side(
            load, lots.get(load.lot), certificates.get(load.certificate), names, tanks, loaded[load.lot]
        )
        found += [_misfit(load, kind, side) for kind in _kinds(side)]
    wrong = {one.delivery.key for one in found}
    order = list(WEIGHTS)
    return Reconciled(
        len(loads),
        len(loads) - len(wrong),
        tuple(sorted(found, key=lambda one: order.index(one.weight))),
    )


@dataclass(frozen=True, slots=True)
class _Side:
    """A load with what is kept of its lot and certificate beside it."""

    load: DeliveryRow
    lot: ProducedLot | None
    certificate: CertificateOfLot | None
    products: Mapping[str, str]
    tanks: Mapping[str, str]
    loaded_t: float

    def words(self) -> dict[str, object]:
        load, lot, certificate = self.load, self.lot, self.certificate
        return {
            "number": load.number,
            "lot": load.lot,
            "sent": load.sent[:16].replace("T", " "),
            "certificate": load.certificate,
            "product": load.product_name,
            "grade_of_load": load.grade,
            "grade_of_product": load.product_grade,
            "tank": load.tank_name,
            "tank_product": self.products.get(load.tank_product, ""),
            "loaded": f"{self.loaded_t:g}",
            "samples": ", ".join(lot.numbers) if lot else "",
            "grade": (lot.grade or "no grade satisfied") if lot else "",
            "issued": lot.issued if lot else "",
            "represents": f"{lot.represents_t:g}" if lot and lot.represents_t else "",
            "state": certificate.state if certificate else "",
            "certified_lot": (certificate.lot or "no lot") if certificate else "",
            "certified_tank": self.tanks.get(certificate.tank, "") if certificate else "",
            "certified_grade": certificate.claimed_grade if certificate else "",
        }


def _kinds(side: _Side) -> Iterator[str]:
    yield from _of_lot(side)
    yield from _of_certificate(side)
    load = side.load
    if load.grade and load.product_grade and not same_grade(load.grade, load.product_grade):
        yield "grade-of-another-product"
    if load.tank and load.tank_product and load.product and load.tank_product != load.product:
        yield "tank-of-another-product"


def _of_lot(side: _Side) -> Iterator[str]:
    load, lot = side.load, side.lot
    if not load.lot:
        yield "load-without-lot"
    elif lot is None:
        yield "lot-not-sampled"
    elif lot.stage == "received":
        yield "lot-not-tested"
    elif lot.outcome == "fail":
        yield "lot-failed"
    elif not lot.outcome:
        yield "lot-not-judged"
    if lot is None:
        return
    if load.product and lot.product and lot.product != load.product:
        yield "lot-of-another-product"
    if lot.issued and load.sent and load.sent[:10] < lot.issued[:10]:
        yield "sent-before-release"
    if lot.represents_t and side.loaded_t > lot.represents_t:
        yield "more-than-the-lot"


def _of_certificate(side: _Side) -> Iterator[str]:
    load, certificate = side.load, side.certificate
    if not load.certificate:
        yield "no-certificate"
        return
    if certificate is None:
        yield "certificate-unknown"
        return
    if certificate.state != "issued":
        yield "certificate-withdrawn"
    if certificate.product and load.product and certificate.product != load.product:
        yield "certificate-of-another-product"
    if load.lot and certificate.lot != load.lot:
        yield "certificate-of-another-lot"
    elif certificate.tank and load.tank and certificate.tank != load.tank:
        yield "certificate-of-another-tank"
    grades = (certificate.claimed_grade, load.grade)
    if all(grades) and not same_grade(*grades):
        yield "certificate-of-another-grade"


@dataclass(frozen=True, slots=True)
class MisfitsOfKind:
    """What was found of one kind.

    Attributes
    ----------
    kind, weight : str
        As in `Misfit`.
    title : str
        What was found, in words that hold for all of them.
    misfits : tuple of Misfit
        The newest load first.
    """

    kind: str
    weight: str
    title: str
    misfits: tuple[Misfit, ...]


def gathered(misfits: Sequence[Misfit]) -> list[MisfitsOfKind]:
    """Put misfits of one kind together, what weighs most first.

    Parameters
    ----------
    misfits : sequence of Misfit
        In the order of `Reconciled`.
    """
    by_kind: dict[str, list[Misfit]] = {}
    for one in misfits:
        by_kind.setdefault(one.kind, []).append(one)
    return [
        MisfitsOfKind(kind, some[0].weight, _told()[kind]["title"], tuple(some))
        for kind, some in by_kind.items()
    ]


def same_grade(one: str, other: str) -> bool:
    """Tell whether two papers write the same grade: blanks, case and a leading PG do not count.

    Parameters
    ----------
    one, other : str
        As printed.
    """
    return _bare(one) == _bare(other)


def _bare(grade: str) -> str:
    return _GRADE_WORD.sub("", _GRADE.sub("", grade.upper().replace("\N{MINUS SIGN}", "-")))


def _misfit(load: DeliveryRow, kind: str, side: _Side) -> Misfit:
    told: dict[str, str] = _told()[kind]
    words = side.words()
    return Misfit(load, kind, told["weight"], told["said"].format(**words), told["do"].format(**words))


def kinds_of_misfit() -> Sequence[str]:
    """Give the names of everything that is looked for."""
    return list(_told())


@cache
def _told() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
