"""What can be laid over a schematic: loops, arrows of a chain, faded parts, regions, lights."""

from __future__ import annotations

import re
from itertools import combinations, pairwise

import pytest
from draw_reading import SVG, classes, groups, parse, segments_of

from steadypoint.circuit import Circuit, arrangement, arrangements, read_sheet
from steadypoint.derive import derive
from steadypoint.draw import Scene, loop_of, schematic, trends_between
from steadypoint.draw._loop import way_round
from steadypoint.errors import CircuitError, SteadypointError, UnknownNameError
from steadypoint.solve import operating_point

DIVIDER = arrangement("voltage divider").circuit
NAMES = [a.name for a in arrangements()]
LAMP = """
VCC = 5 V
Q1 = npn, beta 200
from VCC through R1 100, D1 LED V_F 1.9 V to Q1 collector
from EN through R2 4k7 to Q1 base
from Q1 base through R3 47k to ground
from Q1 emitter to ground
from Q1 collector through C1 10u electrolytic to ground
"""


def band_points(scene: Scene) -> list[list[tuple[float, float]]]:
    (group,) = groups(parse(scene.svg()), "loop")
    bands = [p for p in group.findall(f"{SVG}path") if "band" in classes(p)]
    return [[s[0] for s in segments_of(b)] + [segments_of(b)[-1][1]] for b in bands]


def signed_area(points: list[tuple[float, float]]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]]))


# Kirchhoff's voltage law: supply, collector resistor, transistor and emitter resistor are one loop.
def test_loop_is_entered_and_left_where_its_parts_meet():
    legs = way_round(DIVIDER, ("VCC", "RC", "Q1", "RE"))
    assert [(g.start, g.end) for g in legs] == [
        ("ground", "VCC"),
        ("VCC", "Q1.collector"),
        ("Q1.collector", "Q1.emitter"),
        ("Q1.emitter", "ground"),
    ]


def test_parts_that_close_no_loop_are_refused():
    with pytest.raises(CircuitError, match="do not close a loop"):
        schematic(DIVIDER, loop=("VCC", "RE", "Q1"))
    with pytest.raises(UnknownNameError, match="no part 'RX'"):
        schematic(DIVIDER, loop=("VCC", "RX"))


def test_loop_of_takes_the_drawn_mesh_of_an_equivalent():
    assert loop_of(DIVIDER, ("R1", "R2", "Q1", "RE")) == ("R2", "Q1", "RE")
    assert loop_of(DIVIDER, ("R1", "R2")) == ()
    assert loop_of(DIVIDER, ("Q1",)) == ()


@pytest.mark.parametrize("name", NAMES)
def test_every_loop_of_a_working_can_be_drawn(name: str):
    circuit = arrangement(name).circuit
    point = operating_point(circuit)
    found = 0
    for step in derive(circuit).steps:
        loop = loop_of(circuit, step.loop)
        if not loop:
            continue
        found += 1
        scene = schematic(circuit, point, loop=loop, loop_label=str(found))
        svg = scene.svg()
        assert f'data-loop="{" ".join(loop)}"' in svg
        for a, b in combinations(scene.labels, 2):
            assert not a.overlaps(b, 0.5), (name, loop)
        lying = {g.get("data-part") for g in groups(parse(svg), "inloop")}
        assert lying == set(loop) - {p.name for p in circuit.supplies}
    assert found


def test_turning_the_order_round_turns_the_arrow():
    clockwise = schematic(DIVIDER, loop=("R2", "Q1", "RE"))
    other = schematic(DIVIDER, loop=("RE", "Q1", "R2"))
    (there,), (back,) = band_points(clockwise), band_points(other)
    assert signed_area(there) > 0 > signed_area(back)  # y grows downwards
    arcs = [re.findall(r"A\S+ \S+ 0 0 ([01])", s.svg()) for s in (clockwise, other)]
    assert arcs == [["1", "1"], ["0", "0"]]


def test_band_runs_from_rail_to_ground_through_all_parts():
    root = parse(schematic(DIVIDER, loop=("VCC", "RC", "Q1", "RE")).svg())
    (points,) = band_points(schematic(DIVIDER, loop=("VCC", "RC", "Q1", "RE")))
    heights = [y for _, y in points]
    assert heights == sorted(heights)
    places = {
        (g.get("data-part"), word.split(":")[0]): tuple(map(float, word.split(":")[1].split(",")))
        for g in groups(root, "part")
        for word in g.get("data-pins", "").split()
    }
    for pin in (("RC", "start"), ("Q1", "collector"), ("Q1", "emitter"), ("RE", "end")):
        assert places[pin] in points


def test_loop_adds_nothing_to_the_connections():
    plain = schematic(DIVIDER).svg(prefix="x")
    looped = schematic(DIVIDER, loop=("VCC", "RC", "Q1", "RE")).svg(prefix="x")
    bare = re.sub(r'<g class="loop".*?</g>', "", looped).replace(" inloop", "")
    assert re.sub(r"<style>.*?</style>", "", bare) == re.sub(r"<style>.*?</style>", "", plain)


