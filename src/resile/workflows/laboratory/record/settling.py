"""How the laboratory wants to work: looked at, changed with a reason, and never overwritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from resile.errors import ConflictError, InputError
from resile.readers.laboratory import read_logo
from resile.records.reading import HeldFile
from resile.records.register import Actor, Asked, Kept, LaboratorySettings
from resile.report.page import logo_address
from resile.specifications.house_rules import list_house_rules
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.house import (
    HEATING_RULE,
    RETENTION_RULE,
    check_house_rules,
    issuer_as_settled,
)
from resile.workflows.laboratory.record.told_changes import ToldChange, told_changes
from resile.workflows.laboratory.samples.sample_numbers import (
    check_scheme,
    next_number,
    next_statement_by_scheme,
)
from resile.workflows.laboratory.statements.grade_sheet import RulesOffered, rules_offered
from resile.workflows.laboratory.statements.grading import check_rules

_LONGEST = 600
_TEXTS = (
    "name",
    "address",
    "contact",
    "accreditation",
    "place_of_work",
    "sample_numbers",
    "statement_numbers",
)
_RULES = ("specification", "decision_rule", "uncertainty_basis", "retest_rule", "budget")
SETTLED_IN_WORDS = (*_TEXTS, *_RULES, "heating_rule", "retention_rule")
"""Settings that are a text or a name."""


@dataclass(frozen=True, slots=True)
class SettingsSheet:
    """How the laboratory works, with all there is to choose from.

    Attributes
    ----------
    settings : LaboratorySettings
        As they stand.
    key : str
        Their key; empty before they were settled for the first time.
    revision : int
        Which revision this is; 0 before the first.
    logo : str
        Address that holds the logo; empty where there is none.
    changes : tuple of ToldChange
        What became of them, the newest first.
    next_sample, next_statement : str
        The numbers that come next by the schemes.
    offered : RulesOffered
        Specifications and rules that can be chosen.
    heating_rules, retention_rules : tuple of (str, str)
        Rules of the house, each with its title.
    usual_heating, usual_retention : str
        The rules that hold where none is named.
    """

    settings: LaboratorySettings
    key: str
    revision: int
    logo: str
    changes: tuple[ToldChange, ...]
    next_sample: str
    next_statement: str
    offered: RulesOffered
    heating_rules: tuple[tuple[str, str], ...]
    retention_rules: tuple[tuple[str, str], ...]
    usual_heating: str = HEATING_RULE
    usual_retention: str = RETENTION_RULE


def settings_sheet(record: LaboratoryRecord, actor: Actor, at: str) -> SettingsSheet:
    """Give how the laboratory works.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who asks.
    at : str
        The time, ISO 8601: the numbers that come next are of its year.

    Raises
    ------
    PermissionRefusedError
        Where the person may not change it.
    """
    require(actor, "settings.write")
    with record.reading() as reading:
        kept = _kept(reading)
        settings = LaboratorySettings() if kept is None else kept.value
        house = [one for one in list_house_rules() if not one.problem]
        issuer = issuer_as_settled(reading, settings)
        return SettingsSheet(
            settings,
            "" if kept is None else kept.key,
            0 if kept is None else kept.revision,
            "" if issuer is None else logo_address(issuer.logo, issuer.logo_form),
            () if kept is None else told_changes(reading, LaboratorySettings, kept.key),
            _next(next_number, reading, at),
            _next(next_statement_by_scheme, reading, at),
            rules_offered(),
            tuple((one.identifier, one.title) for one in house if one.kind == "heating rule"),
            tuple((one.identifier, one.title) for one in house if one.kind == "retention rule"),
        )


def settle(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    settings: LaboratorySettings,
    *,
    logo: HeldFile | None = None,
    without_logo: bool = False,
    seen: int = 0,
    reason: str = "",
) -> Kept[LaboratorySettings]:
    """Change how the laboratory works: a new revision, with the reason.

    Parameters
    ----------
    record, actor
        As in `settings_sheet`.
    at : str
        When, ISO 8601 in UTC.
    settings : LaboratorySettings
        As they are to stand. Logo, and whether they are invented, are taken from what stands.
    logo : HeldFile or None
        A new logo; None for the one that stands.
    without_logo : bool
        True to have none from now on.
    seen : int
        Revision that was looked at; 0 where there was none.
    reason : str
        Why; not needed the first time.

    Returns
    -------
    Kept of LaboratorySettings
        The new revision; the one that stands where nothing differs.

    Raises
    ------
    PermissionRefusedError, ConflictError
        Where the person may not, or somebody else changed them in between.
    InputError, RecordNotFoundError, SpecificationError, FileFormatError
        Name or address is missing, a rule or scheme is not there, the logo is no plain picture.
    """
    require(actor, "settings.write")
    settings = _checked(settings)
    picture = b"" if logo is None else read_logo(logo)[0]
    with record.writing(by=actor.key, at=at) as book:
        old = _kept(book)
        if (old.revision if old else 0) != seen:
            raise ConflictError(
                "the settings were changed while you worked on them; look at the newer ones, then make "
                "your change again"
            )
        before = LaboratorySettings() if old is None else old.value
        held = "" if without_logo else before.logo
        new = replace(settings, logo=book.keep_file(picture) if picture else held, invented=before.invented)
        if old is None:
            return book.keep(new)
        return old if new == before else book.keep(new, key=old.key, seen=seen, reason=reason)


def _kept(reading: Reading) -> Kept[LaboratorySettings] | None:
    found = reading.find(LaboratorySettings, order="seq", falling=True, limit=1)
    return found[0] if found else None


def _checked(settings: LaboratorySettings) -> LaboratorySettings:
    settings = replace(settings, **{name: getattr(settings, name).strip() for name in (*_TEXTS, *_RULES)})
    for name, words in (("name", "name of the laboratory"), ("address", "its address")):
        if not getattr(settings, name):
            raise InputError(f"{words}: it stands on every statement and was left empty")
    for name in _TEXTS:
        found = len(getattr(settings, name))
        if found > _LONGEST:
            raise InputError(
                f"{name.replace('_', ' ')}: {found} characters; at most {_LONGEST} fit a statement"
            )
    check_scheme(settings.sample_numbers, "sample_numbers")
    if settings.statement_numbers:
        check_scheme(settings.statement_numbers, "statement_numbers")
    check_rules(Asked(**{name: getattr(settings, name) for name in _RULES}), "the settings")
    return check_house_rules(settings)


def _next(number: Callable[[Reading, str], str], reading: Reading, at: str) -> str:
    try:
        return number(reading, at)
    except InputError:  # a scheme that came in by import; the page must open for it to be put right
        return ""
