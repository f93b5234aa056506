"""Chart specifications from records: no computing, no file names.

Every function gives a Vega-Lite specification as a plain dictionary; `resile.report.render` draws it.
"""

from resile.report.figures.bending_beam import figure_beams
from resile.report.figures.creep_recovery_cycle import figure_cycle
from resile.report.figures.creep_recovery_run import figure_run
from resile.report.figures.cycle_trend import figure_compliance
from resile.report.figures.elastic_response import figure_elastic_response, points_of
from resile.report.figures.grade_ladder import figure_grade_ladder
from resile.report.figures.margin import figure_margin
from resile.report.figures.oscillation import figure_frequency_sweep, figure_oscillation
from resile.report.figures.viscosity import figure_viscosity

__all__ = [
    "figure_beams",
    "figure_compliance",
    "figure_cycle",
    "figure_elastic_response",
    "figure_frequency_sweep",
    "figure_grade_ladder",
    "figure_margin",
    "figure_oscillation",
    "figure_run",
    "figure_viscosity",
    "points_of",
]
