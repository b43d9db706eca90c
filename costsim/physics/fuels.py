"""Fuels: heat content, carbon dioxide and the two heating values that prices and efficiencies are quoted in.

All heat contents are higher heating values (HHV), because bills and US ratings are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from costsim.units.arrays import Floats
from costsim.units.quantity import BTU_J, CORD_M3, FOOT_M, GALLON_M3, KWH_J, POUND_KG, THERM_J, Quantity

MMBTU_J = 1e6 * BTU_J
_SOLD_AS_ENERGY = ("kWh", "therms")


# LHV/HHV from molar heats of combustion at 25 °C [kJ/mol]; No. 2 oil from the CH1.8 approximation of combustion.py.
@dataclass(frozen=True, slots=True)
class Fuel:
    """One fuel as it is sold.

    Parameters
    ----------
    name, title : str
        Key in `FUELS`, and the name for readers.
    heat_content_j_per_unit : float
        Higher heating value of one natural unit [J/m³, J/kg or J/J].
    natural_unit : str
        ``"m3"`` (gas, liquid or stacked wood), ``"kg"`` or ``"J"``.
    co2_kg_per_j : float
        Carbon dioxide per higher heating value [kg/J]; for wood the biogenic part.
    biogenic : bool
        Whether that carbon dioxide is reported apart.
    source, vintage : str
        Where both numbers come from, and their years.
    sold_in : tuple of (float, str)
        Size of the unit that bills in the US count in, in natural units, or in J where that is energy; and its name.
    sold_in_si : tuple of (float, str)
        The same elsewhere.
    price_spread : float
        Standard deviation of its price within a few years, as a share; value from memory, to be replaced by the study's own.
    solid : bool
        Whether its smoke leaves tar where water comes back cool, so that its chimney is its alone and its cautions are told.
    work : str
        Whose licensed work its lines, tank and burner are, so that it is cautioned of: ``"gas"``, ``"oil"`` or empty.
    volume_us : tuple of (float, str)
        Size [m³] and name of the volume whose heat content US tables give.

    Notes
    -----
    A bill's own heat content or a utility's own factor replaces the default: ``dataclasses.replace(fuel, ...)``.

    Examples
    --------
    >>> round(FUELS["propane"].heat_content_j_per_unit * GALLON_M3 / KWH_J, 2)
    26.8
    """

    name: str
    title: str
    heat_content_j_per_unit: float
    natural_unit: str
    co2_kg_per_j: float
    biogenic: bool
    source: str
    vintage: str
    sold_in: tuple[float, str]
    sold_in_si: tuple[float, str]
    price_spread: float
    solid: bool
    work: str
    volume_us: tuple[float, str] = (GALLON_M3, "gal")

    @property
    def metered(self) -> bool:
        """Whether it comes by wire or pipe and is billed as energy, which no heat content changes."""
        return self.sold_in[1] in _SOLD_AS_ENERGY

    def heat_content_us(self, heat_content_j_per_unit: float, natural_unit: str = "") -> str:
        """Heat content of the unit that a US bill or table counts in; ``"kg"`` or ``"m3"`` where not the fuel's own.

        Examples
        --------
        >>> FUELS["propane"].heat_content_us(FUELS["propane"].heat_content_j_per_unit)
        '91.452 kBtu/gal'
        """
        by_mass = (natural_unit or self.natural_unit) == "kg"
        size, unit = (POUND_KG, "lb") if by_mass else self.volume_us
        amount = heat_content_j_per_unit * size / BTU_J / 1000.0
        return f"{amount:,.{0 if amount >= 1000.0 else 3}f} kBtu/{unit}"


_TABLES = "heat content: EIA conversion table; CO2: 40 CFR 98 table C-1 and EPA emission factors hub"

FUELS = {
    fuel.name: fuel
    for fuel in (
        Fuel(
            "electricity",
            "Electricity",
            1.0,
            "J",
            0.81 * POUND_KG / KWH_J,
            False,
            "CO2: EIA, average of all US generation, before grid losses; a default to replace by the utility's own",
            "2023",
            (KWH_J, "kWh"),
            (KWH_J, "kWh"),
            0.08,
            False,
            "",
        ),
        Fuel(
            "natural_gas",
            "Natural gas",
            1036.0 * BTU_J / FOOT_M**3,
            "m3",
            53.06 / MMBTU_J,
            False,
            _TABLES,
            "2022; 2024",
            (THERM_J, "therms"),
            (KWH_J, "kWh"),
            0.15,
            False,
            "gas",
            (FOOT_M**3, "ft³"),
        ),
        Fuel(
            "propane",
            "Propane",
            91452.0 * BTU_J / GALLON_M3,
            "m3",
            62.87 / MMBTU_J,
            False,
            _TABLES,
            "2019; 2024",
            (GALLON_M3, "gal"),
            (1e-3, "L"),
            0.20,
            False,
            "gas",
        ),
        Fuel(
            "heating_oil",
            "Heating oil",
            138500.0 * BTU_J / GALLON_M3,
            "m3",
            73.96 / MMBTU_J,
            False,
            _TABLES,
            "2019; 2024",
            (GALLON_M3, "gal"),
            (1e-3, "L"),
            0.20,
            False,
            "oil",
        ),
        Fuel(
            "wood",
            "Firewood",
            20.0 * MMBTU_J / CORD_M3,
            "m3",
            93.80 / MMBTU_J,
            True,
            "heat content: EIA conversion table, one cord of any kind: species and moisture change it by half;"
            " CO2: 40 CFR 98 table C-1 and EPA emission factors hub",
            "2022; 2024",
            (CORD_M3, "cords"),
            (1.0, "m³ stacked"),
            0.15,
            True,
            "",
            (CORD_M3, "cord"),
        ),
        Fuel(
            "pellets",
            "Wood pellets",
            8200.0 * BTU_J / POUND_KG,
            "kg",
            93.80 / MMBTU_J,
            True,
            "heat content: trade figures 7,600–8,500 Btu/lb as fired, common practice;"
            " CO2: 40 CFR 98 table C-1 and EPA emission factors hub",
            "2024",
            (2000.0 * POUND_KG, "short tons"),
            (1e3, "t"),
            0.10,
            True,
            "",
        ),
    )
}


_PER_MASS = (2, 0, -2, 0, 0)
_SOLD_BY_MASS = {"us": (POUND_KG, "lb"), "si": (1.0, "kg")}
_SOLD_BY_VOLUME = {"us": (FOOT_M**3, "ft³"), "si": (1.0, "m³")}


def sold_amount(fuel: str, energy_j: float, system: str, content: Quantity | None = None) -> tuple[float, str]:
    """How much of a fuel holds an energy, in the unit it is sold in.

    Parameters
    ----------
    fuel : str
        Key of `FUELS`.
    energy_j : float
        Higher heating value bought [J].
    system : str
        ``"us"`` or ``"si"``.
    content : Quantity, optional
        Heat content as typed, per volume [J/m³] or mass [J/kg]; the default of `FUELS` without it.

    Returns
    -------
    tuple of float and str
        Amount and unit; pounds or kilograms where the heat content was typed per mass of a fuel that is else sold by volume.

    Notes
    -----
    Gas and electricity are billed as energy (therms, kWh), which no heat content changes.

    Examples
    --------
    >>> amount, unit = sold_amount("propane", 91.452e6 * BTU_J, "us")
    >>> round(amount), unit
    (1000, 'gal')
    """
    known = FUELS[fuel]
    size, unit = known.sold_in if system == "us" else known.sold_in_si
    if unit in _SOLD_AS_ENERGY:
        return energy_j / size, unit
    per_unit = known.heat_content_j_per_unit
    if content is not None:
        per_unit, by_mass = content.value, content.dims == _PER_MASS
        if by_mass != (known.natural_unit == "kg"):
            size, unit = (_SOLD_BY_MASS if by_mass else _SOLD_BY_VOLUME)["us" if system == "us" else "si"]
    return energy_j / per_unit / size, unit


def co2_kg(energy_j: ArrayLike, factor_kg_per_j: float) -> Floats:
    """Carbon dioxide of an amount of energy [kg]; nothing for none, also where the factor is not known (not a number).

    Examples
    --------
    >>> co2_kg([0.0, 2.0], float("nan")).tolist()
    [0.0, nan]
    """
    energy = np.asarray(energy_j, dtype=float)
    return np.asarray(np.where(energy == 0.0, 0.0, energy * factor_kg_per_j))
