"""Roads of the record as they are looked at: one, several, a list, a map, and who may ask."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from resile.errors import RecordNotFoundError
from resile.records.reading import HeldFile
from resile.records.register import Actor, Customer, Kept, SiteRecord
from resile.records.site import SiteDemand
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.offer import SiteRow, site_rows
from resile.storage.lists.samples import names_of
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.offer.site_texts import SiteQuestion, demand_of, question_of
from resile.workflows.laboratory.samples.named import name_of
from resile.workflows.sites.site_demand import DemandReport

_AT_ONCE = 200

_HOT_END = re.compile(r"PG \d+")


@dataclass(frozen=True, slots=True)
class KeptSite:
    """A road as the record holds it.

    Attributes
    ----------
    kept : Kept of SiteRecord
        With key and revision.
    question : SiteQuestion
        What was asked; the weather file is not among it.
    report : DemandReport
        What was answered.
    """

    kept: Kept[SiteRecord]
    question: SiteQuestion
    report: DemandReport

    @property
    def demand(self) -> SiteDemand:
        """What the road asks of a binder."""
        return self.report.demand


def site_of(record: LaboratoryRecord, actor: Actor, key: str, revision: int | None = None) -> KeptSite:
    """Give a road with what it needs, as it was kept.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        No such road; not one of theirs.
    """
    require(actor, "sites.see")
    with record.reading() as reading:
        kept = reading.get(SiteRecord, key, revision)
    require_sight(actor, kept.value.customer, what="road")
    return KeptSite(kept, question_of(kept.value), DemandReport(demand_of(kept.value)))


def sites_of(record: LaboratoryRecord, actor: Actor, keys: Sequence[str]) -> Iterator[KeptSite]:
    """Give several roads with what they need, as they were kept, in the order of their keys.

    Raises
    ------
    PermissionRefusedError
        Where one of them is not theirs.
    """
    require(actor, "sites.see")
    for start in range(0, len(keys), _AT_ONCE):
        with record.reading() as reading:
            found = reading.find(SiteRecord, key=list(keys[start : start + _AT_ONCE]))
        for kept in found:
            require_sight(actor, kept.value.customer, what="road")
            yield KeptSite(kept, question_of(kept.value), DemandReport(demand_of(kept.value)))


def weather_of_site(record: LaboratoryRecord, actor: Actor, key: str) -> HeldFile:
    """Give the weather record of a road as it came.

    Raises
    ------
    RecordNotFoundError
        Where its climate was typed.
    """
    noun = site_of(record, actor, key).kept.value
    if not noun.file:
        raise RecordNotFoundError(f"{noun.name}: its climate was typed; there is no weather record")
    with record.reading() as reading:
        return HeldFile(noun.file_name, reading.file(noun.file))


def revisions_of_site(record: LaboratoryRecord, actor: Actor, key: str) -> list[Kept[SiteRecord]]:
    """Give every revision of a road, the newest first."""
    require(actor, "sites.see")
    with record.reading() as reading:
        found = reading.history(SiteRecord, key)
    for kept in found:
        require_sight(actor, kept.value.customer, what="road")
    return found[::-1]


def list_sites(record: LaboratoryRecord, actor: Actor, keys: Sequence[str] | None = None) -> list[SiteRow]:
    """Give the roads that may be seen, by name: all of them, or those named.

    Raises
    ------
    PermissionRefusedError
        Who may not see roads.
    """
    require(actor, "sites.see")
    with record.reading() as reading:
        return site_rows(reading, customer=actor.customer, keys=keys)


def maps_of_sites(rows: Sequence[SiteRow]) -> tuple[dict[str, Any], ...]:
    """Draw where the roads of a list lie, told apart by the hot end of their grades."""
    from resile.records.choice import SiteNeed
    from resile.report.figures.site_map import figure_places

    needs = [SiteNeed(row.name, row.grade, row.latitude_deg, row.longitude_deg) for row in rows]
    ends = [_HOT_END.match(row.grade) for row in rows]
    return figure_places(needs, [end[0] if end else "" for end in ends], nothing="no grade reaches")


def site_choices() -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Give the specifications and the pavement models that a road can be asked by, each with its title."""
    from resile.compute.site.models import MODELS
    from resile.specifications.load import list_specifications

    known = [one for one in list_specifications() if not one.problem]
    return (
        [(one.identifier, one.title) for one in known],
        [(name, model.title) for name, model in MODELS.items()],
    )


def customer_of_site(record: LaboratoryRecord, site: KeptSite) -> str:
    """Give the name of the customer for whom a road in hand was worked out; empty for none."""
    with record.reading() as reading:
        return name_of(reading, Customer, site.kept.value.customer)


def customers_who_ask(record: LaboratoryRecord, actor: Actor) -> list[tuple[str, str]]:
    """Give key and name of the customers for whom a road can be worked out, by name.

    Raises
    ------
    PermissionRefusedError
        Where the person may not work out roads.
    """
    require(actor, "offer.write")
    with record.reading() as reading:
        return names_of(reading, "customer", limit=5000)
