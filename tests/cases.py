"""Small studies for the tests, built from plain data."""

from __future__ import annotations

import copy
import functools
import tomllib
from typing import Any

import numpy as np

from costsim.engine.lower import lower_study
from costsim.physics.fuels import FUELS
from costsim.results.result import OptionResult
from costsim.simulation import simulate
from costsim.sources import Offer, Surroundings
from costsim.study.case import Case, built_in_studies, case_from
from costsim.weather import Weather, find_weather, read_weather
from costsim.weather.checks import months_of


@functools.cache
def sample_weather(name: str = "greensboro.csv") -> Weather:
    """A shipped year, read once for all tests."""
    return read_weather(find_weather(name))


def demo(name: str = "lantern_cottage") -> dict[str, Any]:
    """Plain data of a built-in study."""
    return tomllib.loads(built_in_studies()[name].read_text(encoding="utf-8"))


def study(*sources: dict[str, Any], **house: Any) -> Case:
    """A study of one option with these sources; `house` changes or adds values of any table by `table__key`."""
    data: dict[str, Any] = {
        "title": "test",
        "place": {"weather": "greensboro.csv", "design_outdoor": "-10 degC"},
        "house": {
            "floor_area": "100 m2",
            "design_heat_loss": "6 kW",
            "indoor_temperature": "20 degC",
            "balance_point": "20 degC",
        },
        "prices": {
            **{key: {"energy": "0.03 $/kWh"} for key in FUELS},  # of whatever fuel a new kind burns
            "electricity": {"energy": "0.10 $/kWh"},
            "natural_gas": {"energy": "1.00 $/therm"},
            "propane": {"energy": "2.50 $/gal"},
            "heating_oil": {"energy": "3.50 $/gal"},
            "wood": {"energy": "250 $/cord"},
            "pellets": {"energy": "0.15 $/lb"},
        },
        "option": [{"name": "one", "source": [copy.deepcopy(source) for source in sources]}],
    }
    for path, value in house.items():
        table, key = path.split("__")
        if value is None:
            data[table].pop(key, None)
        else:
            data.setdefault(table, {})[key] = value
    used = _fuels(data)
    data["prices"] = {key: table for key, table in data["prices"].items() if key in used or key == "electricity"}
    return case_from(data)


def _fuels(data: dict[str, Any]) -> set[str]:
    from costsim.sources import KINDS

    sources = [source for option in data["option"] for source in option["source"]]
    return {KINDS[s["kind"]].model_validate(s).price_key(data["prices"]) for s in sources}


def offer_of(source: dict[str, Any], weather: Weather, **house: Any) -> tuple[Offer, Surroundings]:
    """A source's offer, and the surroundings it was made in."""
    case = study(source, **house)
    seen = lower_study(case, weather).surroundings
    return case.options[0].sources[0].offer(seen), seen


def constant_weather(outdoor_c: float, hours: int = 8760) -> Weather:
    """A year of one temperature, without sun."""
    return wavy_weather(np.full(hours, outdoor_c))


def wavy_weather(outdoor_c: np.ndarray) -> Weather:
    """A year of given temperatures, without sun."""
    zero = np.zeros(len(outdoor_c))
    return Weather(
        "test",
        "test",
        "made for a test",
        36.0,
        -80.0,
        0.0,
        -5.0,
        months_of(len(outdoor_c)),
        outdoor_c,
        zero,
        zero,
        zero,
    )


ELECTRIC = {"kind": "electric", "output": "20 kW"}
TANK = {
    "tank__volume": "300 L", "tank__loss": "0 W/K", "tank__max_temperature": "70 degC",
    "tank__design_supply_temperature": "40 degC",
}  # fmt: skip


def with_uses(*uses: dict[str, Any], source: dict[str, Any] = ELECTRIC, **tables: Any) -> Case:
    """A study whose tank serves these uses."""
    data = dict(study(source, **TANK | tables).typed)
    return case_from({**data, "use": list(uses)})


def one(*uses: dict[str, Any], weather: Any, source: dict[str, Any] = ELECTRIC, **tables: Any) -> OptionResult:
    """Result of its one option."""
    return simulate(with_uses(*uses, source=source, **tables), weather).options[0]
