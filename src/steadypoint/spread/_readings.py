"""Quantities of one operating point by name, in the signs that people read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit, Kind
from steadypoint.errors import UnknownNameError, did_you_mean
from steadypoint.solve import OperatingPoint, Region

BIPOLAR: Final = {"I_C": "A", "V_CE": "V", "I_B": "A", "I_E": "A", "V_BE": "V", "P": "W"}
FET: Final = {"I_D": "A", "V_DS": "V", "V_GS": "V", "P": "W"}
MAGNITUDES: Final = {"V_CE": "V_EC", "V_BE": "V_EB", "V_DS": "V_SD", "V_GS": "V_SG"}

_WORDS: Final = {
    Region.ACTIVE: "active",
    Region.SATURATION: "saturated",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "in reverse",
    Region.TRIODE: "in its triode region",
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One quantity of an operating point.

    Parameters
    ----------
    name : str
        As results name it: ``Q1.I_C``, or ``V(OUT)`` for a node.
    symbol : str
        As people read it, such as ``V_EC`` of a pnp transistor.
    unit : str
        SI unit.
    owner : str
        The transistor or the node.
    sign : int
        -1 where people read the magnitude of a pnp or p-channel transistor. [-]
    """

    name: str
    symbol: str
    unit: str
    owner: str
    sign: int = 1

    @property
    def of_node(self) -> bool:
        """Whether it is a node's voltage."""
        return self.name.startswith("V(")

    def of(self, point: OperatingPoint) -> float:
        """Value at a point, in SI units and the sign that people read.

        Parameters
        ----------
        point : OperatingPoint
            A point of the circuit.
        """
        if self.of_node:
            return point.nodes[self.owner]
        stage = point.transistors.get(self.owner) or point.fets[self.owner]
        return self.sign * float(getattr(stage, self.name.rpartition(".")[2]))


def reading(circuit: Circuit, name: str) -> Reading:
    """Quantity by the name that a reader writes.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        ``Q1.I_C``; ``I_C`` for the first transistor that has it; ``V(OUT)`` or ``OUT`` for a node.

    Returns
    -------
    Reading

    Raises
    ------
    UnknownNameError
        If the circuit has no such quantity; the nearest is suggested.
    """
    node = name[2:-1] if name.startswith("V(") and name.endswith(")") else name
    if node in circuit.nodes:
        return Reading(f"V({node})", f"V_{node}", "V", node)
    back = {shown: symbol for symbol, shown in MAGNITUDES.items()}
    owner, dot, symbol = name.rpartition(".")
    symbol = back.get(symbol, symbol)
    for part in (*circuit.transistors, *circuit.fets):
        units = FET if part.kind.is_fet else BIPOLAR
        if symbol in units and (part.name == owner or not dot):
            turned = part.kind in (Kind.PNP, Kind.P_JFET, Kind.P_MOSFET) and symbol != "P"
            shown = MAGNITUDES.get(symbol, symbol) if turned else symbol
            sign = -1 if turned else 1
            return Reading(f"{part.name}.{symbol}", shown, units[symbol], part.name, sign)
    known = [f"{p.name}.{s}" for p in circuit.transistors for s in BIPOLAR]
    known += [f"{p.name}.{s}" for p in circuit.fets for s in FET] + [
        f"V({n})" for n in circuit.nodes
    ]
    hint = did_you_mean(name, known) or f" Ask for {', '.join(known[:4])} or a node's voltage."
    raise UnknownNameError(f"The circuit has no quantity called '{name}'.{hint}")


def usual_readings(circuit: Circuit) -> tuple[Reading, ...]:
    """Output current and voltage of every transistor, in the order of the sheet.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    """
    names = [f"{p.name}.{s}" for p in circuit.transistors for s in ("I_C", "V_CE")]
    names += [f"{p.name}.{s}" for p in circuit.fets for s in ("I_D", "V_DS")]
    return tuple(reading(circuit, name) for name in names)


def regions_at(point: OperatingPoint) -> dict[str, Region]:
    """Region of every transistor, bipolar ones first.

    Parameters
    ----------
    point : OperatingPoint
        A point.
    """
    found = {name: stage.region for name, stage in point.transistors.items()}
    return found | {name: stage.region for name, stage in point.fets.items()}


def region_word(region: Region, *, fet: bool) -> str:
    """Region as it stands after "is" in a sentence.

    Parameters
    ----------
    region : Region
        A region.
    fet : bool
        Whether it is that of a field-effect transistor, whose saturation is its normal region.
    """
    if fet and region is Region.SATURATION:
        return "in saturation"
    return _WORDS[region]
