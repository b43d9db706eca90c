"""Burners: how much of a fuel's higher heating value reaches the water, from first principles, and what limits it.

The theoretical curve is the enthalpy balance of a burner that never cycles and loses nothing by its jacket.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats
from costsim.units.quantity import BTU_J, FOOT_M, HOUR_S, INCH_M
from costsim.units.table import ZERO_C_K

ATMOSPHERE_PA = 101325.0
REFERENCE_C = 25.0  # temperature of the heating values, and of the dry combustion air
EVAPORATION_J_MOL = 44.0e3  # of water at 25 °C
MODERN_EFFICIENCY = 0.9
"""By the higher heating value, from which on a unit condenses: without, 10 CFR 430 and makers' lists end below it, from memory."""
LOW_FILL = 0.3
"""How full a propane tank is before it is filled again; common practice, no source."""
_CP_CO2, _CP_O2, _CP_N2, _CP_VAPOUR, _CP_WATER = 38.8, 29.6, 29.15, 33.8, 75.3  # J/(mol K), means over 25-100 °C
_N2_PER_O2 = 79.0 / 21.0
STEPS_K, HOTTEST_C = 2.0, 250.0  # of the tabulated curve


@dataclass(frozen=True, slots=True)
class Burnt:
    """One mole of fuel, C_x H_y: carbon and hydrogen atoms, and higher heating value [J/mol]."""

    carbon: float
    hydrogen: float
    hhv_j_mol: float

    def products(self, excess_air: float) -> tuple[float, float, float, float]:
        """Moles of CO2, O2, N2 and H2O in the flue gas of complete combustion in dry air."""
        oxygen = self.carbon + self.hydrogen / 4.0
        supplied = oxygen * (1.0 + excess_air)
        return self.carbon, supplied - oxygen, supplied * _N2_PER_O2, self.hydrogen / 2.0


# Methane stands for natural gas. No. 2 oil as CH1.8 at 45.36 MJ/kg: its CO2 lies 0.1 % off 40 CFR 98 table C-1.
BURNT = {
    "natural_gas": Burnt(1.0, 4.0, 890.58e3),
    "propane": Burnt(3.0, 8.0, 2219.17e3),
    "heating_oil": Burnt(1.0, 1.8, 627.1e3),
}


def saturation_pressure_pa(*, temperature_c: ArrayLike) -> Floats:
    """Vapour pressure of water.

    Parameters
    ----------
    temperature_c : float or array
        Temperature [°C], 0.01 to 373.

    Returns
    -------
    float or array
        Saturation pressure [Pa].

    References
    ----------
    Wagner and Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783 (value from memory; checked against CoolProp).

    Examples
    --------
    >>> round(float(saturation_pressure_pa(temperature_c=100.0)) / 1e3, 1)
    101.4
    """
    reduced = (np.asarray(temperature_c, dtype=float) + ZERO_C_K) / 647.096
    v = 1.0 - reduced
    low = -7.85951783 * v + 1.84408259 * v**1.5 - 11.7866497 * v**3
    high = 22.6807411 * v**3.5 - 15.9618719 * v**4 + 1.80122502 * v**7.5
    return np.asarray(22.064e6 * np.exp((low + high) / reduced))


