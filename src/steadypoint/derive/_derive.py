"""The public verb."""

from __future__ import annotations

from steadypoint.circuit import Circuit, at_temperature
from steadypoint.derive._begin import begin, left_out, states_of_point
from steadypoint.derive._check import check_working
from steadypoint.derive._discussion import discuss
from steadypoint.derive._fallback import node_equations
from steadypoint.derive._fet import alone, fet_working
from steadypoint.derive._fet_nodes import fet_node_equations
from steadypoint.derive._fet_several import several_working
from steadypoint.derive._halves import are_equal, broken, by_halves
from steadypoint.derive._lecture import lecture
from steadypoint.derive._names import (
    ACTIVE,
)
from steadypoint.derive._rounding import round_as_on_board
from steadypoint.derive._shortcuts import compare
from steadypoint.derive._step import Derivation
from steadypoint.derive._symmetry import Halves, halves
from steadypoint.derive._temperature import tell_temperature
from steadypoint.derive._working import Working
from steadypoint.errors import CircuitError, DerivationError, SolveError
from steadypoint.solve import Assumptions, OperatingPoint, operating_point

RUNGS = ("exact", "board")
WAYS = ("loops", "nodes", "thevenin")


def derive(
    circuit: Circuit,
    rung: str = "exact",
    *,
    way: str = "loops",
    rounded: bool = False,
    budget: float | None = None,
) -> Derivation:
    """Derive the operating point of a circuit as a lecturer would on the board.

    Parameters
    ----------
    circuit : Circuit
        Resistors, supplies, sources, capacitors, inductors, diodes, zeners and bipolar transistors.
    rung : str, default "exact"
        ``exact`` (β + 1 kept) or ``board`` (I_E ≈ I_C, small base currents left out, each shortcut
        named with its condition and its price).
    way : str, default "loops"
        ``loops`` (Kirchhoff's voltage law, Thévenin equivalents where a divider is met), ``nodes``
        (node voltages) or ``thevenin`` (the transistor taken out: open voltages, and a star of one
        resistance in each lead); the last two for one active transistor on the exact rung.
    rounded : bool, default False
        Round each result to three digits as it is written and carry it on so, as on the board; the
        last step names what that moves.
    budget : float, optional
        For the board: largest relative error that all shortcuts together may bring into a collector
        current; those that would break it are refused and said so. Without it the ten-times rule
        stands alone, and a total over 8 % is told at the end. [-]

    Returns
    -------
    Derivation
        The steps. Every line has been checked against ``solve`` at the given values and, through
        the node equations, at random ones. Where the loop method does not carry, the systematic
        node equations stand instead and ``fallback`` says why.

    Raises
    ------
    CircuitError
        If the rung has no working, or a budget is given for another rung than the board.
    DerivationError
        If no working holds against the solved point.
    SolveError
        If the circuit has no operating point.

    Examples
    --------
    >>> from steadypoint.circuit import read_sheet
    >>> working = derive(read_sheet('''
    ... VCC = 12 V
    ... Q1 = npn, beta 100
    ... from VCC through RB 470k to Q1 base
    ... from VCC through RC 2k2 to Q1 collector
    ... from Q1 emitter to ground
    ... '''))
    >>> from steadypoint.derive import to_text
    >>> to_text(working.step("Solve for I_B").lines[0].right)
    '(V_CC − V_BE)/R_B'
    """
    rung = str(rung)
    if rung not in RUNGS:
        raise CircuitError(f"The rung '{rung}' has no working on the board. Use exact or board.")
    if budget is not None and (rung != "board" or not budget > 0.0):
        raise CircuitError("A budget is for the shortcuts of the board, and greater than zero.")
    assumed = Assumptions() if budget is None else Assumptions(budget=budget)
    done = tell_temperature(_worked(at_temperature(circuit), rung, way, assumed), circuit)
    return round_as_on_board(done) if rounded else done


