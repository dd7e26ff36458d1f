"""One combination of junction states: its linear solution and the proof of its inequalities."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, product

import numpy as np

from steadypoint.devices import thermal_voltage
from steadypoint.solve._overdrives import LARGEST, STEPS, UNDAMPED, Lines, overdrive_lines, settle
from steadypoint.solve._tableau import FloatArray, Junction, Tableau

SINGULAR = 1e14
"""Condition number above which a matrix counts as singular. [-]"""

VOLTAGE_SLACK = 1e-9
"""A junction voltage this little over its drop still counts as blocking. [V]"""

CURRENT_SLACK = 1e-10
"""Share of the largest current by which a conducting junction may miss zero. [-]"""

BLOCKING_CURRENT = 1e-12
"""A junction under a logarithmic law blocks while it carries less. [A]"""

DEAD_CURRENT = 1e-18
"""Newton's method stops where a logarithmic junction falls below this. [A]"""

OVERDRIVE_STEP = 1e-10
"""Newton's method has settled when no overdrive of a channel moves more. [V]"""

CHANNEL_STARTS = 27
"""Most starts of Newton's method in the overdrives of the channels. [-]"""

FORCED_VOLTAGE = 1e6
"""A node beyond this is driven by a current that finds no way. [V]"""

State = tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Violation:
    """A junction whose state contradicts the solution; ``excess`` is in volts or amperes."""

    junction: int
    conducts: bool
    excess: float


@dataclass(frozen=True, slots=True)
class Piece:
    """Solution of one combination.

    Parameters
    ----------
    state : tuple of bool
        Conducting or not, per junction.
    x : ndarray, shape (size,)
        Node voltages, source currents, junction currents. [V, A]
    violations : tuple of Violation
        Empty when every region is proved.
    orientation : float
        Sign of the determinant; 0 where an inequality is broken and nobody asks for it. [-]
    leaked : bool
        True when leak conductances had to fix a floating node.
    """

    state: State
    x: FloatArray
    violations: tuple[Violation, ...]
    orientation: float
    leaked: bool


@dataclass(frozen=True, slots=True)
class Follow:
    """Logarithmic law of a forward junction.

    v - v_leader = V_T ln(i / (ratio i_leader)), or v = V_T ln(i / I_S) when leader is -1.
    """

    junction: int
    leader: int
    V_T: float
    reference: float


def logarithmic_laws(tab: Tableau, temperature: float) -> tuple[Follow, ...]:
    """Laws of transistors with stated I_S and of matched ones with bases or emitters apart.

    Parameters
    ----------
    tab : Tableau
        The network.
    temperature : float
        Junction temperature. [K]

    Returns
    -------
    tuple of Follow
    """
    forward = {q.part: j for j, q in enumerate(tab.junctions) if q.kind == "forward"}
    laws = []
    for q in tab.network.bipolars:
        j = forward[q.name]
        if tab.junctions[j].leader != j or tab.junctions[j].never:
            continue
        V_T = q.data.n * thermal_voltage(temperature)
        lead = forward.get(q.matched_to, -1)
        if q.data.log_law:
            laws.append(Follow(j, -1, V_T, q.data.I_S))
        elif lead >= 0 and tab.junctions[lead].leader != j:
            other = tab.network.bipolars[tab.junctions[lead].owner]
            stated = q.states_I_S and other.states_I_S
            laws.append(Follow(j, lead, V_T, q.data.I_S / other.data.I_S if stated else 1.0))
    return tuple(laws)


def solve_linear(A: FloatArray, b: FloatArray, columns: FloatArray) -> FloatArray | None:
    """Solve an equilibrated system with one step of refinement.

    Parameters
    ----------
    A, b : ndarray, shapes (n, n) and (n,)
        The system.
    columns : ndarray, shape (n,)
        Size of one unit of each unknown.

    Returns
    -------
    ndarray, shape (n,), or None
        Solution, or None when the matrix is singular.
    """
    if A.shape[0] == 0:
        return b
    scaled = A * columns
    rows = np.abs(scaled).max(axis=1)
    if not rows.all():
        return None
    scaled /= rows[:, None]
    right = b / rows
    try:
        inverse = np.linalg.inv(scaled)
    except np.linalg.LinAlgError:
        return None
    condition = np.abs(scaled).sum(axis=0).max() * np.abs(inverse).sum(axis=0).max()
    if not condition < SINGULAR:
        return None
    y: FloatArray = inverse @ right
    y += inverse @ (right - scaled @ y)
    return np.asarray(y * columns, dtype=np.float64)


