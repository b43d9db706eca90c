"""Sources that options begin with, sized for a design load [W]; sizes and efficiencies are examples to replace."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from costsim.units.quantity import BTU_J, FOOT_M, HOUR_S, KWH_J, POUND_KG
from costsim.views.sold import sized
from costsim.words import tr

Maker = Callable[[float, str], list[dict[str, Any]]]
FIRING = {"gas": "80 W", "oil": "200 W", "pellet": "80 W"}
"""Electricity of fan, pump and controls while a burner runs (common practice, no source); a heat pump has its circulator counted too."""


def gas_boiler(fuel: str, name: str) -> Maker:
    """A condensing boiler that burns a fuel by the pipe or from a tank."""

    def sources(load_w: float, system: str) -> list[dict[str, Any]]:
        return [
            {
                "kind": "gas",
                "name": tr(name),
                "fuel": fuel,
                "output": sized(load_w, 1.0, system),
                "efficiency": "92 %",
                "condensing": True,
                "electric": FIRING["gas"],
            }
        ]

    return sources


def electric(load_w: float, system: str) -> list[dict[str, Any]]:
    """Resistance heat for the whole load."""
    return [{"kind": "electric", "name": tr("Electric boiler"), "output": sized(load_w, 1.0, system, electric=True)}]


def pump(load_w: float, system: str, share: float = 1.0) -> dict[str, Any]:
    """A heat pump by its outputs at two outdoor temperatures, those at which it is rated (AHRI 210/240, EN 14511).

    Its hottest water is the middle of where most units end, 55 to 65 °C (130 to 150 °F; common practice, no source).
    """
    hottest = {"max_outlet_temperature": "140 degF" if system == "us" else "60 degC"}
    if system == "us":
        low, high = (max(6, round(load_w * share * factor * HOUR_S / BTU_J / 1e3)) for factor in (0.75, 1.2))
        points = {"outdoor": ["5 degF", "47 degF"], "outputs": [f"{low} kBtu/h", f"{high} kBtu/h"]}
        return {"kind": "heat_pump", "name": tr("Heat pump"), **points, **hottest}
    cold, mild = (max(2.0, round(load_w * share * factor / 1e3, 1)) for factor in (0.75, 1.2))
    return {
        "kind": "heat_pump",
        "name": tr("Heat pump"),
        "outdoor": ["-15 degC", "7 degC"],
        "outputs": [f"{cold:g} kW", f"{mild:g} kW"],
        **hottest,
    }


def electric_backup(load_w: float, system: str) -> list[dict[str, Any]]:
    """Electric heat that carries the house alone when it must."""
    return [{"kind": "electric", "name": tr("Electric backup"), "output": sized(load_w, 1.0, system, electric=True)}]


def _only_as_backup(sources: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [source | {"backup_only": True} for source in sources]


def pump_with_electric(load_w: float, system: str) -> list[dict[str, Any]]:
    """The backup carries the house alone, since a heat pump stops in deep cold, for repairs, and where it is iced up."""
    return [pump(load_w, system), *_only_as_backup(electric_backup(load_w, system))]


def pump_with_gas(load_w: float, system: str) -> list[dict[str, Any]]:
    """A heat pump for seven tenths of the load, and a gas boiler for the whole."""
    return [pump(load_w, system, 0.7), *gas_boiler("natural_gas", tr("Gas boiler for cold days"))(load_w, system)]


def beside_off_peak(others: Maker) -> Maker:
    """Night heat before other sources."""

    def sources(load_w: float, system: str) -> list[dict[str, Any]]:
        night = {
            "kind": "off_peak_electric",
            "name": tr("Off-peak electric"),
            "output": sized(load_w, 1.3, system, electric=True),
        }
        return [night | {"windows": ["22:00-06:00"]}, *others(load_w, system)]

    return sources


def off_peak(load_w: float, system: str) -> list[dict[str, Any]]:
    """All of a day's heat in the eight hours of a night."""
    output = sized(load_w, 3.0, system, electric=True)
    return [
        {"kind": "off_peak_electric", "name": tr("Off-peak electric"), "output": output, "windows": ["22:00-06:00"]}
    ]


