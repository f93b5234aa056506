"""From files to sheets: one function for each task on laboratories that a person has at the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from resile.errors import InputError
from resile.readers.layout import Layout
from resile.readers.rounds.dispute_case import read_dispute_case
from resile.readers.rounds.own_tables import read_checks, read_duplicates, read_factors
from resile.readers.rounds.round_sheet import read_round_sheet
from resile.records.determination import Condition
from resile.records.laboratories import Dispute, MaterialChecks
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.records.register.laboratories import CheckMaterial
from resile.specifications.laboratories import load_comparison_practice
from resile.version import __version__
from resile.workflows.laboratories.checks import check_chart
from resile.workflows.laboratories.compared import compare_precision
from resile.workflows.laboratories.components import components_of
from resile.workflows.laboratories.dispute import dispute_of
from resile.workflows.laboratories.own_precision import own_precision
from resile.workflows.laboratories.scores import round_scores
from resile.workflows.laboratories.shown import LaboratorySheet
from resile.workflows.laboratories.study import robust_means_of, study_of, study_table_of


def study_sheet(
    path: Path, *, quantity: str = "", title: str = "", layout: Layout | None = None
) -> LaboratorySheet:
    """Work out an interlaboratory study from its table.

    Parameters
    ----------
    path : Path
        Separated text or a workbook.
    quantity : str
        Name from the glossary; empty where it is none of them.
    title : str
        What was compared.
    layout : Layout or None
        What the user said of the file.

    Returns
    -------
    LaboratorySheet
        Precision, consistency, findings.
    """
    from resile.report.paper.laboratories.study import study_page

    practice = load_comparison_practice()
    study = study_of(study_table_of(path, quantity=quantity, title=title, layout=layout))
    return LaboratorySheet(
        {"study": study},
        lambda date: study_page(study, date=date, path=str(path), practice=practice, version=__version__),
        study.findings,
        sources=(str(path),),
    )


def robust_sheet(
    path: Path, *, quantity: str = "", title: str = "", layout: Layout | None = None
) -> LaboratorySheet:
    """Give robust means of a round from the table of its results; parameters as `study_sheet`."""
    from resile.report.paper.laboratories.robust import robust_page

    table = study_table_of(path, quantity=quantity, title=title, layout=layout)
    found = robust_means_of(table)
    return LaboratorySheet(
        {
            "title": table.title,
            "unit": table.unit,
            "materials": [
                {"material": material, "laboratories": names, "robust": one} for material, names, one in found
            ],
        },
        lambda date: robust_page(table, found, date=date, path=str(path), version=__version__),
        sources=(str(path),),
    )


def scores_sheet(path: Path, *, scheme: str = "", quantity: str = "") -> LaboratorySheet:
    """Score a sheet of comparison rounds.

    Parameters
    ----------
    path : Path
        Separated text or a workbook, one property of one material a row.
    scheme : str
        Who runs the rounds, where no column says so.
    quantity : str
        Name from the glossary, where no column names the property.

    Returns
    -------
    LaboratorySheet
        Scores, trends, findings; it does not comply where the newest round asks for action.
    """
    from resile.report.paper.laboratories.scores import scores_page

    practice = load_comparison_practice()
    rounds, remarks = read_round_sheet(path, scheme=scheme, quantity=quantity)
    scores = round_scores(rounds)
    newest = scores.scores[-1].result.round
    return LaboratorySheet(
        {"scores": scores, "remarks": remarks},
        lambda date: scores_page(
            scores, date=date, path=str(path), remarks=remarks, practice=practice, version=__version__
        ),
        scores.findings,
        complies=all(one.judged != "action" for one in scores.scores if one.result.round == newest),
        sources=(str(path),),
    )


def dispute_sheet(case: Path | Dispute) -> LaboratorySheet:
    """Work out a dispute.

    Parameters
    ----------
    case : Path or Dispute
        The case as a TOML file, or made already.

    Returns
    -------
    LaboratorySheet
        The worksheet; it does not comply where the rule refuses the material.
    """
    from resile.report.paper.laboratories.dispute import dispute_page

    if isinstance(case, Dispute):
        found, file = dispute_of(case), ("", "")
    else:
        dispute, source = read_dispute_case(case)
        found, file = dispute_of(dispute), (source.path, source.sha256)
    return LaboratorySheet(
        {"dispute": found},
        lambda date: dispute_page(found, date=date, file=file, version=__version__),
        found.findings,
        complies=found.consequence != "refused",
        sources=(file[0],) if file[0] else (),
    )


def components_sheet(
    path: Path,
    factors: Sequence[str],
    *,
    value: str = "value",
    design: str = "nested",
    specimen: str = "",
    quantity: str = "",
) -> LaboratorySheet:
    """Share out the scatter of a table of results.

    Parameters
    ----------
    path : Path
        One result a row.
    factors : sequence of str
        Headings of the factors, from the outermost.
    value : str
        Heading of the results.
    design : str
        ``nested`` or ``crossed``.
    specimen : str
        Factor that stands for the specimens; empty for none.
    quantity : str
        Name from the glossary; empty where it is none.

    Returns
    -------
    LaboratorySheet
        Components with intervals.
    """
    from resile.report.paper.laboratories.components import components_page

    if not factors:
        raise InputError("components of variance: at least one factor is needed (--factor HEADING)")
    values, labels = read_factors(path, tuple(factors), value)
    found = components_of(values, labels, design=design, specimen=specimen, quantity=quantity)
    return LaboratorySheet(
        {"components": found},
        lambda date: components_page(found, title=path.stem, date=date, path=str(path), version=__version__),
        found.findings,
        sources=(str(path),),
    )


def precision_sheet(
    quantity: str,
    duplicates: Path,
    *,
    checks: Path | None = None,
    material: CheckMaterial | None = None,
    rounds: Path | None = None,
    condition: Condition = Condition.UNKNOWN,
    relative: bool = True,
    value: float | None = None,
) -> LaboratorySheet:
    """Work out the laboratory's own precision from its tables, and compare it with what is published.

    Parameters
    ----------
    quantity : str
        Name from the glossary.
    duplicates : Path
        Table of duplicates.
    checks : Path or None
        Table of checks of one material over days.
    material : CheckMaterial or None
        That material.
    rounds : Path or None
        Sheet of comparison rounds.
    condition : Condition
        Residue; unknown takes every residue together.
    relative : bool
        True for ratios of the value.
    value : float or None
        Level of the comparison.

    Returns
    -------
    LaboratorySheet
        Own precision, comparison, findings.
    """
    from resile.report.paper.laboratories.own import own_page

    if quantity not in QUANTITIES:
        raise InputError(f"property '{quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}")
    if checks is not None and material is None:
        raise InputError(f"{checks}: checks need the reference of their material (--reference)")
    kept = (
        (MaterialChecks(material=material, checks=read_checks(checks)),)
        if checks is not None and material is not None
        else ()
    )
    results = read_round_sheet(rounds, quantity=quantity)[0] if rounds is not None else ()
    found = own_precision(
        quantity,
        duplicates=read_duplicates(duplicates),
        checks=kept,
        rounds=results,
        condition=condition,
        relative=relative,
    )
    compared = compare_precision(found, value=value)
    practice = load_comparison_practice()
    return LaboratorySheet(
        {"precision": found, "compared": compared},
        lambda date: own_page(found, compared, date=date, practice=practice, version=__version__),
        found.findings,
        sources=tuple(str(one) for one in (duplicates, checks, rounds) if one is not None),
    )


def check_sheet(material: CheckMaterial, checks: Path) -> LaboratorySheet:
    """Hold a table of checks against the tolerance zone of their material.

    Parameters
    ----------
    material : CheckMaterial
        With its reference.
    checks : Path
        Table of checks.

    Returns
    -------
    LaboratorySheet
        Zone, verdicts, findings; it does not comply where the newest check lies outside.
    """
    from resile.report.paper.laboratories.checks import check_page

    if material.quantity not in QUANTITIES:
        raise InputError(
            f"property '{material.quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}"
        )
    read = [replace(one, material=material.name) for one in read_checks(checks)]
    checked = check_chart(material, read)
    practice = load_comparison_practice()
    return LaboratorySheet(
        {"check": checked},
        lambda date: check_page(checked, date=date, practice=practice, version=__version__),
        checked.findings,
        complies=not checked.verdicts or checked.verdicts[-1].judged == "inside",
        sources=(str(checks),),
    )
