"""Which runs of oscillation, bending beam and viscosity belong together, and how replicate beams agree."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import PureWindowsPath
from typing import Any, cast

from resile.judge.across.pairs import SAME_TEMPERATURE_C
from resile.judge.findings import judge_measures
from resile.judge.wording import Worded
from resile.readers.summaries.columns import heads_sample
from resile.records.bending_beam import BeamRun, ReplicateBeams
from resile.records.finding import Finding, Measure
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.reducing.machine_tests import MachineRun

_REPLICATE = re.compile(r"[,;]?\s*\b(?:replicate|specimen|run) \S+$")
_Key = tuple[str, str, str, str, float | None]


def group_runs(runs: Iterable[MachineRun]) -> tuple[RunGroup, ...]:
    """Put the specimens of one binder, state and test together.

    Parameters
    ----------
    runs : iterable of OscillationRun, BeamRun or ViscosityRun
        Reduced runs, in any order.

    Returns
    -------
    tuple of RunGroup
        Oscillation first, then beams from warm to cold, then viscosity. Runs of one file that name no sample
        are taken to be of one; those of different files are not, and a finding names the beams that were
        therefore not compared. Every viscosity run stands alone: it is a series over temperature already.
    """
    gathered: dict[_Key, list[MachineRun]] = {}
    for place, run in enumerate(runs):
        gathered.setdefault(_key(run, place, gathered), []).append(run)
    groups = _with_uncompared([_group(key, tuple(members)) for key, members in gathered.items()])
    order = ("oscillation", "bending_beam", "rotational_viscosity")
    # A stable sort keeps samples and residues in the order in which they came.
    return tuple(sorted(groups, key=lambda g: (order.index(g.method), -(g.temperature_c or 0.0))))


def replicates_sheet(runs: Iterable[MachineRun]) -> Any:
    """Give a readable sheet of replicate beams; None where there are none.

    Parameters
    ----------
    runs : iterable of OscillationRun, BeamRun or ViscosityRun
        Of one task; only beams are looked at.

    Returns
    -------
    rich.console.Group or None
        Means and scatter, with findings.
    """
    from resile.report.terminal.tests import render_replicates

    return render_replicates(group_runs(run for run in runs if isinstance(run, BeamRun)))


def replicates_json(runs: Iterable[MachineRun]) -> list[dict[str, Any]]:
    """Give replicate beams as ``resile reduce --json`` names them.

    Parameters
    ----------
    runs : iterable of OscillationRun, BeamRun or ViscosityRun
        Of one task; only beams are looked at.

    Returns
    -------
    list of dict
        One entry a group that has means, or a finding of what was not compared.
    """
    from resile.report.machine.tests import replicates_to_json

    groups = group_runs(run for run in runs if isinstance(run, BeamRun))
    return [replicates_to_json(group) for group in groups if group.beams is not None or group.findings]


def _key(run: MachineRun, place: int, gathered: dict[_Key, list[MachineRun]]) -> _Key:
    names = (run.method, sample_of(run), _file_of_unnamed(run), str(run.condition))
    if isinstance(run, BeamRun):
        return (*names, _known_temperature(run, names, gathered))
    if isinstance(run, OscillationRun):
        # Plates go with stiffness, so they part residues where none is stated.
        return (*names, run.plate_diameter_mm)
    return (*names, float(place))


def _known_temperature(
    run: BeamRun, names: tuple[str, str, str, str], gathered: dict[_Key, list[MachineRun]]
) -> float | None:
    """Give the temperature of the first beam of the same binder that was tested at this one's."""
    own = run.temperature_c
    if own is None:
        return None
    for *known_names, known in gathered:
        if tuple(known_names) == names and known is not None and abs(known - own) <= SAME_TEMPERATURE_C:
            return known
    return own


def _file_of_unnamed(run: MachineRun) -> str:
    """Give the file of a run whose sample nothing states: two files may hold two binders."""
    words = [part.split() for part in run.label.split(", ")]
    stated = any(heads_sample(" ".join(part[:end])) for part in words for end in range(1, len(part)))
    return "" if run.sample or stated or run.source is None else run.source.path


