"""Which resistor would put the point there: the question behind the dragged point."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.errors import SteadypointError
from steadypoint.lectern._desk import stages_of
from steadypoint.lectern._plate import magnitudes
from steadypoint.solve import operating_point
from steadypoint.values import letter_code, neighbours

_REACH: Final = 1000.0  # the search goes to a thousandth and a thousandfold of the stated value
_STEPS: Final = 40
_CLOSE: Final = 1e-5


@dataclass(frozen=True, slots=True)
class Put:
    """A resistance that puts a point at a wanted voltage.

    Parameters
    ----------
    exact : float
        The resistance. [Ω]
    standard : tuple of (float, str, float)
        The standard values beside it (E24), as typed, and where each puts the point. [Ω], [V]
    """

    exact: float
    standard: tuple[tuple[float, str, float], ...]


def put_point(
    circuit: Circuit, model: str, transistor: str, resistor: str, wanted: float
) -> Put | None:
    """The resistance that puts V_CE (V_DS) at a wanted value.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    model : str
        Rung of the model ladder.
    transistor, resistor : str
        Whose point, and what is turned.
    wanted : float
        Wanted magnitude of V_CE or V_DS. [V]

    Returns
    -------
    Put or None
        None where no resistance near the stated one does it.
    """

    def across(R: float) -> float:
        try:
            point = operating_point(circuit.with_value(resistor, R), model)
        except SteadypointError:
            return math.nan
        return magnitudes(stages_of(point)[transistor])[1][1]

    stated = circuit.part(resistor).value
    R = stated.value if stated else 1e3
    exact = _root(lambda x: across(math.exp(x)) - wanted, math.log(R), math.log(_REACH))
    if exact is None:
        return None
    value = math.exp(exact)
    standard = tuple((r, typed(r), across(r)) for r in neighbours(value))
    return Put(value, tuple(dict.fromkeys(standard)))


def typed(R: float) -> str:
    """A resistance as a lecturer types it: 4k7, 820."""
    return letter_code(R, "Ω", kilo="k") if R >= 1000.0 else f"{R:.6g}"


def _root(f: Callable[[float], float], start: float, reach: float) -> float | None:
    """A zero of a function near a place, by widening brackets and halving with secants."""
    low = high = start
    f_low = f_high = f(start)
    width = 0.5
    while f_low * f_high > 0 and width < 2 * reach:
        low, high = max(start - width, start - reach), min(start + width, start + reach)
        f_low, f_high = f(low), f(high)
        width *= 2
    if not f_low * f_high <= 0:
        return None
    side = 0
    for _ in range(_STEPS):
        if abs(high - low) < _CLOSE:
            break
        middle = (low * f_high - high * f_low) / (f_high - f_low) if f_high != f_low else low
        value = f(middle)
        if abs(value) < 1e-7:
            return middle
        # Illinois: halve the kept end, so that both ends close in.
        if value * f_high > 0:
            high, f_high = middle, value
            f_low = f_low / 2 if side == -1 else f_low
            side = -1
        else:
            low, f_low = middle, value
            f_high = f_high / 2 if side == 1 else f_high
            side = 1
    return (low + high) / 2
