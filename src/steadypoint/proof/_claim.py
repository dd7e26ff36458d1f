"""What proofreading found: claims, verdicts and the report."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """The judgement on one claim; the value is the phrase that people read."""

    RIGHT = "right"
    RIGHT_UNDER_APPROXIMATION = "right under a named approximation"
    ROUNDING = "rounding"
    WRONG = "wrong"
    FOLLOWS = "follows from an earlier slip"
    NOT_CHECKABLE = "not checkable"
    PLEASE_CHECK = "please check"

    @property
    def is_confirmed(self) -> bool:
        """True when the claim stands: right as stated, under an approximation, or but for rounding.

        Examples
        --------
        >>> Verdict.ROUNDING.is_confirmed
        True
        """
        return self in (Verdict.RIGHT, Verdict.RIGHT_UNDER_APPROXIMATION, Verdict.ROUNDING)

    @property
    def is_erratum(self) -> bool:
        """True for what belongs on the errata list."""
        return self in (Verdict.WRONG, Verdict.FOLLOWS)


@dataclass(frozen=True, slots=True)
class Claim:
    """One statement that could be held against the circuit.

    Parameters
    ----------
    span : tuple of int
        First and past-last character in ``Transcript.text``.
    quote : str
        The words of the claim.
    kind : str
        ``value``, ``part``, ``formula``, ``numbers put in``, ``arithmetic``, ``change``,
        ``percentage``, ``direction``, ``comparison``, ``region``, ``end point``, ``condition``,
        ``power`` or ``conclusion``.
    quantity : str
        Letter symbol of the quantity, ``V_CE`` or ``I_C (Q2)``, or empty.
    stated, computed : float or str or None
        What was said and what holds: figures in SI units, formulas and words as text.
    unit : str
        SI unit of ``stated`` and ``computed`` when they are figures, else empty.
    verdict : Verdict
        The judgement.
    slip : str
        What probably happened (``two digits swapped``), or under which approximation it is right.
    say_instead : str
        The sentence to say instead, for wrong claims.
    case : str
        The circuit's state that the claim was held against, for instance ``beta = 200``; empty for
        the circuit as its sheet has it.
    follows : int or None
        Index in ``Report.claims`` of the slip that this one follows from.
    replacement : tuple of (int, int, str)
        Corrections: characters from, to, new text.
    reading : str
        How the words were read, for the explanation of a verdict.
    """

    span: tuple[int, int]
    quote: str
    kind: str
    quantity: str
    stated: float | str | None
    computed: float | str | None
    unit: str
    verdict: Verdict
    slip: str = ""
    say_instead: str = ""
    case: str = ""
    follows: int | None = None
    replacement: tuple[tuple[int, int, str], ...] = ()
    reading: str = ""


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of what was said could be judged.

    Parameters
    ----------
    confirmed, errata, unsure, unchecked : int
        Number of claims that stand, that are wrong or follow from a slip, that a person should look
        at, and that nothing could be held against. [-]
    """

    confirmed: int
    errata: int
    unsure: int
    unchecked: int


@dataclass(frozen=True, slots=True)
class Report:
    """The result of proofreading one text.

    Parameters
    ----------
    source : str
        Where the text came from.
    claims : tuple of Claim
        All claims in the order of the text.
    """

    source: str
    claims: tuple[Claim, ...]

    @property
    def errata(self) -> tuple[Claim, ...]:
        """Wrong claims and what follows from them, in the order of the text."""
        return tuple(c for c in self.claims if c.verdict.is_erratum)

    @property
    def please_check(self) -> tuple[Claim, ...]:
        """Claims that do not fit but that no likely slip explains."""
        return tuple(c for c in self.claims if c.verdict is Verdict.PLEASE_CHECK)

    @property
    def confirmed(self) -> tuple[Claim, ...]:
        """Claims that stand."""
        return tuple(c for c in self.claims if c.verdict.is_confirmed)

    @property
    def coverage(self) -> Coverage:
        """Counts of confirmed, wrong, unsure and unchecked claims."""
        unchecked = sum(c.verdict is Verdict.NOT_CHECKABLE for c in self.claims)
        return Coverage(len(self.confirmed), len(self.errata), len(self.please_check), unchecked)
