"""Moving pictures: schematic, load line and numbers of one circuit while a value runs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.draw._level import level
from steadypoint.draw._load_line import load_line, load_line_reach
from steadypoint.draw._metrics import width as text_width
from steadypoint.draw._scene import Box, Circle, Command, Group, Mark, Path, Scene, Span, Text
from steadypoint.draw._schematic import schematic
from steadypoint.draw._stages import chosen_transistor
from steadypoint.draw._typography import designator, number, quantity_symbol, round_number
from steadypoint.draw._varied import _set, _unit
from steadypoint.errors import CircuitError, QuantityError, SolveError
from steadypoint.solve import Model, OperatingPoint, operating_point

WIDTH: Final = 1280.0
HEIGHT: Final = 720.0
MOST_FRAMES: Final = 2000
_ZERO_CELSIUS: Final = 273.15
_WIDE_RANGE: Final = 20.0  # a range of more than this ratio runs in equal ratios
_MARGIN: Final = 36.0
_HEAD: Final = 92.0
_LARGEST: Final = 1.5
_LOOKED_AT: Final = 120  # values solved beforehand to fix the axes


def moving_values(low: float, high: float, frames: int) -> tuple[float, ...]:
    """Values of the frames, both ends included.

    Parameters
    ----------
    low, high : float
        Ends of the range, in the order in which they are to be seen.
    frames : int
        Number of frames, 2 to 2000. [-]

    Returns
    -------
    tuple of float
        Equal steps; equal ratios where both ends are positive and more than 20 times apart.

    Raises
    ------
    QuantityError
        If the number of frames is out of reason or both ends are equal.
    """
    if not 2 <= frames <= MOST_FRAMES:
        raise QuantityError(f"{frames} frames make no moving picture. Ask for 2 to {MOST_FRAMES}.")
    if low == high:
        raise QuantityError("A range needs two different ends, such as beta=50..300.")
    shares = [k / (frames - 1) for k in range(frames)]
    if min(low, high) > 0 and max(low, high) / min(low, high) > _WIDE_RANGE:
        return tuple(low * (high / low) ** s for s in shares)
    return tuple(low + (high - low) * s for s in shares)


def moving_scene(
    circuit: Circuit,
    name: str,
    value: float,
    *,
    transistor: str | None = None,
    model: Model | str = Model.EXACT,
    reach: tuple[float, float] | None = None,
) -> Scene:
    """One frame: the value, the schematic with its numbers, load line and level beside it.

    Parameters
    ----------
    circuit : Circuit
        The circuit; its own value of ``name`` does not matter.
    name : str
        What runs: a part, a supply, ``beta``, ``Q1.beta``, ``temperature``.
    value : float
        Value of this frame in SI units.
    transistor : str, optional
        Whose load line is drawn; the first by default.
    model : Model or str, default "exact"
        Rung of the model ladder.
    reach : tuple of float, optional
        Voltage and current that the axes of the load line hold in every frame (`moving_reach`).
        [V, A]

    Returns
    -------
    Scene
        1280 by 720; parts stand at the same place in every frame. Without a solution the frame
        says so and the schematic bears no voltages.

    Raises
    ------
    SteadypointError
        If the circuit has no transistor or the name cannot be changed.
    """
    chosen = chosen_transistor(circuit, transistor)
    changed = _set(circuit, name, value)
    point: OperatingPoint | None
    try:
        point = operating_point(changed, Model(model))
    except SolveError:
        point = None
    marks: list[Mark] = [_heading(circuit, name, value)]
    described = []
    split = _MARGIN + (WIDTH - 2 * _MARGIN) * 0.55
    drawn = schematic(changed, point, show=("values", "voltages", "currents", "regions"))
    fits = Box(_MARGIN, _HEAD, split - 20, HEIGHT - _MARGIN)
    marks.append(_fitted(drawn, fits, "picture"))
    described.append(drawn.description)
    if point is None:
        said = (Span("No operating point at this value.", size=22.0),)
        marks.append(Text(split + 20, HEIGHT / 2, said))
    else:
        marks += _right(
            changed, point, chosen, Box(split, _HEAD, WIDTH - _MARGIN, HEIGHT - 30), reach
        )
    return Scene(
        f"{circuit.title or 'Circuit'}: {name} runs",
        " ".join(described),
        Box(0.0, 0.0, WIDTH, HEIGHT),
        tuple(marks),
        "moving",
    )


def moving_scenes(
    circuit: Circuit,
    name: str,
    low: float,
    high: float,
    *,
    frames: int = 90,
    transistor: str | None = None,
    model: Model | str = Model.EXACT,
) -> Iterator[Scene]:
    """Frames of a moving picture, one by one (see `moving_values` and `moving_scene`).

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        What runs.
    low, high : float
        Ends of the range in SI units.
    frames : int, default 90
        Number of frames. [-]
    transistor : str, optional
        Whose load line is drawn; the first by default.
    model : Model or str, default "exact"
        Rung of the model ladder.

    Yields
    ------
    Scene
        The same call gives the same frames.
    """
    values = moving_values(low, high, frames)
    reach = moving_reach(circuit, name, values, transistor=transistor, model=model)
    for value in values:
        yield moving_scene(circuit, name, value, transistor=transistor, model=model, reach=reach)


def moving_reach(
    circuit: Circuit,
    name: str,
    values: Sequence[float],
    *,
    transistor: str | None = None,
    model: Model | str = Model.EXACT,
) -> tuple[float, float] | None:
    """Voltage and current that the load lines of all frames need, so that their axes stand still.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    name : str
        What runs.
    values : sequence of float
        Values of the frames in SI units.
    transistor : str, optional
        Whose load line is drawn; the first by default.
    model : Model or str, default "exact"
        Rung of the model ladder.

    Returns
    -------
    tuple of float or None
        None where no frame has a load line. [V, A]
    """
    chosen = chosen_transistor(circuit, transistor)
    step = -(-len(values) // _LOOKED_AT)
    points = []
    for value in (*values[::step], values[-1]):
        with suppress(SolveError):
            points.append(operating_point(_set(circuit, name, value), Model(model)))
    return load_line_reach(points, chosen)


def _heading(circuit: Circuit, name: str, value: float) -> Group:
    title = Text(_MARGIN, 52.0, (Span(circuit.title or "Circuit", size=24.0, weight="strong"),))
    unit = _unit(circuit, name)
    if name == "temperature":
        value, unit = value - _ZERO_CELSIUS, "°C"
    owner, dot, symbol = name.rpartition(".")
    is_part = any(p.name == name for p in circuit.parts)
    spans = designator(name) if is_part else quantity_symbol(symbol)
    if name == "temperature":
        spans = (Span("Temperature"),)
    if dot:
        spans = (*designator(owner), *(replace(s, gap=6.0 if k == 0 else s.gap)
                                       for k, s in enumerate(spans)))  # fmt: skip
    figures = round_number(value, unit, 3, gap=8.0) if not unit else number(value, unit, gap=8.0)
    line = tuple(_larger(s, 2.0) for s in (*spans, *figures))
    x = WIDTH - _MARGIN - text_width(line)
    return Group("heading", (title, Text(x, 54.0, line)), data=(("moving", name),))


def _right(
    circuit: Circuit,
    point: OperatingPoint,
    chosen: str,
    box: Box,
    reach: tuple[float, float] | None,
) -> list[Mark]:
    wide = box.x1 - box.x0
    marks: list[Mark] = []
    tube = level(point, chosen, width=wide)
    under = box.y1 - tube.height
    try:
        line = load_line(
            circuit, point, chosen, width=wide, height=under - box.y0 - 20, reach=reach
        )
        marks.append(_fitted(line, Box(box.x0, box.y0, box.x1, under - 20), "picture"))
    except (CircuitError, SolveError):
        said = (Span("This stage has no straight load line.", size=18.0),)
        marks.append(Text(box.x0 + 20, (box.y0 + under) / 2, said))
    marks.append(_fitted(tube, Box(box.x0, under, box.x1, box.y1), "picture"))
    return marks


def _fitted(scene: Scene, box: Box, role: str) -> Group:
    """A scene moved and scaled into a box, in its middle."""
    wide, high = box.x1 - box.x0, box.y1 - box.y0
    k = min(wide / scene.width, high / scene.height, _LARGEST)
    dx = box.x0 + (wide - k * scene.width) / 2 - k * scene.box.x0
    dy = box.y0 + (high - k * scene.height) / 2 - k * scene.box.y0
    return Group(role, tuple(_moved(m, dx, dy, k) for m in scene.marks))


def _moved(mark: Mark, dx: float, dy: float, k: float) -> Mark:
    if isinstance(mark, Group):
        return replace(mark, children=tuple(_moved(m, dx, dy, k) for m in mark.children), name="")
    if isinstance(mark, Circle):
        return Circle(dx + k * mark.x, dy + k * mark.y, k * mark.r, mark.role)
    if isinstance(mark, Text):
        spans = tuple(_larger(s, k) for s in mark.spans)
        return replace(mark, x=dx + k * mark.x, y=dy + k * mark.y, spans=spans)
    return Path(tuple(_command(c, dx, dy, k) for c in mark.commands), mark.role)


def _command(command: Command, dx: float, dy: float, k: float) -> Command:
    op, *rest = command
    numbers = [float(v) for v in rest]
    if op == "A":
        radius, sweep, x, y = numbers
        return ("A", k * radius, sweep, dx + k * x, dy + k * y)
    return (op, *(k * v + (dy if i % 2 else dx) for i, v in enumerate(numbers)))


def _larger(span: Span, k: float) -> Span:
    return replace(span, size=span.size * k, drop=span.drop * k, gap=span.gap * k)
