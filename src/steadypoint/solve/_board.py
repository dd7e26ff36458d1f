"""The ``board`` rung: what a lecturer leaves out so that the working fits the board.

The rule, in the order in which it is applied (``docs/solving.md`` has it with its reasons):

1. The ``exact`` point is found first, only to judge what is small. Regions and drops are its own.
2. In the active region the emitter carries the collector current: I_E = I_C = β I_B.
3. The base current of an active transistor is left out of the current sum of its base's node when
   the largest other current there (resistors, sources, diodes, collectors, emitters; not other
   base currents) is at least ten times as large.
4. The current of a chain of resistors from a node with a collector or emitter to a node with a base
   is left out of the current sum of the former, when the largest other current there is at least
   ten times as large; it is kept at the base.
5. With a budget, what would bring a larger error into a collector current, all shortcuts together,
   is taken back, the costliest first; I_E = I_C goes last.
6. The regions are proved again with the board's own numbers.

Nodes that a voltage source ties to ground need no sum, so nothing is left out there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from steadypoint.solve._assumptions import Assumptions
from steadypoint.solve._chains import Chain, chains_to_bases, tied_nodes
from steadypoint.solve._exact import Found, search
from steadypoint.solve._exact_states import start_state
from steadypoint.solve._fets import drain_currents
from steadypoint.solve._network import Bipolar, Network
from steadypoint.solve._pieces import Follow, Piece, logarithmic_laws
from steadypoint.solve._sentences import name_of
from steadypoint.solve._tableau import Edit, Tableau, junctions_of, tableau

NO_CURRENT: Final = 1e-15
"""Currents below this are not compared. [A]"""


@dataclass(frozen=True, slots=True)
class Neglect:
    """Something that the board leaves out.

    Parameters
    ----------
    kind : str
        ``emitter`` (I_E = I_C), ``base`` (base current left out at its node), ``chain`` (current on
        its way to a base left out at a collector or emitter) or ``assumed``.
    transistor : str
        The transistor whose current it is.
    node : str
        Node in whose current sum it is missing; empty for ``emitter``.
    parts : tuple of str
        Parts that carry it; empty unless ``chain``.
    ratio : float
        Largest other current at the node over what is left out. [-]
    sentence : str
        What people read.
    """

    kind: str
    transistor: str
    node: str
    parts: tuple[str, ...]
    ratio: float
    sentence: str


@dataclass(frozen=True, slots=True)
class BoardFound:
    """The board's piece with the tableau it belongs to and what was left out."""

    tab: Tableau
    laws: tuple[Follow, ...]
    found: Found
    neglects: tuple[Neglect, ...]
    exact: Piece
    assumptions: Assumptions


def solve_board(
    net: Network, temperature: float, assumptions: Assumptions, exact: Found | None = None
) -> BoardFound:
    """Solve a network as on the board.

    Parameters
    ----------
    net : Network
        The network.
    temperature : float
        Junction temperature. [K]
    assumptions : Assumptions
        What the source assumes beyond the rule.
    exact : Found, optional
        The exact point when it is known and ``assumptions`` change no data.

    Returns
    -------
    BoardFound

    Raises
    ------
    NoSolutionError
        When no combination of regions is consistent.
    """
    board = _by_the_rule(net, temperature, assumptions, exact)
    while (worst := _largest_error(board)) > assumptions.budget:
        for choices in _more_kept(board):
            tries = (_by_the_rule(net, temperature, a, exact) for a in choices)
            cheaper = [t for t in tries if _largest_error(t) < worst]
            if cheaper:
                board = min(cheaper, key=_largest_error)
                break
        else:
            break
    return board


def _more_kept(board: BoardFound) -> tuple[list[Assumptions], list[Assumptions]]:
    """The assumptions with one more transistor's base current kept, and with I_E apart from I_C."""
    assumed = board.assumptions
    free = dict.fromkeys(n.transistor for n in board.neglects if n.kind in ("base", "chain"))
    kept = [
        replace(assumed, loaded=(*assumed.loaded, name))
        for name in free
        if not assumed.holds("unloaded", name)
    ]
    last = [replace(assumed, I_C_equals_I_E=False)] if assumed.I_C_equals_I_E else []
    return kept, last


def _largest_error(board: BoardFound) -> float:
    """Largest relative error in the collector current of an active transistor. [-]"""
    errors = [0.0]
    tab, exact = board.tab, board.exact
    for k in range(len(tab.network.bipolars)):
        column = tab.first + 2 * k
        true, found = float(exact.x[column]), float(board.found.piece.x[column])
        active = exact.state[2 * k] and not exact.state[2 * k + 1]
        if active and abs(true) > NO_CURRENT:
            errors.append(abs(found / true - 1.0))
    return max(errors)


