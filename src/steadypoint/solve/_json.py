"""An operating point as plain data in SI units."""

from __future__ import annotations

from typing import Any

from steadypoint.circuit import Kind
from steadypoint.solve._point import OperatingPoint


def to_dict(point: OperatingPoint) -> dict[str, Any]:
    """Plain data of an operating point, ready for JSON.

    Parameters
    ----------
    point : OperatingPoint
        The point.

    Returns
    -------
    dict
        ``model``, ``temperature`` [K], ``supplies`` (V, I, P; delivered), ``nodes`` [V], ``parts``
        (I, V, P), ``transistors`` (bipolar), ``fets`` and ``warnings``; after a
        search with self-heating also ``junction_temperatures`` [K].
    """
    heated = dict(point.junction_temperatures)
    supplies = [p.name for p in point.circuit.parts if p.kind is Kind.SUPPLY]
    return {
        "model": point.model.value,
        "temperature": point.temperature,
        **({"junction_temperatures": heated} if heated else {}),
        "supplies": {
            n: {"V": point.parts[n].V, "I": point.parts[n].I, "P": point.parts[n].P}
            for n in supplies
        },
        "nodes": dict(point.nodes),
        "parts": {
            n: {"I": p.I, "V": p.V, "P": p.P} for n, p in point.parts.items() if n not in supplies
        },
        "transistors": {
            n: {
                "I_B": t.I_B,
                "I_C": t.I_C,
                "I_E": t.I_E,
                "V_BE": t.V_BE,
                "V_CE": t.V_CE,
                "V_B": t.V_B,
                "V_C": t.V_C,
                "V_E": t.V_E,
                "P": t.P,
                "region": t.region.value,
                "polarity": t.polarity,
            }
            for n, t in point.transistors.items()
        },
        "fets": {
            n: {
                "I_D": f.I_D,
                "I_G": f.I_G,
                "I_S": f.I_S,
                "V_GS": f.V_GS,
                "V_DS": f.V_DS,
                "V_G": f.V_G,
                "V_D": f.V_D,
                "V_S": f.V_S,
                "P": f.P,
                "region": f.region.value,
                "polarity": f.polarity,
                "kind": f.kind,
            }
            for n, f in point.fets.items()
        },
        "warnings": list(point.warnings),
    }
