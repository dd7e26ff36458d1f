"""What the commands read: a circuit from a file or from standard input, changed for this run."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from steadypoint.circuit import Circuit, apply_setting, load_sheet, read_sheet
from steadypoint.errors import SteadypointError, TextFileError

STDIN = "-"


def read_circuit(sheet: str, settings: Iterable[str] = (), base: Circuit | None = None) -> Circuit:
    """Circuit of a sheet with the settings applied in their order.

    Parameters
    ----------
    sheet : str
        Path of the circuit sheet, or ``-`` for standard input.
    settings : iterable of str
        Changes such as ``RB=30k`` or ``beta=200``.
    base : Circuit, optional
        The circuit of the sheet where it has been read before.

    Returns
    -------
    Circuit
        The circuit, checked by the reader of sheets.

    Raises
    ------
    SteadypointError
        If the text is no circuit sheet or a setting does not fit it.
    """
    circuit = base or _read(sheet)
    for setting in settings:
        try:
            circuit = apply_setting(circuit, setting)
        except SteadypointError as fault:
            raise SteadypointError(f"--set {setting}: {fault}") from fault
    return circuit


def _read(sheet: str) -> Circuit:
    return read_sheet(_standard_input(), "standard input") if sheet == STDIN else load_sheet(sheet)


def read_temperature(text: str | None) -> float | None:
    """Temperature in kelvin of what was typed, or None. [K]"""
    if text is None:
        return None
    from steadypoint.values import read_quantity

    return read_quantity(text, "K").value


def _standard_input() -> str:
    if sys.stdin is None or sys.stdin.isatty():
        raise TextFileError(
            "Standard input is the keyboard. Name a circuit sheet, or pipe one into the command."
        )
    data = sys.stdin.buffer.read()
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise TextFileError(
            f"What standard input brings is not text in UTF-8 (line {line}). Pipe a circuit sheet."
        ) from None
