"""Published worked examples as data: reading them, solving as their source did, comparing."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from scipy import constants

from steadypoint.circuit import GROUND, Circuit, Kind, Part, load_sheet
from steadypoint.solve import Assumptions, OperatingPoint, operating_point
from steadypoint.values import Quantity

HERE = Path(__file__).parent
HAIR = 1e-9
"""Several printed figures sit exactly on the half of their last digit; relative slack for those."""

ANY_BETA = (30.0, 100.0, 400.0, 1e6)
"""Current gains for which an answer must hold where the source states none."""

_PREFIX = {"": 1.0, "%": 0.01, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}


@dataclass(frozen=True)
class Case:
    """One setting of one example, with the way its source works it."""

    example: str
    number: int
    data: dict[str, Any]

    def __hash__(self) -> int:
        return hash((self.example, self.number))

    def __str__(self) -> str:
        settings = [f"{name}={value:g}" for name, value in self.data.get("set", {}).items()]
        return "-".join([self.example, str(self.number), *settings])


@dataclass(frozen=True)
class Item:
    """One printed figure."""

    case: Case
    data: dict[str, Any]

    def __str__(self) -> str:
        return f"{self.case}-{self.data['quantity']}"


@cache
def examples(file: str) -> list[dict[str, Any]]:
    """All examples of a data file."""
    return tomllib.loads((HERE / file).read_text(encoding="utf-8"))["example"]


@cache
def items(file: str) -> list[Item]:
    """All printed figures of a data file."""
    return [
        Item(case, data)
        for example in examples(file)
        for case in (Case(example["name"], i, c) for i, c in enumerate(example["case"], 1))
        for data in case.data["items"]
    ]


@cache
def sheet(name: str) -> Circuit:
    """Circuit of a sheet in this folder."""
    return load_sheet(HERE / "sheets" / f"{name}.circuit")


def circuit_of(case: Case) -> Circuit:
    """Circuit of a case with its settings."""
    circuit = sheet(case.data.get("sheet", case.example))
    return with_settings(circuit, case.data.get("set", {}))


def with_settings(circuit: Circuit, settings: dict[str, float]) -> Circuit:
    """Copy with values (``RB``) and options of parts (``Q1.beta``) set."""
    for name, value in settings.items():
        part, _, option = name.partition(".")
        if option:
            unit = "" if option == "beta" else "V"
            changed = circuit.part(part).with_option(option, Quantity(float(value), unit))
            circuit = circuit.with_part(changed)
        else:
            circuit = circuit.with_value(part, float(value))
    return circuit


def with_any_beta(circuit: Circuit, beta: float) -> Circuit:
    """Copy in which every transistor has this current gain."""
    return with_settings(circuit, {f"{q.name}.beta": beta for q in circuit.transistors})


def solve(case: Case, circuit: Circuit, *, full: bool = False) -> OperatingPoint:
    """Operating point with the assumptions of the source; ``full`` drops them all."""
    extra: dict[str, Any] = {}
    if "V_T" in case.data:
        extra["temperature"] = case.data["V_T"] * constants.e / constants.k
    if full or "assumptions" not in case.data:
        return operating_point(circuit, "exact", **extra)
    taken = assumptions(case.data["assumptions"])
    return operating_point(circuit, "board", assumptions=taken, **extra)


def assumptions(words: dict[str, Any]) -> Assumptions:
    """Assumptions of the board in the solver's terms."""
    return Assumptions(
        **{name: tuple(v) if isinstance(v, list) else v for name, v in words.items()}
    )


# Carrying a figure on: a source works out one current, writes it down, and goes on from there. The
# transistor is then replaced by that current, so that nothing but Kirchhoff's laws is left.


def carried_on(case: Case, circuit: Circuit) -> tuple[Circuit, dict[str, float]]:
    """Circuit in which the figures that the source carries on are held.

    Returns
    -------
    tuple of Circuit and dict
        The circuit, and the terminal currents held. [A]
    """
    carry: dict[str, str] = case.data.get("carry", {})
    before = solve(case, circuit) if carry else None
    held: dict[str, float] = {}
    for quantity, written in carry.items():
        found = value_of(before, quantity)
        held[quantity], half_unit = read_printed(written)
        assert abs(found - held[quantity]) <= half_unit * (1 + HAIR), (
            f"{written} is not the rounded {quantity} = {found:.6g}"
        )
    for name in {quantity.partition(".")[0] for quantity in held}:
        hold = {s: held[f"{name}.{s}"] for s in ("I_C", "I_B") if f"{name}.{s}" in held}
        circuit = _hold(circuit, circuit.part(name), hold)
    return circuit, held


