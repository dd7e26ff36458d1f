"""Charts of ``steadypoint draw``: what is typed about them becomes a scene."""

from __future__ import annotations

from dataclasses import replace

from steadypoint.circuit import Circuit, apply_setting
from steadypoint.draw import Scene, drift_chart, fet_transfer_chart, input_chart
from steadypoint.errors import QuantityError, SteadypointError
from steadypoint.solve import Model, operating_point
from steadypoint.values import Quantity

_EXAMPLES = "--against beta=50..400, --against RB=100k..1M or --against temperature=-20C..80C"


def chart_scene(
    circuit: Circuit,
    chart: str,
    against: str | None,
    model: str,
    temperature: float | None,
    transistor: str | None,
) -> Scene:
    """The chart that was asked for."""
    if chart == "bias-line" and against is None:
        point = operating_point(circuit, model, temperature=temperature)
        wanted = circuit.part(transistor) if transistor else None
        if (wanted is not None and wanted.kind.is_fet) or not circuit.transistors:
            return fet_transfer_chart(circuit, point, transistor)
        return input_chart(circuit, point, transistor)
    if chart != "drift":
        raise QuantityError("--against belongs to a drift chart. Add --chart drift.")
    if against is None:
        raise QuantityError(f"A drift chart needs what runs. Write {_EXAMPLES}.")
    if temperature is not None:
        circuit = replace(circuit, temperature=Quantity(temperature, "K"))
    name, low, high = value_range(circuit, against, "--against")
    # The rungs with a constant V_BE know no temperature, so the device rung draws its drift.
    rung = Model.DEVICE if name == "temperature" else Model(model)
    return drift_chart(circuit, name, low, high, transistor=transistor, model=rung)


def value_range(circuit: Circuit, text: str, option: str) -> tuple[str, float, float]:
    """Name and SI ends of ``beta=50..400``."""
    name, equals, ends = (piece.strip() for piece in text.partition("="))
    name = {"h_FE": "beta", "hFE": "beta", "β": "beta"}.get(name, name)
    low, dots, high = (piece.strip() for piece in ends.partition(".."))
    if not (name and equals and low and dots and high):
        raise QuantityError(
            f"'{text}' is no range. Write {_EXAMPLES.replace('--against', option)}."
        )
    try:
        first, last = (_value(circuit, name, end) for end in (low, high))
    except SteadypointError as fault:
        raise SteadypointError(f"{option} {text}: {fault}") from fault
    return ("temperature" if name.lower() == "temperature" else name), first, last


def _value(circuit: Circuit, name: str, text: str) -> float:
    """SI value of an end, read as a setting of the circuit."""
    changed = apply_setting(circuit, f"{name}={text}")
    if name.lower() == "temperature" and changed.temperature is not None:
        return changed.temperature.value
    owner, _, symbol = name.rpartition(".")
    for part in changed.parts:
        if part.name == name and part.value is not None:
            return part.value.value
        if owner in ("", part.name):
            for option, quantity in part.options:
                if option == symbol:
                    return quantity.value
    raise QuantityError(f"{name} does not run through a range. Write {_EXAMPLES}.")
