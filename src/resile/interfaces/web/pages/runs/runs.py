"""Runs: the list, one run with its picture and the rows of its file, and runs laid over each other."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import InputError
from resile.interfaces.web.paper_tables import page_columns, page_rows
from resile.interfaces.web.visit import Visit, get, saved_file
from resile.workflows.laboratory.runs.compared_runs import KeptComparison, compare_kept_runs, runs_to_compare
from resile.workflows.laboratory.runs.kept_runs import (
    Chosen,
    RunsWanted,
    SeenRun,
    file_of_run,
    file_without_signal,
    list_runs,
    picture_of_run,
    rows_of_run,
    see_run,
)
from resile.workflows.laboratory.runs.run_pictures import still_of
from resile.workflows.laboratory.runs.run_rows import MOST_ROWS
from resile.workflows.laboratory.runs.run_view import CONDITION_WORDS, cycles_as_csv

_FILTERS = ("test", "worst", "instrument", "sample", "since", "until", "order")
_ORDERS = {
    "": ("key", False),
    "kept-first": ("key", True),
    "tested": ("tested", False),
    "tested-first": ("tested", True),
}


def runs(visit: Visit) -> Response:
    """Show one page of the runs."""
    asked = {name: visit.text(name) for name in _FILTERS if visit.text(name)}
    order, rising = _ORDERS.get(asked.get("order", ""), _ORDERS[""])
    plain = {name: asked[name] for name in asked if name != "order"}
    wanted = RunsWanted(**plain, order=order, rising=rising, after=tuple(visit.texts("after")))
    found = list_runs(visit.record, wanted, actor=visit.actor)
    further = urlencode([*asked.items(), *(("after", one) for one in found.after)]) if found.after else ""
    return visit.show("runs.html.j2", found=found, asked=asked, further=further, residues=CONDITION_WORDS)


def run(visit: Visit) -> Response:
    """Show one run: findings first; one without a signal is told on the page of its file."""
    file = file_without_signal(visit.record, visit.path("key"), actor=visit.actor)
    if file:
        return visit.go(f"/drop/{file}")
    chosen = _chosen(visit)
    seen = see_run(visit.record, visit.path("key"), actor=visit.actor, chosen=chosen)
    return visit.show(
        "run.html.j2",
        seen=seen,
        view=seen.view,
        chosen=chosen,
        residues=CONDITION_WORDS,
        **_shown(seen, chosen),
    )


def figure(visit: Visit) -> Response:
    """Give one picture of a run, to be drawn live."""
    return visit.json(_picture(visit))


def still(visit: Visit) -> Response:
    """Give one picture of a run as a drawing."""
    return Response(still_of(_picture(visit)), media_type="image/svg+xml")


def rows(visit: Visit) -> Response:
    """Show the rows of the file behind a run or one of its cycles."""
    kept, behind = rows_of_run(
        visit.record,
        visit.path("key"),
        actor=visit.actor,
        chosen=_chosen(visit),
        whole=not visit.text("cycle"),
        first=int(_number(visit, "first") or 0),
    )
    return visit.show("run_rows.html.j2", kept=kept, behind=behind, most=MOST_ROWS)


def cycles(visit: Visit) -> Response:
    """Give the cycles of a run as CSV."""
    key = visit.path("key")
    seen = see_run(visit.record, key, actor=visit.actor)
    return saved_file(cycles_as_csv(seen.view).encode(), f"{key}-cycles.csv", "text/csv; charset=utf-8")


def original(visit: Visit) -> Response:
    """Give the file of a run as it came."""
    name, content = file_of_run(visit.record, visit.path("key"), actor=visit.actor)
    return saved_file(content, name, "application/octet-stream")


def compare(visit: Visit) -> Response:
    """Lay runs over each other, or show those of a sample to choose from."""
    keys, sample = _keys(visit), visit.text("sample")
    if not keys and not sample:
        raise InputError("no runs were chosen; choose two to six on the page of a run, under 'Other runs'")
    found = _compared(visit, keys) if len(keys) > 1 or not sample else None
    choices = runs_to_compare(visit.record, sample or keys[0], actor=visit.actor)
    question = urlencode([("keys", ",".join(keys)), *((n, visit.text(n)) for n in ("stress", "place"))])
    table = found.comparison.table if found else None
    columns, cells = (page_columns(table), page_rows(table)) if table else ([], [])
    return visit.show(
        "run_compare.html.j2",
        found=found,
        keys=keys,
        choices=choices,
        question=question,
        columns=columns,
        cells=cells,
        residues=CONDITION_WORDS,
    )


def compared_figure(visit: Visit) -> Response:
    """Give the picture of runs laid over each other, to be drawn live."""
    return visit.json(_compared(visit, _keys(visit)).comparison.spec)


def compared_still(visit: Visit) -> Response:
    """Give the picture of runs laid over each other as a drawing."""
    return Response(still_of(_compared(visit, _keys(visit)).comparison.spec), media_type="image/svg+xml")


def _picture(visit: Visit) -> dict[str, object]:
    return picture_of_run(
        visit.record, visit.path("key"), visit.path("name"), actor=visit.actor, chosen=_chosen(visit)
    ).spec


def _compared(visit: Visit, keys: list[str]) -> KeptComparison:
    return compare_kept_runs(
        visit.record,
        keys,
        actor=visit.actor,
        stress_kpa=_number(visit, "stress"),
        place=int(_number(visit, "place") or 1),
    )


def _keys(visit: Visit) -> list[str]:
    keys = [key for text in visit.texts("keys") for key in text.replace(",", " ").split()]
    return list(dict.fromkeys(keys))


def _number(visit: Visit, name: str) -> float | None:
    text = visit.text(name)
    try:
        number = float(text.replace(",", ".")) if text else None
    except ValueError:
        number = float("nan")
    if number is not None and not abs(number) < 1e12:
        raise InputError(f"{name}: '{text}' is no number")
    return number


def _chosen(visit: Visit) -> Chosen:
    """Read which cycle (``7``, or ``7@0.1`` for the one at 0.1 kPa) and which seconds are asked for."""
    number, _, stress = visit.text("cycle").partition("@")
    try:
        cycle = int(number) if number else None
        stress_kpa = float(stress) if stress else None
    except ValueError:
        raise InputError(
            f"cycle: '{visit.text('cycle')}' is no cycle; a number is needed, such as 7, or 7@0.1 for the "
            "one at 0.1 kPa"
        ) from None
    start, end = _number(visit, "from"), _number(visit, "until")
    if start is None and end is None:
        return Chosen(stress_kpa, cycle)
    return Chosen(stress_kpa, cycle, (start if start is not None else 0.0, end if end is not None else 1e9))


def _shown(seen: SeenRun, chosen: Chosen) -> dict[str, Any]:
    """Give addresses and tables of the page of a run."""
    base = f"/runs/{seen.kept.key}"
    names = [f"{one.number}@{one.stress_kpa:g}" for one in seen.view.cycles]
    here = f"{seen.view.chosen[1]}@{seen.view.chosen[0]:g}" if seen.view.chosen else ""
    place = names.index(here) if here in names else None
    window = {} if chosen.window_s is None else {"from": chosen.window_s[0], "until": chosen.window_s[1]}
    question = urlencode({**({"cycle": here} if here else {}), **window}, safe="@")
    tables = []
    for table in seen.view.tables:
        of_cycles = bool(names) and len(table.rows) - len(table.strong) == len(names)
        links = {1: [f"{base}?cycle={name}#cycle" for name in names]} if of_cycles else None
        tables.append((table, page_columns(table), page_rows(table, links=links)))
    return {
        "base": base,
        "question": question,
        "names": names,
        "here": here,
        "before": names[place - 1] if place else "",
        "following": names[place + 1] if place is not None and place + 1 < len(names) else "",
        "tables_of_run": tables,
        "reading_tables": [(one, page_columns(one), page_rows(one)) for one in seen.view.reading_tables],
    }


routes = [
    get("/runs", runs),
    get("/runs/compare", compare),
    get("/runs/compare.json", compared_figure),
    get("/runs/compare.svg", compared_still),
    get("/runs/{key}", run),
    get("/runs/{key}/rows", rows),
    get("/runs/{key}/cycles.csv", cycles),
    get("/runs/{key}/file", original),
    get("/runs/{key}/figures/{name}.json", figure),
    get("/runs/{key}/figures/{name}.svg", still),
]
