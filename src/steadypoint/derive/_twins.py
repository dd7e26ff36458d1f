"""Equal junctions in parallel: the currents that constant drops leave open, and how they divide.

Two equal constant drops across the same two nodes say nothing of how the current divides. As
``solve`` does, the working takes such junctions as matched: each carries the same current. In a
saturated transistor both junctions conduct; the current of one of them follows from I_B and I_C.

References
----------
J. J. Ebers, J. L. Moll, "Large-signal behavior of junction transistors", Proceedings of the IRE 42
(1954) 1761-1772, from memory: the terminal currents as sums of both junctions' currents.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from steadypoint.circuit import Circuit, Kind, Part
from steadypoint.derive._algebra import Poly
from steadypoint.derive._expr import ONE, Expr, Symbol, add, divide, multiply
from steadypoint.derive._names import ACTIVE, FORWARD, SATURATION, Names

CLOSE = 1e-9
"""Largest difference of drops that count as equal. [V]"""


class Junction(NamedTuple):
    """A conducting junction.

    Parameters
    ----------
    part : Part
        Whose it is.
    backward : bool
        True for the base-collector junction.
    ends : tuple of str
        Nodes, in the direction of its current.
    drop : float
        Its constant drop. [V]
    state : str
        State of the part.
    """

    part: Part
    backward: bool
    ends: tuple[str, str]
    drop: float
    state: str

    @property
    def both(self) -> bool:
        """True where the other junction of the transistor conducts as well."""
        return self.state == SATURATION

    def shares(self, beta: float, beta_R: float) -> tuple[float, float]:
        """How I_B and I_C of its transistor make up its current. [-]"""
        if not self.both:
            return (1.0, 0.0) if self.backward else (beta, 0.0)
        whole = beta + beta_R + 1.0
        if self.backward:
            return beta / whole, -1.0 / whole
        return beta * (beta_R + 1.0) / whole, beta / whole


class Tie(NamedTuple):
    """Two junctions that carry the same current."""

    leader: Junction
    follower: Junction


def ties(
    circuit: Circuit, names: Names, states: Mapping[str, str], values: Mapping[str, float]
) -> tuple[Tie, ...]:
    """Equal conducting junctions across the same nodes.

    Parameters
    ----------
    circuit : Circuit
        The circuit, transistors in reverse turned round.
    names : Names
        Letter symbols.
    states : mapping of str to str
        State of each transistor and diode.
    values : mapping of str to float
        Stated symbols.

    Returns
    -------
    tuple of Tie
    """
    found: list[Junction] = []
    for part in circuit.parts:
        found += _junctions(part, names, states, values)
    out = []
    for place, follower in enumerate(found):
        for leader in found[:place]:
            alike = leader.ends == follower.ends and leader.backward == follower.backward
            if alike and abs(leader.drop - follower.drop) < CLOSE:
                out.append(Tie(leader, follower))
                break
    return tuple(out)


def _junctions(
    part: Part, names: Names, states: Mapping[str, str], values: Mapping[str, float]
) -> list[Junction]:
    state = states.get(part.name, "")
    if part.kind in (Kind.DIODE, Kind.ZENER) and state == FORWARD:
        first, second = part.nodes
        return [Junction(part, False, (first, second), values[names.drop(part, state)], state)]
    if not part.kind.is_bipolar or state not in (ACTIVE, SATURATION):
        return []
    collector, base, emitter = part.nodes
    turn = -1 if part.kind is Kind.PNP else 1
    drop = values[names.junction(part)]
    near, far = ((base, end)[::turn] for end in (emitter, collector))
    turned = part.name in names.swapped
    out = [Junction(part, turned, (near[0], near[1]), drop, state)]
    if state == SATURATION:
        less = drop - values[names.saturated(part)]
        out.append(Junction(part, True, (far[0], far[1]), less, state))
    return out


def reverse_gain(names: Names, part: Part) -> str:
    """Symbol of the reverse current gain."""
    number = names.index[part.name]
    return f"beta_R_{number}" if number else "beta_R"


def carried(names: Names, junction: Junction) -> str:
    """Symbol of a junction's current, which is ``I_C`` for an active transistor."""
    part = junction.part
    if not part.kind.is_bipolar:
        return names.branch_current(part.name)
    if junction.both:
        return f"I_B{'C' if junction.backward else 'E'}{names.index[part.name]}"
    return names.current("B" if junction.backward else "C", part)


def made_up(names: Names, junction: Junction) -> Expr:
    """Current of a junction of a saturated transistor, from I_B and I_C."""
    part = junction.part
    I_B, I_C = (Symbol(names.current(letter, part)) for letter in "BC")
    beta, beta_R = Symbol(names.beta(part)), Symbol(reverse_gain(names, part))
    whole = add((1, beta), (1, beta_R), (1, ONE))
    if junction.backward:
        return divide(add((1, multiply(beta, I_B)), (-1, I_C)), whole)
    inside = add((1, I_C), (1, multiply(add((1, beta_R), (1, ONE)), I_B)))
    return divide(multiply(beta, inside), whole)


def in_letters(names: Names, junction: Junction) -> tuple[dict[str, Poly], Poly]:
    """Current of a junction as named currents times gains, over a common divisor."""
    part, one = junction.part, Poly.constant(1)
    if not part.kind.is_bipolar or not junction.both:
        return {carried(names, junction): one}, one
    beta, more = Poly.atom(names.beta(part)), Poly.atom(f"{reverse_gain(names, part)}+1")
    I_B, I_C = (names.current(letter, part) for letter in "BC")
    if junction.backward:
        return {I_B: beta, I_C: -one}, beta + more
    return {I_B: beta * more, I_C: beta}, beta + more