def _hold(circuit: Circuit, q: Part, hold: dict[str, float]) -> Circuit:
    collector, base, emitter = q.nodes

    def source(name: str, nodes: tuple[str, str]) -> Part:
        return Part(name, Kind.CURRENT_SOURCE, nodes, Quantity(hold[name], "A"))

    if "I_C" not in hold:
        circuit = circuit.with_part(replace(q, nodes=(collector, "driven base", emitter)))
        return circuit.with_part(source("I_B", (GROUND, "driven base")))
    circuit = circuit.without(q.name).with_part(source("I_C", (collector, emitter)))
    return circuit.with_part(source("I_B", (base, emitter))) if "I_B" in hold else circuit


def value_of(
    point: OperatingPoint, quantity: str, circuit: Circuit | None = None, held: Any = None
) -> Any:
    """Value of a quantity as the data name it, in SI units.

    ``circuit`` and ``held`` serve transistors that were replaced by the currents they carry.
    """
    if "/" in quantity:
        above, below = quantity.split("/")
        terms = above.strip("()").split(" + ")
        return sum(value_of(point, term) for term in terms) / value_of(point, below)
    if quantity == "twice the smaller headroom of Q1":
        q1 = point.transistors["Q1"]
        return 2.0 * min(q1.headroom_saturation, q1.headroom_cutoff)
    name, _, symbol = quantity.partition(".")
    if name not in point.transistors:
        if held:
            return _value_of_replaced(point, name, symbol, circuit, held)
        return getattr(point.parts[name], symbol or "V")
    q = point.transistors[name]
    match symbol:
        case "region":
            return q.region.value
        case "beta_forced":
            return q.I_C / q.I_B
        case "V_BC":
            return q.V_B - q.V_C
        case "V_CB":
            return q.V_C - q.V_B
    return getattr(q, symbol)


def _value_of_replaced(
    point: OperatingPoint, name: str, symbol: str, circuit: Circuit, held: dict[str, float]
) -> float:
    V_C, V_B, V_E = (point.nodes[n] for n in circuit.part(name).nodes)
    I_C = held[f"{name}.I_C"]
    I_E = I_C + held.get(f"{name}.I_B", 0.0)
    return {"V_C": V_C, "V_B": V_B, "V_E": V_E, "V_CE": V_C - V_E, "I_C": I_C, "I_E": I_E}[symbol]


def read_printed(text: str) -> tuple[float, float]:
    """Figure and half a unit of its last digit, from a printed value such as ``0.0285 mA``."""
    found = re.fullmatch(r"(-?\d+(?:\.(\d+))?)(?:e(-?\d+))?(?: ([nµmkM%]?)(?:A|V|Ω)?)?", text)
    assert found, text
    mantissa, digits, power, prefix = found.groups()
    unit = _PREFIX[prefix or ""] * 10.0 ** int(power or 0)
    return float(mantissa) * unit, 0.5 * 10.0 ** -len(digits or "") * unit


def result_of(item: Item, circuit: Circuit, *, full: bool = False) -> Any:
    """What the solver gives for a printed figure."""
    case, quantity = item.case, item.data["quantity"]
    if quantity.startswith("change of "):
        name = quantity.removeprefix("change of ")
        before = with_settings(circuit, case.data["changed_from"])
        first, second = (value_of(solve(case, c, full=full), name) for c in (before, circuit))
        return second / first - 1.0
    if full:
        return value_of(solve(case, circuit, full=True), quantity)
    held_circuit, held = carried_on(case, circuit)
    return value_of(solve(case, held_circuit), quantity, circuit, held)


def compare(result: Any, item: Item) -> None:
    """Hold a result against a printed figure; a misprint must be missed."""
    data = item.data
    if isinstance(data["value"], str):
        assert result == data["value"]
        return
    if data.get("magnitude"):
        result = abs(result)
    assert abs(result - data["value"]) <= data["tolerance"] * (1 + HAIR) + HAIR * abs(result)
    if "erratum" in data:
        printed, half_unit = read_printed(data["printed"])
        assert data["erratum"].startswith("ERRATUM:")
        assert abs(result - printed) > half_unit * (1 + HAIR) + HAIR * abs(result)