def air_pressure_pa(*, altitude_m: float) -> float:
    """Mean pressure of the air at an altitude.

    Parameters
    ----------
    altitude_m : float
        Height above the sea [m], −500 to 11,000.

    Returns
    -------
    float
        [Pa].

    References
    ----------
    ISO 2533 standard atmosphere, ``101325 (1 − 2.25577e-5 h)^5.25588``.

    Examples
    --------
    >>> round(air_pressure_pa(altitude_m=2450.0) / 1e3, 1)
    75.2
    """
    return float(ATMOSPHERE_PA * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


@functools.lru_cache(maxsize=64)
def dew_point_c(*, fuel: str, excess_air: float = 0.2, pressure_pa: float = ATMOSPHERE_PA) -> float:
    """Temperature below which water condenses out of the flue gas.

    Parameters
    ----------
    fuel : str
        Key of `BURNT`.
    excess_air : float
        Air beyond the stoichiometric need, as a share of it.
    pressure_pa : float
        Air pressure [Pa].

    Returns
    -------
    float
        Dew point [°C]; acid dew points lie higher and are not modelled.

    Raises
    ------
    ValueError
        The fuel does not burn in a burner of this kind, or there is too little air.

    Examples
    --------
    >>> round(dew_point_c(fuel="natural_gas", excess_air=0.2), 1)
    55.7
    """
    carbon_dioxide, oxygen, nitrogen, water = _burnt(fuel).products(_checked_air(excess_air))
    partial_pa = pressure_pa * water / (carbon_dioxide + oxygen + nitrogen + water)
    grid_c = np.arange(1.0, 110.0, 0.25)
    return float(np.interp(np.log(partial_pa), np.log(saturation_pressure_pa(temperature_c=grid_c)), grid_c))


def theoretical_efficiency(
    *, flue_c: ArrayLike, fuel: str, excess_air: float = 0.2, pressure_pa: float = ATMOSPHERE_PA
) -> Floats:
    """Highest efficiency that flue gas leaving at a temperature allows, on the higher heating value.

    Parameters
    ----------
    flue_c : float or array
        Temperature at which flue gas and condensate leave [°C], 0 to 250.
    fuel, excess_air, pressure_pa
        As in `dew_point_c`.

    Returns
    -------
    float or array
        Heat to the water per higher heating value.

    Notes
    -----
    ``1 − (Σ n c_p (T − 25) + n_vapour · 44 kJ/mol) / HHV`` with fuel and dry air entering at 25 °C; the gas keeps the
    vapour that saturation allows. Jacket, cycling and standby losses come off.

    References
    ----------
    First principles; heats of combustion 890.58 (methane) and 2219.17 kJ/mol (propane).

    Examples
    --------
    >>> round(float(theoretical_efficiency(flue_c=48.9, fuel="natural_gas")), 3)
    0.922
    """
    burnt = _burnt(fuel)
    carbon_dioxide, oxygen, nitrogen, water = burnt.products(_checked_air(excess_air))
    flue = np.asarray(flue_c, dtype=float)
    # At and above the boiling point nothing condenses; the cap keeps the ratio below from changing sign.
    saturation = np.minimum(saturation_pressure_pa(temperature_c=flue), 0.999 * pressure_pa)
    dry = carbon_dioxide + oxygen + nitrogen
    vapour = np.minimum(water, dry * saturation / (pressure_pa - saturation))
    dry_cp = carbon_dioxide * _CP_CO2 + oxygen * _CP_O2 + nitrogen * _CP_N2
    heat = dry_cp + vapour * _CP_VAPOUR + (water - vapour) * _CP_WATER
    return np.asarray(1.0 - (heat * (flue - REFERENCE_C) + vapour * EVAPORATION_J_MOL) / burnt.hhv_j_mol)


@dataclass(frozen=True, slots=True)
class _Curve:
    """The theoretical curve in straight pieces, even but for a node on the dew point; with it they never rise above it."""

    dew_c: float
    first: Floats
    slope: Floats

    def at(self, flue_c: Floats) -> Floats:
        """Read the curve; below its first node and above its last it stays level."""
        flue = np.clip(flue_c, 0.0, HOTTEST_C)
        # even steps need no search; every piece from the dew point on stands one place further
        place = (flue * STEPS_K).astype(np.intp)
        np.minimum(place, len(self.slope) - 2, out=place)
        place += flue >= self.dew_c
        flue *= self.slope.take(place, mode="clip")
        flue += self.first.take(place, mode="clip")
        return flue


@functools.lru_cache(maxsize=64)
def _curve(fuel: str, excess_air: float, pressure_pa: float, loss: float) -> _Curve:
    """Tabulate the theoretical curve less a loss once, never below nothing."""
    dew = dew_point_c(fuel=fuel, excess_air=excess_air, pressure_pa=pressure_pa)
    dew += 1e-9 * ((dew * STEPS_K).is_integer())  # it must be a node of its own
    node_c = np.sort(np.concatenate([np.arange(0.0, 95.0, 1.0 / STEPS_K), [dew, HOTTEST_C]]))
    theory = theoretical_efficiency(flue_c=node_c, fuel=fuel, excess_air=excess_air, pressure_pa=pressure_pa)
    value = np.maximum(theory - loss, 0.0)
    slope = np.diff(value) / np.diff(node_c)
    first = value[:-1] - slope * node_c[:-1]
    for coefficients in (first, slope):
        coefficients.flags.writeable = False
    return _Curve(dew, first, slope)


def condensing_efficiency(
    *,
    return_c: ArrayLike,
    fuel: str,
    approach_k: float = 5.6,
    jacket_loss: float = 0.02,
    excess_air: float = 0.2,
    pressure_pa: float = ATMOSPHERE_PA,
) -> Floats:
    """Steady efficiency of a condensing unit against return-water temperature, on the higher heating value.

    Parameters
    ----------
    return_c : float or array (n,)
        Water coming back to the unit [°C].
    approach_k : float
        How far the flue gas stays above the return water [K].
    jacket_loss : float
        Share of the input lost through the jacket and by incomplete exchange.
    fuel, excess_air, pressure_pa
        As in `dew_point_c`.

    Returns
    -------
    float or array (n,)
        Heat to the water per higher heating value; never above theory, never negative.

    Raises
    ------
    ValueError
        Approach or jacket loss is negative, which would lift the curve above theory.

    Notes
    -----
    Theory at return + approach, minus the jacket loss. The defaults are common practice without a source: an owner's
    published readings lie 1 to 3 points under theory at return + 10 °F.

    Examples
    --------
    >>> condensing_efficiency(return_c=[27.0, 60.0], fuel="natural_gas").round(2)
    array([0.95, 0.86])
    """
    if approach_k < 0 or jacket_loss < 0:
        raise ValueError(f"approach {approach_k:g} K and jacket loss {jacket_loss:g} must not be negative")
    curve = _curve(fuel, float(excess_air), float(pressure_pa), float(jacket_loss))
    flue = np.asarray(return_c, dtype=float) + approach_k
    return curve.at(np.atleast_1d(flue)).reshape(flue.shape)


def altitude_derate(*, altitude_m: float, reading: str = "total") -> float:
    """Share of the rated input left at an altitude, by the 4 % per 1000 ft rule.

    Parameters
    ----------
    altitude_m : float
        Height above the sea [m].
    reading : str
        ``"total"``: of the whole height, once above 2000 ft. ``"above_2000ft"``: of the height beyond 2000 ft.

    Returns
    -------
    float
        Factor 0…1; 1 up to 2000 ft.

    Notes
    -----
    Both readings of NFPA 54 / ANSI Z223.1 are in print; sealed-combustion units follow their maker.

    Examples
    --------
    >>> [round(altitude_derate(altitude_m=1524.0, reading=r), 2) for r in ("total", "above_2000ft")]
    [0.8, 0.88]
    """
    if reading not in ("total", "above_2000ft"):
        raise ValueError(f"the reading '{reading}' is unknown; use 'total' or 'above_2000ft'")
    feet = altitude_m / FOOT_M
    if feet <= 2000.0:
        return 1.0
    return max(0.0, 1.0 - 0.04 * (feet if reading == "total" else feet - 2000.0) / 1000.0)


def flow_limited_capacity_w(
    *,
    flow_m3_s: ArrayLike,
    max_outlet_c: float,
    inlet_c: ArrayLike,
    density_kg_m3: ArrayLike,
    heat_capacity_j_kgk: ArrayLike,
) -> Floats:
    """Heat that the water flow can carry before the unit's high limit stops it: ``ρ c_p V̇ (T_max − T_in)``.

    Parameters
    ----------
    flow_m3_s, inlet_c : float or array (n,)
        Flow through the unit [m³/s] and its inlet temperature [°C].
    max_outlet_c : float
        Highest outlet temperature [°C].
    density_kg_m3, heat_capacity_j_kgk : float or array (n,)
        Of the fluid [kg/m³], [J/(kg K)].

    Returns
    -------
    float or array (n,)
        Limit [W], never negative.

    Examples
    --------
    >>> water = {"density_kg_m3": 990.0, "heat_capacity_j_kgk": 4180.0}
    >>> round(float(flow_limited_capacity_w(flow_m3_s=1e-4, max_outlet_c=60.0, inlet_c=40.0, **water)))
    8276
    """
    rise_k = np.asarray(np.maximum(max_outlet_c - np.asarray(inlet_c, dtype=float), 0.0))
    return np.asarray(rise_k * (np.multiply(density_kg_m3, heat_capacity_j_kgk) * np.asarray(flow_m3_s)))


# Fill share -> K, and outdoor temperature [°F] -> multiplier, of the tank rule below.
_FILL = ((0.1, 0.2, 0.3, 0.4, 0.5, 0.6), (45.0, 60.0, 70.0, 80.0, 90.0, 100.0))
_WEATHER_F = ((-44.0, -20.0, -15.0, -10.0, -5.0, 0.0, 10.0, 20.0), (0.0, 0.125, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0))


def propane_vaporisation_w(*, diameter_m: float, length_m: float, fill: ArrayLike, outdoor_c: ArrayLike) -> Floats:
    """Heat content of the gas that an above-ground propane tank can boil off, by the trade's rule.

    Parameters
    ----------
    diameter_m, length_m : float
        Outside diameter and overall length of the tank [m].
    fill : float or array (n,)
        Liquid per tank volume, 0…0.8; held at 0.6 above that, falling to nothing under 0.1.
    outdoor_c : float or array (n,)
        Outdoor temperature [°C].

    Returns
    -------
    float or array (n,)
        Fuel power [W], higher heating value.

    Notes
    -----
    ``D · L · K`` Btu/h at 0 °F with inches, times 0.125 at −20 °F up to 2 at 20 °F (held above), 0 at −44 °F where
    propane no longer boils. For intermittent draw, and only an estimate: another printed table falls far less with cold
    (1000 gallons: 534,500 Btu/h at 0 °F, 431,600 at −20 °F). Treat a limit as a reason to ask the supplier.

    References
    ----------
    D·L·K and K by fill: value from memory. Shares by temperature: a coach maker's owner's manual of 2004, seen in a
    public copy. The whole rule: 276,500 Btu/h for 1000 gallons, 30 % full, −10 °F in a heater maker's manual.

    Examples
    --------
    >>> tank = propane_vaporisation_w(diameter_m=37 * INCH_M, length_m=120 * INCH_M, fill=0.3, outdoor_c=-20.0)
    >>> round(float(tank) / 1e3)
    73
    """
    share = np.asarray(fill, dtype=float)
    constant = np.interp(share, (0.0, *_FILL[0]), (0.0, *_FILL[1]))
    weather = np.interp(np.asarray(outdoor_c, dtype=float) * 1.8 + 32.0, *_WEATHER_F)
    return np.asarray(diameter_m / INCH_M * (length_m / INCH_M) * constant * weather * BTU_J / HOUR_S)


def _burnt(fuel: str) -> Burnt:
    if fuel not in BURNT:
        raise ValueError(f"'{fuel}' is not burned in a gas or oil unit; use one of {', '.join(BURNT)}")
    return BURNT[fuel]


def _checked_air(excess_air: float) -> float:
    if excess_air < 0:
        raise ValueError(f"excess air {excess_air:g} is negative: the flame would starve")
    return excess_air
