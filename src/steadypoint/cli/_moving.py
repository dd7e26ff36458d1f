"""Moving pictures of ``steadypoint draw --moving``."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import get_context
from os import cpu_count
from pathlib import Path

from steadypoint.circuit import Circuit
from steadypoint.cli._chart import value_range
from steadypoint.draw import Theme, moving_scene, moving_values
from steadypoint.publish import check_movie, scene_png, write_movie
from steadypoint.solve import Model
from steadypoint.values import Quantity

_ALONE = 12  # fewer pictures than this are made without helpers


@dataclass(frozen=True, slots=True)
class Motion:
    """What moves and how it is written."""

    against: str
    frames: int = 90
    rate: int = 15


def write_moving(
    circuit: Circuit,
    output: Path,
    motion: Motion,
    model: str,
    temperature: float | None,
    *,
    theme: str | Theme,
    width: int,
) -> None:
    """Write the moving picture and tell its name."""
    check_movie(output)
    if temperature is not None:
        circuit = replace(circuit, temperature=Quantity(temperature, "K"))
    name, low, high = value_range(circuit, motion.against, "--moving")
    # The rungs with a constant V_BE know no temperature, so the device rung moves with it.
    rung = Model.DEVICE if name == "temperature" else Model(model)
    values = moving_values(low, high, motion.frames)
    draw = partial(_picture, circuit, name, rung, theme, width - width % 2)
    write_movie(_told(_pictures(draw, values), len(values)), output, rate=motion.rate)
    sys.stdout.write(f"{output}\n")


def _picture(
    circuit: Circuit, name: str, model: Model, theme: str | Theme, width: int, value: float
) -> bytes:
    return scene_png(moving_scene(circuit, name, value, model=model), width=width, theme=theme)


def _pictures(draw: partial[bytes], values: tuple[float, ...]) -> Iterator[bytes]:
    """Pictures in their order, made by as many processes as there are processors."""
    helpers = min(cpu_count() or 1, 4)
    if helpers < 2 or len(values) < _ALONE:
        yield from map(draw, values)
        return
    with ProcessPoolExecutor(helpers, mp_context=get_context("spawn")) as pool:
        yield from pool.map(draw, values, chunksize=3)


def _told(pictures: Iterator[bytes], total: int) -> Iterator[bytes]:
    """The same pictures, their number shown on a terminal while they are made."""
    from rich.console import Console
    from rich.progress import track

    console = Console(stderr=True)
    yield from track(
        pictures,
        "Drawing",
        total=total,
        console=console,
        transient=True,
        disable=not console.is_terminal,
    )
