"""Stability factors: how far the point moves with leakage, base-emitter voltage and gain."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Circuit
from steadypoint.derive import StabilityForms, stability_forms
from steadypoint.devices import bipolar_data
from steadypoint.errors import CircuitError, QuantityError
from steadypoint.solve import Region, Tangent, operating_point, tangent
from steadypoint.spread._readings import Reading, reading, region_word
from steadypoint.values import Quantity

ROUNDING: Final = 1e-15
"""Derivative below which it is rounding. [SI]"""

CAUSES: Final = {"S_ICO": "I_CBO", "S_VBE": "V_BE", "S_beta": "beta"}
"""Stability factors of a bipolar transistor, and the figure that each is of."""

FET_CAUSES: Final = {"S_VGSth": "V_GS_th", "S_K": "K"}
"""The same of a field-effect transistor, which has neither a gain nor a base."""


@dataclass(frozen=True, slots=True)
class Stability:
    """Stability factors of one quantity for the figures of one transistor.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    temperature : float or None
        Junction temperature that was asked for. [K]
    transistor : str
        Whose figures move.
    quantity : Reading
        What they move, by default the transistor's own output current.
    value : float
        The quantity at the point, magnitudes for pnp. [SI]
    region : Region
        Region of the transistor at the point.
    factors : mapping of str to float
        Derivatives by factor: ``S_ICO``, ``S_VBE`` and ``S_beta`` of a bipolar transistor,
        ``S_VGSth`` and ``S_K`` of a field-effect transistor. [SI]
    return_ratio : float or None
        Of a bipolar transistor's collector current; None for field-effect transistors. [-]
    beta : float or None
        Its current gain. [-]
    forms : StabilityForms or None
        The factors in letters, where the working has them.
    """

    circuit: Circuit
    temperature: float | None
    transistor: str
    quantity: Reading
    value: float
    region: Region
    factors: dict[str, float]
    return_ratio: float | None
    beta: float | None
    forms: StabilityForms | None

    def finite(self, beta: float) -> float:
        """Change of the quantity per unit of β for a change to another gain, however large.

        Parameters
        ----------
        beta : float
            The transistor's gain after the change. [-]

        Returns
        -------
        float
            The textbook's S(β) with both gains, from two solved points. [SI]

        Raises
        ------
        CircuitError
            If the transistor has no gain, or nothing changes.
        SolveError
            If there is no point at the other gain.
        """
        if self.beta is None or beta == self.beta:
            raise CircuitError(f"A finite change needs another gain of {self.transistor}.")
        part = self.circuit.part(self.transistor)
        changed = self.circuit.with_part(part.with_option("beta", Quantity(beta, "")))
        after = self.quantity.of(operating_point(changed, "exact", temperature=self.temperature))
        return (after - self.value) / (beta - self.beta)

    @property
    def sentence(self) -> str:
        """What the factors say, in words."""
        if self.return_ratio is None:
            return (
                f"{self.transistor} is a field-effect transistor: its threshold and its "
                f"conductance parameter move the point, and it has no S(I_CO) or S(β)."
            )
        if self.region is not Region.ACTIVE:
            word = region_word(self.region, fet=False)
            return f"{self.transistor} is {word}: the circuit, not its gain, sets its current."
        if not self.value or self.quantity.name != f"{self.transistor}.I_C":
            return ""
        share = self.factors["S_beta"] * (self.beta or 0.0) / self.value
        if abs(share - 1.0) < 1e-6:
            return (
                f"Nothing feeds a change of {self.transistor}'s collector current back: it is "
                f"proportional to β."
            )
        if abs(share) < 1e-9:
            return f"{self.transistor}'s collector current does not depend on its β."
        ratio = f" (return ratio {self.return_ratio:.3g})"
        own = abs(share * (1.0 + self.return_ratio) - 1.0) < 1e-6
        return (
            f"A small relative change of {self.transistor}'s β reaches its collector current "
            f"divided by {1.0 / share:.3g}{ratio if own else ''}."
        )


def stability(
    circuit: Circuit, quantity: str | None = None, *, temperature: float | None = None
) -> tuple[Stability, ...]:
    r"""Stability factors for the figures of every transistor, on the exact rung.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    quantity : str, optional
        What moves, such as ``Q2.V_CE`` or ``V(OUT)``; without it each transistor's own output
        current.
    temperature : float, optional
        Junction temperature; without it that of the sheet, else 25 °C. [K]

    Returns
    -------
    tuple of Stability
        Bipolar transistors first, each in the order of the sheet.

    Raises
    ------
    CircuitError
        If the circuit has no transistor, or a value is out of reason.
    QuantityError
        If a power is asked for.
    UnknownNameError
        If the circuit has no such quantity.
    NoSolutionError
        If there is no point.

    Notes
    -----
    The equations of the exact rung are differentiated implicitly, leakage being a current source
    from collector to base. For a transistor alone the results are the textbooks'

    .. math:: S(I_{CO}) = \frac{1+\beta}{1+T}, \quad S(\beta) = \frac{I_C/\beta}{1+T}

    with the return ratio T = -β dI_B/dI_C.

    References
    ----------
    J. Millman, C. C. Halkias, *Integrated Electronics*, bias stability: S = (1 + β)/(1 - β
    dI_B/dI_C) (from memory).

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> found = stability(arrangement("base bias").circuit)[0]
    >>> round(found.factors["S_ICO"], 6) == found.beta + 1
    True
    """
    law = tangent(circuit, temperature=temperature)
    point = operating_point(circuit, "exact", temperature=temperature)
    wanted = reading(circuit, quantity) if quantity else None
    if wanted is not None and wanted.unit == "W":
        raise QuantityError("Stability factors are those of currents and voltages, not of power.")
    letters = {f.transistor: f for f in stability_forms(circuit)} if wanted is None else {}
    found = []
    for part in circuit.transistors:
        own = wanted or reading(circuit, f"{part.name}.I_C")
        found.append(
            Stability(
                circuit,
                temperature,
                part.name,
                own,
                own.of(point),
                point.transistors[part.name].region,
                _factors(law, part.name, own, CAUSES),
                law.return_ratio(part.name),
                bipolar_data(part.option).beta,
                letters.get(part.name),
            )
        )
    for part in circuit.fets:
        own = wanted or reading(circuit, f"{part.name}.I_D")
        region, factors = point.fets[part.name].region, _factors(law, part.name, own, FET_CAUSES)
        here = (circuit, temperature, part.name, own, own.of(point))
        found.append(Stability(*here, region, factors, None, None, None))
    return tuple(found)


def _factors(
    law: Tangent, part: str, quantity: Reading, causes: dict[str, str]
) -> dict[str, float]:
    found = {}
    for factor, symbol in causes.items():
        value = quantity.sign * law.by(part, symbol)[quantity.name]
        found[factor] = value if abs(value) > ROUNDING else 0.0
    return found
