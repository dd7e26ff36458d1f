"""Model of a bipolar transistor: its parameters, its temperature laws, its terminal values."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from steadypoint.devices._temperature import (
    SILICON,
    Material,
    activation,
    check_temperature,
    not_negative,
    positive,
    voltage_or_none,
)
from steadypoint.devices._thermal import NOMINAL_TEMPERATURE, thermal_voltage
from steadypoint.errors import DeviceError
from steadypoint.kernels import StaticBipolar

BETA_EXPONENT: Final = 1.7
"""Exponent X of the law β ∝ T^X: +0.6 %/K at 25 °C, as typical curves of small silicon types show
(common practice, from memory). [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BipolarModel:
    r"""Static model of a bipolar transistor; magnitudes for both polarities.

    Parameters
    ----------
    polarity : str
        ``npn`` or ``pnp``.
    I_S : float
        Transport saturation current. [A]
    beta_F : float
        Ideal forward current gain: without leakage and knee. [-]
    n_F : float, default 1.0
        Emission coefficient of the transport current. [-]
    V_A, V_A_R : float, default inf
        Forward and reverse Early voltage. [V]
    I_knee : float, default inf
        Collector current at which beta has fallen by high injection. [A]
    I_leak : float, default 0.0
        Saturation current of the base leakage. [A]
    n_leak : float, default 2.0
        Emission coefficient of the base leakage. [-]
    beta_R : float, default 1.0
        Ideal reverse current gain. [-]
    r_b, r_e, r_c : float, default 0.0
        Series resistances of base, emitter and collector. [Ω]
    I_CBO : float, default 0.0
        Collector-base leakage. [A]
    material : Material, default silicon
        Semiconductor.
    temperature : float, default 298.15
        Junction temperature at which all figures hold. [K]

    Raises
    ------
    DeviceError
        If a figure makes no physics.
    """

    polarity: str
    I_S: float
    beta_F: float
    n_F: float = 1.0
    V_A: float = math.inf
    V_A_R: float = math.inf
    I_knee: float = math.inf
    I_leak: float = 0.0
    n_leak: float = 2.0
    beta_R: float = 1.0
    r_b: float = 0.0
    r_e: float = 0.0
    r_c: float = 0.0
    I_CBO: float = 0.0
    material: Material = SILICON
    temperature: float = NOMINAL_TEMPERATURE

    def __post_init__(self) -> None:
        if self.polarity not in ("npn", "pnp"):
            raise DeviceError(f"A bipolar transistor is npn or pnp, not '{self.polarity}'.")
        owner = f"the {self.polarity} transistor"
        positive(owner, I_S=self.I_S, beta_F=self.beta_F, beta_R=self.beta_R, n_F=self.n_F)
        positive(owner, n_leak=self.n_leak)
        voltage_or_none(owner, V_A=self.V_A, V_A_R=self.V_A_R, I_knee=self.I_knee)
        not_negative(owner, I_leak=self.I_leak, I_CBO=self.I_CBO)
        not_negative(owner, r_b=self.r_b, r_e=self.r_e, r_c=self.r_c)
        check_temperature(self.temperature)

    def at(self, temperature: float) -> BipolarModel:
        r"""The same transistor at another junction temperature.

        Parameters
        ----------
        temperature : float
            Junction temperature. [K]

        Returns
        -------
        BipolarModel
            Model whose figures hold there.

        Raises
        ------
        DeviceError
            Outside -65 °C to 200 °C.

        Notes
        -----
        I_S, I_leak and I_CBO grow by the activation law with their own emission coefficients;
        both current gains as :math:`(T/T_0)^{1.7}`. Early voltages, knee and resistances stay.
        """
        check_temperature(temperature)
        start, material = self.temperature, self.material
        gain = (temperature / start) ** BETA_EXPONENT
        leakage = activation(material, start, temperature, material.n_leakage)
        return replace(
            self,
            I_S=self.I_S * activation(material, start, temperature, self.n_F),
            I_leak=self.I_leak * activation(material, start, temperature, self.n_leak),
            I_CBO=self.I_CBO * leakage,
            beta_F=self.beta_F * gain,
            beta_R=self.beta_R * gain,
            temperature=temperature,
        )

    @property
    def static(self) -> StaticBipolar:
        """Numbers for the kernel ``static_bipolar``, of an npn with the same magnitudes."""
        V_T = thermal_voltage(self.temperature)
        return StaticBipolar(
            I_S=self.I_S,
            V_F=self.n_F * V_T,
            inv_beta_F=1.0 / self.beta_F,
            inv_beta_R=1.0 / self.beta_R,
            inv_V_A=1.0 / self.V_A,
            inv_V_A_R=1.0 / self.V_A_R,
            inv_I_knee=1.0 / self.I_knee,
            I_leak=self.I_leak,
            V_leak=self.n_leak * V_T,
            I_CBO=self.I_CBO,
            V_T=V_T,
        )
