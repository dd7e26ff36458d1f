"""``steadypoint choose --front-chart``: the front drawn, its sets as sheets."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from steadypoint.choose import ChosenSet
from steadypoint.circuit import write_sheet
from steadypoint.errors import OutputError
from steadypoint.publish import make_folder, write_atomic

_SUFFIXES: Final = (".svg", ".png", ".pdf")


def check_picture(output: Path) -> None:
    """Refuse a file that is no picture before anything is reckoned.

    Raises
    ------
    OutputError
        If the suffix is none of .svg, .png and .pdf.
    """
    if output.suffix.lower() not in _SUFFIXES:
        raise OutputError(
            f"'{output}' does not end in .svg, .png or .pdf. Name the chart, such as front.svg."
        )


def write_front(
    curve: tuple[tuple[float, ChosenSet], ...], output: Path, folder: Path | None
) -> None:
    """Draw the front; with a folder, write its sets beside the others."""
    from steadypoint.draw import FrontPoint, front_chart
    from steadypoint.publish import scene_pdf, scene_png, scene_svg

    scene = front_chart([FrontPoint(limit, s.worst_spread, s.values) for limit, s in curve])
    makers = {".svg": scene_svg, ".png": scene_png, ".pdf": scene_pdf}
    write_atomic(output, makers[output.suffix.lower()](scene))
    if folder is not None:
        make_folder(folder)
        for k, (_, one) in enumerate(curve, start=1):
            write_atomic(folder / f"front-{k}.circuit", write_sheet(one.circuit).encode())
