"""The schematic of a circuit."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from steadypoint.circuit import GROUND, Circuit, add_view
from steadypoint.draw._annotate import lettered, notes
from steadypoint.draw._describe import describe
from steadypoint.draw._loop import way_round
from steadypoint.draw._netlist import netlist
from steadypoint.draw._pen import Pen
from steadypoint.draw._plan import plan_of
from steadypoint.draw._scene import Scene
from steadypoint.errors import QuantityError, UnknownNameError
from steadypoint.solve import OperatingPoint

SHOWN: Final = ("values", "voltages", "currents", "powers", "regions")
_MARGIN: Final = 8.0
_LEAST: Final = 0.8
_MOST: Final = 1.5


def schematic(
    circuit: Circuit,
    point: OperatingPoint | None = None,
    *,
    show: Collection[str] = ("values", "voltages", "currents"),
    before: OperatingPoint | None = None,
    lit: Collection[str] = (),
    loop: Sequence[str] = (),
    loop_label: str = "",
    trends: Mapping[str, str] | None = None,
    signal_parts: bool = True,
    faded: bool = False,
    compact: bool = False,
    title: str | None = None,
    as_written: bool = False,
    zigzag: bool = False,
    circle: bool = True,
    lettering: float = 1.0,
) -> Scene:
    """Schematic of a circuit, placed and routed by itself.

    Parameters
    ----------
    circuit : Circuit
        What to draw.
    point : OperatingPoint, optional
        Its operating point; without one no voltages, currents, powers or regions appear.
    show : collection of str
        Any of ``values``, ``voltages``, ``currents``, ``powers``, ``regions``.
    before : OperatingPoint, optional
        An earlier point, shown as "was ...".
    lit : collection of str
        Parts to emphasise, for instance those of a loop.
    loop : sequence of str
        Parts of a loop in the order one meets them, supplies included: a band lies along its
        conductors and an arrow goes round in the mesh. `loop_of` gives it for a step of a working.
    loop_label : str
        A word at the round arrow.
    trends : mapping of str to str, optional
        ``up`` or ``down`` by letter symbol (``I_C``, ``V_E``): an arrow stands at that quantity, as
        in a chain of causes. `trends_between` gives it for two points.
    signal_parts : bool, default True
        With capacitors, terminals and what hangs on them; False gives the direct-current picture.
    faded : bool, default False
        Capacitors and what hangs on them pale: they are open for direct current.
    compact : bool, default False
        For narrow screens: the direct-current picture.
    title : str, optional
        Title; that of the circuit by default.
    as_written : bool, default False
        Values as their author wrote them (4k7) instead of with units.
    zigzag : bool, default False
        Resistors as zigzag lines instead of rectangles.
    circle : bool, default True
        Transistors in a circle.
    lettering : float, default 1
        Size of names and figures over the usual one, 0.8 to 1.5: 1.25 reads well on a projector.

    Returns
    -------
    Scene
        The drawing; the same input gives the same drawing, and a change of value moves nothing.

    Raises
    ------
    UnknownNameError
        If ``show``, ``lit``, ``loop`` or ``trends`` name something unknown.
    QuantityError
        If ``lettering`` is out of its range.
    CircuitError
        If the parts of ``loop`` do not close a loop.

    References
    ----------
    IEC 60617, Graphical symbols for diagrams.
    """
    for word in show:
        if word not in SHOWN:
            raise UnknownNameError(
                f"A schematic cannot show '{word}'. Choose from {', '.join(SHOWN)}."
            )
    if not _LEAST <= lettering <= _MOST:
        raise QuantityError(f"Lettering goes from {_LEAST} to {_MOST}, not {lettering:g}.")
    for name in lit:
        circuit.part(name)
    legs = way_round(circuit, loop) if loop else ()
    net = netlist(circuit, with_signal=signal_parts and not compact)
    shown = frozenset(show)
    texts = notes(circuit, net, point, before, shown, as_written=as_written, trends=trends)
    texts = lettered(texts, lettering)
    plan = plan_of(net, texts.wanted(net), GROUND)
    pen = Pen(
        circuit,
        net,
        plan,
        texts,
        frozenset(lit),
        point,
        loop=legs,
        loop_label=loop_label,
        faded=faded,
        zigzag=zigzag,
        circle=circle,
    )
    marks = pen.draw()
    return Scene(
        title or circuit.title or "Circuit",
        describe(circuit, point, before),
        pen.extent().grown(_MARGIN),
        marks,
        "schematic",
        tuple(pen.labels),
        tuple(o.box for o in plan.obstacles if not o.is_text),
    )


def _view(circuit: Circuit) -> str:
    return schematic(circuit).svg("light", standalone=True)


add_view("image/svg+xml", _view)  # what a notebook shows of a circuit

__all__ = ["SHOWN", "schematic"]
