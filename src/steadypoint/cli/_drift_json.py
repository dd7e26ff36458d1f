"""Results of ``steadypoint drift`` as JSON: SI units, signs of the Python objects."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from steadypoint.spread import (
    BeforeAfter,
    Extremes,
    MonteCarlo,
    Runaway,
    Stability,
    TemperatureRange,
    WarmShift,
    regions_at,
)

if TYPE_CHECKING:
    from steadypoint.cli._drift import Results


def drift_json(results: Results) -> dict[str, Any]:
    """What was found, by the names of the options."""
    out: dict[str, Any] = {}
    if results.stability:
        out["stability"] = {s.transistor: _stability(s) for s in results.stability}
    if results.warming is not None:
        out["warming"] = _warming(results.warming)
    if results.changes:
        out["changes"] = [_change(c) for c in results.changes]
    if results.temperature is not None:
        out["temperature"] = _temperature(results.temperature)
        out["runaway"] = {r.transistor: _runaway(r) for r in results.runaway}
    if results.worst is not None:
        out["worst_case"] = {n: _extremes(e) for n, e in results.worst.extremes.items()}
    if results.spread is not None:
        out["spread"] = _spread(results.spread)
        out["spread"]["variance_shares"] = {
            s.cause: {"first": s.first, "total": s.total} for s in results.shares
        }
        out["spread"]["uncertainty"] = {
            u.quantity: {"value": u.value, "combined": u.combined, "k": u.k, "expanded": u.expanded}
            for u in results.quoted
        }
    return out


def _stability(found: Stability) -> dict[str, Any]:
    return {**found.factors, "return_ratio": found.return_ratio, "region": found.region.value}


def _warming(found: WarmShift) -> dict[str, Any]:
    sign = found.quantity.sign
    return {
        "quantity": found.quantity.name,
        "start": found.start,
        "end": found.end,
        "before": sign * found.before,
        "moved": {c.symbol: sign * c.moved for c in found.causes},
        "together": sign * found.together,
    }


def _change(found: BeforeAfter) -> dict[str, Any]:
    return {
        "change": found.text,
        "model": found.before.model.value,
        "before": {m.quantity.name: m.quantity.sign * m.before for m in found.moved},
        "after": {m.quantity.name: m.quantity.sign * m.after for m in found.moved},
        "percent": {m.quantity.name: m.percent for m in found.moved},
        "regions": _regions(found),
    }


def _regions(found: BeforeAfter) -> dict[str, list[str]]:
    after = regions_at(found.after)
    return {name: [old.value, after[name].value] for name, old in regions_at(found.before).items()}


def _temperature(found: TemperatureRange) -> dict[str, Any]:
    return {
        "temperatures": found.temperatures.tolist(),
        "self_heating": found.self_heating,
        "values": {
            name: _list(found.quantities[name].sign * values)
            for name, values in found.values.items()
        },
        "changes": [
            {
                "transistor": c.transistor,
                "temperature": c.temperature,
                "below": c.below.value,
                "above": c.above.value,
            }
            for c in found.changes
        ],
        "runs_away_at": found.runs_away_at,
    }


def _list(values: Iterable[float]) -> list[float | None]:
    return [float(v) if math.isfinite(v) else None for v in values]


def _runaway(found: Runaway) -> dict[str, Any]:
    largest = found.largest_R_thJA
    return {
        "temperature": found.temperature,
        "power": found.power,
        "slope": found.slope,
        "R_thJA": found.R_thJA,
        "loop_gain": found.loop_gain,
        "largest_R_thJA": largest if math.isfinite(largest) else None,
    }


def _extremes(found: Extremes) -> dict[str, Any]:
    ends = [(found.low, found.corner_low), (found.high, found.corner_high)]
    if found.quantity.sign < 0:
        ends = [(-value, corner) for value, corner in reversed(ends)]
    return {
        "nominal": found.quantity.sign * found.nominal,
        "low": ends[0][0],
        "high": ends[1][0],
        "corner_low": dict(ends[0][1]),
        "corner_high": dict(ends[1][1]),
        "proved": found.proved,
    }


def _spread(found: MonteCarlo) -> dict[str, Any]:
    quantities = {
        name: {
            "mean": _finite(q.mean),
            "deviation": _finite(q.deviation),
            "low": _finite(q.low),
            "median": _finite(q.median),
            "high": _finite(q.high),
        }
        for name, q in found.quantities.items()
    }
    return {
        "n": found.n,
        "seed": found.seed,
        "without_point": found.without_point,
        "quantities": quantities,
        "yields": [
            {
                "quantity": y.quantity,
                "low": y.low,
                "high": y.high,
                "inside": y.inside,
                "share": y.share,
                "level": y.level,
                "interval": list(y.interval),
            }
            for y in found.yields
        ],
        "regions": {name: dict(shares) for name, shares in found.regions.items()},
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
