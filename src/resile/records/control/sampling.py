"""How often lots of a product are sampled: the plan, what became of the lots, and what is due."""

from __future__ import annotations

from dataclasses import dataclass

SEVERITIES = ("tightened", "normal", "relaxed")
"""From the strictest to the mildest."""
_ORDINALS = {2: "second", 3: "third", 4: "fourth", 5: "fifth", 10: "tenth"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingLevel:
    """What a plan asks at one severity.

    Attributes
    ----------
    severity : str
        ``tightened``, ``normal`` or ``relaxed``.
    every : int
        Every so many lots one is sampled: 1 for each, 2 for every second.
    lot_t : float or None
        Size of a lot at most [t]; None where a lot is the content of a tank.
    """

    severity: str
    every: int
    lot_t: float | None = None

    @property
    def rhythm(self) -> str:
        """Which lots are sampled, in words."""
        if self.every == 1:
            return "each lot"
        return f"every {_ORDINALS.get(self.every, f'{self.every}th')} lot"


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchingRule:
    """When the severity changes.

    Attributes
    ----------
    severity : str
        Severity at which it is looked at.
    to : str
        Severity it changes to; ``stop`` where sampling ends until the cause is found.
    accepted_in_a_row : int or None
        Sampled lots in a row that were accepted; None where failures decide.
    failures, among : int or None
        So many lots not accepted among so many sampled ones in a row (all since the severity began where
        `among` is None); None where accepted lots decide.
    needs_consent : bool
        True where somebody must agree first: the change is proposed, not made.
    source, evidence : str
        Where the rule comes from; its mark: ``read``, ``second-hand``, ``recalled`` or ``own``.
    """

    severity: str
    to: str
    accepted_in_a_row: int | None = None
    failures: int | None = None
    among: int | None = None
    needs_consent: bool = False
    source: str = ""
    evidence: str = ""

    @property
    def cited(self) -> str:
        """Source with its evidence mark."""
        return f"{self.source} [{self.evidence}]" if self.evidence else self.source


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingPlan:
    """A sampling plan, as read from a file under ``specifications/sampling_plans``.

    Attributes
    ----------
    identifier, title, document : str
        Name, words for a person, document and edition.
    material : str
        What it is for, in words.
    lot_is : str
        ``tank`` (content of a tank) or ``tonnage``.
    levels : tuple of SamplingLevel
        One a severity, the strictest first.
    switching : tuple of SwitchingRule
        Looked at in this order.
    begins_at : str
        Severity at which a product begins.
    lot_days : float or None
        A lot ends after so many days; None for never.
    ends_when_added : bool
        True where product added to the tank makes a new lot.
    containers : int
        Containers filled at each sampling.
    container_l : float or None
        Size of one [l]; None where not stated.
    test_every : int
        Of the samples taken, every so many is tested at least.
    tests : tuple of str
        What is tested at least, in words.
    extra_after_failure : bool
        True where a failing sample calls for an extra one at once.
    source, evidence : str
        Where lot sizes and frequencies come from; its mark: ``read``, ``second-hand``, ``recalled``, ``own``.
    notes : tuple of str
        What else is to be known.
    transcribed, checked, sha256 : str
        Who or what, and when; empty `checked` means unchecked; hash of the file.
    """

    identifier: str
    title: str
    document: str
    lot_is: str
    levels: tuple[SamplingLevel, ...]
    switching: tuple[SwitchingRule, ...] = ()
    material: str = ""
    begins_at: str = "normal"
    lot_days: float | None = None
    ends_when_added: bool = False
    containers: int = 1
    container_l: float | None = None
    test_every: int = 1
    tests: tuple[str, ...] = ()
    extra_after_failure: bool = True
    source: str = ""
    evidence: str = ""
    notes: tuple[str, ...] = ()
    transcribed: str = ""
    checked: str = ""
    sha256: str = ""

    @property
    def cited(self) -> str:
        """Source with its evidence mark."""
        return f"{self.source} [{self.evidence}]" if self.evidence else self.source

    def level(self, severity: str) -> SamplingLevel:
        """Give what is asked at a severity."""
        return next(one for one in self.levels if one.severity == severity)

    @property
    def tested_share(self) -> str:
        """Which of the samples are tested at least, in words."""
        if self.test_every == 1:
            return "each sample"
        return f"at least every {_ORDINALS.get(self.test_every, f'{self.test_every}th')} sample"


@dataclass(frozen=True, slots=True, kw_only=True)
class LotOutcome:
    """What became of a lot, or of an extra sample of it; lots stand in the order of production.

    Attributes
    ----------
    lot : str
        Lot or batch.
    outcome : str
        ``accepted``, ``not accepted``, ``open`` (sampled, not judged yet) or empty (not sampled).
    opened, taken : str
        Day the lot began, and day it was sampled; empty where not known.
    tank : str
        Tank it lies in; empty where not known.
    quantity_t : float or None
        Mass of the lot [t].
    extra : bool
        True for an extra sample of a lot that failed: it does not count for the severity.
    """

    lot: str
    outcome: str = ""
    opened: str = ""
    taken: str = ""
    tank: str = ""
    quantity_t: float | None = None
    extra: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SeverityChange:
    """A change of severity, with what led to it.

    Attributes
    ----------
    after_lot : str
        Lot after which it changed; empty for the beginning.
    when : str
        Day that lot was sampled; empty where not known.
    severity : str
        Severity from then on.
    reason : str
        What led to it, in a sentence.
    source : str
        Where the rule comes from.
    """

    after_lot: str
    when: str
    severity: str
    reason: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingDue:
    """Something to do for sampling.

    Attributes
    ----------
    kind : str
        ``extra sample``, ``stopped``, ``sample``, ``test``, ``new lot``, ``consent`` or ``next lot``.
    lot : str
        Lot it concerns; empty where it is not made yet.
    sentence : str
        What to do, and why.
    at_once : bool
        True where it does not wait for the next round.
    """

    kind: str
    lot: str
    sentence: str
    at_once: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplingState:
    """Where sampling of a product stands.

    Attributes
    ----------
    plan : SamplingPlan
        In force.
    severity : str
        In force now, or ``stop``.
    history : tuple of SeverityChange
        From the beginning on.
    lots : tuple of LotOutcome
        As given.
    lot_severities : tuple of str
        Severity at which each lot was made, in the order of `lots`.
    to_next : int
        Lots from now on until one is to be sampled, that one counted; 0 where one is overdue.
    due : tuple of SamplingDue
        What to do, the most urgent first.
    """

    plan: SamplingPlan
    severity: str
    history: tuple[SeverityChange, ...]
    lots: tuple[LotOutcome, ...]
    lot_severities: tuple[str, ...]
    to_next: int
    due: tuple[SamplingDue, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A load, or a quantity made, that is part of a lot.

    Attributes
    ----------
    number : str
        Number of the load or batch.
    sent : str
        Day of loading or making.
    quantity_t : float
        Mass [t].
    tank : str
        Tank it comes from.
    added : bool
        True where product was added to the tank before it.
    """

    number: str
    sent: str
    quantity_t: float
    tank: str = ""
    added: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class LotOfLoads:
    """Loads that make one lot by a plan.

    Attributes
    ----------
    lot : str
        Number of the lot, from 1.
    loads : tuple of str
        Their numbers.
    opened : str
        Day of the first.
    quantity_t : float
        Their mass [t].
    ended_by : str
        Why the next load began another: ``size``, ``days`` or ``added``; empty for one that may still grow.
    """

    lot: str
    loads: tuple[str, ...]
    opened: str
    quantity_t: float
    ended_by: str = ""
