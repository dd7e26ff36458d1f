"""The text alternative: a circuit and its operating point in sentences."""

from __future__ import annotations

from steadypoint.circuit import GROUND, Circuit, Kind, Part
from steadypoint.draw._typography import part_word, plain_number, spoken_value
from steadypoint.solve import FetPoint, OperatingPoint, Region, TransistorPoint

_REGION = {
    Region.ACTIVE: "active",
    Region.SATURATION: "saturated",
    Region.CUTOFF: "cut off",
    Region.REVERSE: "in reverse operation",
    Region.TRIODE: "in the triode region",
}
_FET_REGION = {Region.SATURATION: "in saturation"}


def region_words(region: Region, *, fet: bool = False) -> str:
    """A region in a sentence; saturation of a field-effect transistor is another than of a BJT."""
    return _FET_REGION.get(region, _REGION[region]) if fet else _REGION[region]


def node_words(node: str) -> str:
    """A node in words: ``Q1.collector`` is the collector of Q1."""
    if node == GROUND:
        return "ground"
    if "." in node:
        part, terminal = node.split(".", 1)
        return f"the {terminal} of {part}"
    return node


def part_sentence(part: Part) -> str:
    """Name, kind and value of a part in one phrase."""
    value = spoken_value(part)
    return f"{part.name}, {part_word(part)}" + (f", {value}" if value else "")


def _connection(part: Part) -> str:
    if part.kind.is_transistor:
        ends = ", ".join(
            f"{terminal} at {node_words(node)}"
            for terminal, node in zip(part.kind.terminals, part.nodes, strict=True)
            if node != f"{part.name}.{terminal}"
        )
        return f"{part_sentence(part)}" + (f", with {ends}" if ends else "")
    first, second = part.nodes
    return f"{part_sentence(part)}, from {node_words(first)} to {node_words(second)}"


def describe(
    circuit: Circuit, point: OperatingPoint | None = None, before: OperatingPoint | None = None
) -> str:
    """Full description of a schematic.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    point, before : OperatingPoint, optional
        Its operating point, and an earlier one.

    Returns
    -------
    str
        Sentences on supplies, parts, connections and values.
    """
    name = f" of {circuit.title}" if circuit.title else ""
    sentences = [f"Schematic{name}."]
    supplies = [f"{p.name} is {spoken_value(p)}" for p in circuit.supplies if p.value is not None]
    if supplies:
        sentences.append(f"Supply {' and '.join(supplies)}.")
    sentences += [f"{_connection(p)}." for p in circuit.parts if p.kind is not Kind.SUPPLY]
    if point is not None:
        sentences += [transistor_sentence(t) for t in point.transistors.values()]
        sentences += [fet_sentence(f) for f in point.fets.values()]
    if before is not None:
        sentences += ["Before: " + fet_sentence(f) for f in before.fets.values()]
        sentences += ["Before: " + transistor_sentence(t) for t in before.transistors.values()]
    return " ".join(sentences)


def fet_sentence(f: FetPoint) -> str:
    """Operating point of a field-effect transistor; p-channel in magnitudes."""
    p = f.polarity == "p-channel"
    sign, V_DS, V_GS = (-1.0, "V_SD", "V_SG") if p else (1.0, "V_DS", "V_GS")
    return (
        f"{f.name} is {region_words(f.region, fet=True)}: "
        f"I_D {plain_number(sign * f.I_D, 'A')}, {V_GS} {plain_number(sign * f.V_GS, 'V')}, "
        f"{V_DS} {plain_number(sign * f.V_DS, 'V')}."
    )


def transistor_sentence(t: TransistorPoint) -> str:
    """Operating point of a transistor; pnp in magnitudes, as lecturers write."""
    drop = "V_EC" if t.polarity == "pnp" else "V_CE"
    sign = -1.0 if t.polarity == "pnp" else 1.0
    return (
        f"{t.name} is {_REGION[t.region]}: I_C {plain_number(sign * t.I_C, 'A')}, "
        f"I_B {plain_number(sign * t.I_B, 'A')}, {drop} {plain_number(sign * t.V_CE, 'V')}."
    )
