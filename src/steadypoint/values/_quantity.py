"""A value with its unit and the digits in which it is stated."""

from __future__ import annotations

from dataclasses import dataclass, field

from steadypoint.values._writing import format_quantity


@dataclass(frozen=True, slots=True, order=True)
class Quantity:
    """A value in an SI unit.

    Parameters
    ----------
    value : float
        Value in the coherent SI unit (kelvin for temperatures).
    unit : str
        Unit symbol without prefix: ``Ω``, ``V``, ``A``, ``F``, ``H``, ``W``, ``K``, ``Hz``, ``S``,
        ``s``, ``K/W``, ``V/K`` or empty for a pure number.
    digits : int or None
        Significant digits in which the value is stated (of the Celsius figure for a temperature
        typed in °C); None when it is not a stated figure. Takes no part in equality: 3k3 and
        3.30 kΩ are the same resistance.
    written : str
        The text as written by its author, or empty. Takes no part in equality.

    Examples
    --------
    >>> print(Quantity(3300.0, "Ω", digits=2).text(plain=True))
    3.3 kΩ
    """

    value: float
    unit: str = ""
    digits: int | None = field(default=None, compare=False)
    written: str = field(default="", compare=False)

    def text(
        self, digits: int | None = None, *, decimal_mark: str = ".", plain: bool = False
    ) -> str:
        """The quantity as people read it.

        Parameters
        ----------
        digits : int, optional
            Significant digits; without it the stated ones, else those that the value has. [-]
        decimal_mark : {".", ","}
            Decimal mark.
        plain : bool, default False
            ASCII minus and an ordinary space.

        Returns
        -------
        str
            Number and unit; temperatures in °C unless they were typed in kelvin.
        """
        unit = self.unit
        if unit == "K" and not self.written.rstrip().endswith(("K", "kelvin", "kelvins")):
            unit = "°C"
        return format_quantity(
            self.value, unit, digits or self.digits, decimal_mark=decimal_mark, plain=plain
        )

    def __str__(self) -> str:
        return self.text()

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        return {"text/plain": self.text(), "text/html": f"<span>{self.text()}</span>"}
