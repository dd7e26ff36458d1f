"""Quantities of an operating point by name, as columns over many value sets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steadypoint.circuit import Circuit
from steadypoint.errors import UnknownNameError, did_you_mean
from steadypoint.solve import ManyPoints

FloatArray = NDArray[np.float64]

SYMBOLS: Final = {"I_C": "A", "I_B": "A", "I_E": "A", "V_CE": "V", "V_BE": "V", "P": "W"}
"""Letter symbols of a bipolar transistor's quantities with their SI units."""

FET_SYMBOLS: Final = {"I_D": "A", "I_G": "A", "I_S": "A", "V_DS": "V", "V_GS": "V", "P": "W"}
"""The same of a field-effect transistor."""


@dataclass(frozen=True, slots=True)
class Column:
    """One quantity that a run of value sets yields.

    Parameters
    ----------
    name : str
        As results name it: ``Q1.I_C``, or ``V(OUT)`` for a node.
    symbol, unit : str
        Letter symbol and SI unit.
    transistor : str
        The transistor, or empty for a node.
    node : str
        The node, or empty for a transistor.
    """

    name: str
    symbol: str
    unit: str
    transistor: str = ""
    node: str = ""

    def of(self, points: ManyPoints) -> FloatArray:
        """Values of this quantity, shape (n,); NaN where a set has no point.

        Parameters
        ----------
        points : ManyPoints
            Points of the circuit.
        """
        if self.node:
            return np.asarray(points.nodes[self.node])
        channel = points.fets.get(self.transistor)
        if channel is not None:
            if self.symbol == "P":
                return np.asarray(channel.I_D * channel.V_DS + channel.I_G * channel.V_GS)
            return np.asarray(getattr(channel, self.symbol))
        columns = points.transistors[self.transistor]
        if self.symbol == "P":
            return np.asarray(columns.I_C * columns.V_CE + columns.I_B * columns.V_BE)
        return np.asarray(getattr(columns, self.symbol))


def column(circuit: Circuit, name: str) -> Column:
    """Quantity by the name that a reader writes.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        ``Q1.I_C``; ``I_C`` for the first transistor; ``V(OUT)`` or ``OUT`` for a node's voltage.

    Returns
    -------
    Column

    Raises
    ------
    UnknownNameError
        If the circuit has no such quantity; the nearest is suggested.
    """
    symbols = {part.name: SYMBOLS for part in circuit.transistors}
    symbols |= {part.name: FET_SYMBOLS for part in circuit.fets}
    node = name[2:-1] if name.startswith("V(") and name.endswith(")") else name
    if node in circuit.nodes:
        return Column(f"V({node})", f"V_{node}", "V", node=node)
    owner, dot, symbol = name.partition(".")
    if not dot:
        owner, symbol = next((q for q, known in symbols.items() if name in known), ""), name
    unit = symbols.get(owner, {}).get(symbol)
    if unit is not None:
        return Column(f"{owner}.{symbol}", symbol, unit, transistor=owner)
    known = [f"{q}.{s}" for q, own in symbols.items() for s in own]
    bare = dict.fromkeys(s for own in symbols.values() for s in own)
    known += [*bare, *circuit.nodes, *(f"V({n})" for n in circuit.nodes)]
    hint = did_you_mean(name, known) or f" Ask for {', '.join(known[:4])} or a node's voltage."
    raise UnknownNameError(f"The circuit has no quantity called '{name}'.{hint}")


def usual_columns(circuit: Circuit) -> tuple[Column, ...]:
    """Output current and output voltage of every transistor.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    """
    bipolar = [(p.name, s) for p in circuit.transistors for s in ("I_C", "V_CE")]
    channels = [(p.name, s) for p in circuit.fets for s in ("I_D", "V_DS")]
    return tuple(column(circuit, f"{name}.{symbol}") for name, symbol in (*bipolar, *channels))
