"""What the laboratory knows of roads, of the binders on offer, and of files it has learned to read."""

from __future__ import annotations

from dataclasses import dataclass, field


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
    amount_t : float or None
        Binder it takes [t]; None where not stated.
    request : str
        What was asked, as JSON: climate, depth, traffic, speed, reliability.
    file, file_name : str
        SHA-256 and name of the weather record, where one was given.
    demand : str
        What the road needs, as JSON.
    grade, specification : str
        Grade needed, in words, and the specification it is one of.
    high_design_c, low_design_c : float or None
        Pavement temperatures that are to be covered [°C].
    software : str
        Version of resile that worked it out.
    invented : bool
        True for a site of the demonstration.
    """

    name: str
    customer: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    amount_t: float | None = None
    request: str = ""
    file: str = ""
    file_name: str = ""
    demand: str = ""
    grade: str = ""
    specification: str = ""
    high_design_c: float | None = None
    low_design_c: float | None = None
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
    beside : dict of str to str
        Name of each file that the table names, and its SHA-256: the results of its binders.
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
    beside: dict[str, str] = field(default_factory=dict)
    binders: tuple[str, ...] = ()
    valid_from: str = ""
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BlendBookRecord:
    """A blend book: components, trial blends and what the blend has to satisfy, as it was given or typed.

    Attributes
    ----------
    name : str
        Name of the book.
    file, file_name : str
        SHA-256 and name of the book.
    beside : dict of str to str
        Name of each table that the book names, and its SHA-256.
    grade : str
        Grade that is aimed at; empty where only limits of one's own hold.
    site : str
        Key of the road it is for; empty where it is for none of the record.
    components : tuple of str
        Names of the components.
    trials : int
        How many trial blends it holds.
    note : str
        What else is to be known.
    invented : bool
        True for a book of the demonstration.
    """

    name: str
    file: str
    file_name: str
    beside: dict[str, str] = field(default_factory=dict)
    grade: str = ""
    site: str = ""
    components: tuple[str, ...] = ()
    trials: int = 0
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
