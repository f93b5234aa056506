"""One run of any test, drawn as its test is drawn."""

from __future__ import annotations

from resile.records.bending_beam import BeamRun
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.oscillation import OscillationRun
from resile.records.viscosity import ViscosityRun
from resile.report.figures.bending_beam import figure_beams
from resile.report.figures.creep_recovery_run import figure_run
from resile.report.figures.oscillation import (
    drawn_parameter,
    figure_frequency_sweep,
    figure_oscillation,
    is_frequency_sweep,
)
from resile.report.figures.style import Spec
from resile.report.figures.viscosity import figure_viscosity


def figure_any_run(run: CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun) -> Spec:
    """Draw one run.

    Parameters
    ----------
    run : CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        Creep recovery with its signal kept.

    Returns
    -------
    dict
        Strain and stress over time; parameter and phase angle over temperature, or a sweep over frequency;
        stiffness over loading time; viscosity over temperature.
    """
    if isinstance(run, CreepRecoveryRun):
        return figure_run(run)
    name = run.sample or run.label or "specimen"
    if isinstance(run, BeamRun):
        return figure_beams([run], [name])
    if isinstance(run, ViscosityRun):
        return figure_viscosity(run)
    if is_frequency_sweep(run):
        return figure_frequency_sweep(run)
    return figure_oscillation([run], [name], parameter=drawn_parameter(run.condition))