def _by_the_rule(
    net: Network, temperature: float, assumptions: Assumptions, exact: Found | None
) -> BoardFound:
    """The board's point by the rule of the threshold alone."""
    net = _with_infinite_beta(net, assumptions)
    tab = tableau(net, junctions_of(net))
    laws = logarithmic_laws(tab, temperature)
    tab.free = _free(tab, assumptions)
    if exact is None or assumptions.beta_infinite or assumptions.stay_active:
        exact = search(tab, laws, iter(()), only=len(net.bipolars) < 2)
    loads = _loads_without_V_BE(net, temperature, assumptions)
    edits, neglects, equal = _edits(tab, exact.piece, assumptions, loads)
    tab.edits, tab.equal = tuple(edits), frozenset(equal)
    _fix_base_currents(tab, exact.piece, assumptions)
    found = search(tab, laws, iter((start_state(tab),)), start=exact.piece.state, only=True)
    return BoardFound(tab, laws, found, tuple(neglects), exact.piece, assumptions)


def _with_infinite_beta(net: Network, assumptions: Assumptions) -> Network:
    changed = tuple(
        replace(q, data=replace(q.data, beta=math.inf))
        if assumptions.holds("beta_infinite", q.name)
        else q
        for q in net.bipolars
    )
    return replace(net, bipolars=changed)


def _free(tab: Tableau, assumptions: Assumptions) -> tuple[int, ...]:
    """Junctions that may change state: not those of transistors that stay active."""
    held = {q.name for q in tab.network.bipolars if assumptions.holds("stay_active", q.name)}
    return tuple(j for j in tab.free if tab.junctions[j].part not in held)


def _edits(
    tab: Tableau, piece: Piece, assumptions: Assumptions, loads: dict[int, float]
) -> tuple[list[Edit], list[Neglect], list[int]]:
    """Everything that the rule leaves out, as changes of the matrix."""
    net = tab.network
    tied = tied_nodes(net)
    edits: list[Edit] = []
    neglects: list[Neglect] = []
    equal: list[int] = []
    for k, q in enumerate(net.bipolars):
        if not (piece.state[2 * k] and not piece.state[2 * k + 1]):
            continue
        column = tab.first + 2 * k
        if assumptions.I_C_equals_I_E and not math.isinf(q.data.beta):
            equal.append(k)
            if q.emitter >= 0:
                edits.append(Edit(q.emitter, column, q.sign / q.data.beta, 2 * k))
            neglects.append(_emitter_neglect(q))
        if k in loads:
            edits += _fixed_load(q, column, loads[k], k)
            neglects.append(_load_neglect(tab, q))
        elif q.base not in tied and not math.isinf(q.data.beta):
            ratio = _base_ratio(tab, piece, k)
            if _dropped(assumptions, q, ratio):
                edits.append(Edit(q.base, column, -q.sign / q.data.beta, 2 * k))
                neglects.append(_base_neglect(tab, q, ratio))
    for chain in chains_to_bases(net):
        more, neglect = _chain_edit(tab, piece, chain, assumptions, tied)
        edits += more
        neglects += neglect
    return edits, neglects, equal


def _dropped(assumptions: Assumptions, q: Bipolar, ratio: float) -> bool:
    if assumptions.holds("loaded", q.name):
        return False
    return assumptions.holds("unloaded", q.name) or ratio >= assumptions.threshold


def node_currents(tab: Tableau, piece: Piece, node: int) -> dict[str, float]:
    """Magnitudes of the currents at a node, base currents left aside. [A]

    Keys are part names; those of collectors and emitters carry their terminal.
    """
    net, x = tab.network, piece.x
    V = [*(float(v) for v in x[: len(net.names)]), 0.0]
    found: dict[str, float] = {}
    for r in net.resistors:
        if node in (r.start, r.end):
            found[r.name] = abs(V[r.start] - V[r.end]) / r.value
    for i in net.currents:
        if node in (i.start, i.end):
            found[i.name] = abs(i.value)
    for m, v in enumerate(net.voltages):
        if node in (v.start, v.end):
            found[v.name] = abs(float(x[len(net.names) + m]))
    for j, junction in enumerate(tab.junctions):
        if junction.kind in ("diode", "breakdown") and node in (junction.plus, junction.minus):
            found[junction.part] = max(found.get(junction.part, 0.0), abs(float(x[tab.first + j])))
    for k, q in enumerate(net.bipolars):
        forward, reverse = (float(x[tab.first + j]) for j in (2 * k, 2 * k + 1))
        I_C = forward - (1.0 + q.data.beta_R) * reverse
        if q.collector == node:
            found[f"{q.name} collector"] = abs(I_C)
        if q.emitter == node:
            found[f"{q.name} emitter"] = abs(I_C + forward / q.data.beta + reverse)
    I_D = drain_currents(tab, x)
    for f, current in zip(net.fets, I_D.tolist(), strict=True):
        for terminal, at in (("drain", f.drain), ("source", f.source)):
            if at == node:
                found[f"{f.name} {terminal}"] = abs(current)
    return found


