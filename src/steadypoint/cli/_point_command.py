"""Options and help of ``steadypoint point``."""

from __future__ import annotations

import typer

from steadypoint.cli._options import (
    Json,
    ModelChoice,
    Rung,
    SelfHeating,
    Settings,
    Sheet,
    Temperature,
)

EXAMPLE = "Example: steadypoint point stage.circuit --set beta=200 --temperature 60C"


def point(
    sheet: Sheet,
    model: ModelChoice = Rung.EXACT,
    settings: Settings = None,
    temperature: Temperature = None,
    self_heating: SelfHeating = False,
    as_json: Json = False,
) -> None:
    """Solve the operating point of a circuit.

    Tells every node voltage, current and power, the region of each transistor and how far its
    point stands from saturation and cut-off.
    """
    from steadypoint.cli._point import Asked, show_point

    asked = Asked(model.value, temperature, self_heating=self_heating)
    show_point(sheet, settings or [], asked, as_json=as_json)


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(epilog=EXAMPLE)(point)
