"""Draw all arrangements and random circuits, read the drawings back and time the placing.

Random are rows of stages and circuits of blocks (pairs, mirrors, cascodes, Darlingtons), half of
them each; ``--large`` more have 5 to 8 transistors. Every circuit is drawn bare and, where it has
an operating point, with voltages and currents. Counted are drawings whose lines, read back from
the SVG, do not give the circuit; whose texts overlap anything; whose symbols a wire spoils; and
circuits with a crossing in either drawing. The times are processor time from the circuit to the
scene with nothing cached. Then one part is added to circuits, each part in turn: a part is turned
about when it lies instead of standing or has changed sides with a part that it touches. The last
line is the time to write new values into a drawing that is placed.

Run ``python benchmarks/placement.py --count 500 --large 60``; ``--json`` prints plain data.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from statistics import median

from steadypoint.circuit import Circuit, Kind, arrangement, arrangements, check
from steadypoint.draw import Scene, schematic
from steadypoint.draw._plan import plan_of
from steadypoint.errors import SteadypointError
from steadypoint.solve import OperatingPoint, operating_point

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "draw"))
from draw_reading import connections, crossings, drawn_parts, expected, overlaps, parse
from draw_reading import spoilt_symbols as spoilt
from drawn_circuits import block_circuit, random_circuit
from structure import turned_about


def point_of(circuit: Circuit) -> OperatingPoint | None:
    """The operating point, None for a circuit that has none."""
    try:
        return operating_point(circuit)
    except SteadypointError:
        return None


def faults(circuit: Circuit, scene: Scene) -> list[str]:
    """What is wrong in a drawing, in single words."""
    root = parse(scene.svg())
    found = []
    if connections(root) != expected(circuit, drawn_parts(root)):
        found.append("connections")
    found += ["overlap"] if overlaps(scene) else []
    found += ["spoilt symbol"] if spoilt(root) else []
    found += ["crossing"] if crossings(root) else []
    return found


def looked_at(circuit: Circuit) -> tuple[set[str], list[float]]:
    """Faults of both drawings of a circuit, and their times. [s]"""
    bad: set[str] = set()
    seconds = []
    found = point_of(circuit)
    for point in (None, found) if found is not None else (None,):
        plan_of.cache_clear()
        start = time.process_time()
        scene = schematic(circuit, point)
        seconds.append(time.process_time() - start)
        bad.update(faults(circuit, scene))
    return bad, seconds


def circuits(count: int, least: int, most: int) -> Iterator[tuple[str, Circuit]]:
    """Random circuits, rows of stages and blocks in turn."""
    for k in range(count):
        make = (random_circuit, block_circuit)[k % 2]
        yield f"{make.__name__} {k // 2}", make(k // 2, least, most)


def campaign(found: Iterator[tuple[str, Circuit]]) -> dict[str, object]:
    """Figures of a row of circuits."""
    seconds: list[float] = []
    bad: dict[str, list[str]] = {}
    count = 0
    for name, circuit in found:
        count += 1
        words, taken = looked_at(circuit)
        seconds += taken
        for word in words:
            bad.setdefault(word, []).append(name)
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{count} {name}        ")
    return {
        "circuits": count,
        "faults": bad,
        "median": median(seconds),
        "worst": max(seconds),
        "share of drawings over 2 s": sum(s > 2.0 for s in seconds) / len(seconds),
    }


def stability(found: Iterator[tuple[str, Circuit]]) -> dict[str, float]:
    """How much a drawing changes when one part is added: each part in turn is the last one."""
    shares = []
    for _, circuit in found:
        whole = parse(schematic(circuit).svg())
        for part in circuit.parts:
            if part.kind is Kind.SUPPLY or part.kind.is_transistor:
                continue
            try:
                check(circuit.without(part.name))
            except SteadypointError:
                continue
            before = parse(schematic(circuit.without(part.name)).svg())
            shares.append(len(turned_about(before, whole)) / len(drawn_parts(before)))
    return {
        "additions": len(shares),
        "nothing turned about": sum(s == 0 for s in shares) / len(shares),
        "mean share turned about": sum(shares) / len(shares),
        "worst share": max(shares),
    }


def rewritten(runs: int = 50) -> float:
    """Time to write new values into a drawing that is placed. [s]"""
    circuit = arrangement("voltage divider").circuit
    point = operating_point(circuit)
    schematic(circuit, point)
    seconds = []
    for _ in range(runs):
        start = time.process_time()
        schematic(circuit, point)
        seconds.append(time.process_time() - start)
    return median(seconds)


def told(name: str, figures: dict[str, object]) -> Iterator[str]:
    """Lines for a reader."""
    count, bad = figures["circuits"], figures["faults"]
    assert isinstance(count, int)  # noqa: S101  made above
    assert isinstance(bad, dict)  # noqa: S101  made above
    yield f"{name}: {count} circuits"
    for word in ("connections", "spoilt symbol", "overlap", "crossing"):
        names = bad.get(word, [])
        some = f": {', '.join(names[:12])}" if names else ""
        yield f"  {word:14s} {len(names):4d}  ({100 * len(names) / count:.1f} %){some}"
    yield f"  placing        {figures['median']:.2f} s median, {figures['worst']:.2f} s worst"


def main() -> None:
    """Draw, count and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=500, help="circuits of 1 to 4 transistors")
    parser.add_argument("--large", type=int, default=60, help="circuits of 5 to 8 transistors")
    parser.add_argument("--json", action="store_true", help="print plain data")
    asked = parser.parse_args()
    schematic(arrangement("base bias").circuit)  # loads scipy and the fonts
    found = {"arrangements": campaign((a.name, a.circuit) for a in arrangements())}
    if asked.count:
        found["1 to 4 transistors"] = campaign(circuits(asked.count, 1, 4))
    if asked.large:
        found["5 to 8 transistors"] = campaign(circuits(asked.large, 5, 8))
    stable = stability(
        chain(((a.name, a.circuit) for a in arrangements()), circuits(asked.count // 40, 1, 4))
    )
    again = rewritten()
    if asked.json:
        sys.stdout.write(
            json.dumps({**found, "one part more": stable, "new values": again}, indent=2) + "\n"
        )
        return
    for name, figures in found.items():
        sys.stdout.writelines(f"{line}\n" for line in told(name, figures))
    sys.stdout.write(
        f"one part more, {stable['additions']:.0f} times: nothing turned about in "
        f"{100 * stable['nothing turned about']:.0f} %, of the parts "
        f"{100 * stable['mean share turned about']:.1f} % in the mean\n"
    )
    sys.stdout.write(f"new values in a placed drawing: {1e3 * again:.2f} ms\n")


if __name__ == "__main__":
    main()