def orientation_of(A: FloatArray, columns: FloatArray) -> float:
    """Sign of the determinant of a system's matrix. [-]"""
    scaled = A * columns
    return float(np.linalg.slogdet(scaled / np.abs(scaled).max(axis=1)[:, None])[0])


def columns_of(tab: Tableau) -> FloatArray:
    """Unit of each unknown: volts for nodes, the typical conductance times volts for currents."""
    columns = np.full(tab.A0.shape[0], tab.scale)
    columns[: len(tab.network.names)] = 1.0
    return columns


def solve_piece(tab: Tableau, state: State, laws: tuple[Follow, ...] = ()) -> Piece | None:
    """Solve one combination of states and check all its inequalities.

    Parameters
    ----------
    tab : Tableau
        The network.
    state : tuple of bool
        Conducting or not, per junction.
    laws : tuple of Follow
        Logarithmic laws that replace constant drops.

    Returns
    -------
    Piece or None
        None when the combination contradicts itself (constant voltages in a loop).
    """
    best: Piece | None = None
    lines = _lines_of(tab, state, laws)
    for start in _channel_starts(tab):
        piece = _piece_from(tab, state, laws, start, lines)
        if piece is not None and not piece.violations:
            return piece
        if piece is not None and (best is None or len(piece.violations) < len(best.violations)):
            best = piece
    return best


def solve_pieces(tab: Tableau, state: State, laws: tuple[Follow, ...] = ()) -> list[Piece]:
    """All consistent points of one combination; several are possible with channels only."""
    n = len(tab.network.names)
    found: list[Piece] = []
    lines = _lines_of(tab, state, laws)
    for start in _channel_starts(tab):
        piece = _piece_from(tab, state, laws, start, lines)
        if piece is None or piece.violations:
            continue
        if all(np.abs(piece.x[:n] - k.x[:n]).max(initial=0.0) > 1e-6 for k in found):
            found.append(piece)
    return found


def _channel_starts(tab: Tableau) -> Iterator[tuple[float, ...]]:
    """Overdrives that Newton's method starts from: saturation, triode region, cutoff."""
    count = len(tab.network.fets)
    one = [(1.0 + abs(f.data.V_GS_th)) for f in tab.network.fets]
    for pattern in islice(
        product(((1.0, 0.0), (1.0, 1.0), (0.0, 0.0)), repeat=count), CHANNEL_STARTS
    ):
        yield tuple(share * size for pair, size in zip(pattern, one, strict=True) for share in pair)


def _lines_of(tab: Tableau, state: State, laws: tuple[Follow, ...]) -> Lines | None:
    """Overdrives as straight lines, where nothing else bends."""
    if not tab.channels or laws:
        return None
    return overdrive_lines(tab, *tab.system(state), columns_of(tab))


def _piece_from(
    tab: Tableau,
    state: State,
    laws: tuple[Follow, ...],
    start: tuple[float, ...],
    lines: Lines | None,
) -> Piece | None:
    if lines is not None:
        near = settle(lines, start)
        if near is None:
            return None
        start = near
    A, b = tab.system(state)
    columns = columns_of(tab)
    live = [w for w in laws if state[w.junction] and (w.leader < 0 or state[w.leader])]
    solved = _bent(tab, A, b, columns, live, start)
    leaked = False
    if solved is None:
        solved = _bent(tab, A + tab.leak, b, columns, live, start)
        leaked = True
    if solved is None:
        return None
    x, turned = solved
    if leaked and np.abs(x[: len(tab.network.names)]).max(initial=0.0) > FORCED_VOLTAGE:
        return None  # a current source drives its current through leaks alone
    broken = violations(tab, state, x, laws)
    orientation = 0.0 if broken else orientation_of(turned, columns)
    return Piece(state, x, broken, orientation, leaked)


def _bent(
    tab: Tableau,
    A: FloatArray,
    b: FloatArray,
    columns: FloatArray,
    live: list[Follow],
    start: tuple[float, ...],
) -> tuple[FloatArray, FloatArray] | None:
    """Solution and matrix, by Newton's method in what bends the laws.

    These are the currents of the logarithmic junctions and the overdrives of the channels, where
    ``start`` begins.
    """
    if not live and not tab.channels:
        x = solve_linear(A, b, columns)
        return None if x is None else (x, A)
    at: dict[int, float] = {}
    for w in live:
        at.setdefault(w.junction, 1e-3 * (w.reference if w.leader >= 0 else 1.0))
        if w.leader >= 0:
            at.setdefault(w.leader, 1e-3)
    A, b = A.copy(), b.copy()
    constant = {w.junction: A[tab.first + w.junction].copy() for w in live}
    over = np.array(start)
    for step in range(200 if live else STEPS):
        channel_rows(tab, A, b, over)
        log_rows(tab, A, b, live, constant, at)
        x = solve_linear(A, b, columns)
        if x is None:
            return None
        found = {j: float(x[tab.first + j]) for j in at}
        settled = all(abs(found[j] - at[j]) <= 1e-11 * abs(at[j]) for j in at)
        reached = np.clip([overdrive(tab, x, j) for j in tab.channels], 0.0, LARGEST)
        moved = float(np.abs(reached - over).max(initial=0.0))
        calm = moved <= OVERDRIVE_STEP * max(1.0, float(over.max(initial=0.0)))
        if calm and (settled or min(at.values(), default=1.0) < DEAD_CURRENT):
            return x, A
        over = reached if step < UNDAMPED else 0.5 * (over + reached)
        at = {j: max(found[j], 0.01 * at[j]) for j in at}
    return None


