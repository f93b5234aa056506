"""Who works in the laboratory, for whom, and how the laboratory wants to work."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """Whom the laboratory tests for.

    Attributes
    ----------
    name, contact, note : str
        Name, how to reach them, what else is to be known.
    invented : bool
        True for a customer of the demonstration.
    """

    name: str
    contact: str = ""
    note: str = ""
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who works with the record.

    Attributes
    ----------
    name : str
        As it stands on statements.
    account : str
        Name to sign in with; no two persons share one.
    roles : tuple of str
        Roles, by name.
    customer : str
        Key of the customer whose samples alone a customer-reader may see.
    active : bool
        False for one who may no longer sign in; a person is never deleted.
    external : str
        Issuer and subject of a single sign-on account; empty for a local one.
    """

    name: str
    account: str
    roles: tuple[str, ...] = ()
    customer: str = ""
    active: bool = True
    external: str = ""


@dataclass(frozen=True, slots=True)
class Actor:
    """Who asks for something to be done, and what they may do.

    Attributes
    ----------
    key : str
        Key of the person.
    name : str
        As it stands on statements.
    permissions : frozenset of str
        What the roles allow.
    customer : str
        Key of the one customer whose samples may be seen; empty for all.
    """

    key: str
    name: str
    permissions: frozenset[str] = field(default_factory=frozenset)
    customer: str = ""

    def may(self, permission: str) -> bool:
        """Tell whether the roles allow it.

        Parameters
        ----------
        permission : str
            Name of the permission.

        Returns
        -------
        bool
        """
        return permission in self.permissions


@dataclass(frozen=True, slots=True, kw_only=True)
class LaboratorySettings:
    """How the laboratory wants to work; the record holds one.

    Attributes
    ----------
    name, address, contact, accreditation, place_of_work : str
        As they stand on statements.
    logo : str
        SHA-256 of the picture (SVG or PNG) at the head of statements, where one is given.
    four_eyes : bool
        True where a statement is released by another person than its author.
    specification, decision_rule, uncertainty_basis, retest_rule, budget : str
        What a new sample is judged by unless something else is asked.
    heating_rule : str
        Name of the heating limits in force.
    retention_rule : str
        Name of the retention rule in force.
    sample_numbers : str
        How samples are numbered that come without a number: YYYY or YY for the year, a row of N for the
        count within it, for example ``YYYY-NNN``.
    statement_numbers : str
        How statements are numbered, in the same way; empty for the number of the sample and a count.
    invented : bool
        True for the demonstration laboratory.
    """

    name: str = ""
    address: str = ""
    contact: str = ""
    accreditation: str = ""
    place_of_work: str = ""
    logo: str = ""
    four_eyes: bool = False
    specification: str = ""
    decision_rule: str = ""
    uncertainty_basis: str = ""
    retest_rule: str = ""
    budget: str = ""
    heating_rule: str = ""
    retention_rule: str = ""
    sample_numbers: str = "YYYY-NNNN"
    statement_numbers: str = ""
    invented: bool = False
