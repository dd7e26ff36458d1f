"""Writing of circuit sheets in their canonical form."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steadypoint.circuit._figures import sheet_option, sheet_tolerance, sheet_value
from steadypoint.circuit._model import GROUND, Circuit, Kind, Part
from steadypoint.circuit._trade import POLAR, is_name, kind_of_name, trait_of_name
from steadypoint.errors import CircuitError


def write_sheet(circuit: Circuit) -> str:
    """Circuit sheet of a circuit, in canonical form.

    Reading it back gives the same circuit. Comments of a sheet that the circuit came from are not
    kept. Parts stand in the order of ``circuit.parts``; parts in series that meet at a node of no
    other name stand in one chain; terminals that no part leads to are joined in lines at the end;
    after them stand the hints for the drawing.

    Parameters
    ----------
    circuit : Circuit
        Any circuit whose names a sheet can carry.

    Returns
    -------
    str
        Lines, each ended by a line feed.

    Raises
    ------
    CircuitError
        If a name cannot stand in a sheet, or a supply does not go to ground.

    Examples
    --------
    >>> from steadypoint.circuit import read_sheet
    >>> print(write_sheet(read_sheet('''
    ... VCC = 9V
    ... from VCC through R1 1000, R2 3.3k to GND   # a divider
    ... ''')), end="")
    VCC = 9 V
    from VCC through R1 1k, R2 3k3 to ground
    """
    return "\n".join(_Writing(circuit).lines()) + "\n"


class _Writing:
    def __init__(self, circuit: Circuit) -> None:
        self._circuit = circuit
        self._parts: Mapping[str, Part] = {part.name: part for part in circuit.parts}
        self._refuse_names()

    def lines(self) -> Iterator[str]:
        """Lines of the sheet."""
        circuit = self._circuit
        title = " ".join(circuit.title.split())
        head = [f"title: {title}"] if title else []
        if circuit.temperature is not None:
            head.append(f"temperature = {sheet_value(circuit.temperature)}")
        yield from head
        if head:
            yield ""
        rest = list(circuit.parts)
        while rest:
            part = rest.pop(0)
            if part.kind is Kind.SUPPLY:
                yield f"{part.name} = {' '.join(self._value(part))}"
            elif part.kind.is_transistor:
                yield self._transistor(part)
            else:
                yield self._chain(part, rest)
        yield from self._joins()
        yield from (f"place {hint}" for hint in circuit.hints)

    def _transistor(self, part: Part) -> str:
        partner = self._parts.get(part.matched_to)
        type_name = part.type_name
        if partner is not None and partner.type_name == type_name:
            type_name = ""
        kind = part.kind.value
        if "depletion" in part.traits:
            kind = kind.replace("MOSFET", "depletion MOSFET")
        items = [f"{kind} {type_name}".rstrip()]
        if partner is not None:
            items.append(f"matched to {part.matched_to}")
        same = dict(partner.options) if partner is not None else {}
        items += [f"{s} {sheet_value(q)}" for s, q in part.options if same.get(s) != q]
        return f"{part.name} = {', '.join(items)}"

    def _chain(self, part: Part, rest: list[Part]) -> str:
        """Line of a part and of those that follow it in series; takes these from the rest."""
        here = part.nodes[1]
        written = [self._element(part)]
        while rest and self._is_inner(here):
            other = rest[0]
            if other.kind is Kind.SUPPLY or other.kind.is_transistor:
                break
            polar = other.kind in POLAR or "electrolytic" in other.traits
            if other.nodes[0] == here:
                written.append(self._element(other))
                here = other.nodes[1]
            elif other.nodes[1] == here and polar:
                written.append(f"{self._element(other)} reversed")
                here = other.nodes[0]
            else:
                break
            rest.pop(0)
        return (
            f"from {self._place(part.nodes[0])} through {', '.join(written)} to {self._place(here)}"
        )

    def _element(self, part: Part) -> str:
        words = [part.name]
        by_name = kind_of_name(part.name)
        traits = [t for t in part.traits if t != trait_of_name(part.name)]
        if by_name is not part.kind:
            words.append(part.kind.value)
        if part.kind is not Kind.CAPACITOR:  # electrolytic comes last, as one says it
            words, traits = [*words, *traits], []
        words += self._value(part)
        words += [part.type_name] if part.type_name else []
        words += [f"{symbol} {sheet_option(symbol, q)}" for symbol, q in part.options]
        return " ".join([*words, *traits])

    def _value(self, part: Part) -> list[str]:
        words = [sheet_value(part.value)] if part.value is not None else []
        return words + ([sheet_tolerance(part.tolerance)] if part.tolerance is not None else [])

    def _joins(self) -> Iterator[str]:
        """Lines for transistor terminals and rails whose node has another name."""
        for part in self._circuit.parts:
            if part.kind is Kind.SUPPLY and part.nodes[0] != part.name:
                yield f"from {part.name} to {self._place(part.nodes[0])}"
            if not part.kind.is_transistor:
                continue
            for terminal, node in zip(part.kind.terminals, part.nodes, strict=True):
                if node == f"{part.name}.{terminal}":
                    continue
                place = f"{part.name} {terminal}"
                if any(supply.name == node for supply in self._circuit.supplies):
                    yield f"from {node} to {place}"
                else:
                    yield f"from {place} to {self._place(node)}"

    def _is_inner(self, node: str) -> bool:
        """True for a node that is named after a terminal of a two-terminal part."""
        name, dot, _ = node.partition(".")
        return bool(dot) and name in self._parts and not self._parts[name].kind.is_transistor

    def _place(self, node: str) -> str:
        if node == GROUND or node in self._parts:
            return node
        name, dot, terminal = node.partition(".")
        if dot and name in self._parts and terminal in self._parts[name].kind.terminals:
            return f"{name} {terminal}"
        if is_name(node):
            return node
        raise CircuitError(
            f"The node name '{node}' cannot stand in a sheet. Use a letter, then letters, digits "
            "or '_'."
        )

    def _refuse_names(self) -> None:
        nodes = set(self._circuit.nodes)
        for part in self._circuit.parts:
            if not is_name(part.name):
                raise CircuitError(
                    f"The name '{part.name}' cannot stand in a sheet. Use a letter, then letters, "
                    "digits or '_'."
                )
            if part.kind is Kind.SUPPLY and part.nodes[1] != GROUND:
                raise CircuitError(
                    f"The supply '{part.name}' does not go to ground. Make it a voltage source."
                )
            if part.kind is not Kind.SUPPLY and part.name in nodes:
                raise CircuitError(f"'{part.name}' is both a part and a node. Rename the node.")