def log_rows(
    tab: Tableau,
    A: FloatArray,
    b: FloatArray,
    live: list[Follow],
    constant: dict[int, FloatArray],
    at: dict[int, float],
) -> None:
    """Tangents of the logarithmic laws at the junction currents ``at``."""
    for w in live:
        row, i = tab.first + w.junction, at[w.junction]
        A[row] = constant[w.junction]
        A[row, row] += w.V_T / i  # row: -v + V_T i / i0 = -V_T (ln(i0 / I_S) - 1)
        if w.leader < 0:
            b[row] = -w.V_T * (np.log(i / w.reference) - 1.0)
            continue
        lead, i_lead = tab.junctions[w.leader], at[w.leader]
        A[row, tab.first + w.leader] -= w.V_T / i_lead
        for node, one in ((lead.plus, 1.0), (lead.minus, -1.0)):
            if node >= 0:
                A[row, node] += one
        b[row] = -w.V_T * np.log(i / (w.reference * i_lead))


def channel_rows(tab: Tableau, A: FloatArray, b: FloatArray, over: FloatArray) -> None:
    """Tangents of the square law at the overdrives ``over``, none below zero."""
    for j, u in zip(tab.channels, over.tolist(), strict=True):
        row, end = tab.first + j, tab.junctions[j]
        A[row] = 0.0
        A[row, row] = 1.0
        slope = 2.0 * end.K * u
        for node, sign in ((end.plus, -1.0), (end.minus, 1.0)):
            if node >= 0:
                A[row, node] += sign * slope
        b[row] = -slope * end.drop - end.K * u * u


def overdrive(tab: Tableau, x: FloatArray, j: int) -> float:
    """Voltage of an end of a channel above its threshold. [V]"""
    end = tab.junctions[j]
    return _potential(x, end.plus) - _potential(x, end.minus) - end.drop


def _potential(x: FloatArray, node: int) -> float:
    return float(x[node]) if node >= 0 else 0.0


def slack_of(junction: Junction, x: FloatArray, partner_conducts: bool) -> float:
    """How far the voltage of a blocking junction stays below its drop. [V]"""
    if junction.partner >= 0 and partner_conducts:
        return (
            _potential(x, junction.sat_plus) - _potential(x, junction.sat_minus) - junction.sat_drop
        )
    return junction.drop - _potential(x, junction.plus) + _potential(x, junction.minus)


def violations(
    tab: Tableau, state: State, x: FloatArray, laws: tuple[Follow, ...] = ()
) -> tuple[Violation, ...]:
    """All inequalities that a solution breaks.

    Parameters
    ----------
    tab : Tableau
        The network.
    state : tuple of bool
        Conducting or not, per junction.
    x : ndarray, shape (size,)
        Node voltages, source currents, junction currents. [V, A]
    laws : tuple of Follow
        Junctions under a logarithmic law block while they would carry less than 1 pA.

    Returns
    -------
    tuple of Violation
    """
    n = len(tab.network.names)
    largest = float(np.abs(x[n:]).max(initial=0.0))
    own = {w.junction: w for w in laws if w.leader < 0}
    found = []
    for j in tab.free:
        junction = tab.junctions[j]
        if state[j]:
            current = float(x[tab.first + j])
            least = BLOCKING_CURRENT if j in own else -CURRENT_SLACK * largest - 1e-15
            if current < least:
                found.append(Violation(j, True, -current))
            continue
        on = junction.partner >= 0 and state[junction.partner]
        slack = slack_of(junction, x, on)
        if j in own:
            slack += own[j].V_T * np.log(BLOCKING_CURRENT / own[j].reference) - junction.drop
        if slack < -VOLTAGE_SLACK:
            found.append(Violation(j, False, -slack))
    return tuple(found)
