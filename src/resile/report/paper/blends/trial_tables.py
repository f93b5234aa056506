"""Tables of trial blends: the surfaces fitted to them, and which to make next."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.blending.recipe import NextTrial
from resile.records.blending.surface import Surface
from resile.report.blend_words import (
    percent_words,
    response_words,
    unit_of,
)
from resile.report.numbers import NOT_KNOWN, fixed
from resile.report.paper.models.model import RIGHT, Column, Table

_FORMS = {"rule": "rule", "linear": "linear", "quadratic": "quadratic", "special": "special cubic"}


def surfaces_table(surfaces: Sequence[Surface]) -> Table:
    """Give how each property was fitted, and how well it meets blends that were left out."""
    rows = tuple(_surface_row(surface) for surface in surfaces)
    columns = (
        Column("Property", share=2.6),
        Column("Form", share=1.6),
        Column("Results", RIGHT, 0.7),
        Column("About the fit", RIGHT, 1.1),
        Column("Left out", RIGHT, 1.1),
    )
    note = (
        "About the fit: standard deviation of the results about the surface. Left out: root mean square "
        "error for each blend, foreseen from the others. In % where the logarithm was fitted, else in the "
        "unit."
    )
    return Table("What the trials tell", columns, rows, note)


def _surface_row(surface: Surface) -> tuple[str, ...]:
    quality = surface.quality
    form = _FORMS.get(surface.form, surface.form)
    words = form if not surface.rule else f"{form} on {surface.rule}"
    if quality is None:
        return (response_words(surface.response), words, NOT_KNOWN, NOT_KNOWN, NOT_KNOWN)
    return (
        response_words(surface.response),
        words,
        str(quality.trials),
        _spread(surface, quality.residual_standard),
        NOT_KNOWN if quality.left_out_standard is None else _spread(surface, quality.left_out_standard),
    )


def _spread(surface: Surface, value: float) -> str:
    if surface.scale == "logarithm":
        return f"{fixed(100.0 * value, 1)} %"
    unit = unit_of(surface.response)
    return f"{value:.2g}{f' {unit}' if unit else ''}"


def next_trials_table(trials: Sequence[NextTrial]) -> Table:
    """Give the blends worth making next."""
    rows = tuple(
        (str(number), percent_words(trial.percent), _gain(trial), "; ".join(trial.tests))
        for number, trial in enumerate(trials, 1)
    )
    columns = (
        Column("No.", share=0.4),
        Column("Blend", share=2.2),
        Column("Expected gain", RIGHT, 1.1),
        Column("Tests, the most telling first", share=4.0),
    )
    return Table("Trials worth making next", columns, rows)


def _gain(trial: NextTrial) -> str:
    if trial.gain <= 0.0:
        return NOT_KNOWN
    if trial.gain_unit == "probability":
        return f"{fixed(100.0 * trial.gain, 1)} points"
    return f"{fixed(trial.gain, 2)} {trial.gain_unit}"
