"""How far two colours are apart, for every kind of colour vision, and how well one reads."""

from __future__ import annotations

import math
from typing import Final

Triple = tuple[float, float, float]

VISIONS: Final[dict[str, tuple[Triple, Triple, Triple]]] = {
    "full colour vision": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
"""Matrices on linear RGB at severity 1: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
physiologically-based model for simulation of color vision deficiency", IEEE Transactions on
Visualization and Computer Graphics 15 (2009) 1291-1298."""

_TO_XYZ: Final = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_WHITE: Final = (0.95047, 1.0, 1.08883)  # D65, IEC 61966-2-1


def linear(colour: str) -> Triple:
    """Linear RGB of ``#rrggbb``, after IEC 61966-2-1."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return r, g, b


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (W3C, WCAG 2.2, "contrast ratio"). [-]"""
    light, dark = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    r, g, b = linear(colour)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def difference(first: str, second: str, vision: str = "full colour vision") -> float:
    """Colour difference CIEDE2000 as an eye of some kind sees it. [-]"""
    return ciede2000(seen(first, vision), seen(second, vision))


def seen(colour: str, vision: str) -> Triple:
    """Colour in CIE L*a*b* (D65) as an eye of some kind sees it."""
    rgb = linear(colour)
    simulated = [min(max(_dot(row, rgb), 0.0), 1.0) for row in VISIONS[vision]]
    xyz = [_dot(row, (simulated[0], simulated[1], simulated[2])) for row in _TO_XYZ]
    x, y, z = (_lightness(v / w) for v, w in zip(xyz, _WHITE, strict=True))
    return 116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)


def _dot(row: Triple, values: Triple) -> float:
    return sum(a * b for a, b in zip(row, values, strict=True))


def _lightness(t: float) -> float:
    return math.cbrt(t) if t > 216 / 24389 else (24389 / 27 * t + 16) / 116


def ciede2000(first: Triple, second: Triple) -> float:
    """Colour difference of two colours in L*a*b*. [-]

    References
    ----------
    G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation notes,
    supplementary test data, and mathematical observations", Color Research and Application 30
    (2005) 21-30, doi:10.1002/col.20070.
    """
    (L_1, a_1, b_1), (L_2, a_2, b_2) = first, second
    chroma = 0.5 * (math.hypot(a_1, b_1) + math.hypot(a_2, b_2))
    stretch = 1.5 - 0.5 * _ratio(chroma)
    C_1, h_1 = _polar(a_1 * stretch, b_1)
    C_2, h_2 = _polar(a_2 * stretch, b_2)
    turn = (h_2 - h_1 + 180.0) % 360.0 - 180.0 if C_1 * C_2 else 0.0
    dH = 2.0 * math.sqrt(C_1 * C_2) * math.sin(math.radians(turn / 2))
    L, C = 0.5 * (L_1 + L_2), 0.5 * (C_1 + C_2)
    h = _mean_hue(h_1, h_2) if C_1 * C_2 else h_1 + h_2
    T = (
        1.0
        - 0.17 * math.cos(math.radians(h - 30))
        + 0.24 * math.cos(math.radians(2 * h))
        + 0.32 * math.cos(math.radians(3 * h + 6))
        - 0.20 * math.cos(math.radians(4 * h - 63))
    )
    S_L = 1.0 + 0.015 * (L - 50) ** 2 / math.sqrt(20 + (L - 50) ** 2)
    S_C, S_H = 1.0 + 0.045 * C, 1.0 + 0.015 * C * T
    R_C = 2.0 * _ratio(C)
    R_T = -math.sin(math.radians(60 * math.exp(-(((h - 275) / 25) ** 2)))) * R_C
    l, c, k = (L_2 - L_1) / S_L, (C_2 - C_1) / S_C, dH / S_H  # noqa: E741
    return math.sqrt(l * l + c * c + k * k + R_T * c * k)


def _ratio(C: float) -> float:
    return math.sqrt(C**7 / (C**7 + 25.0**7))


def _polar(a: float, b: float) -> tuple[float, float]:
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360.0


def _mean_hue(first: float, second: float) -> float:
    total = first + second
    if abs(first - second) <= 180.0:
        return total / 2
    return (total + 360.0) / 2 if total < 360.0 else (total - 360.0) / 2
