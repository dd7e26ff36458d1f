"""What a chosen resistance really gives, and the standard values round it."""

from __future__ import annotations

from steadypoint.circuit import Circuit, Kind
from steadypoint.derive._expr import Expr, Number
from steadypoint.derive._working import Working
from steadypoint.errors import SolveError
from steadypoint.solve import Region, operating_point
from steadypoint.values import neighbours

SERIES = ("E12", "E24")


def standard_values(
    work: Working, circuit: Circuit, name: str, wish: tuple[float, str, float]
) -> None:
    """The neighbours in the E series, each with what it really gives.

    Parameters
    ----------
    work : Working
        The working.
    circuit : Circuit
        The circuit.
    name : str
        The resistor.
    wish : tuple of (float, str, float)
        The resistance found, and the current that is wanted with its value. [Ω], [-], [A]
    """
    ohms, current, value = wish
    said: list[str | Expr] = []
    best = (float("inf"), ohms)
    for series in SERIES:
        said += [" " if said else "", f"{series}: "]
        for place, standard in enumerate(dict.fromkeys(neighbours(ohms, series))):
            try:
                reached, _, active = reached_with(circuit, name, standard, current)
            except SolveError:
                continue
            best = min(best, (abs(reached / value - 1.0), standard))
            said += [", " if place else "", Number(standard, "Ω", given=True), " gives "]
            said += [Number(reached, "A"), f" ({_percent(reached, value)})"]
            said += [] if active else [", no longer active"]
        said.append(".")
    said += [" Nearest to what is wanted: ", Number(best[1], "Ω", given=True), "."]
    work.add(
        "Standard values",
        *said,
        reason="preferred values, IEC 60063",
        loop=(name,),
    )


def _percent(value: float, true: float) -> str:
    from steadypoint.derive._document import percent

    return percent((value / true - 1.0) * 100.0)


def reached_with(
    circuit: Circuit, name: str, ohms: float, current: str
) -> tuple[float, float, bool]:
    """Wanted current, V_CE (V_EC) and whether it is active, as ``solve`` finds them."""
    point = operating_point(circuit.with_value(name, ohms), "exact")
    (solved,) = point.transistors.values()
    (part,) = circuit.transistors
    sign = 1.0 if part.kind is Kind.NPN else -1.0
    amps = sign * {"I_B": solved.I_B, "I_C": solved.I_C, "I_E": solved.I_E}[current]
    return amps, sign * solved.V_CE, solved.region is Region.ACTIVE
