"""Moving pictures of ``steadypoint draw --moving``."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import get_all_start_methods, get_context
from multiprocessing.context import BaseContext
from os import cpu_count
from pathlib import Path

from steadypoint.circuit import Circuit
from steadypoint.cli._chart import value_range
from steadypoint.draw import Theme, moving_reach, moving_scene, moving_values
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
    with _helpers(len(values)) as pool:
        if pool is not None:  # they place the circuit while the axes are found here
            pool.submit(draw, None, values[0])
        reach = moving_reach(circuit, name, values, model=rung)
        each = partial(draw, reach)
        pictures = pool.map(each, values, chunksize=3) if pool else map(each, values)
        write_movie(_told(pictures, len(values)), output, rate=motion.rate)
    sys.stdout.write(f"{output}\n")


def _picture(
    circuit: Circuit,
    name: str,
    model: Model,
    theme: str | Theme,
    width: int,
    reach: tuple[float, float] | None,
    value: float,
) -> bytes:
    scene = moving_scene(circuit, name, value, model=model, reach=reach)
    return scene_png(scene, width=width, theme=theme)


@contextmanager
def _helpers(pictures: int) -> Iterator[ProcessPoolExecutor | None]:
    """As many processes as there are processors; none for few pictures."""
    count = min(cpu_count() or 1, 4)
    if count < 2 or pictures < _ALONE:
        yield None
        return
    with ProcessPoolExecutor(count, mp_context=_start()) as pool:
        yield pool


def _start() -> BaseContext:
    """How helpers start: where the system can, one loads the package and all others split off."""
    if "forkserver" not in get_all_start_methods():
        return get_context("spawn")
    context = get_context("forkserver")
    context.set_forkserver_preload(["steadypoint.cli._moving", "resvg_py"])
    return context


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
