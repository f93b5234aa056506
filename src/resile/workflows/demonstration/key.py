"""The key of the invented laboratory, so that the demonstration can sign: worth nothing, and saying so."""

from __future__ import annotations

import datetime
from pathlib import Path

from resile.workflows.orders.pages import write_file

OWNER = "Demonstration key, worth nothing (invented)"
ORGANISATION = "Road Laboratory of Ambelund (invented)"
PASSWORD = "demonstration"
"""No secret: it stands in the story."""
KEY_FILE = "demonstration.p12"
CERTIFICATE = "demonstration.pem"


def write_demonstration_key(folder: Path, *, at: datetime.datetime | None = None) -> Path:
    """Make a key for the invented laboratory; a new one each time.

    Parameters
    ----------
    folder : Path
        ``demonstration.p12`` is written there, and its certificate as ``demonstration.pem``.
    at : datetime, optional
        When it is made; now where not given. It is valid for a year.

    Returns
    -------
    Path
        The key file; its password is `PASSWORD`.

    Raises
    ------
    MissingDependencyError
        The library that signs is not installed.
    InputError
        The folder cannot be written.
    """
    from resile.report.signature.throwaway import throwaway_key_file

    locked, certificate = throwaway_key_file(
        owner=OWNER,
        organisation=ORGANISATION,
        password=PASSWORD,
        at=at or datetime.datetime.now(datetime.UTC),
    )
    write_file(folder / CERTIFICATE, certificate)
    return write_file(folder / KEY_FILE, locked)
