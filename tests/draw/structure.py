"""What a drawing looks like, in words that no pixel changes: read from the finished SVG.

Which parts stand one below the other and side by side, which are level, where bases look, how often
the wires of a node turn, where rails have a symbol of their own.
"""

from __future__ import annotations

from xml.etree import ElementTree as ET

from draw_reading import SVG, Point, classes, connections, crossings, groups, pins, segments_of

Places = dict[str, dict[str, Point]]


def structure(root: ET.Element) -> str:
    """Lines that describe a schematic."""
    found = _placed(root)
    lines = [f"columns: {_columns(root, found)}"]
    lines += [f"level: {' '.join(names)}" for names in _levels(found)]
    lines += _looks(found)
    lines += _wires(root)
    lines.append(f"crossings: {len(crossings(root))}")
    return "\n".join(lines)


def _middle(ends: dict[str, Point]) -> Point:
    """Place of a part: of a transistor its column."""
    ends = {k: v for k, v in ends.items() if k not in ("base", "gate")}
    xs, ys = zip(*ends.values(), strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)


def _columns(root: ET.Element, found: Places) -> str:
    """Columns from left to right, each from top to bottom; what lies across has brackets."""
    placed: dict[float, list[tuple[float, str]]] = {}
    for part, ends in found.items():
        x, y = _middle(ends)
        flat = len({p[1] for p in ends.values()}) == 1
        placed.setdefault(x, []).append((y, f"[{part}]" if flat else part))
    for group in groups(root, "terminal"):
        ring = group.find(f"{SVG}circle")
        assert ring is not None
        x, y = float(ring.get("cx", 0)), float(ring.get("cy", 0))
        placed.setdefault(x, []).append((y, f"({group.get('data-terminal')})"))
    return " | ".join(" / ".join(name for _, name in sorted(placed[x])) for x in sorted(placed))


def _levels(found: Places) -> list[list[str]]:
    """Parts at the same height, from the top."""
    rows: dict[float, list[tuple[float, str]]] = {}
    for part, ends in found.items():
        x, y = _middle(ends)
        rows.setdefault(y, []).append((x, part))
    return [[n for _, n in sorted(rows[y])] for y in sorted(rows) if len(rows[y]) > 1]


def _looks(found: Places) -> list[str]:
    sides: dict[str, list[str]] = {"left": [], "right": []}
    for part, ends in found.items():
        control = ends.get("base") or ends.get("gate")
        if control is not None:
            sides["left" if control[0] < _middle(ends)[0] else "right"].append(part)
    return [f"bases {side}: {' '.join(names)}" for side, names in sides.items() if names]


def _wires(root: ET.Element) -> list[str]:
    """For every node: its dots, its turns, and its symbols when they are several."""
    out = []
    for net in sorted(groups(root, "net"), key=lambda g: g.get("data-node", "")):
        paths = net.findall(f"{SVG}path")
        wires = [s for p in paths if "wire" in classes(p) for s in segments_of(p)]
        symbols = sum("wire" not in classes(p) for p in paths)
        dots = len(net.findall(f"{SVG}circle"))
        across = [end for s in wires if s[0][1] == s[1][1] for end in s]
        down = {end for s in wires if s[0][0] == s[1][0] for end in s}
        turns = sum(end in down for end in across)
        words = [f"{turns} turns"] if turns else []
        words += [f"{dots} dots"] if dots else []
        words += [f"{symbols} symbols"] if symbols else []
        if words:
            out.append(f"node {net.get('data-node')}: {', '.join(words)}")
    return out


def sections(text: str) -> dict[str, str]:
    """Structures by the name of their arrangement."""
    found = {}
    for block in text.split("\n\n"):
        name, _, rest = block.strip().partition("\n")
        if name.startswith("= "):
            found[name[2:]] = rest
    return found


def turned_about(before: ET.Element, after: ET.Element) -> set[str]:
    """Parts in both drawings that no longer stand as they did to a part that they touch.

    A part counts when it lies instead of standing, looks the other way, or has changed sides with
    a neighbour, from left to right or from above to below.
    """
    old, new = _placed(before), _placed(after)
    both = [part for part in old if part in new]
    out = {p for p in both if _form(old[p]) != _form(new[p])}
    for touching in connections(before):
        near = sorted({part for part, _ in touching} & set(both))
        for i, a in enumerate(near):
            for b in near[i + 1 :]:
                if any(_sides(old, a, b, k) * _sides(new, a, b, k) < 0 for k in (0, 1)):
                    out |= {a, b}
    return out


def _placed(root: ET.Element) -> Places:
    found: Places = {}
    for (part, terminal), place in pins(root).items():
        found.setdefault(part, {})[terminal] = place
    return found


def _form(ends: dict[str, Point]) -> str:
    control = ends.get("base") or ends.get("gate")
    if control is not None:
        return "left" if control[0] < _middle(ends)[0] else "right"
    return "across" if len({p[1] for p in ends.values()}) == 1 else "upright"


def _sides(found: Places, a: str, b: str, k: int) -> int:
    apart = _middle(found[a])[k] - _middle(found[b])[k]
    return (apart > 5) - (apart < -5)