def off_peak_store(load_w: float, system: str) -> list[dict[str, Any]]:
    """Night heat for a large tank; by day only what the night left."""
    night = {
        "kind": "off_peak_electric",
        "name": tr("Off-peak electric"),
        "output": sized(load_w, 2.5, system, electric=True),
    }
    day = {"kind": "electric", "name": tr("Electric by day"), "output": sized(load_w, 1.0, system, electric=True)}
    return [night | {"windows": ["22:00-06:00"]}, day | {"backup_only": True}]


def oil(load_w: float, system: str) -> list[dict[str, Any]]:
    """An oil boiler for the whole load."""
    unit = {"kind": "oil", "name": tr("Oil boiler"), "output": sized(load_w, 1.0, system)}
    return [unit | {"efficiency": "86 %", "electric": FIRING["oil"]}]


def pellets(load_w: float, system: str) -> list[dict[str, Any]]:
    """A pellet boiler for the whole load."""
    unit = {"kind": "pellet", "name": tr("Pellet boiler"), "output": sized(load_w, 1.0, system)}
    return [unit | {"efficiency": "78 %", "electric": FIRING["pellet"]}]


def fire(load_w: float, system: str) -> dict[str, Any]:
    """A wood boiler that one charge feeds for six hours, morning and evening."""
    kg = load_w * 6 * HOUR_S / (4.0 * KWH_J * 0.6)
    charge = f"{max(20, 5 * round(kg / POUND_KG / 5))} lb" if system == "us" else f"{max(10, 5 * round(kg / 5))} kg"
    unit = {"kind": "wood", "name": tr("Wood boiler"), "charge": charge}
    return unit | {"efficiency": "60 %", "burn_time": "6 h", "load_times": ["07:00", "18:00"]}


def wood_beside(others: Maker) -> Maker:
    """Two fires a day, and other sources for what they leave."""

    def sources(load_w: float, system: str) -> list[dict[str, Any]]:
        return [fire(load_w, system), *_only_as_backup(others(load_w, system))]

    return sources


wood = wood_beside(electric_backup)


USUAL_PEOPLE = 3
"""Who use the hot water where nobody says how many; common practice, no source."""
FOR_WATER_FT2, FOR_MORE_FT2 = 20.0, 13.0
"""Collectors for each of two people, and for each further one in the north (12 to 14 ft²); US Department of Energy, A Consumer's Guide to
Energy Efficiency and Renewable Energy, sizing a solar water heating system (2007, seen). In the Sun Belt 8 ft² do."""
WATER_TANKS_GAL = {2: 60, 4: 80}
"""Storage tank of a solar water heater for up to so many people, from the same page; 120 gal for more."""


def collectors_for_water(people: int, system: str) -> str:
    """Collector area for so many people's hot water, as text.

    Examples
    --------
    >>> [collectors_for_water(people, "us") for people in (1, 2, 4)], collectors_for_water(3, "si")
    (['20 ft2', '40 ft2', '66 ft2'], '4.9 m2')
    """
    area_ft2 = FOR_WATER_FT2 * min(people, 2) + FOR_MORE_FT2 * max(0, people - 2)
    return f"{area_ft2:.0f} ft2" if system == "us" else f"{area_ft2 * FOOT_M**2:.1f} m2"


def tank_for_water_gal(people: int) -> int:
    """Storage tank for so many people's hot water from the sun [US gal]."""
    return next((gallons for most, gallons in WATER_TANKS_GAL.items() if people <= most), 120)


def sun_for_water(others: Maker) -> Maker:
    """Collectors of the size that hot water asks for, before other sources; flatter than for rooms, since water is used all year."""

    def sources(load_w: float, system: str) -> list[dict[str, Any]]:
        area = collectors_for_water(USUAL_PEOPLE, system)
        collectors = {"kind": "solar", "name": tr("Solar collectors"), "area": area, "tilt": "45 deg"}
        return [collectors, *others(load_w, system)]

    return sources


def sun_with(others: Maker) -> Maker:
    """Collectors before other sources."""

    def sources(load_w: float, system: str) -> list[dict[str, Any]]:
        area = max(4, 2 * round(load_w / 1e3 / 2))
        written = f"{area * 10} ft2" if system == "us" else f"{area} m2"
        collectors = {"kind": "solar", "name": tr("Solar collectors"), "area": written, "tilt": "60 deg"}
        return [collectors, *others(load_w, system)]

    return sources
