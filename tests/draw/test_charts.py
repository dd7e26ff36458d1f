"""Load lines and levels: what they say, that it is right, that nothing overlaps."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
from draw_reading import SVG, classes, groups, numbers, parse

from steadypoint.circuit import apply_setting, arrangement, arrangements, read_sheet
from steadypoint.draw import Scene, level, load_line
from steadypoint.draw._axes import Axis, nice_step, ticks
from steadypoint.errors import NoSolutionError, SteadypointError, UnknownNameError
from steadypoint.solve import operating_point

SINGLE = [a.name for a in arrangements() if len(a.circuit.transistors) == 1]


def words(scene: Scene) -> dict[str, str]:
    return {
        g.get("data-label", ""): " / ".join("".join(t.itertext()) for t in g.iter(f"{SVG}text"))
        for g in groups(parse(scene.svg()), "label")
    }


def assert_nothing_overlaps(scene: Scene) -> None:
    for a, b in combinations(scene.labels, 2):
        assert not a.overlaps(b, 0.5), (a, b)
    for label in scene.labels:
        for obstacle in scene.obstacles:
            assert not label.overlaps(obstacle, 0.5), (label, obstacle)


@pytest.mark.parametrize("name", SINGLE)
@pytest.mark.parametrize("rung", ["board", "exact", "device"])
def test_load_line_of_every_single_transistor_arrangement(name: str, rung: str) -> None:
    circuit = arrangement(name).circuit
    scene = load_line(circuit, operating_point(circuit, rung))
    assert {"point", "V end", "I end"} <= set(words(scene))
    assert_nothing_overlaps(scene)


def test_ends_are_named_by_the_textbook_formula() -> None:
    # V_CE = V_CC at I_C = 0 and I_C = V_CC/(R_C + R_E) at V_CE = 0: A. S. Sedra, K. C. Smith,
    # Microelectronic Circuits, section on graphical analysis (from memory).
    # 12 V / (3.9 kΩ + 1 kΩ) = 2.449 mA.
    circuit = read_sheet(
        "VCC = 12 V\nQ1 = npn, beta 200\nfrom VCC through R1 47k to Q1 base\n"
        "from Q1 base through R2 10k to ground\nfrom VCC through RC 3k9 to Q1 collector\n"
        "from Q1 emitter through RE 1k to ground\n"
    )
    said = words(load_line(circuit, operating_point(circuit, "board")))
    assert said["V end"].replace("\u202f", " ") == "𝑉CC = 12 V"
    assert said["I end"].replace("\u202f", " ") == "𝑉CC/(𝑅C + 𝑅E) = 2.45 mA"


def test_exact_end_that_differs_from_the_formula_says_about() -> None:
    # With beta 50 the line of the exact rung ends at 12 V / (1 kΩ + 2.2 kΩ · 51/50) = 3.699 mA,
    # the formula without beta gives 3.75 mA.
    circuit = read_sheet(
        "VCC = 12 V\nQ1 = npn, beta 50\nfrom VCC through RB 330k to Q1 base\n"
        "from VCC through RC 1k to Q1 collector\nfrom Q1 emitter through RE 2k2 to ground\n"
    )
    said = words(load_line(circuit, operating_point(circuit)))
    assert said["I end"].replace("\u202f", " ").endswith(") ≈ 3.70 mA")


@pytest.mark.parametrize("name", ["voltage divider", "pnp voltage divider"])
def test_point_lies_on_line_and_curve(name: str) -> None:
    circuit = arrangement(name).circuit
    root = parse(load_line(circuit, operating_point(circuit)).svg())
    disc = next(c for c in root.iter(f"{SVG}circle") if "disc" in classes(c))
    x, y = float(disc.get("cx", 0)), float(disc.get("cy", 0))
    for role, slack in (("loadline", 0.6), ("curve", 0.6)):
        path = next(p for p in root.iter(f"{SVG}path") if classes(p) == [role])
        flat = numbers(path.get("d", ""))
        points = list(zip(flat[::2], flat[1::2], strict=True))
        assert min(_distance((x, y), a, b) for a, b in pairwise(points)) < slack


def _distance(p, a, b) -> float:
    (px, py), (ax, ay), (bx, by) = p, a, b
    length = math.hypot(bx - ax, by - ay)
    if not length:
        return math.hypot(px - ax, py - ay)
    along = max(0.0, min(1.0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length**2))
    return math.hypot(px - ax - along * (bx - ax), py - ay - along * (by - ay))


def test_pnp_is_shown_in_magnitudes() -> None:
    circuit = arrangement("pnp voltage divider").circuit
    point = operating_point(circuit)
    scene = load_line(circuit, point)
    text = "".join(parse(scene.svg()).itertext())
    assert "𝑉EC in V" in text
    assert "−" not in words(scene)["point"]


def test_earlier_point_is_a_ghost_with_words() -> None:
    circuit = arrangement("base bias").circuit
    doubled = apply_setting(circuit, "beta=300")
    scene = load_line(doubled, operating_point(doubled), before=operating_point(circuit))
    root = parse(scene.svg())
    assert [c for c in root.iter(f"{SVG}circle") if "hollow" in classes(c)]
    assert "was" in words(scene)["point"]
    assert "Before, it lay at" in scene.description
    assert_nothing_overlaps(scene)


def test_faults_are_told_in_a_sentence() -> None:
    circuit = arrangement("base bias").circuit
    point = operating_point(circuit)
    with pytest.raises(UnknownNameError, match="no transistor 'Q9'"):
        load_line(circuit, point, "Q9")
    with pytest.raises(UnknownNameError, match="no transistor 'Q9'"):
        level(point, "Q9")
    lamp = read_sheet("VCC = 9 V\nfrom VCC through R1 1k to ground\n")
    with pytest.raises(SteadypointError, match="no transistor"):
        load_line(lamp, operating_point(lamp))
    with pytest.raises(SteadypointError, match="no transistor"):
        level(operating_point(lamp))


def test_steps_of_axes_are_one_two_or_five() -> None:
    assert nice_step(9.0, 6) == pytest.approx(2.0)
    assert nice_step(2.2e-3, 6) == pytest.approx(5e-4)
    assert nice_step(12.0, 7) == pytest.approx(2.0)
    assert ticks(1.0, 0.5) == [0.0, 0.5, 1.0]
    axis = Axis("I_C", "A", 2.2e-3)
    assert (axis.prefix, axis.figure(1.5e-3)) == ("m", "1.5")


def test_level_puts_the_disc_where_the_voltage_stands() -> None:
    # V_CE as a share of its value at cut-off, here V_CC = 12 V because base bias has no R_E.
    circuit = read_sheet(
        "VCC = 12 V\nQ1 = npn, beta 100\nfrom VCC through RB 565k to Q1 base\n"
        "from VCC through RC 3k to Q1 collector\nfrom Q1 emitter to ground\n"
    )  # I_B = 11.3 V / 565 kΩ = 20 µA, I_C = 2 mA, V_CE = 6 V
    scene = level(operating_point(circuit), width=528.0)
    disc = next(c for c in parse(scene.svg()).iter(f"{SVG}circle") if "disc" in classes(c))
    assert float(disc.get("cx", 0)) == pytest.approx(264.0, abs=0.1)
    assert scene.description.replace("\u202f", " ") == "Active: V_CE 6.00 V of 12 V."


@pytest.mark.parametrize(("beta", "role"), [("900", "state-full"), ("100", "disc")])
def test_level_tells_the_region_by_shape(beta: str, role: str) -> None:
    circuit = apply_setting(arrangement("base bias").circuit, f"beta={beta}")
    root = parse(level(operating_point(circuit)).svg())
    assert any(role in classes(e) for e in root.iter())


def test_forced_current_has_no_load_line_but_a_level() -> None:
    circuit = read_sheet(
        "VCC = 9 V\nQ1 = npn, beta 100\nfrom VCC through RB 100k to Q1 base\n"
        "from VCC to Q1 collector\nfrom Q1 emitter to ground\n"
    )
    point = operating_point(circuit)
    try:
        scene = load_line(circuit, point)
    except NoSolutionError as fault:
        assert str(fault).endswith(".")  # noqa: PT017
    else:
        assert "for any current" in scene.description
    assert level(point).width == 520.0


# --- what may join a load line -----------------------------------------------------------------

HOT = (
    "VCC = 48 V\nQ1 = npn, beta 150, V_CEO 40 V, P_tot 0.5 W\n"
    "from VCC through RB 100k to Q1 base\nfrom VCC through RC 470 to Q1 collector\n"
    "from Q1 emitter through RE 100 to ground\n"
)


def path_points(scene: Scene, role: str) -> list[list[tuple[float, float]]]:
    found = []
    for path in parse(scene.svg()).iter(f"{SVG}path"):
        if role in classes(path):
            flat = numbers(path.get("d", ""))
            found.append(list(zip(flat[::2], flat[1::2], strict=True)))
    return found


def test_limits_of_the_sheet_are_drawn_and_named() -> None:
    circuit = read_sheet(HOT)
    scene = load_line(circuit, operating_point(circuit))
    said = words(scene)
    assert said["P_tot"].replace("\u202f", " ") == "𝑃tot500 mW"
    assert said["V_CEO"].replace("\u202f", " ") == "𝑉CEO40 V"
    assert "over its limits" in scene.description
    assert_nothing_overlaps(scene)
    hyperbola, wall = path_points(scene, "limit")
    assert wall[0][0] == wall[-1][0]
    # V · I is the same along a hyperbola; both measured from the corner of the axes at (56, 366).
    products = [(x - 56.0) * (366.0 - y) for x, y in hyperbola]
    assert max(products) / min(products) == pytest.approx(1.0, abs=0.03)


def test_limits_of_a_registered_type_that_lie_outside_are_said() -> None:
    circuit = read_sheet(
        "VCC = 9 V\nQ1 = 2N3904\nfrom VCC through RB 680k to Q1 base\n"
        "from VCC through RC 2k2 to Q1 collector\nfrom Q1 emitter to ground\n"
    )
    scene = load_line(circuit, operating_point(circuit))
    assert not path_points(scene, "limit")
    assert "keeps within its limits, V_CEO 40" in scene.description
    plain = load_line(circuit, operating_point(circuit), limits=False)
    assert "limits" not in plain.description


def test_signal_line_goes_through_the_point_with_its_slope() -> None:
    circuit = arrangement("voltage divider").circuit
    point = operating_point(circuit)
    scene = load_line(circuit, point, signal_resistance=1200.0)
    assert_nothing_overlaps(scene)
    own = point.transistors["Q1"]
    foot = own.V_CE + 1200.0 * own.I_C  # where the line meets the axis
    assert f"meets zero current at {foot:.2f}" in scene.description
    disc = next(c for c in parse(scene.svg()).iter(f"{SVG}circle") if "disc" in classes(c))
    ((a, b),) = path_points(scene, "signal-line")
    assert _distance((float(disc.get("cx", 0)), float(disc.get("cy", 0))), a, b) < 0.6
    with pytest.raises(SteadypointError, match="resistance above zero"):
        load_line(circuit, point, signal_resistance=0.0)


def test_earlier_points_bear_names_and_a_way_leads_through_them() -> None:
    circuit = arrangement("base bias").circuit
    earlier = [(f"β {b}", operating_point(apply_setting(circuit, f"beta={b}"))) for b in (60, 100)]
    scene = load_line(circuit, operating_point(circuit), earlier=earlier)
    assert_nothing_overlaps(scene)
    said = words(scene)
    assert (said["earlier 0"], said["earlier 1"]) == ("β 60", "β 100")
    assert len([p for p in parse(scene.svg()).iter(f"{SVG}path") if classes(p) == ["path"]]) == 2
    assert "β 60: " in scene.description
