"""What the laboratory has settled: its settings, and the rules of the house that they name."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import InputError
from resile.readers.laboratory import read_logo
from resile.records.house_rule import HeatingRule, RetentionRule
from resile.records.laboratory import Laboratory
from resile.records.reading import HeldFile
from resile.records.register import LaboratorySettings
from resile.specifications.house_rules import load_heating_rule, load_retention_rule
from resile.storage.reading import Reading

HEATING_RULE = "two-heatings"
"""Holds where the laboratory has named no other."""

RETENTION_RULE = "ninety-days-from-issue"
"""Holds where the laboratory has named no other."""


def settings_in_force(reading: Reading) -> LaboratorySettings:
    """Give how the laboratory wants to work; what was never settled is empty.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    """
    kept = reading.find(LaboratorySettings, order="seq", falling=True, limit=1)
    return kept[0].value if kept else LaboratorySettings()


def issuer_as_settled(reading: Reading, settings: LaboratorySettings) -> Laboratory | None:
    """Give under whose name and logo statements are issued; None where the laboratory has no name yet.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    settings : LaboratorySettings
        How the laboratory wants to work.
    """
    if not settings.name:
        return None
    logo, form = b"", ""
    if settings.logo:
        logo, form = read_logo(HeldFile("logo", reading.file(settings.logo)))
    return Laboratory(settings.name, settings.address, settings.contact, settings.accreditation, logo, form)


def heating_rule_in_force(reading: Reading) -> HeatingRule:
    """Give how samples may be heated.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    """
    return load_heating_rule(settings_in_force(reading).heating_rule or HEATING_RULE)


def retention_rule_in_force(reading: Reading) -> RetentionRule:
    """Give how long what is left of samples is kept.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    """
    return load_retention_rule(settings_in_force(reading).retention_rule or RETENTION_RULE)


def check_house_rules(settings: LaboratorySettings) -> LaboratorySettings:
    """Refuse settings that name a rule of the house which is not there.

    Parameters
    ----------
    settings : LaboratorySettings
        As they are to stand.

    Returns
    -------
    LaboratorySettings
        The same, without blanks around the names.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where a rule is not found, or is faulty.
    InputError
        Where a rule is given as a path: settings name a rule, its folder is on the search path.
    """
    heating, retention = settings.heating_rule.strip(), settings.retention_rule.strip()
    for key, name in (("heating_rule", heating), ("retention_rule", retention)):
        if "/" in name or name.endswith(".toml"):
            raise InputError(f"{key}: '{name}' is a path; give the name of the rule")
    if heating:
        load_heating_rule(heating)
    if retention:
        load_retention_rule(retention)
    return replace(settings, heating_rule=heating, retention_rule=retention)
