"""Structural checks of a circuit: one sentence for each way it can contradict itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from steadypoint.circuit._graph import Found, Graph
from steadypoint.circuit._hints import hint_faults
from steadypoint.circuit._listed import listed
from steadypoint.circuit._model import GROUND, Circuit, Kind, Part
from steadypoint.circuit._reason import part_fault, temperature_fault
from steadypoint.errors import CircuitError, did_you_mean

_SOURCES: Final = (Kind.SUPPLY, Kind.VOLTAGE_SOURCE, Kind.CURRENT_SOURCE)


def check(circuit: Circuit) -> None:
    """Check that a circuit makes sense before it is solved.

    Parameters
    ----------
    circuit : Circuit
        Any circuit. `read_sheet` checks what it reads.

    Raises
    ------
    CircuitError
        With one sentence on the first fault: a name used twice, a value out of reason, a part
        joined to itself, supplies in conflict, an open terminal, a node touched once, a rail
        without load, a node without a path for direct current, nothing that supplies.

    Notes
    -----
    A node of its own name that only a capacitor leads to is a signal terminal (``IN``, ``OUT``) and
    may be touched once; so may one that reaches the circuit through resistors and then a capacitor.
    """
    found = first_fault(circuit)
    if found is not None:
        raise CircuitError(found.sentence)


def first_fault(circuit: Circuit) -> Found | None:
    """First fault of a circuit, or None."""
    return next(faults(circuit), None)


def faults(circuit: Circuit) -> Iterator[Found]:
    """All faults of a circuit, the one to mend first before those that may follow from it."""
    for rule in _RULES_OF_PARTS:
        yield from rule(circuit)
    if any(len(part.nodes) != len(part.kind.terminals) for part in circuit.parts):
        return
    graph = Graph(circuit)
    for structural in _RULES_OF_STRUCTURE:
        yield from structural(graph)


def _nothing(circuit: Circuit) -> Iterator[Found]:
    if not circuit.parts:
        yield Found("The circuit has no parts. Begin with a supply: VCC = 9 V.")


def _names(circuit: Circuit) -> Iterator[Found]:
    seen: set[str] = set()
    for part in circuit.parts:
        if part.name in seen:
            yield Found(
                f"The name '{part.name}' is used twice. Give every part a name of its own.",
                (part.name,),
            )
        seen.add(part.name)


def _terminals(circuit: Circuit) -> Iterator[Found]:
    for part in circuit.parts:
        wanted = len(part.kind.terminals)
        if len(part.nodes) != wanted or not all(part.nodes):
            yield Found(
                f"{part.name} has {len([n for n in part.nodes if n])} of the {wanted} nodes of "
                f"{part.kind.spoken}.",
                (part.name,),
            )


def _values(circuit: Circuit) -> Iterator[Found]:
    for part in circuit.parts:
        sentence = part_fault(part)
        if sentence:
            yield Found(sentence, (part.name,))
    if circuit.temperature is not None:
        sentence = temperature_fault(circuit.temperature)
        if sentence:
            yield Found(sentence)


def _matches(circuit: Circuit) -> Iterator[Found]:
    transistors = [part for part in circuit.parts if part.kind.is_transistor]
    kinds = {part.name: part.kind for part in transistors}
    for part in transistors:
        if part.matched_to and (
            kinds.get(part.matched_to) is not part.kind or part.matched_to == part.name
        ):
            yield Found(
                f"{part.name} is matched to '{part.matched_to}', which is no other "
                f"{part.kind.value} of the circuit.",
                (part.name,),
            )


def _hints(circuit: Circuit) -> Iterator[Found]:
    for sentence, hint in hint_faults(circuit):
        yield Found(sentence, (hint.part,))


def _joined_to_itself(circuit: Circuit) -> Iterator[Found]:
    for part in circuit.parts:
        if len(part.nodes) != len(part.kind.terminals):
            continue
        if part.kind.is_transistor:
            first, _, last = part.kind.terminals
            if part.node(first) == part.node(last):
                yield Found(
                    f"{part.name} has {first} and {last} on the same node, so it cannot work. "
                    "Separate the two.",
                    (part.name,),
                )
        elif part.nodes[0] == part.nodes[1]:
            yield Found(
                f"{part.name} is joined to itself: both ends lie on {place(part.nodes[0])}. "
                "Move one end to another node.",
                (part.name,),
            )


def _supplied(circuit: Circuit) -> Iterator[Found]:
    if not any(part.kind in _SOURCES for part in circuit.parts):
        yield Found("Nothing supplies the circuit. Add a supply, for instance VCC = 9 V.")


def _conflicts(graph: Graph) -> Iterator[Found]:
    for loop in graph.voltage_loops():
        names = listed([part.name for part in loop], "and")
        if all(part.kind is Kind.INDUCTOR for part in loop):
            yield Found(
                f"{names} form a loop without resistance, which leaves their direct currents open. "
                "Put a small resistor into it.",
                (loop[-1].name,),
            )
            continue
        yield Found(
            f"{names} are in conflict: they form a loop in which nothing limits the current. "
            "Put a resistor into it or take one of them out.",
            (loop[-1].name,),
        )


def _capitals(graph: Graph) -> Iterator[Found]:
    folded: dict[str, str] = {}
    for node in graph.nodes:
        first = folded.setdefault(node.casefold(), node)
        if first != node:
            yield Found(
                f"The nodes '{first}' and '{node}' differ in capitals only. Write them alike, or "
                "rename one.",
                (node, first),
            )


def _open_terminals(graph: Graph) -> Iterator[Found]:
    for part in graph.transistors:
        for terminal in part.kind.terminals:
            node = part.node(terminal)
            if node == GROUND or len(graph.touching(node)) > 1:
                continue
            yield Found(
                f"The {terminal} of {part.name} is connected to nothing. Join it, for instance "
                f"from {part.name} {terminal} to ground.",
                (node, part.name),
            )


def _touched_once(graph: Graph) -> Iterator[Found]:
    for node in graph.nodes:
        touching = graph.touching(node)
        if len(touching) != 1 or node == GROUND or touching[0].kind is Kind.SUPPLY:
            continue
        rails = (GROUND, *(s.name for s in graph.circuit.supplies))
        if graph.is_signal_terminal(node) and not did_you_mean(node, rails):
            continue
        part = touching[0]
        yield Found(
            f"{_upper(place(node))} is touched once only, by {part.name}, so no current can flow "
            f"there.{graph.suggestion(node)}",
            (node, part.name),
        )


def _idle_rails(graph: Graph) -> Iterator[Found]:
    for supply in graph.circuit.supplies:
        if len(graph.touching(supply.nodes[0])) == 1:
            yield Found(
                f"{supply.name} supplies nothing."
                f"{graph.suggestion(supply.nodes[0], 'Connect a part to it, or leave it out.')}",
                (supply.name,),
            )


def _no_return(graph: Graph) -> Iterator[Found]:
    """Nothing but one supply touches ground: no current can come back."""
    if len(graph.touching(GROUND)) == 1 and len(graph.circuit.supplies) == 1:
        yield Found(
            "Nothing leads to ground, so no current can return to the supply. End a line with "
            "'to ground'.",
            (graph.circuit.supplies[0].name,),
        )
    if not graph.touching(GROUND):
        yield Found(
            "Nothing leads to ground. Every voltage counts against it: end a line with 'to ground'."
        )


def _starved_terminals(graph: Graph) -> Iterator[Found]:
    """A transistor terminal that no direct current can reach from outside."""
    for part in graph.transistors:
        for terminal in part.kind.terminals:
            node = part.node(terminal)
            others = [p for p in graph.touching(node) if p is not part]
            if node == GROUND or not others or any(p.kind is not Kind.CAPACITOR for p in others):
                continue
            names = listed([p.name for p in others], "and")
            yield Found(
                f"Only {names} {_leads(others)} to the {terminal} of {part.name}, and a capacitor "
                "carries no direct current. Add a path, for instance a resistor.",
                (node, part.name),
            )


def _no_path(graph: Graph) -> Iterator[Found]:
    for island in graph.islands():
        node = island[0]
        sources = [p.name for p in graph.bordering(island, Kind.CURRENT_SOURCE)]
        if sources:
            fed = listed(sources, "and")
            yield Found(
                f"{_upper(place(node))} has no DC path to ground for the current of {fed}. "
                f"Add a path.{graph.suggestion(node)}",
                (node, sources[0]),
            )
            continue
        if graph.is_signal_side(island):
            continue
        capacitors = [p.name for p in graph.bordering(island, Kind.CAPACITOR)]
        only = f", only the way through {listed(capacitors, 'and')}" if capacitors else ""
        yield Found(
            f"{_upper(place(node))} has no DC path to ground{only}. Add a path, for instance a "
            f"resistor.{graph.suggestion(node)}",
            tuple(island),
        )


def place(node: str) -> str:
    """A node as a sentence names it."""
    if node == GROUND:
        return "ground"
    name, dot, terminal = node.partition(".")
    return f"the {terminal} of {name}" if dot else f"node '{node}'"


def _leads(parts: Sequence[Part]) -> str:
    return "leads" if len(parts) == 1 else "lead"


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]


_RULES_OF_PARTS: Final[tuple[Callable[[Circuit], Iterator[Found]], ...]] = (
    _nothing,
    _names,
    _terminals,
    _values,
    _matches,
    _joined_to_itself,
    _hints,
    _supplied,
)
_RULES_OF_STRUCTURE: Final[tuple[Callable[[Graph], Iterator[Found]], ...]] = (
    _conflicts,
    _capitals,
    _open_terminals,
    _touched_once,
    _idle_rails,
    _no_return,
    _starved_terminals,
    _no_path,
)
