"""Model of a field-effect transistor: its parameters, its temperature laws, its terminal values."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from steadypoint.devices._temperature import (
    SILICON,
    activation,
    check_temperature,
    not_negative,
    positive,
    voltage_or_none,
)
from steadypoint.devices._thermal import NOMINAL_TEMPERATURE, thermal_voltage
from steadypoint.errors import DeviceError
from steadypoint.kernels import StaticFet

MOBILITY_EXPONENT: Final = 2.0
"""Exponent of the law K ∝ T^-x: lattice scattering in doped silicon, between the ideal 1.5 and the
measured 2.4 (Sze, *Physics of Semiconductor Devices*, from memory). [-]"""

THRESHOLD_SLOPE: Final = {"junction": -2.2e-3, "insulated": -4e-3}
"""Change of the n-channel V_GS_th with temperature: the built-in voltage of a JFET's gate junction;
small vertical MOSFETs as their normalised curves show (common practice, from memory). [V/K]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FetModel:
    r"""Static square-law model of a field-effect transistor, in the signs of an n-channel type.

    Parameters
    ----------
    channel : str
        ``n`` or ``p``.
    gate : str
        ``junction`` (JFET) or ``insulated`` (MOSFET).
    V_GS_th : float
        Gate-source voltage at which the channel opens. For a JFET this is V_GS_off; negative for
        depletion types, positive for enhancement types, whatever the channel. [V]
    K : float
        Conductance parameter: I_D = K (V_GS - V_GS_th)² in saturation. [A/V²]
    V_A : float, default inf
        Early voltage of the channel, 1/λ of the channel-length modulation. [V]
    r_d, r_s : float, default 0.0
        Series resistances of drain and source. [Ω]
    I_body : float, default 1e-14
        Saturation current of the body diode (MOSFET) or of each half of the gate junction (JFET).
        [A]
    n_body : float, default 1.0
        Emission coefficient of that diode. [-]
    V_GS_th_slope : float or None, default None
        Temperature coefficient of V_GS_th; None takes the usual one of the kind of gate. [V/K]
    temperature : float, default 298.15
        Junction temperature at which all figures hold. [K]

    Raises
    ------
    DeviceError
        If a figure makes no physics.
    """

    channel: str
    gate: str
    V_GS_th: float
    K: float
    V_A: float = math.inf
    r_d: float = 0.0
    r_s: float = 0.0
    I_body: float = 1e-14
    n_body: float = 1.0
    V_GS_th_slope: float | None = None
    temperature: float = NOMINAL_TEMPERATURE

    def __post_init__(self) -> None:
        if self.channel not in ("n", "p"):
            raise DeviceError(f"The channel of a FET is n or p, not '{self.channel}'.")
        if self.gate not in THRESHOLD_SLOPE:
            raise DeviceError(f"The gate of a FET is junction or insulated, not '{self.gate}'.")
        owner = f"the {self.channel}-channel FET"
        if not math.isfinite(self.V_GS_th):
            raise DeviceError(f"V_GS_th of {owner} is {self.V_GS_th:g}. Give it in volts.")
        if self.gate == "junction" and self.V_GS_th >= 0:
            raise DeviceError(
                f"V_GS_off of a JFET is negative in the signs of an n-channel type, not "
                f"{self.V_GS_th:g} V. Turn its sign."
            )
        positive(owner, K=self.K, n_body=self.n_body)
        voltage_or_none(owner, V_A=self.V_A)
        not_negative(owner, r_d=self.r_d, r_s=self.r_s, I_body=self.I_body)
        check_temperature(self.temperature)

    @property
    def I_DSS(self) -> float:
        """Saturation drain current at V_GS = 0, without modulation and source resistance. [A]"""
        return self.K * min(self.V_GS_th, 0.0) ** 2

    @property
    def is_depletion(self) -> bool:
        """True when the channel conducts at V_GS = 0."""
        return self.V_GS_th < 0

    def at(self, temperature: float) -> FetModel:
        r"""The same transistor at another junction temperature.

        Parameters
        ----------
        temperature : float
            Junction temperature. [K]

        Returns
        -------
        FetModel
            Model whose figures hold there.

        Raises
        ------
        DeviceError
            Outside -65 °C to 200 °C.

        Notes
        -----
        V_GS_th moves along a straight line, K falls with the mobility as :math:`(T/T_0)^{-2}`, and
        with it the series resistances rise. Both laws cancel at one gate voltage, about 0.65 V
        above V_GS_off of a JFET: its bias without drift.
        """
        check_temperature(temperature)
        slope = self.V_GS_th_slope
        slope = THRESHOLD_SLOPE[self.gate] if slope is None else slope
        mobility = (temperature / self.temperature) ** -MOBILITY_EXPONENT
        V_GS_th = self.V_GS_th + slope * (temperature - self.temperature)
        return replace(
            self,
            V_GS_th=min(V_GS_th, -1e-3) if self.gate == "junction" else V_GS_th,
            K=self.K * mobility,
            r_d=self.r_d / mobility,
            r_s=self.r_s / mobility,
            I_body=self.I_body * activation(SILICON, self.temperature, temperature, self.n_body),
            temperature=temperature,
        )

    @property
    def static(self) -> StaticFet:
        """Numbers for the kernel ``static_fet``, of an n-channel type with the same magnitudes."""
        V_T = thermal_voltage(self.temperature)
        junction = self.gate == "junction"
        return StaticFet(
            K=self.K,
            V_GS_th=self.V_GS_th,
            inv_V_A=1.0 / self.V_A,
            I_body=0.0 if junction else self.I_body,
            V_body=self.n_body * V_T,
            I_gate=self.I_body if junction else 0.0,
            V_T=V_T,
        )
