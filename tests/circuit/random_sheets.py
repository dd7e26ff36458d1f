"""Random circuits and sheets for the properties."""

from __future__ import annotations

import re

from hypothesis import strategies as st

UNITS = {"R": "Ω", "C": "F", "L": "H", "DZ": "V", "V": "V", "I": "A"}
FIGURES = st.decimals("0.001", "999", places=3).map(lambda d: f"{d.normalize():f}")
PREFIXES = {"R": ["", "k", "M"], "C": ["n", "u", "p"], "L": ["m", "u"], "DZ": [""], "V": [""]}
OPTIONS = {
    "beta": ["20", "150", "0.5", "312.5"],
    "V_BE": ["0.65 V", "700 mV", "0"],
    "V_CE_sat": ["0.2 V"],
    "I_S": ["10 fA", "1e-14"],
    "V_A": ["80 V", "75.5V"],
}
BIPOLAR = ("collector", "base", "emitter")
FIELD_EFFECT = ("drain", "gate", "source")
FETS = [
    "n-channel JFET, I_DSS 8 mA, V_GS_off -4 V",
    "p-channel JFET, V_GS(off) 2.5 V",
    "n-channel MOSFET, V_GS_th 2 V, K 0.5 mA/V², λ 0.02",
    "n-channel MOSFET enhancement, I_D_on 6 mA, V_GS_on 8 V, V_GS_th 3 V",
    "p-channel depletion MOSFET, I_DSS 6 mA, V_A 80 V",
    "2N7000",
    "BF245A",
]
FREE = ["IN", "OUT", "mid", "Ausgang", "base", "k_2", "V+", "Größe"]


@st.composite
def two_terminal(draw, number):
    letters = draw(st.sampled_from(["R", "R", "R", "C", "L", "D", "DZ", "V", "I", "LED", "X"]))
    name = f"{letters}{number}"
    tolerance = draw(st.sampled_from(["", " ±5%", " 1%", " ± 0.25 %"]))
    if letters == "D":
        return name + draw(
            st.sampled_from(["", " V_F 0.65 V", " 1N4148", " reversed", " I_S 2 nA"])
        )
    if letters == "LED":
        return f"{name} V_F 1.9 V{draw(st.sampled_from(['', ' reversed']))}"
    if letters == "X":
        return f"{name} resistor {draw(FIGURES)}k{tolerance}"
    prefix = draw(st.sampled_from(PREFIXES.get(letters, ["m", "u"])))
    figure = draw(FIGURES.filter(lambda f: letters != "DZ" or float(f) > 0.1))
    word = "" if letters == "I" else tolerance
    more = {"C": ["", " electrolytic", " electrolytic reversed"], "DZ": ["", " r_Z 5", " reversed"]}
    extra = draw(st.sampled_from(more.get(letters, [""])))
    return f"{name} {figure}{prefix}{UNITS[letters] if letters in 'VI' else ''}{word}{extra}"


@st.composite
def places(draw, transistors):
    options = ["ground", "GND", "VCC", "VEE", *FREE]
    options += [f"{q} {t}" for q in transistors if q[1] != "7" for t in BIPOLAR]
    options += [f"{q} {t}" for q in transistors if q[1] == "7" for t in FIELD_EFFECT]
    return draw(st.sampled_from(options))


def chain_name(lines, number):
    """Name of the part with this number."""
    words = " ".join(lines).replace(",", " ").split()
    return next(w for w in words if re.fullmatch(rf"(R|C|L|DZ?|V|I|LED|X){number}", w))


@st.composite
def sheets(draw):
    """Sheets of known words in any connection; most are no sound circuit."""
    transistors = [f"Q{i}" for i in range(1, draw(st.integers(0, 3)) + 1)]
    lines = ["VCC = 9 V", f"VEE = -{draw(FIGURES)} V"]
    lines += draw(
        st.sampled_from([[], ["title: A # title = 3, from x"], ["temperature = 31.7 °C"]])
    )
    for q in transistors:
        items = [draw(st.sampled_from(["npn", "pnp", "npn 2N3904"]))]
        for symbol in draw(st.sets(st.sampled_from(sorted(OPTIONS)), max_size=3)):
            items.append(f"{symbol} {draw(st.sampled_from(OPTIONS[symbol]))}")
        lines.append(f"{q} = {', '.join(items)}")
    for i in range(draw(st.integers(0, 2))):
        transistors.append(f"Q7{i}")
        lines.append(f"Q7{i} = {draw(st.sampled_from(FETS))}")
    number = 0
    for _ in range(draw(st.integers(1, 6))):
        chain = []
        for _ in range(draw(st.integers(0, 3))):
            number += 1
            chain.append(draw(two_terminal(number)))
        through = f" through {', '.join(chain)}" if chain else ""
        lines.append(f"from {draw(places(transistors))}{through} to {draw(places(transistors))}")
    if number:
        where = draw(st.sampled_from(["left", "right", "upright"]))
        lines += draw(st.sampled_from([[], [f"place {chain_name(lines, number)} {where}"]]))
    return "\n".join(draw(st.permutations(lines)))


@st.composite
def mutated(draw, base):
    """A sound sheet with a few characters changed, dropped, doubled or moved."""
    text = list(base)
    for _ in range(draw(st.integers(1, 5))):
        at = draw(st.integers(0, len(text) - 1))
        what = draw(st.sampled_from(["change", "drop", "double", "swap", "word"]))
        if what == "change":
            text[at] = draw(st.characters(codec="utf-8"))
        elif what == "drop":
            text[at] = ""
        elif what == "double":
            text[at] *= 2
        elif what == "swap":
            other = draw(st.integers(0, len(text) - 1))
            text[at], text[other] = text[other], text[at]
        else:
            text[at] = draw(
                st.sampled_from(
                    [" to ", " from ", " through ", "=", ",", " npn ", "±", "%", "#", "."]
                )
            )
    return "".join(text) or " "
