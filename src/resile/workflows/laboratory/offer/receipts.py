"""A supplier's certificate that comes with a load: held line by line against the specification in force."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from resile.records.reading import HeldFile
from resile.records.register import Actor
from resile.workflows.certificates.certificate import CertificateReport, check_certificate
from resile.workflows.handed_in import laid_out
from resile.workflows.laboratory.access.permissions import require


def check_receipt(
    actor: Actor,
    certificate: HeldFile,
    *,
    own: HeldFile | None = None,
    specification: str = "",
    claim: str = "",
    sample: str = "",
    batch: str = "",
    tank: str = "",
    delivered: str = "",
) -> CertificateReport:
    """Check a certificate that was handed in; nothing of it is kept.

    Parameters
    ----------
    actor : Actor
        Who asks.
    certificate : HeldFile
        Table (CSV, XLSX) or TOML.
    own : HeldFile, optional
        Table of the laboratory's own results of the load.
    specification, claim, sample, batch, tank, delivered : str
        As in `resile.workflows.certificates.certificate.check_certificate`; empty for what is not stated.

    Returns
    -------
    CertificateReport
        Line by line.

    Raises
    ------
    PermissionRefusedError, InputError
        Who may not; what cannot be read, or is missing.
    """
    require(actor, "runs.see")
    with laid_out([own] if own is not None else []) as paths:
        report = check_certificate(
            certificate,
            own=paths[0] if paths else None,
            specification=specification or None,
            claim=claim or None,
            sample=sample,
            batch=batch,
            tank=tank,
            delivered=delivered,
        )
    sources = tuple(replace(one, path=Path(one.path).name) for one in report.check.own_sources)
    return replace(report, check=replace(report.check, own_sources=sources))