def _with_uncompared(groups: list[RunGroup]) -> list[RunGroup]:
    """Name groups by their files; tell which beams of one temperature were not compared."""
    of_file = [_file_of_unnamed(group.runs[0]) for group in groups]
    if len(set(of_file)) > 1:
        groups = [
            replace(group, file=PureWindowsPath(file).name)
            for group, file in zip(groups, of_file, strict=True)
        ]
    alike: list[list[int]] = []
    for place, group in enumerate(groups):
        if group.method != "bending_beam" or not _file_of_unnamed(group.runs[0]):
            continue
        fitting = (places for places in alike if _like(groups[places[0]], group))
        known = next(fitting, None)
        if known is None:
            alike.append([place])
        else:
            known.append(place)
    for places in alike:
        files = {_file_of_unnamed(groups[place].runs[0]): None for place in places}
        names = ", ".join(PureWindowsPath(file).name for file in files)
        measure = Measure("files_without_sample", float(len(files)), "", names)
        found = judge_measures((measure,), load_finding_rules("replicate_beams"))
        first = groups[places[0]]
        groups[places[0]] = replace(first, findings=(*first.findings, *found))
    return groups


def _like(one: RunGroup, other: RunGroup) -> bool:
    if one.condition is not other.condition:
        return False
    if one.temperature_c is None or other.temperature_c is None:
        return one.temperature_c is other.temperature_c
    return abs(one.temperature_c - other.temperature_c) <= SAME_TEMPERATURE_C


def sample_of(run: MachineRun) -> str:
    """Give the binder of a run: its sample, else its label without the number of the specimen.

    Parameters
    ----------
    run : OscillationRun, BeamRun or ViscosityRun
        A reduced run.

    Returns
    -------
    str
        Empty where nothing names it.
    """
    return run.sample or _REPLICATE.sub("", run.label).strip()


def _group(key: _Key, runs: tuple[MachineRun, ...]) -> RunGroup:
    method, sample, _, _, temperature = key
    beams, findings = (
        _replicates(cast("tuple[BeamRun, ...]", runs), sample) if method == "bending_beam" else (None, ())
    )
    return RunGroup(
        method=method,
        runs=runs,  # type: ignore[arg-type]  # all of one method: the key holds it
        names=tuple(_names(runs)),
        sample=sample,
        condition=runs[0].condition,
        temperature_c=temperature if method == "bending_beam" else None,
        beams=beams,
        findings=findings,
    )


def _names(runs: Sequence[MachineRun]) -> Iterator[str]:
    """Name runs by replicate, else by label, else by file; two of one name are counted."""
    used: dict[str, int] = {}
    for place, run in enumerate(runs, start=1):
        told = _REPLICATE.search(run.label)
        file = PureWindowsPath(run.source.path).stem if run.source else ""
        name = (told[0].strip(" ,;") if told else run.label) or file or f"specimen {place}"
        used[name] = used.get(name, 0) + 1
        yield name if used[name] == 1 else f"{name} ({used[name]})"


def _replicates(runs: tuple[BeamRun, ...], sample: str) -> tuple[ReplicateBeams | None, tuple[Finding, ...]]:
    from resile.compute.rheology.beam.bending_beam import summarise_beams

    if len(runs) < 2:
        return None, ()
    beams = summarise_beams(runs)
    known = next((run.temperature_c for run in runs if run.temperature_c is not None), None)
    where = (sample or "Beams") + ("" if known is None else f" at {Worded(known):.4g} °C")
    return beams, judge_measures(replicate_measures(beams, where), load_finding_rules("replicate_beams"))


def replicate_measures(beams: ReplicateBeams, where: str) -> tuple[Measure, ...]:
    """Give the scatter of replicate beams as measures.

    Parameters
    ----------
    beams : ReplicateBeams
        Two beams or more.
    where : str
        Which beams, for the words of a finding.

    Returns
    -------
    tuple of Measure
        Largest less smallest stiffness and m-value in % of the means, and how many beams there are.
    """
    pairs = (
        ("stiffness_range_percent", beams.creep_stiffness_range_percent),
        ("m_value_range_percent", beams.m_value_range_percent),
    )
    return (
        Measure("beams", float(beams.count)),
        *(Measure(name, value, "%", where) for name, value in pairs if value is not None),
    )
