"""The public verbs: the operating point of a circuit on one rung of the model ladder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from steadypoint.circuit import Circuit
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.errors import (
    CircuitError,
    ConvergenceError,
    NoSolutionError,
    SolveError,
    ThermalRunawayError,
    UnknownNameError,
)
from steadypoint.solve._assumptions import Assumptions
from steadypoint.solve._board import Neglect, solve_board
from steadypoint.solve._device import DeviceFound, raw_of_device, solve_device
from steadypoint.solve._exact import Found, search
from steadypoint.solve._further import further_points, rests
from steadypoint.solve._linear import raw_of
from steadypoint.solve._network import Network, network
from steadypoint.solve._newton import Trial, laws_of
from steadypoint.solve._pieces import FORCED_VOLTAGE, Follow, Piece, State, logarithmic_laws
from steadypoint.solve._plan import plan_of
from steadypoint.solve._point import Model, OperatingPoint
from steadypoint.solve._report import operating_point_of
from steadypoint.solve._seeds import cutoff_by_pieces, device_seeds, state_of_device, trial_of
from steadypoint.solve._self_heating import thermal_resistances, warmed
from steadypoint.solve._sentences import no_way, several, taken_as_equal
from steadypoint.solve._solution import Method, Result, Solution, Stats
from steadypoint.solve._structure import refuse_stuck_currents
from steadypoint.solve._tableau import Tableau, junctions_of, tableau
from steadypoint.solve._warnings import warnings_of

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 208.15, 473.15
"""Range in which silicon junctions are computed: -65 to 200 °C. [K]"""


def operating_point(
    circuit: Circuit,
    model: Model | str = Model.EXACT,
    *,
    temperature: float | None = None,
    assumptions: Assumptions | None = None,
    self_heating: bool = False,
) -> OperatingPoint:
    """Operating point of a circuit.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    model : Model or str, default "exact"
        Rung of the model ladder: ``board``, ``exact`` or ``device``.
    temperature : float, optional
        Junction temperature; without it that of the sheet, else 25 °C. [K]
    assumptions : Assumptions, optional
        What a source assumes beyond the rule of the board; for the ``board`` rung only.
    self_heating : bool, default False
        Let every transistor warm its junction by R_thJA times its power over ``temperature``,
        which is then that of the air; for the ``device`` rung only.

    Returns
    -------
    OperatingPoint
        With a warning for every broken expectation.

    Raises
    ------
    CircuitError
        If a value is missing or out of reason, or sources contradict each other.
    UnknownNameError
        If there is no such model, or an assumption names no transistor of the circuit.
    NoSolutionError
        If no combination of regions is consistent; the assumption that failed is named.
    ThermalRunawayError
        If with self-heating a junction finds no temperature to stay at; the part is named.
    ConvergenceError
        If the device model does not settle; the part that would not is named.
    """
    solution = solve(
        circuit,
        model,
        temperature=temperature,
        assumptions=assumptions,
        self_heating=self_heating,
    )
    if solution.value is None:
        raise solution.error or NoSolutionError(solution.result.value)
    return solution.value


def solve(
    circuit: Circuit,
    model: Model | str = Model.EXACT,
    *,
    temperature: float | None = None,
    assumptions: Assumptions | None = None,
    self_heating: bool = False,
    throw: bool = False,
) -> Solution:
    """Solve a circuit and tell how.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    model : Model or str, default "exact"
        Rung of the model ladder.
    temperature : float, optional
        Junction temperature; without it that of the sheet, else 25 °C. [K]
    assumptions : Assumptions, optional
        What a source assumes beyond the rule of the board.
    self_heating : bool, default False
        As for :func:`operating_point`.
    throw : bool, default False
        Raise instead of returning a solution without a value.

    Returns
    -------
    Solution
        ``value`` is None when there is no point; ``result`` says why in a sentence.

    Raises
    ------
    CircuitError
        If a value is missing or out of reason, or sources contradict each other.
    UnknownNameError
        If there is no such model, or an assumption names no transistor of the circuit.
    """
    rung = _rung(model)
    T = _temperature(circuit, temperature)
    net = network(circuit, T)
    if assumptions is not None:
        if rung is not Model.BOARD:
            raise CircuitError(f"Assumptions are for the board model; '{rung}' makes none.")
        assumptions.check(circuit)
    if self_heating and rung is not Model.DEVICE:
        raise CircuitError(
            f"Self-heating needs the device model; the {rung} model has constant drops that know "
            "no temperature. Choose the model device."
        )
    R_thJA = thermal_resistances(net) if self_heating else None
    try:
        refuse_stuck_currents(net)
        if rung is Model.BOARD:
            return _board(net, T, assumptions or Assumptions())
        return _exact(net, T) if rung is Model.EXACT else _device(net, T, R_thJA)
    except SolveError as error:
        if throw:
            raise
        return Solution(None, _result_of(error), Stats(), (), error)


def _result_of(error: SolveError) -> Result:
    if isinstance(error, ThermalRunawayError):
        return Result.RUNAWAY
    return Result.NOT_SETTLED if isinstance(error, ConvergenceError) else Result.NO_SOLUTION


def neglects(
    circuit: Circuit,
    assumptions: Assumptions | None = None,
    *,
    temperature: float | None = None,
) -> tuple[Neglect, ...]:
    """What the board rung leaves out of a circuit, as data.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    assumptions : Assumptions, optional
        What a source assumes beyond the rule.
    temperature : float, optional
        Junction temperature. [K]

    Returns
    -------
    tuple of Neglect
    """
    assumed = assumptions or Assumptions()
    assumed.check(circuit)
    T = _temperature(circuit, temperature)
    return solve_board(network(circuit, T), T, assumed).neglects


def _exact(net: Network, T: float) -> Solution:
    tab = tableau(net, junctions_of(net))
    laws = logarithmic_laws(tab, T)
    found = search(tab, laws, device_seeds(tab, net, T))
    return _straight(tab, laws, found, Model.EXACT, T, ())


def _board(net: Network, T: float, assumptions: Assumptions) -> Solution:
    board = solve_board(net, T, assumptions)
    sentences = tuple(n.sentence for n in board.neglects)
    return _straight(board.tab, board.laws, board.found, Model.BOARD, T, sentences)


def _straight(
    tab: Tableau,
    laws: tuple[Follow, ...],
    found: Found,
    model: Model,
    T: float,
    neglected: tuple[str, ...],
) -> Solution:
    """Points of the consistent pieces."""

    def point_of(piece: Piece) -> OperatingPoint:
        raw = raw_of(tab, piece, laws)
        point = operating_point_of(
            tab.network, raw, model, T, neglected=neglected, steps=found.steps
        )
        warnings = (*warnings_of(tab.network, point), *taken_as_equal(tab))
        return replace(point, warnings=warnings)

    return _solution(
        point_of(found.piece),
        tuple(point_of(p) for p in found.others),
        Method.STRAIGHT,
        stable=tuple(p.orientation > 0 for p in (found.piece, *found.others)),
    )


def _device(net: Network, T: float, R_thJA: Mapping[str, float] | None) -> Solution:
    tab = tableau(net, junctions_of(net))
    found = _first_device_point(tab, net, T)
    height = np.abs(found.trial.V[: len(net.names)])
    if height.max() > FORCED_VOLTAGE:
        raise NoSolutionError(no_way(net, int(height.argmax())))
    settled, complete = _all_device_points(tab, net, T, found)
    settled, junctions = warmed(net, T, settled, R_thJA)
    points = []
    for s, temperatures in zip(settled, junctions, strict=True):
        state = state_of_device(tab, net, s)
        raw = raw_of_device(net, s, *cutoff_by_pieces(tab, state, s.trial.V))
        point = operating_point_of(net, raw, Model.DEVICE, T, steps=s.steps)
        point = replace(point, junction_temperatures=temperatures)
        points.append(replace(point, warnings=warnings_of(net, point)))
    # One transistor has no feedback structure, so its point is the only one, and at rest (R. O.
    # Nielsen, A. N. Willson, Proceedings of the IEEE 68 (1980) 196-208, from memory).
    alone = len(net.bipolars) <= 1 and not net.fets
    stable = tuple(alone or rests(s.plan, s.laws, s.trial) for s in settled)
    method = settled[0].method
    return _solution(points[0], tuple(points[1:]), method, stable=stable, complete=complete)


def _all_device_points(
    tab: Tableau, net: Network, T: float, found: DeviceFound
) -> tuple[list[DeviceFound], bool]:
    """All points that a bounded search finds, and whether the signs of their determinants fit."""
    starts: list[Trial] = []
    all_regions = True
    if len(net.bipolars) + len(net.fets) > 1:
        state = state_of_device(tab, net, found)
        pieces, all_regions = _pieces(tab, logarithmic_laws(tab, T), state)
        starts = [trial_of(tab, piece, found.plan, found.laws) for piece in pieces]
    known = further_points(
        net, found.plan, found.laws, found.trial, starts, all_regions=all_regions
    )
    settled = [
        found if p is found.trial else replace(found, trial=p, steps=p.steps, method=Method.NEWTON)
        for p in known.points
    ]
    return settled, not known.missing


def _first_device_point(tab: Tableau, net: Network, T: float) -> DeviceFound:
    """Newton's method from the usual start, then from the straight pieces, then all other ways."""
    try:
        return solve_device(net, T, only_newton=True)
    except ConvergenceError:
        pass
    try:
        piece = search(tab, logarithmic_laws(tab, T), iter(()), only=True).piece
        start = trial_of(tab, piece, plan_of(net), laws_of(net, T))
    except NoSolutionError:
        return solve_device(net, T)
    return solve_device(net, T, start)