def _worked(circuit: Circuit, rung: str, way: str, assumed: Assumptions) -> Derivation:
    """The working with unrounded figures, of parts that have their values at the temperature."""
    if way not in WAYS:
        raise CircuitError(f"There is no way '{way}'. Use loops, nodes or thevenin.")
    if circuit.fets and way != "loops":
        raise CircuitError(
            "The ways by nodes and by Thévenin are written for one bipolar transistor. "
            "Work a field-effect transistor by loops."
        )
    if circuit.fets:
        return _with_fets(circuit, rung)
    if not circuit.transistors:
        raise CircuitError("The circuit has no transistor, so there is no bias to work out.")
    point = _point(circuit, rung, assumed)
    if way != "loops":
        return _second_way(circuit, rung, way, point)
    found = halves(circuit)
    alike = _by_halves(circuit, point, found, rung, assumed)
    if alike is not None:
        return alike
    work = begin(circuit, point, board=rung == "board", turn=True, assumed=assumed)
    why: tuple[str, ...] = ()
    try:
        if found is not None:
            broken(work, found)
        solved = lecture(work)
        check_working(work, point)
        discuss(work, solved)
        compare(work)
    except (DerivationError, ZeroDivisionError) as failure:
        why = (str(failure),)
        work = begin(circuit, point, board=rung == "board", assumed=assumed)
        node_equations(work, point)
    return Derivation(circuit, rung, tuple(work.steps), dict(work.values), why)


def _point(circuit: Circuit, rung: str, assumed: Assumptions) -> OperatingPoint:
    return operating_point(circuit, rung, assumptions=assumed if rung == "board" else None)


def _by_halves(
    circuit: Circuit,
    point: OperatingPoint,
    found: Halves | None,
    rung: str,
    assumed: Assumptions,
) -> Derivation | None:
    """One half for both, where there are two equal ones."""
    if found is None or not are_equal(found, point):
        return None
    try:
        single = _point(found.half, rung, assumed)
        whole, half = (
            begin(of, at, board=rung == "board", assumed=assumed)
            for of, at in ((circuit, point), (found.half, single))
        )
        return by_halves(whole, half, found, (point, single))
    except (DerivationError, SolveError, ZeroDivisionError):
        return None


def _second_way(circuit: Circuit, rung: str, way: str, point: OperatingPoint) -> Derivation:
    """By node voltages, or with the transistor taken out."""
    if rung != "exact":
        name = {"nodes": "node-voltage", "thevenin": "Thévenin"}[way]
        raise CircuitError(f"The {name} way is exact. Use it on the exact rung.")
    work = begin(circuit, point, board=False)
    if way == "nodes":
        from steadypoint.derive._by_nodes import by_nodes

        return by_nodes(work, point)
    from steadypoint.derive._by_thevenin import by_thevenin

    try:
        return by_thevenin(work, point)
    except DerivationError as failure:
        raise DerivationError(
            f"The Thévenin way does not carry here: {failure} Work this circuit by loops."
        ) from failure


def _with_fets(circuit: Circuit, rung: str) -> Derivation:
    """One field-effect transistor by its bias line; several, or others beside it, one by one."""
    point, board = operating_point(circuit, rung), rung == "board"
    why: tuple[str, ...] = ()
    try:
        work = _by_lines(circuit, point, board=board)
    except (DerivationError, ZeroDivisionError) as failure:
        why = (str(failure),)
        work = begin(circuit, point, board=board, turn=True)
        fet_node_equations(work, point)
    return Derivation(circuit, rung, tuple(work.steps), dict(work.values), why)


def _by_lines(circuit: Circuit, point: OperatingPoint, *, board: bool) -> Working:
    if alone(circuit):
        try:
            return fet_working(circuit, point, board=board)
        except DerivationError:
            pass  # the drain current is dictated, or a terminal hangs on the channel alone
    return several_working(circuit, point, board=board)


__all__ = ["ACTIVE", "RUNGS", "derive", "left_out", "states_of_point"]
