"""The working cut down to the chain of steps that one result rests on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from difflib import get_close_matches

from steadypoint.circuit import Circuit
from steadypoint.derive._expr import Symbol
from steadypoint.derive._names import Names
from steadypoint.derive._step import Derivation, Step
from steadypoint.errors import CircuitError

_AFTERWARDS = ("limit for large β", "return ratio", "comparison with the exact working")
_DEFINITIONS = ("Thévenin's theorem", "resistors in parallel")
_ALWAYS = (
    "model of the transistor",
    "conditions of the region",
    "capacitors at direct current",
    "symmetry",
)


def find(derivation: Derivation, wanted: str) -> Derivation:
    """Only the steps that lead to one quantity.

    Parameters
    ----------
    derivation : Derivation
        The whole working.
    wanted : str
        Symbol such as ``V_CE``, ``I_C``, ``V_TH``; ``Q1.I_B`` names the transistor too.

    Returns
    -------
    Derivation
        The chain of steps, with ``rests_on`` counted anew; the values stay whole.

    Raises
    ------
    CircuitError
        If the working finds no such quantity.
    """
    symbol = symbol_of(derivation.circuit, wanted)
    last = _where(derivation, symbol)
    if last is None:
        raise CircuitError(_unknown(derivation, wanted))
    kept = sorted(_chain(derivation, last))
    place = {old: new for new, old in enumerate(kept)}
    steps = tuple(
        replace(s, rests_on=tuple(place[i] for i in s.rests_on if i in place))
        for s in (derivation.steps[i] for i in kept)
    )
    return replace(derivation, steps=steps)


def symbol_of(circuit: Circuit, wanted: str) -> str:
    """Name that the working uses for what was typed: ``Q1.I_B``, ``V_CE`` of a pnp, ``V_TH``.

    Raises
    ------
    CircuitError
        If the transistor named before the dot is not in the circuit.
    """
    owner, dot, letters = wanted.strip().partition(".")
    if not dot:
        owner, letters = "", owner
    transistors = {p.name: p for p in circuit.transistors}
    if dot and owner not in transistors:
        raise CircuitError(
            f"'{wanted}' names {owner}, which is no transistor of this circuit. "
            f"There is {', '.join(transistors) or 'none'}."
        )
    letters = letters.replace("TH", "thev").replace("β", "beta")
    names = Names.of(circuit)
    for part in transistors.values() if not dot else (transistors[owner],):
        number = names.index[part.name]
        if dot or number == "":
            own = {f"I_{x}": names.current(x, part) for x in "BCE"}
            own |= {f"V_{x}": names.node(x, part) for x in "BCE"}
            own |= {"V_CE": names.span(part), "V_EC": names.span(part)}
            own |= {"V_BE": names.junction(part), "V_EB": names.junction(part)}
            if letters in own:
                return own[letters]
            if dot:
                return letters + number
    return letters


def findable(derivation: Derivation) -> list[str]:
    """Names of all quantities that the working finds, in their order."""
    names = (s for step in derivation if step.reason not in _AFTERWARDS for s in _found(step))
    return list(dict.fromkeys(n.replace("thev", "TH") for n in names))


def _found(step: Step) -> Iterator[str]:
    for line in step.lines:
        if isinstance(line.left, Symbol) and line.result is not None and line.sign != "→":
            yield line.left.name


def _where(derivation: Derivation, symbol: str) -> int | None:
    for place in range(len(derivation) - 1, -1, -1):
        step = derivation[place]
        if step.reason not in _AFTERWARDS and symbol in _found(step):
            return place
    return None


def _chain(derivation: Derivation, last: int) -> set[int]:
    steps = derivation.steps
    start = _attempt(derivation, last)
    kept: set[int] = set()
    open_ends = [last]
    while open_ends:
        place = open_ends.pop()
        if place in kept:
            continue
        kept.add(place)
        open_ends += steps[place].rests_on
        # a law and what is put into it are written just before the line that solves them
        before = place - 1
        while before >= start and steps[before].lines and steps[before].result is None:
            if steps[before].reason in _ALWAYS or any(_found(steps[before])):
                break
            open_ends.append(before)
            before -= 1
    if all(steps[i].reason in _DEFINITIONS for i in kept):
        return kept  # an equivalent needs no assumption on the transistor
    for place, step in enumerate(steps):
        said = not step.lines and step.reason not in _AFTERWARDS
        if step.reason in _ALWAYS or (said and place < last):
            kept.add(place)
    return {i for i in kept if i >= start or i in _needed_before(derivation, kept)}


def _needed_before(derivation: Derivation, kept: set[int]) -> set[int]:
    rests = {r for i in kept for r in derivation.steps[i].rests_on}
    return rests | {i for i in kept if derivation.steps[i].reason == "capacitors at direct current"}


def _attempt(derivation: Derivation, last: int) -> int:
    """First step of the attempt that holds: a contradicted one is left out."""
    start = 0
    for place, step in enumerate(derivation.steps[:last]):
        if place and step.reason == "model of the transistor":
            start = place
    return (
        start if any(s.reason == "model of the transistor" for s in derivation.steps[:start]) else 0
    )


def _unknown(derivation: Derivation, wanted: str) -> str:
    known = findable(derivation)
    near = get_close_matches(wanted, known, 1)
    hint = f" Did you mean {near[0]}?" if near else ""
    return f"The working finds no '{wanted}'.{hint} It finds {', '.join(known)}."