def _pieces(tab: Tableau, laws: tuple[Follow, ...], state: State) -> tuple[tuple[Piece, ...], bool]:
    """Consistent pieces when there are several, and whether all combinations were tried.

    The search begins at the ``state`` of a point of the device model.
    """
    try:
        found = search(tab, laws, iter(()), start=state)
    except NoSolutionError:
        return (), False
    return ((found.piece, *found.others) if found.others else ()), found.exhaustive


def _solution(
    point: OperatingPoint,
    others: tuple[OperatingPoint, ...],
    method: Method,
    *,
    stable: tuple[bool, ...],
    complete: bool = True,
) -> Solution:
    result = Result.SEVERAL if others else Result.FOUND
    if others or not complete:
        sentence = several(point, others, stable, complete=complete)
        point = replace(point, warnings=(*point.warnings, sentence))
    stats = Stats(method, point.steps, point.residual)
    return Solution(point, result, stats, others, stable=stable)


def _rung(model: Model | str) -> Model:
    try:
        return Model(model)
    except ValueError:
        raise UnknownNameError(
            f"'{model}' is no model. Choose one of board, exact or device."
        ) from None


def _temperature(circuit: Circuit, temperature: float | None) -> float:
    if temperature is None:
        temperature = circuit.temperature.value if circuit.temperature else NOMINAL_TEMPERATURE
    if not LOWEST_TEMPERATURE <= temperature <= HIGHEST_TEMPERATURE:
        raise CircuitError(
            f"A junction at {temperature - 273.15:.4g} °C is out of reason. "
            "State a temperature between −65 and 200 °C."
        )
    return temperature
