"""The valley's row houses with hot water and an off-peak store: what of a study takes the kernel longest, invented like the rest."""

from __future__ import annotations

import copy
from typing import Any

from costsim import read_study
from costsim.study.case import Case, case_from

STORED = {"valley_row_stores": False, "valley_row_layers": True}
"""Studies beside the built-in ones, and whether the tank of each is stratified."""


def study_of(name: str) -> Case:
    """A built-in study, or one with hot water, a slab that stores, a tank charged by night and collectors.

    Examples
    --------
    >>> [one.name for one in study_of("valley_row_layers").options]
    ['Electric alone', 'Night store', 'Sun and night store']
    """
    if name not in STORED:
        return read_study(name)
    study: dict[str, Any] = copy.deepcopy(read_study("valley_row").typed)
    study["use"] = [{"kind": "hot_water", "people": 3, "cold_temperature": "10 degC"}]
    study["floor"]["mass"] = {}
    study["tank"] |= {"volume": "800 L"} | ({"stratification": "80 %"} if STORED[name] else {})
    night_price = {"fuel": "electricity", "energy": "0.17 €/kWh", "co2": "0.2 kg/kWh"}
    study["prices"] = {"electricity": study["prices"]["electricity"], "off_peak": night_price}
    electric = {"kind": "electric", "output": "6 kW"}
    night = {"kind": "off_peak_electric", "output": "12 kW", "windows": ["22:00-06:00"]}
    sun = {"kind": "solar", "area": "8 m2", "tilt": "65 deg"}
    options = {
        "Electric alone": [electric],
        "Night store": [night, electric],
        "Sun and night store": [sun, night, electric],
    }
    study["option"] = [{"name": option, "source": sources} for option, sources in options.items()]
    return case_from(study)
