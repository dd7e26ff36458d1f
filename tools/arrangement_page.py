"""The page of the arrangements with a drawing of each, made from the registry.

``make examples`` writes it; a test compares.
"""

from __future__ import annotations

from pathlib import Path

from steadypoint import Arrangement, arrangements, operating_point, scene_svg, schematic

ROOT = Path(__file__).resolve().parents[1]
PAGE = Path("docs") / "arrangements.md"
PICTURES = Path("docs") / "pictures" / "arrangements"
OPENING = """\
# Arrangements

The usual ways of biasing, in the usual order of teaching (common practice, no source). Each comes as a [circuit sheet](circuit-sheet.md), ready to be saved and changed:

```sh
steadypoint arrangements "voltage divider" > stage.circuit
```

The drawings show the points of the rung `exact`. Merits and faults are those a lecturer names; how large they are in your circuit, the commands [`point`](commands.md#steadypoint-point) and [`work`](commands.md#steadypoint-work) tell.
"""  # noqa: E501  a paragraph of Markdown is one line


def _file(one: Arrangement) -> str:
    return f"{one.name.lower().replace(' ', '-')}.svg"


def _section(one: Arrangement) -> str:
    also = f" Also called {' or '.join(one.aliases)}." if one.aliases else ""
    good = "\n".join(f"- Good: {sentence}" for sentence in one.good_at)
    bad = "\n".join(f"- Bad: {sentence}" for sentence in one.bad_at)
    heading = f"{one.name[0].upper()}{one.name[1:]}"
    picture = f"![Schematic of the {one.name}.](pictures/arrangements/{_file(one)})"
    return (
        f"## {heading}\n\n{one.description}{also}\n\n{picture}\n\n{good}\n{bad}\n\n"
        f"```circuit\n{one.sheet.strip()}\n```\n"
    )


def files(*, fonts: bool = True) -> dict[Path, str]:
    """The page and its drawings by their path in the project; without fonts it is quicker."""
    known = arrangements()
    made = {PAGE: "\n".join([OPENING, *map(_section, known)])}
    for one in known:
        drawing = schematic(one.circuit, operating_point(one.circuit), show=("values", "voltages"))
        svg = scene_svg(drawing).decode() if fonts else drawing.svg(standalone=True)
        made[PICTURES / _file(one)] = svg
    return made


if __name__ == "__main__":
    (ROOT / PICTURES).mkdir(parents=True, exist_ok=True)
    for path, text in files().items():
        (ROOT / path).write_text(text, encoding="utf-8")
