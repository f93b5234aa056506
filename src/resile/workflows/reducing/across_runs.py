"""Runs of one file side by side: replicates, residues and temperatures of one binder."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from resile.judge.across.findings import findings_across_tests
from resile.judge.across.pairs import BEAM
from resile.judge.results.results import results_from_determinations
from resile.records.bending_beam import BeamRun
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Finding
from resile.records.oscillation import OscillationRun
from resile.records.viscosity import ViscosityRun
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.load import load_all_precision, load_retest_rule
from resile.workflows.judging.determinations import components_of_run, determinations_of_run
from resile.workflows.reducing.run_groups import sample_of

_CONDITION = re.compile(r"[,;]?\s*\bcondition [^,;]+")
"""The residue in the label of a run: it does not part the runs of one binder."""

Run = CreepRecoveryRun | OscillationRun | BeamRun | ViscosityRun


def with_findings_across(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Compare the runs of one file, and tell what is odd with the first run of each binder.

    Parameters
    ----------
    runs : sequence of CreepRecoveryRun, OscillationRun, BeamRun or ViscosityRun
        Reduced runs of one file. Those of creep recovery name no residue and stay as they are.

    Returns
    -------
    tuple of the same
        In the same order.
    """
    told = list(runs)
    places: dict[str, list[int]] = {}
    for place, run in enumerate(runs):
        if not isinstance(run, CreepRecoveryRun):
            places.setdefault(_CONDITION.sub("", sample_of(run)).strip(" ,;"), []).append(place)
    for sample, own in places.items():
        if len(own) > 1:
            first = told[own[0]]
            found = _found([runs[place] for place in own], sample)
            told[own[0]] = replace(first, findings=tuple(dict.fromkeys((*first.findings, *found))))
    return tuple(told)


def _found(runs: Sequence[Run], sample: str) -> list[Finding]:
    values = [
        determination
        for run in runs
        if not isinstance(run, CreepRecoveryRun)
        for determination in (
            *determinations_of_run(run, sample=sample or "the runs of this file", condition=run.condition),
            *components_of_run(run, sample=sample or "the runs of this file", condition=run.condition),
        )
    ]
    results = results_from_determinations(
        values, load_all_precision(), load_retest_rule("mean-of-all"), basis="replicates"
    )
    # Replicate beams have a comparison of their own on the page.
    apart = [
        finding
        for result in results
        if result.quantity not in BEAM
        for finding in result.findings
        if finding.code == "replicates-disagree"
    ]
    return [*apart, *findings_across_tests(results, load_finding_rules("across_tests"))]
