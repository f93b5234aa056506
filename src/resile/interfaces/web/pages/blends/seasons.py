"""A season planned from a blend book: few recipes for many grades."""

from __future__ import annotations

from dataclasses import fields
from urllib.parse import urlencode

from starlette.responses import Response

from resile.errors import ResileError
from resile.interfaces.web.jobs import Progress, jobs_of
from resile.interfaces.web.own_folder import answers_of
from resile.interfaces.web.spoken import spoken
from resile.interfaces.web.visit import Visit, get, post
from resile.workflows.laboratory.blends.kept_blends import blend_of
from resile.workflows.laboratory.blends.planning import (
    SeasonQuestion,
    mark_of_season,
    plan_season,
    read_demands,
    season_as_bytes,
    season_of_bytes,
)


def season(visit: Visit) -> Response:
    """Show the plan of a season, or the form that asks for one."""
    kept = blend_of(visit.record, visit.actor, visit.path("key"))
    question = _question(visit)
    content = answers_of(visit.request.app).recall(mark_of_season(kept, question))
    plan = None if content is None else season_of_bytes(content)
    return visit.show("blends/season.html.j2", kept=kept, plan=plan)


def plan(visit: Visit) -> Response:
    """Plan a season in the background."""
    kept, question = blend_of(visit.record, visit.actor, visit.path("key")), _question(visit)
    place = f"/blends/{kept.kept.key}/season"
    given = {one.name: getattr(question, one.name) for one in fields(question)}
    address = f"{place}?{urlencode({name: text for name, text in given.items() if text})}"
    record, actor, app = visit.record, visit.actor, visit.request.app
    try:
        count = len(read_demands(question.demands))
    except ResileError as error:
        return visit.again("blends/season.html.j2", spoken(error), kept=kept, plan=None)

    def work(progress: Progress) -> str:
        progress.step(0, 1, f"Recipes for {count} grades, each alone and together.")
        try:
            found = plan_season(record, actor, kept.kept.key, question)
        except ResileError as error:
            raise spoken(error) from None
        answers_of(app).remember(mark_of_season(kept, question), season_as_bytes(found))
        return address

    title = f"A season from {kept.kept.value.name}"
    return visit.go(jobs_of(app).start(actor, title, work, back=address))


def _question(visit: Visit) -> SeasonQuestion:
    lines = [line.strip() for line in visit.text("demands").splitlines() if line.strip()]
    told = {one.name: visit.text(one.name) for one in fields(SeasonQuestion) if one.name != "demands"}
    return SeasonQuestion("\n".join(lines), **told)


routes = [get("/blends/{key}/season", season), post("/blends/{key}/season", plan)]
