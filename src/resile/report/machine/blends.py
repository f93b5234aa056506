"""Blends as JSON: a design, a recipe, trials to make, a portfolio."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, DosingSensitivity, ParetoPoint, Rescue
from resile.records.blending.limit import BlendLimit, Response
from resile.records.blending.portfolio import Portfolio
from resile.records.blending.recipe import DoseWindow, NextTrial, Recipe, RecipeLine
from resile.records.blending.surface import Surface
from resile.report.machine.records import finding_to_json, source_to_json

Json = dict[str, Any]


def design_to_json(design: BlendDesign) -> Json:
    """Give a design as the fixed interface of ``resile blend design --json`` names it.

    Parameters
    ----------
    design : BlendDesign
        As worked out.

    Returns
    -------
    dict
        Recipes with every limit, cost against probability, surfaces with their quality, findings.
    """
    return {
        **book_to_json(design.book),
        "grade": design.grade,
        "answer": design.answer,
        "expected": _recipe_or_none(design.expected),
        "chosen": _recipe_or_none(design.chosen),
        "nearest": _recipe_or_none(design.nearest),
        "alternatives": [recipe_to_json(one) for one in design.alternatives],
        "cost_tolerance_percent": design.cost_tolerance_percent,
        "pareto": [_pareto(one) for one in design.pareto],
        "dosing": None if design.dosing is None else _dosing(design.dosing),
        "surfaces": [_surface(one) for one in design.surfaces],
        "seed": design.seed,
        "findings": [finding_to_json(one) for one in design.findings],
    }


def book_to_json(book: BlendBook) -> Json:
    """Give what a blend book is: title, aim, files by hash, how it was read."""
    return {
        "title": book.title,
        "invented": book.invented,
        "currency": book.currency,
        "components": [one.name for one in book.components],
        "trials": len(book.trials),
        "objective": book.aim.objective,
        "required_probability": book.aim.probability,
        "specification": book.aim.specification,
        "sources": [source_to_json(one) for one in book.sources],
        "remarks": list(book.remarks),
    }


def recipe_to_json(recipe: Recipe) -> Json:
    """Give a recipe with every limit, windows and batch."""
    return {
        "name": recipe.name,
        "percent": dict(recipe.percent),
        "cost_per_tonne": recipe.cost_per_tonne,
        "probability": recipe.probability,
        "untested": list(recipe.untested),
        "limiting": list(recipe.limiting),
        "lines": [_line(one) for one in recipe.lines],
        "windows": [_window(one) for one in recipe.windows],
        "batch": [
            {"component": one.component, "mass_kg": one.mass_kg, "percent": one.percent}
            for one in recipe.batch
        ],
        "batch_probability": recipe.batch_probability,
        "findings": [finding_to_json(one) for one in recipe.findings],
    }


def recipe_answer_to_json(book: BlendBook, recipe: Recipe) -> Json:
    """Give what ``resile blend predict --json`` prints."""
    return {**book_to_json(book), "recipe": recipe_to_json(recipe)}


def next_trials_to_json(book: BlendBook, trials: Sequence[NextTrial]) -> Json:
    """Give what ``resile blend trial --json`` prints."""
    return {
        **book_to_json(book),
        "next_trials": [
            {
                "percent": dict(one.percent),
                "gain": one.gain,
                "gain_unit": one.gain_unit,
                "gain_error": one.gain_error,
                "tests": list(one.tests),
                "reason": one.reason,
            }
            for one in trials
        ],
    }


def rescue_to_json(book: BlendBook, rescue: Rescue, percent: Mapping[str, float]) -> Json:
    """Give what ``resile blend rescue --json`` prints."""
    return {
        **book_to_json(book),
        "tank_percent": dict(percent),
        "additions": [
            {"component": one.component, "mass_kg": one.mass_kg, "percent": one.percent}
            for one in rescue.additions
        ],
        "added_kg": rescue.added_kg,
        "total_kg": rescue.total_kg,
        "added_cost": rescue.added_cost,
        "recipe": recipe_to_json(rescue.recipe),
        "findings": [finding_to_json(one) for one in rescue.findings],
    }


def portfolio_to_json(portfolio: Portfolio) -> Json:
    """Give what ``resile blend portfolio --json`` prints."""
    return {
        "title": portfolio.title,
        "currency": portfolio.currency,
        "required_probability": portfolio.probability,
        "tanks": [
            {
                "recipe": recipe_to_json(tank.recipe),
                "labels": [
                    {
                        "grade": label.grade,
                        "probability": label.probability,
                        "margin_standards": label.margin_standards,
                        "limiting": label.limiting,
                        "untested": list(label.untested),
                        "qualifies": label.qualifies,
                    }
                    for label in tank.labels
                ],
                "serves": [{"grade": one.grade, "amount_t": one.amount_t} for one in tank.serves],
                "amount_t": tank.amount_t,
            }
            for tank in portfolio.tanks
        ],
        "unserved": [{"grade": one.grade, "amount_t": one.amount_t} for one in portfolio.unserved],
        "blend_cost": portfolio.blend_cost,
        "total_cost": portfolio.total_cost,
        "tank_changes": portfolio.tank_changes,
        "proven": portfolio.proven,
        "by_number": [
            {
                "recipes": one.recipes,
                "blend_cost": one.blend_cost,
                "total_cost": one.total_cost,
                "tank_changes": one.tank_changes,
            }
            for one in portfolio.by_number
        ],
        "paying_prices": [
            {
                "component": one.component,
                "price_per_tonne": one.price_per_tonne,
                "pays_up_to": one.pays_up_to,
                "remark": one.remark,
            }
            for one in portfolio.paying_prices
        ],
        "seed": portfolio.seed,
        "findings": [finding_to_json(one) for one in portfolio.findings],
    }


def _recipe_or_none(recipe: Recipe | None) -> Json | None:
    return None if recipe is None else recipe_to_json(recipe)


def _line(line: RecipeLine) -> Json:
    return {
        "limit": _limit(line.limit),
        "value": line.value,
        "lower": line.lower,
        "upper": line.upper,
        "probability": line.probability,
        "margin_standards": line.margin_standards,
        "extrapolated": line.extrapolated,
    }


def _limit(limit: BlendLimit) -> Json:
    return {
        **_response(limit.response),
        "bound": limit.bound,
        "limit": limit.value,
        "asked": limit.value if limit.asked is None else limit.asked,
        "title": limit.title,
        "clause": limit.clause,
        "end": limit.end,
        "absolute": limit.absolute,
    }


def _response(response: Response) -> Json:
    return {
        "quantity": response.quantity,
        "condition": response.condition.value,
        "temperature_c": response.temperature_c,
    }


def _window(window: DoseWindow) -> Json:
    return {
        "component": window.component,
        "lowest_percent": window.lowest_percent,
        "highest_percent": window.highest_percent,
        "ends_by": list(window.ends_by),
        "sure_lowest_percent": window.sure_lowest_percent,
        "sure_highest_percent": window.sure_highest_percent,
        "sure_ends_by": list(window.sure_ends_by),
    }


def _pareto(point: ParetoPoint) -> Json:
    return {
        "probability": point.probability,
        "cost_per_tonne": point.cost_per_tonne,
        "percent": dict(point.percent),
    }


def _dosing(dosing: DosingSensitivity) -> Json:
    return {
        "probability": dosing.probability,
        "probability_dosed": dosing.probability_dosed,
        "draws": dosing.draws,
        "effects": [
            {
                "component": one.component,
                "standard_kg": one.standard_kg,
                "probability": one.probability,
                "probability_less": one.probability_less,
                "probability_more": one.probability_more,
            }
            for one in dosing.effects
        ],
    }


def _surface(surface: Surface) -> Json:
    quality = surface.quality
    return {
        **_response(surface.response),
        "scale": surface.scale,
        "form": surface.form,
        "rule": surface.rule or None,
        "coefficients": list(surface.coefficients),
        "terms": [[surface.components[place] for place in term] for term in surface.terms],
        "quality": None
        if quality is None
        else {
            "trials": quality.trials,
            "degrees_of_freedom": quality.degrees_of_freedom,
            "residual_standard": quality.residual_standard,
            "left_out_standard": quality.left_out_standard,
        },
    }
