"""Runs of one test that are looked at together: specimens of one binder in one state."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.bending_beam import BeamRun, ReplicateBeams
from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.oscillation import OscillationRun
from resile.records.viscosity import ViscosityRun


@dataclass(frozen=True, slots=True)
class RunGroup:
    """Specimens of one binder, one state and one test; beams of one temperature as well.

    Attributes
    ----------
    method : str
        ``oscillation``, ``bending_beam`` or ``rotational_viscosity``.
    runs : tuple of OscillationRun, BeamRun or ViscosityRun
        All of that method.
    names : tuple of str
        What tells each run from the others, one a run.
    sample : str
        Name of the binder; empty where no run names one.
    condition : Condition
        Residue that was tested.
    temperature_c : float or None
        Temperature of the beams [°C]; None for other tests and where it is not stated.
    beams : ReplicateBeams or None
        Means and scatter of two beams or more.
    findings : tuple of Finding
        Doubts about the runs taken together.
    file : str
        Name of their file where no sample is stated and there are runs of other files; empty otherwise.
    """

    method: str
    runs: tuple[OscillationRun, ...] | tuple[BeamRun, ...] | tuple[ViscosityRun, ...]
    names: tuple[str, ...]
    sample: str = ""
    condition: Condition = Condition.UNKNOWN
    temperature_c: float | None = None
    beams: ReplicateBeams | None = None
    findings: tuple[Finding, ...] = ()
    file: str = ""
