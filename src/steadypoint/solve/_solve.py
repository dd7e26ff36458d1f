"""The public verb: the operating point of a circuit on one rung of the model ladder."""

from __future__ import annotations

from steadypoint.circuit import Circuit
from steadypoint.devices import NOMINAL_TEMPERATURE
from steadypoint.errors import CircuitError
from steadypoint.solve._exact import search
from steadypoint.solve._linear import raw_of
from steadypoint.solve._network import network
from steadypoint.solve._pieces import logarithmic_laws
from steadypoint.solve._point import Model, OperatingPoint
from steadypoint.solve._report import operating_point_of
from steadypoint.solve._tableau import junctions_of, tableau

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 208.15, 473.15
"""Range in which silicon junctions are computed: -65 to 200 °C. [K]"""


def operating_point(
    circuit: Circuit, model: Model | str = Model.EXACT, *, temperature: float | None = None
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

    Returns
    -------
    OperatingPoint

    Raises
    ------
    CircuitError
        If a value is missing or out of reason.
    NoSolutionError
        If no combination of regions is consistent; the assumption that failed is named.
    """
    net = network(circuit)
    T = _temperature(circuit, temperature)
    tab = tableau(net, junctions_of(net))
    laws = logarithmic_laws(tab, T)
    found = search(tab, laws, iter(()))
    raw = raw_of(tab, found.piece, laws)
    return operating_point_of(net, raw, Model(model), T, steps=found.steps)


def _temperature(circuit: Circuit, temperature: float | None) -> float:
    if temperature is None:
        temperature = circuit.temperature.value if circuit.temperature else NOMINAL_TEMPERATURE
    if not LOWEST_TEMPERATURE <= temperature <= HIGHEST_TEMPERATURE:
        raise CircuitError(
            f"A junction at {temperature - 273.15:.4g} °C is out of reason. "
            "State a temperature between -65 and 200 °C."
        )
    return temperature
