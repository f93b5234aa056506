"""The laboratory that issues a report: name, address, accreditation and logo."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True)
class Laboratory:
    """A laboratory, as its settings file states it.

    Attributes
    ----------
    name, address : str
        As they stand on every report.
    contact : str
        Telephone, electronic mail; empty where not given.
    accreditation : str
        What is accredited and by whom, in the laboratory's own words; empty where nothing is.
    logo : bytes
        The picture; empty where there is none.
    logo_form : str
        ``"svg"`` or ``"png"``; empty where there is none.
    source : SourceFile or None
        The settings file.
    """

    name: str
    address: str
    contact: str = ""
    accreditation: str = ""
    logo: bytes = b""
    logo_form: str = ""
    source: SourceFile | None = None
