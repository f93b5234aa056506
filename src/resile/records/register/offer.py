"""What the laboratory knows of roads, of the binders on offer, and of files it has learned to read."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRecord:
    """A road that needs a binder.

    Attributes
    ----------
    name : str
        Name of the site.
    customer : str
        Key of the customer who asked.
    latitude_deg, longitude_deg : float or None
        Where it lies [°].
    request : str
        What was asked, as JSON: climate, depth, traffic, speed, reliability.
    file, file_name : str
        SHA-256 and name of the weather record, where one was given.
    demand : str
        What the road needs, as JSON.
    grade : str
        Grade needed, in words.
    software : str
        Version of resile that worked it out.
    invented : bool
        True for a site of the demonstration.
    """

    name: str
    customer: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    request: str = ""
    file: str = ""
    file_name: str = ""
    demand: str = ""
    grade: str = ""
    software: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeRecord:
    """A range of binders on offer, as a table that was given.

    Attributes
    ----------
    name : str
        Name of the range.
    file, file_name : str
        SHA-256 and name of the table.
    binders : tuple of str
        Names of the binders in it.
    valid_from : str
        Day from which it holds.
    note : str
        What else is to be known.
    invented : bool
        True for a range of the demonstration.
    """

    name: str
    file: str
    file_name: str
    binders: tuple[str, ...] = ()
    valid_from: str = ""
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedLayout:
    """How files of one kind are read, remembered.

    Attributes
    ----------
    name : str
        Name given to it.
    file : str
        SHA-256 of the layout (TOML).
    headings : str
        Digest of the headings of the files that it fits; empty where it is chosen by hand.
    note : str
        Which instrument writes such files.
    """

    name: str
    file: str
    headings: str = ""
    note: str = ""