def test_arrows_of_a_chain_stand_at_their_quantities():
    point = operating_point(DIVIDER)
    scene = schematic(DIVIDER, point, trends={"I_C": "up", "V_E": "up", "V_B": "down"})
    root = parse(scene.svg())
    said = {g.get("data-volt"): "".join(g.itertext()) for g in groups(root, "volt")}
    assert said["Q1.emitter"].endswith("↑")
    assert said["Q1.base"].endswith("↓")
    assert "↑" not in said["Q1.collector"]
    amps = {g.get("data-amp"): "".join(g.itertext()) for g in groups(root, "amp")}
    assert amps["Q1 collector"].endswith("↑")
    for a, b in combinations(scene.labels, 2):
        assert not a.overlaps(b, 0.5)


def test_unknown_quantity_or_way_of_a_chain_is_refused():
    point = operating_point(DIVIDER)
    with pytest.raises(UnknownNameError, match=r"no quantity 'V_X'. It shows I_B"):
        schematic(DIVIDER, point, trends={"V_X": "up"})
    with pytest.raises(UnknownNameError, match="'up' or 'down', not 'sideways'"):
        schematic(DIVIDER, point, trends={"V_E": "sideways"})


# Common practice, no source: more collector resistance leaves less voltage at the collector; the
# divider holds base, emitter and current.
def test_trends_between_two_points():
    was = operating_point(DIVIDER)
    now = operating_point(DIVIDER.with_value("RC", 4700.0))
    assert trends_between(was, now) == {"V_C": "down"}
    assert trends_between(was, was) == {}


def test_open_capacitors_fade_and_nothing_moves():
    point = operating_point(DIVIDER)
    full, faded = (schematic(DIVIDER, point, faded=f) for f in (False, True))
    root = parse(faded.svg())
    pale = {g.get("data-part") for g in groups(root, "faded")} - {None}
    assert pale == {"CE", "C1", "C2"}
    assert full.box == faded.box
    assert full.labels == faded.labels
    assert not groups(parse(full.svg()), "faded")


def region_shape(circuit: Circuit) -> tuple[str, str]:
    scene = schematic(circuit, operating_point(circuit), show=("regions",))
    (part,) = [g for g in groups(parse(scene.svg()), "part") if g.get("data-part") == "Q1"]
    shape = next(e for e in part.iter() if classes(e) and classes(e)[0].startswith("region-"))
    return shape.tag.removeprefix(SVG), classes(shape)[0]


def test_region_is_told_by_shape_beside_its_word():
    assert region_shape(DIVIDER) == ("circle", "region-full")
    assert region_shape(DIVIDER.with_value("RC", 47e3)) == ("path", "region-full")
    assert region_shape(DIVIDER.with_value("R2", 100.0)) == ("path", "region-line")


def test_light_and_plus_are_drawn():
    circuit = read_sheet(LAMP, checked=False)
    root = parse(schematic(circuit).svg())
    parts = {g.get("data-part"): g for g in groups(root, "part")}
    plain = parse(schematic(read_sheet(LAMP.replace("LED", "diode"), checked=False)).svg())
    diode = next(g for g in groups(plain, "part") if g.get("data-part") == "D1")
    assert len(parts["D1"].findall(f"{SVG}path")) == len(diode.findall(f"{SVG}path")) + 4
    bare = parse(schematic(read_sheet(LAMP.replace(" electrolytic", ""), checked=False)).svg())
    dry = next(g for g in groups(bare, "part") if g.get("data-part") == "C1")
    assert len(parts["C1"].findall(f"{SVG}path")) == len(dry.findall(f"{SVG}path")) + 1


def test_thermistors_have_a_stroke_with_the_sign_of_their_coefficient():
    sheet = "VCC = 9 V\nfrom VCC through RT {}10k{} to A\nfrom A through R2 1k to ground"
    plain = schematic(read_sheet(sheet.format("", "")))
    for kind, data, sign in (("NTC ", " B 3950 K", "−θ"), ("PTC ", "", "+θ")):
        scene = schematic(read_sheet(sheet.format(kind, data)))
        root = parse(scene.svg())
        part = next(g for g in groups(root, "part") if g.get("data-part") == "RT")
        bare = next(g for g in groups(parse(plain.svg()), "part") if g.get("data-part") == "RT")
        assert len(part.findall(f"{SVG}path")) == len(bare.findall(f"{SVG}path")) + 1
        assert sign in "".join(part.itertext())
        assert f"RT, {kind}thermistor, 10 kΩ" in scene.svg().replace("\u202f", " ")


def test_led_tells_its_colour():
    sheet = "VCC = 9 V\nfrom VCC through LED1 {}, R2 1k to ground"
    svg = schematic(read_sheet(sheet.format("red"))).svg()
    assert "LED1, red LED" in svg
    assert ">red<" in svg


def test_errors_are_ours():
    assert issubclass(CircuitError, SteadypointError)
