"""Which of leakage, V_BE and β moves the point most when it gets warmer: the textbook's sum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit, Kind, at_temperature, follows_temperature
from steadypoint.devices import NOMINAL_TEMPERATURE, bipolar_data, diode_data
from steadypoint.errors import CircuitError, QuantityError, SolveError
from steadypoint.solve import Model, operating_point, tangent
from steadypoint.spread._before_after import in_percent
from steadypoint.spread._readings import Reading, reading
from steadypoint.values import Quantity, format_quantity

HOT: Final = 338.15
"""Upper end of the usual comparison: 65 °C. [K]"""

STANDS: Final = 1e-9
"""Relative change below which a quantity stands still. [-]"""

JUNCTIONS: Final = (Kind.DIODE,)


@dataclass(frozen=True, slots=True)
class Warming:
    """What warmth does to a transistor, as textbooks assume it.

    Parameters
    ----------
    I_CO : float, default 1e-10
        Leakage at 25 °C of a transistor whose sheet states no I_CBO; silicon. [A]
    doubling : float, default 10
        Temperature rise that doubles it. [K]
    V_BE_slope : float, default -2e-3
        Change of V_BE, and of a diode's V_F, at constant current. [V/K]
    beta_slope : float, default 0.006
        Relative change of β, of its value at 25 °C. [1/K]

    Notes
    -----
    Common practice; R. L. Boylestad and L. Nashelsky, *Electronic Devices and Circuit Theory*,
    table of silicon parameters against temperature, starts at 0.1 nA (from memory).
    """

    I_CO: float = 1e-10
    doubling: float = 10.0
    V_BE_slope: float = -2e-3
    beta_slope: float = 0.006

    def __post_init__(self) -> None:
        """Refuse a leakage that never doubles."""
        if not (self.doubling > 0.0 and self.I_CO >= 0.0):
            raise QuantityError(
                "The leakage needs a positive temperature rise that doubles it, 10 K say."
            )

    def leakage(self, at_25: float, temperature: float) -> float:
        """Leakage at a temperature.

        Parameters
        ----------
        at_25 : float
            Leakage at 25 °C. [A]
        temperature : float
            Junction temperature. [K]

        Returns
        -------
        float
            I_CO. [A]
        """
        return float(at_25 * 2.0 ** ((temperature - NOMINAL_TEMPERATURE) / self.doubling))


@dataclass(frozen=True, slots=True)
class WarmCause:
    """What one cause alone does to the quantity.

    Parameters
    ----------
    symbol, unit : str
        Letter symbol of what changes, and its unit.
    before, after : float
        Its value at both temperatures, of the transistor in question. [SI]
    linear : float
        Stability factors times the changes, of all transistors together. [SI]
    moved : float
        How far the quantity really moves on the exact rung with this cause alone. [SI]
    """

    symbol: str
    unit: str
    before: float
    after: float
    linear: float
    moved: float


@dataclass(frozen=True, slots=True)
class WarmShift:
    """How far a quantity moves between two temperatures, and because of what.

    Parameters
    ----------
    quantity : Reading
        What moves.
    start, end : float
        Junction temperatures. [K]
    assumed : Warming
        What warmth was taken to do.
    before : float
        The quantity at the first temperature on the exact rung. [SI]
    causes : tuple of WarmCause
        Largest first.
    together : float
        How far it moves with all causes at once on the exact rung. [SI]
    device : tuple of float or None
        The quantity at both temperatures on the device rung, where that settles; its β changes
        only with a registered type. [SI]
    """

    quantity: Reading
    start: float
    end: float
    assumed: Warming
    before: float
    causes: tuple[WarmCause, ...]
    together: float
    device: tuple[float, float] | None

    @property
    def sentence(self) -> str:
        """The result in words, with the base of the percentage named."""
        first, unit = self.causes[0], self.quantity.unit
        name = self.quantity.name
        if not self.quantity.of_node:
            name = f"{self.quantity.owner}.{self.quantity.symbol}"
        ends = [f"{T - 273.15:.4g}".replace("-", "−") for T in (self.start, self.end)]
        head = f"From {ends[0]} to {ends[1]} °C"
        if abs(first.moved) <= STANDS * abs(self.before):
            return f"{head} none of them moves {name}."
        share = ""
        if self.before:
            percent = in_percent(100.0 * first.moved / self.before)
            share = f", {percent} of the {format_quantity(self.before, unit)} before"
        return (
            f"{head} {first.symbol} moves {name} most: by {format_quantity(first.moved, unit)}"
            f"{share}. All together move it by {format_quantity(self.together, unit)}."
        )


def warm_shift(
    circuit: Circuit,
    quantity: str = "I_C",
    start: float = NOMINAL_TEMPERATURE,
    end: float = HOT,
    *,
    assumed: Warming | None = None,
) -> WarmShift:
    """How far leakage, V_BE and β move a quantity between two temperatures, each alone and all.

    Parameters
    ----------
    circuit : Circuit
        A circuit with bipolar transistors, whose sheet holds for 25 °C.
    quantity : str, default "I_C"
        What moves; a name without owner is the first transistor's.
    start, end : float, default 25 and 65 °C
        Junction temperatures; all transistors and diodes warm alike. [K]
    assumed : Warming, optional
        What warmth does; textbook figures by default.

    Returns
    -------
    WarmShift

    Raises
    ------
    CircuitError
        If the circuit has no bipolar transistor.
    QuantityError
        If both temperatures are the same.
    SolveError
        If there is no point on the exact rung.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> warm_shift(arrangement("voltage divider").circuit).causes[0].symbol
    'V_BE'
    """
    if not circuit.transistors:
        raise CircuitError(
            "The sum of leakage, V_BE and β is for bipolar transistors; the circuit has none."
        )
    if start == end:
        raise QuantityError("A drift needs two different temperatures, 25 and 65 °C say.")
    wanted, rules = reading(circuit, quantity), assumed or Warming()
    base = at_temperature(_stated(circuit, start, rules), start)
    point, law = operating_point(base, "exact"), tangent(base)
    before = wanted.of(point)
    owner = wanted.owner if wanted.owner in point.transistors else circuit.transistors[0].name
    causes: list[WarmCause] = []
    warm = base
    for symbol, unit in (("I_CBO", "A"), ("V_BE", "V"), ("beta", ""), ("V_F", "V")):
        steps = {
            name: (old, new)
            for name, old, new in _changes(base, symbol, (start, end), rules)
            if old != new
        }
        if not steps:
            continue
        linear = sum(
            wanted.sign * law.by(name, symbol)[wanted.name] * (new - old)
            for name, (old, new) in steps.items()
            if symbol != "V_BE" or not law.follows(name)
        )
        moved = wanted.of(operating_point(_with(base, symbol, steps), "exact")) - before
        warm = _with(warm, symbol, steps)
        shown = steps.get(owner) or next(iter(steps.values()))
        causes.append(WarmCause(_called(symbol), unit, *shown, linear, moved))
    hot = at_temperature(circuit, end)
    for name in (p.name for p in circuit.parts if follows_temperature(p)):
        ends = [one.part(name).value for one in (base, hot)]
        old, new = (quantity.value for quantity in ends if quantity is not None)
        linear = wanted.sign * law.by(name)[wanted.name] * (new - old)
        moved = wanted.of(operating_point(base.with_part(hot.part(name)), "exact")) - before
        warm = warm.with_part(hot.part(name))
        unit = "V" if circuit.part(name).kind is Kind.ZENER else "Ω"
        causes.append(WarmCause(name, unit, old, new, linear, moved))
    together = wanted.of(operating_point(warm, "exact")) - before
    causes.sort(key=lambda cause: -abs(cause.moved))
    device = _on_device(circuit, wanted, start, end)
    return WarmShift(wanted, start, end, rules, before, tuple(causes), together, device)


def _called(symbol: str) -> str:
    return {"I_CBO": "I_CO", "beta": "β", "V_F": "V_F of the diodes"}.get(symbol, symbol)


def _stated(circuit: Circuit, temperature: float, rules: Warming) -> Circuit:
    """The circuit at the first temperature with leakage, V_BE and β stated on every transistor."""
    point = operating_point(circuit, "exact")
    rise = temperature - NOMINAL_TEMPERATURE
    for part in circuit.transistors:
        data = bipolar_data(part.option)
        V_BE = abs(point.transistors[part.name].V_BE) if data.log_law else data.V_BE
        leakage = rules.leakage(data.I_CBO or rules.I_CO, temperature)
        figures = {
            "I_CBO": (leakage, "A"),
            "V_BE": (max(0.0, V_BE + rules.V_BE_slope * rise) if V_BE else 0.0, "V"),
            "beta": (data.beta * max(1e-3, 1.0 + rules.beta_slope * rise), ""),
        }
        for symbol, (value, unit) in figures.items():
            now = circuit.part(part.name)
            circuit = circuit.with_part(now.with_option(symbol, Quantity(value, unit)))
    for part in circuit.parts:
        if part.kind in JUNCTIONS:
            V_F = max(0.0, diode_data(part.option).V_F + rules.V_BE_slope * rise)
            circuit = circuit.with_part(part.with_option("V_F", Quantity(V_F, "V")))
    return circuit


def _changes(
    base: Circuit, symbol: str, ends: tuple[float, float], rules: Warming
) -> list[tuple[str, float, float]]:
    """Name, old and new figure of everything that has it."""
    rise, found = ends[1] - ends[0], []
    parts = base.transistors
    if symbol == "V_F":
        parts = tuple(p for p in base.parts if p.kind in JUNCTIONS)
    for part in parts:
        old = part.option(symbol) or 0.0
        if symbol == "I_CBO":
            new = old * rules.leakage(1.0, ends[1]) / rules.leakage(1.0, ends[0])
        elif symbol == "beta":
            slope = rules.beta_slope
            new = old * max(1e-3, 1.0 + slope * (ends[1] - NOMINAL_TEMPERATURE))
            new /= max(1e-3, 1.0 + slope * (ends[0] - NOMINAL_TEMPERATURE))
        else:
            new = max(0.0, old + rules.V_BE_slope * rise) if old else 0.0
        found.append((part.name, old, new))
    return found


def _with(circuit: Circuit, symbol: str, steps: Mapping[str, tuple[float, float]]) -> Circuit:
    unit = {"beta": "", "I_CBO": "A"}.get(symbol, "V")
    for name, (_, new) in steps.items():
        part = circuit.part(name)
        circuit = circuit.with_part(part.with_option(symbol, Quantity(new, unit)))
    return circuit


def _on_device(
    circuit: Circuit, wanted: Reading, start: float, end: float
) -> tuple[float, float] | None:
    """The quantity at both temperatures by the exponential law."""
    try:
        points = [operating_point(circuit, Model.DEVICE, temperature=T) for T in (start, end)]
    except SolveError:
        return None
    return wanted.of(points[0]), wanted.of(points[1])


def warmed_circuit(circuit: Circuit, temperature: float, rules: Warming) -> Circuit:
    """The circuit with its drops and stated leakages carried from 25 °C to a temperature.

    Parameters
    ----------
    circuit : Circuit
        As stated, for 25 °C.
    temperature : float
        Junction temperature. [K]
    rules : Warming
        What warmth does; gains stay.
    """
    rise = temperature - NOMINAL_TEMPERATURE
    for part in circuit.transistors:
        data = bipolar_data(part.option)
        changed = part
        if data.V_BE:
            V_BE = Quantity(data.V_BE + rules.V_BE_slope * rise, "V")
            changed = changed.with_option("V_BE", V_BE)
            V_CE_sat = part.option("V_CE_sat")
            if V_CE_sat is None:
                changed = changed.with_option("V_CE_sat", Quantity(data.V_CE_sat, "V"))
        if data.I_CBO:
            leakage = Quantity(rules.leakage(data.I_CBO, temperature), "A")
            changed = changed.with_option("I_CBO", leakage)
        circuit = circuit.with_part(changed)
    for part in circuit.parts:
        if part.kind in JUNCTIONS and diode_data(part.option).V_F:
            V_F = diode_data(part.option).V_F + rules.V_BE_slope * rise
            circuit = circuit.with_part(part.with_option("V_F", Quantity(V_F, "V")))
    return circuit
