"""What a source assumes beyond the rule of the board."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from steadypoint.circuit import Circuit
from steadypoint.errors import UnknownNameError

EVERY = "*"
"""Stands for every transistor."""


@dataclass(frozen=True, slots=True)
class Assumptions:
    """Explicit assumptions of the ``board`` rung.

    Parameters
    ----------
    unloaded : tuple of str
        Transistors whose base current is left out at its node whatever its size.
    loaded : tuple of str
        Transistors whose base current is kept at its node whatever its size.
    beta_infinite : tuple of str
        Transistors without any base current.
    stay_active : tuple of str
        Transistors whose active formulas are kept although they would saturate or cut off.
    exact_base_current : tuple of str
        Transistors whose I_B is that of the ``exact`` point; I_C and I_E are β times as large.
    loading_without_V_BE : tuple of str
        Transistors that load their divider as β R_E, V_BE left out of the loading.
    I_C_equals_I_E : bool, default True
        False keeps I_E = (β + 1) I_B.
    threshold : float, default 10.0
        How many times larger the largest other current at a node must be for a base current to be
        left out; common practice, no source. [-]
    budget : float, default inf
        Largest relative error that all shortcuts together may bring into a collector current;
        what breaks it is kept, the costliest first. ``inf`` lets the threshold stand alone, as
        printed examples do. [-]

    Notes
    -----
    ``("*",)`` stands for every transistor.
    """

    unloaded: tuple[str, ...] = ()
    loaded: tuple[str, ...] = ()
    beta_infinite: tuple[str, ...] = ()
    stay_active: tuple[str, ...] = ()
    exact_base_current: tuple[str, ...] = ()
    loading_without_V_BE: tuple[str, ...] = ()
    I_C_equals_I_E: bool = True
    threshold: float = 10.0
    budget: float = math.inf

    def __post_init__(self) -> None:
        """Take a single name for a tuple of one."""
        for item in fields(self):
            value = getattr(self, item.name)
            if isinstance(value, str):
                object.__setattr__(self, item.name, (value,))

    def holds(self, assumption: str, name: str) -> bool:
        """Whether an assumption is made for a transistor."""
        names = getattr(self, assumption)
        return name in names or EVERY in names

    def check(self, circuit: Circuit) -> None:
        """Refuse names that no transistor of the circuit carries.

        Raises
        ------
        UnknownNameError
            If an assumption names no transistor of the circuit.
        """
        known = {q.name for q in circuit.transistors} | {EVERY}
        for item in fields(self):
            value = getattr(self, item.name)
            for name in value if isinstance(value, tuple) else ():
                if name not in known:
                    raise UnknownNameError(
                        f"The assumption {item.name} names '{name}', "
                        "which is no transistor of this circuit."
                    )