def _base_ratio(tab: Tableau, piece: Piece, k: int) -> float:
    q = tab.network.bipolars[k]
    I_B = float(piece.x[tab.first + 2 * k]) / q.data.beta
    largest = max(node_currents(tab, piece, q.base).values(), default=0.0)
    # A base without current is kept: leaving it out would only lose what fixes its node.
    return largest / I_B if I_B > NO_CURRENT else 0.0


def _chain_edit(
    tab: Tableau, piece: Piece, chain: Chain, assumptions: Assumptions, tied: frozenset[int]
) -> tuple[list[Edit], list[Neglect]]:
    """Leave a chain's current out at its collector or emitter end when it is small there."""
    if chain.node in tied or assumptions.holds("loaded", chain.transistor):
        return [], []
    currents = node_currents(tab, piece, chain.node)
    own = currents.pop(chain.first.name)
    largest = max(currents.values(), default=0.0)
    ratio = largest / own if own > NO_CURRENT else math.inf
    drop = assumptions.holds("unloaded", chain.transistor) or ratio >= assumptions.threshold
    if not drop or own <= NO_CURRENT:
        return [], []
    r = chain.first
    other = r.end if r.start == chain.node else r.start
    edits = [Edit(chain.node, chain.node, -1.0 / r.value)]
    if other >= 0:
        edits.append(Edit(chain.node, other, 1.0 / r.value))
    node = name_of(tab, chain.node)
    sentence = (
        f"At {node} the current through {r.name} is left out: "
        f"the largest current there is {ratio:.0f} times as large."
    )
    return edits, [Neglect("chain", chain.transistor, node, chain.parts, ratio, sentence)]


def _emitter_neglect(q: Bipolar) -> Neglect:
    return Neglect(
        "emitter",
        q.name,
        "",
        (),
        q.data.beta,
        f"{q.name}: the emitter current is taken equal to the collector current.",
    )


def _base_neglect(tab: Tableau, q: Bipolar, ratio: float) -> Neglect:
    node = name_of(tab, q.base)
    sentence = (
        f"At {node} the base current of {q.name} is left out: "
        f"the largest current there is {ratio:.0f} times as large."
    )
    return Neglect("base", q.name, node, (), ratio, sentence)


def _load_neglect(tab: Tableau, q: Bipolar) -> Neglect:
    node = name_of(tab, q.base)
    sentence = f"At {node} the base of {q.name} loads its divider as β times the emitter resistor."
    return Neglect("assumed", q.name, node, (), math.nan, sentence)


def _loads_without_V_BE(
    net: Network, temperature: float, assumptions: Assumptions
) -> dict[int, float]:
    """Base currents of the network without V_BE, for transistors assumed to load so. [A]"""
    chosen = [
        k for k, q in enumerate(net.bipolars) if assumptions.holds("loading_without_V_BE", q.name)
    ]
    if not chosen:
        return {}
    bare = replace(
        net,
        bipolars=tuple(
            replace(q, data=replace(q.data, V_BE=0.0)) if k in chosen else q
            for k, q in enumerate(net.bipolars)
        ),
    )
    names = tuple(net.bipolars[k].name for k in chosen)
    rest = replace(assumptions, loading_without_V_BE=(), loaded=(*assumptions.loaded, *names))
    board = solve_board(bare, temperature, rest)
    x = board.found.piece.x
    return {k: float(x[board.tab.first + 2 * k]) / net.bipolars[k].data.beta for k in chosen}


def _fixed_load(q: Bipolar, column: int, I_B: float, k: int) -> list[Edit]:
    """Take the base current of a node's sum from its law and fix it."""
    if q.base < 0:
        return []
    return [
        Edit(q.base, column, -q.sign / q.data.beta, 2 * k),
        Edit(q.base, -1, -q.sign * I_B, 2 * k),
    ]


def _fix_base_currents(tab: Tableau, piece: Piece, assumptions: Assumptions) -> None:
    """Replace the drop of chosen transistors by the base current of the exact point."""
    for k, q in enumerate(tab.network.bipolars):
        if assumptions.holds("exact_base_current", q.name) and piece.state[2 * k]:
            tab.on[2 * k] = 0.0
            tab.on[2 * k, tab.first + 2 * k] = 1.0
            tab.on_b[2 * k] = piece.x[tab.first + 2 * k]
