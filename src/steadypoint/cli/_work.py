"""``steadypoint work``: the working as text, Markdown, LaTeX, spoken words or JSON."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from steadypoint.cli._console import plain_space
from steadypoint.cli._input import read_circuit
from steadypoint.cli._point import print_json
from steadypoint.derive import derive


def show_working(
    sheet: str,
    rung: str,
    settings: Sequence[str],
    form: str,
    find: str | None,
    *,
    rounded: bool = False,
) -> None:
    """Derive the operating point of a sheet and print the working in one of the formats."""
    circuit = read_circuit(sheet, settings)
    derivation = derive(circuit, rung=rung, rounded=rounded)
    if find is not None:
        derivation = derivation.find(find)
    if form == "json":
        print_json({"title": circuit.title, "model": rung, "steps": derivation.to_dict()})
        return
    writers = {
        "text": derivation.text,
        "markdown": derivation.markdown,
        "latex": derivation.latex,
        "spoken": derivation.spoken,
    }
    text = writers[form]().rstrip("\n") + "\n"
    sys.stdout.write(plain_space(text) if form == "text" else text)
