"""A checked certificate in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.certificate import CertificateCheck
from resile.report.paper.certificates.certificate import check_answer, identity_of, unasked_words
from resile.report.paper.certificates.certificate_tables import (
    ALLOWED,
    comparison_table,
    lines_table,
    mean_table,
)
from resile.report.paper.statements.provenance import unchecked_notice
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)
from resile.report.terminal.price import price_lines

if TYPE_CHECKING:
    from rich.console import Group

_SHORTER = {"Certificate": "Cert.", "Difference": "Diff.", "Printed limit": "Printed"}


def render_check(check: CertificateCheck) -> Group:
    """Give the sheet of a checked certificate.

    Parameters
    ----------
    check : CertificateCheck
        Line by line, with findings.

    Returns
    -------
    rich.console.Group
        Answer, findings, every line, both laboratories.
    """
    answer, more = check_answer(check)
    notice = unchecked_notice(check.specification)
    parts: list[Any] = [title_line(answer), *more, *([f"▲ caution  {notice}"] if notice else [])]
    parts += finding_lines(check.findings)
    parts += ["", heading_line("Line by line"), page_table(lines_table(check), shorter=_SHORTER)]
    if check.own_sample:
        parts += ["", heading_line("Certificate and own results")]
        parts += [page_table(comparison_table(check), shorter=_SHORTER), small_line(ALLOWED)]
        means = mean_table(check)
        if means is not None:
            parts += ["", heading_line("Mean of two laboratories")]
            parts += [page_table(means), small_line(means.note)]
    parts += price_lines(check.price_views)
    if check.unasked:
        parts += ["", heading_line("Not asked for"), *(bullet_line(words) for words in unasked_words(check))]
    stated = tuple(pair for pair in identity_of(check) if pair[0] != "Checked on")
    return sheet_of([*parts, "", heading_line("Certificate"), *fact_lines(stated)])
