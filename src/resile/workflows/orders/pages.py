"""Pages, workbooks and pictures on disk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.records.creep_recovery import CreepRecoveryRun
from resile.report.document import ReportDocument
from resile.version import __version__
from resile.workflows.orders.issuing import CREEP_RECOVERY_TITLE
from resile.workflows.reducing.reduction import Reduction, named_findings
from resile.workflows.reducing.run_groups import group_runs

TESTS_TITLE = "Tests of a bituminous binder"
METHOD_WORDS = {
    "creep_recovery": "Multiple-stress creep and recovery",
    "oscillation": "Oscillation between parallel plates",
    "bending_beam": "Creep of a bending beam",
    "rotational_viscosity": "Rotational viscosity",
}

_LONGEST_STEM = 120


Seal = Callable[[bytes, Path], bytes]
"""Gives a page in PDF its signature; told the file it is for."""
SIGNED = "-signed.pdf"


def write_document(
    document: ReportDocument,
    folder: Path,
    *,
    statement: dict[str, Any] | None = None,
    seal: Seal | None = None,
) -> list[Path]:
    """Write a report as HTML, PDF and XLSX, its statement as JSON and its runs as pictures.

    Parameters
    ----------
    document : ReportDocument
        What is reported.
    folder : Path
        Made if need be; files of the same report are replaced, each in one step.
    statement : dict, optional
        The report as JSON: a later revision is compared with it.
    seal : callable, optional
        Signs the page; the signed PDF then takes the place of the plain one.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        Where the JSON would take the place of that of the replaced report.
    """
    files = document_files(document, folder, statement=statement, seal=seal)
    return [write_file(path, content) for path, content in files.items()]


def document_files(
    document: ReportDocument,
    folder: Path,
    *,
    statement: dict[str, Any] | None = None,
    seal: Seal | None = None,
) -> dict[Path, bytes]:
    """Make the files of a report without writing any; parameters and errors as in `write_document`.

    Returns
    -------
    dict of Path to bytes
        In the order they are written.
    """
    from resile.report.figures.creep_recovery_run import figure_run
    from resile.report.paper.runs.machine_runs import machine_sections
    from resile.report.render import render_svg

    stem = file_stem(document.number)
    kept = folder / f"{stem}.json"
    replaced = document.revision.replaces.report if document.revision else None
    if isinstance(replaced, Path) and kept.resolve() == replaced.resolve():
        raise InputError(
            f"{kept}: the replaced report would be written over; choose another folder or number"
        )
    files = {}
    for ending, make in _makers().items():
        # A filled form goes back beside the one that was sent in, never over it.
        returned = "-returned" if document.form is not None and ending == ".xlsx" else ""
        target = folder / f"{stem}{returned}{ending}"
        _spare_sources(target, document)
        files[target] = make(document)
    if seal is not None:
        signed = folder / f"{stem}{SIGNED}"
        files[signed] = seal(files.pop(folder / f"{stem}.pdf"), signed)
    if statement is not None:
        import orjson

        files[kept] = orjson.dumps(statement, option=orjson.OPT_INDENT_2) + b"\n"
    specs = {f"run-{n}": figure_run(run) for n, run in enumerate(document.runs, 1) if run.signal is not None}
    specs |= {picture.name: picture.spec for s in machine_sections(document) for picture in s.pictures}
    for name, spec in specs.items():
        files[folder / f"{stem}-{name}.svg"] = render_svg(spec).encode("utf-8")
    return files


def _spare_sources(target: Path, document: ReportDocument) -> None:
    """Refuse to write a page over a file that the report hangs on."""
    if any(Path(source.path).resolve() == target.resolve() for source in document.sources):
        raise InputError(f"{target}: the report hangs on this file; choose another folder or number")


def write_run_pages(reductions: Sequence[Reduction], targets: Sequence[Path], *, date: str) -> list[Path]:
    """Write reduced records to pages named by a person; the ending decides the form.

    Parameters
    ----------
    reductions : sequence of Reduction
        With signals kept.
    targets : sequence of Path
        Files ending in .html, .pdf or .xlsx.
    date : str
        Date of issue, YYYY-MM-DD.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        For another ending.
    """
    makers = _makers()
    for target in targets:
        if target.suffix.lower() not in makers:
            raise InputError(f"{target}: a page ends in {', '.join(makers)}; found '{target.suffix}'")
    runs = [run for reduction in reductions for run in reduction.runs]
    if len(runs) > 1:
        names = _run_names(reductions)
        runs = [named_findings(run, name) for run, name in zip(runs, names, strict=True)]
    creep = tuple(run for run in runs if isinstance(run, CreepRecoveryRun))
    others = group_runs(run for run in runs if not isinstance(run, CreepRecoveryRun))
    sample = runs[0].sample or Path(reductions[0].path).stem
    methods = [METHOD_WORDS[run.method if hasattr(run, "method") else "creep_recovery"] for run in runs]
    document = ReportDocument(
        number=sample,
        date=date,
        sample=sample,
        runs=creep,
        machine_groups=others,
        package_version=__version__,
        title=CREEP_RECOVERY_TITLE if not others else TESTS_TITLE,
        method="; ".join(dict.fromkeys(methods)),
        method_edition=creep[0].programme.document if creep and creep[0].programme else "",
    )
    return [write_file(target, makers[target.suffix.lower()](document)) for target in targets]


def _run_names(reductions: Sequence[Reduction]) -> list[str]:
    """Name each run by file and label, as far as it takes to tell them apart."""
    several = len({reduction.path for reduction in reductions}) > 1
    names = []
    for reduction in reductions:
        file = Path(reduction.path).name if several else ""
        names += [", ".join(part for part in (file, run.label) if part) for run in reduction.runs]
    return names


def _makers() -> dict[str, Callable[[ReportDocument], bytes]]:
    from resile.report.page import html_page, pdf_page
    from resile.report.workbook import workbook_bytes

    return {
        ".html": lambda document: html_page(document).encode("utf-8"),
        ".pdf": pdf_page,
        ".xlsx": workbook_bytes,
    }


def file_stem(number: str) -> str:
    """Give a number or name as a file name that every system takes."""
    kept = "".join(letter if letter.isalnum() or letter in "-_." else "-" for letter in number).strip("-.")
    # File systems take 255 bytes a name; a letter may need four, and an ending follows.
    return kept.encode()[:_LONGEST_STEM].decode(errors="ignore").strip("-.") or "report"


def write_file(path: Path, content: bytes) -> Path:
    """Write in one step, so that nothing half-written is left behind."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        unfinished = path.with_name(f"{path.name}.unfinished")
        unfinished.write_bytes(content)
        unfinished.replace(path)
    except OSError as error:
        raise InputError(f"{path}: cannot be written ({error.strerror or error})") from error
    return path
