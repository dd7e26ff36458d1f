"""``steadypoint draw``: schematic or load line as SVG, PNG or PDF."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from steadypoint.circuit import Circuit, apply_setting
from steadypoint.cli._chart import chart_scene
from steadypoint.cli._input import read_circuit, read_temperature
from steadypoint.cli._moving import Motion, write_moving
from steadypoint.draw import Scene, load_line, load_theme, schematic, trends_between
from steadypoint.errors import NoSolutionError, OutputError, SteadypointError
from steadypoint.publish import scene_pdf, scene_png, scene_svg, write_atomic
from steadypoint.solve import Model, OperatingPoint, operating_point
from steadypoint.values import read_quantity

SUFFIXES = (".svg", ".png", ".pdf")
_LARGE = 1.25  # lettering of the projector theme


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a drawing shows and how it looks."""

    show: tuple[str, ...]
    theme: str
    load_line: bool
    before: bool
    direct_current: bool
    as_written: bool
    zigzag: bool
    width: int
    chart: str = ""
    against: str | None = None
    faded: bool = False
    loop: tuple[str, ...] = ()
    colours: Path | None = None
    earlier: tuple[str, ...] = ()
    signal_load: str | None = None
    motion: Motion | None = None
    transistor: str | None = None

    @property
    def lettering(self) -> float:
        """Size of the lettering over the usual one."""
        return _LARGE if self.theme == "projector" else 1.0


def write_drawing(
    sheet: str,
    output: Path,
    model: str,
    settings: Sequence[str],
    temperature: str | None,
    wanted: Wanted,
) -> None:
    """Draw a sheet into a file; its suffix says as what."""
    suffix = output.suffix.lower()
    if wanted.motion is not None:
        if wanted.load_line or wanted.chart or wanted.against:
            raise OutputError("A file holds one figure. Leave out --load-line, --chart, --against.")
        changed = read_circuit(sheet, settings, read_circuit(sheet))
        kelvin = read_temperature(temperature)
        look = load_theme(wanted.colours) if wanted.colours else wanted.theme
        motion, width = wanted.motion, wanted.width
        write_moving(changed, output, motion, model, kelvin, theme=look, width=width)
        return
    if suffix not in SUFFIXES:
        raise OutputError(
            f"'{output}' does not end in .svg, .png or .pdf. Name the drawing, such as stage.svg."
        )
    circuit = read_circuit(sheet)
    changed = read_circuit(sheet, settings, circuit)
    kelvin = read_temperature(temperature)
    _require_one_figure(wanted)
    if wanted.chart or wanted.against:
        scene = chart_scene(changed, wanted.chart, wanted.against, model, kelvin, wanted.transistor)
        write_atomic(output, _bytes(scene, suffix, wanted))
        sys.stdout.write(f"{output}\n")
        return
    point = _point(changed, model, kelvin, needed=wanted.load_line)
    compared = wanted.before or "changes" in wanted.show
    unchanged = _point(circuit, model, kelvin, needed=False) if compared else None
    scene = _scene(changed, point, unchanged, wanted)
    write_atomic(output, _bytes(scene, suffix, wanted))
    sys.stdout.write(f"{output}\n")


def _point(
    circuit: Circuit, model: str, temperature: float | None, *, needed: bool
) -> OperatingPoint | None:
    try:
        return operating_point(circuit, Model(model), temperature=temperature)
    except NoSolutionError as fault:
        if needed:
            raise
        # The schematic itself can still be drawn; the reason why it bears no values is told.
        sys.stderr.write(f"{fault}\nThe drawing therefore shows no voltages or currents.\n")
        return None


def _scene(
    circuit: Circuit,
    point: OperatingPoint | None,
    unchanged: OperatingPoint | None,
    wanted: Wanted,
) -> Scene:
    if wanted.load_line and point is not None:
        return load_line(
            circuit,
            point,
            wanted.transistor,
            before=unchanged if wanted.before else None,
            earlier=[(_said(s), _other(circuit, s, point)) for s in wanted.earlier],
            signal_resistance=_resistance(wanted.signal_load),
            width=600.0 / wanted.lettering,
            height=420.0 / wanted.lettering,
        )
    moved = None
    if "changes" in wanted.show and point is not None and unchanged is not None:
        kinds = {"voltages": "V", "currents": "I"}
        letters = tuple(kinds[word] for word in wanted.show if word in kinds)
        trends = trends_between(unchanged, point).items()
        moved = {symbol: way for symbol, way in trends if symbol.startswith(letters)}
    return schematic(
        circuit,
        point,
        show=[word for word in wanted.show if word != "changes"],
        before=unchanged if wanted.before else None,
        loop=wanted.loop,
        trends=moved,
        faded=wanted.faded,
        signal_parts=not wanted.direct_current,
        as_written=wanted.as_written,
        zigzag=wanted.zigzag,
        lettering=wanted.lettering,
    )


def _require_one_figure(wanted: Wanted) -> None:
    if wanted.load_line and wanted.chart:
        raise OutputError("A file holds one figure. Leave out --load-line or --chart.")
    for option, given in (("earlier", wanted.earlier), ("signal-load", wanted.signal_load)):
        if given and not wanted.load_line:
            raise OutputError(f"--{option} belongs to the load line. Add --load-line.")


def _said(setting: str) -> str:
    """A setting as the name of its point: ``β 75`` for ``beta=75``."""
    name, _, value = setting.partition("=")
    return f"{name.strip().replace('beta', 'β')} {value.strip()}"


def _other(circuit: Circuit, setting: str, point: OperatingPoint) -> OperatingPoint:
    try:
        changed = apply_setting(circuit, setting)
        return operating_point(changed, point.model, temperature=_kelvin(changed, point))
    except SteadypointError as fault:
        raise SteadypointError(f"--earlier {setting}: {fault}") from fault


def _kelvin(changed: Circuit, point: OperatingPoint) -> float | None:
    """Temperature of the point, unless the setting states another."""
    return None if changed.temperature != point.circuit.temperature else point.temperature


def _resistance(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        return read_quantity(text, "Ω").value
    except SteadypointError as fault:
        raise SteadypointError(f"--signal-load {text}: {fault}") from fault


def _bytes(scene: Scene, suffix: str, wanted: Wanted) -> bytes:
    own = load_theme(wanted.colours) if wanted.colours else None
    if suffix == ".png":
        return scene_png(scene, width=wanted.width, theme=own or wanted.theme)
    if suffix == ".pdf":
        return scene_pdf(scene, title=scene.description, theme=own or "print")
    return scene_svg(scene, theme=own or wanted.theme)
