"""What a run belongs to, and the specimen it was made on."""

from __future__ import annotations

from dataclasses import dataclass

from resile.errors import ConflictError, InputError
from resile.records.creep_recovery import METHOD as CREEP_RECOVERY
from resile.records.determination import Condition
from resile.records.order import Instrument
from resile.records.oscillation import OscillationRun
from resile.records.register import Kept, Run, Specimen
from resile.storage.book import Book
from resile.workflows.laboratory.files.reading_files import (
    Part,
)

_MARK = {"bending_beam": "beam", "rotational_viscosity": "spindle"}

_PLATE = "plate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Belonging:
    """What a run belongs to and how its file is read, looked up in the record.

    Attributes
    ----------
    sample, number : str
        Key and number of the sample.
    specimen : str
        Number of the specimen.
    condition : Condition
        State of the binder.
    instrument : str
        Key of the instrument.
    plates : tuple of Instrument
        The instrument, whose plates count where nothing else names any.
    operator, tested, note, layout, sheet
        As in `Run`.
    temperature_c, plate_diameter_mm, gap_mm : float or None
        As in `Run`.
    """

    sample: str = ""
    number: str = ""
    specimen: str = ""
    condition: Condition = Condition.UNKNOWN
    instrument: str = ""
    plates: tuple[Instrument, ...] = ()
    operator: str = ""
    tested: str = ""
    note: str = ""
    layout: str = ""
    sheet: str = ""
    temperature_c: float | None = None
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None

    @property
    def lengths(self) -> dict[str, float | None]:
        """Plate diameter and gap given with the file [mm]."""
        return {"plate_diameter_mm": self.plate_diameter_mm, "gap_mm": self.gap_mm}


def specimen_key(
    book: Book, part: Part, belonging: Belonging, condition: Condition, old: Kept[Run] | None
) -> str:
    """Give the specimen a run was made on, kept where it is new; one serves one creep-recovery run."""
    if not belonging.specimen:
        return ""
    if not belonging.sample:
        raise InputError(f"specimen {belonging.specimen} belongs to a sample; name the sample")
    form = _form_of(part, belonging)
    alike = book.find(Specimen, sample=belonging.sample, condition=condition.value, number=belonging.specimen)
    fitting = [one for one in alike if _same_form(one.value.form, form)]
    if not fitting:
        new = Specimen(
            sample=belonging.sample, number=belonging.specimen, condition=condition, form=form, made=""
        )
        return book.keep(new).key
    if part.run.method == CREEP_RECOVERY:
        _refuse_second_run(book, fitting[0], belonging, old)
    return fitting[0].key


def _refuse_second_run(
    book: Book, specimen: Kept[Specimen], belonging: Belonging, old: Kept[Run] | None
) -> None:
    used = [
        run
        for run in book.find(Run, specimen=specimen.key, test=CREEP_RECOVERY)
        if old is None or run.key != old.key
    ]
    if used:
        raise ConflictError(
            f"specimen {specimen.value.number} of sample {belonging.number} has had its creep-recovery run "
            f"({used[0].key}, {used[0].value.file_name}): a specimen serves one run. Load a new specimen and "
            "give it a number of its own"
        )


def _form_of(part: Part, belonging: Belonging) -> str:
    if part.run.method in _MARK:
        return _MARK[part.run.method]
    diameter = part.run.plate_diameter_mm if isinstance(part.run, OscillationRun) else None
    diameter = diameter or belonging.plate_diameter_mm
    return f"{_PLATE} {diameter:g} mm" if diameter else _PLATE


def _same_form(one: str, other: str) -> bool:
    """Two plates are one form unless both state a diameter, and these differ."""
    if one.startswith(_PLATE) and other.startswith(_PLATE):
        return _PLATE in (one, other) or one == other
    return not one or one == other
