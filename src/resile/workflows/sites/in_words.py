"""Rules and models of a demand by their names, for people; codes are for typing and for programs."""

from __future__ import annotations

import re
from dataclasses import replace

from resile.compute.site.models import MODELS
from resile.records.site import EndDemand, SiteDemand
from resile.specifications.load import list_specifications


def rule_title(identifier: str) -> str:
    """Give the title of a rule set; what is on no search path any more keeps its code.

    Parameters
    ----------
    identifier : str
        As kept with a road.

    Returns
    -------
    str
        Its title, or the code itself.
    """
    return {one.identifier: one.title for one in list_specifications()}.get(identifier) or identifier


def model_title(name: str) -> str:
    """Give the short name of a pavement model: its title up to the colon.

    Parameters
    ----------
    name : str
        Of the model.

    Returns
    -------
    str
        Its name in words, or the code itself.
    """
    return MODELS[name].title.partition(":")[0] if name in MODELS else name


def demand_in_words(demand: SiteDemand) -> SiteDemand:
    """Give a demand as it is shown: titles in place of codes, in its fields and in its sentences.

    Parameters
    ----------
    demand : SiteDemand
        As worked out.

    Returns
    -------
    SiteDemand
        For a page; never to be kept.
    """
    findings = (replace(one, message=_models_in_words(one.message)) for one in demand.findings)
    return replace(
        demand,
        specification=rule_title(demand.specification),
        high=_end_in_words(demand.high),
        low=_end_in_words(demand.low),
        others=tuple(map(_end_in_words, demand.others)),
        reasons=tuple(map(_models_in_words, demand.reasons)),
        findings=tuple(findings),
    )


def _end_in_words(end: EndDemand) -> EndDemand:
    return replace(end, model=model_title(end.model))


def _models_in_words(sentence: str) -> str:
    codes = "|".join(sorted(map(re.escape, MODELS), key=len, reverse=True))
    return re.sub(rf"(?<![\w-])({codes})(?![\w-])", lambda found: model_title(found[1]), sentence)
