"""``steadypoint work``: the working as text, Markdown, LaTeX, spoken words or JSON."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import NamedTuple

from steadypoint.circuit import Circuit, Kind
from steadypoint.cli._console import plain_space
from steadypoint.cli._input import read_circuit
from steadypoint.cli._point import print_json
from steadypoint.derive import Derivation, derive, resistor_for
from steadypoint.errors import SteadypointError
from steadypoint.values import read_quantity


class Asked(NamedTuple):
    """What is asked of a working: rung, way, one quantity, a wanted current, a budget in %."""

    rung: str
    way: str
    find: str | None
    wanted: str | None
    rounded: bool = False
    budget: float | None = None


def show_working(sheet: str, settings: Sequence[str], form: str, asked: Asked) -> None:
    """Derive the operating point of a sheet and print the working in one of the formats."""
    circuit = read_circuit(sheet, settings)
    derivation = _working(circuit, asked)
    if form == "json":
        print_json({"title": circuit.title, "model": asked.rung, "steps": derivation.to_dict()})
        return
    writers = {
        "text": derivation.text,
        "markdown": derivation.markdown,
        "latex": derivation.latex,
        "spoken": derivation.spoken,
    }
    text = writers[form]().rstrip("\n") + "\n"
    sys.stdout.write(plain_space(text) if form == "text" else text)


def _working(circuit: Circuit, asked: Asked) -> Derivation:
    rung, way, find, wanted, rounded, budget = asked
    if wanted is not None:
        if find is None:
            raise SteadypointError("--for needs --find with the resistor, such as --find RB.")
        if rung != "exact":
            raise SteadypointError(
                "A resistor for a wanted current is worked exactly; leave out --model board."
            )
        name, equals, value = wanted.partition("=")
        if not equals:
            raise SteadypointError(
                f"--for {wanted}: write a current and its value, such as I_C=1mA."
            )
        name = name.strip().removeprefix(
            f"{circuit.transistors[0].name}." if circuit.transistors else ""
        )
        return resistor_for(circuit, find, name, read_quantity(value.strip(), "A").value)
    derivation = derive(
        circuit,
        rung=rung,
        way=way,
        rounded=rounded,
        budget=None if budget is None else budget / 100.0,
    )
    resistors = [p.name for p in circuit.parts if p.kind is Kind.RESISTOR]
    if find in resistors:
        raise SteadypointError(
            f"{find} is given. Say which current it should give, such as --for I_C=1mA."
        )
    return derivation if find is None else derivation.find(find)
