"""The places of the workbench in the order of the menu; a place no page serves is left out."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.routing import Match, Router


@dataclass(frozen=True, slots=True)
class Place:
    """One line of the menu.

    Attributes
    ----------
    label, address : str
        What it says and where it leads.
    permission : str
        What one must be allowed to do to be shown it; empty for everybody.
    also : tuple of str
        Further addresses that lie in it.
    """

    label: str
    address: str
    permission: str = ""
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """Places that belong together.

    Attributes
    ----------
    label : str
        Said above them; empty for the daily work, which needs no word.
    places : tuple of Place
        In the order of the menu.
    """

    label: str
    places: tuple[Place, ...]


GROUPS = (
    Group(
        "",
        (
            Place("Today", "/"),
            Place("Drop a record", "/drop", "runs.keep"),
            Place("Samples", "/samples", "samples.see"),
            Place("Runs", "/runs", "runs.see"),
            Place("Bench", "/bench", "bench.write"),
            Place("Statements", "/statements", "statements.see"),
            Place("Control", "/control", "runs.see"),
            Place("Deliveries", "/deliveries", "runs.see"),
            Place("Receipts", "/receipts/new", "runs.see"),
        ),
    ),
    Group(
        "Roads",
        (
            Place("Sites", "/sites", "sites.see"),
            Place("Range", "/range", "offer.see"),
            Place("Blends", "/blends", "offer.see"),
        ),
    ),
    Group(
        "Laboratory",
        (
            Place("Archive", "/archive", "runs.see", also=("/archive-judged",)),
            Place("Products & customers", "/products", "runs.see", also=("/customers", "/tanks")),
            Place("Rounds & checks", "/laboratory", "runs.see"),
            Place("Instruments", "/instruments", "equipment.write"),
            Place("Retention", "/retention", "retention.write"),
            Place("People", "/people", "people.write"),
            Place("Audit", "/audit", "audit.see"),
            Place("Settings", "/settings", "settings.write"),
        ),
    ),
    Group("Customers", (Place("Explain", "/explain"),)),
    Group("Programs", (Place("Tokens", "/tokens"), Place("What they can do", "/interface"))),
)


def served(router: Router, address: str) -> bool:
    """Tell whether a page answers at an address."""
    scope = {"type": "http", "path": address, "root_path": "", "method": "GET", "headers": []}
    return any(route.matches(scope)[0] is Match.FULL for route in router.routes)


def places_served(router: Router) -> frozenset[str]:
    """Give the addresses of the menu at which a page answers, looked up once for a workbench."""
    return frozenset(
        place.address for group in GROUPS for place in group.places if served(router, place.address)
    )


def is_here(place: Place, path: str) -> bool:
    """Tell whether a path lies in a place."""
    return any(
        path == address or (address != "/" and path.startswith(f"{address}/"))
        for address in (place.address, *place.also)
    )
