"""A thermostat with a set-back: two temperatures as people type them, as a study holds them and as they are shown back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from costsim.dashboard.field_text import as_shown
from costsim.units.calendar_words import two_temperatures, window_words
from costsim.units.fields import QuantityField
from costsim.units.reading import understand

WARMTH = QuantityField(
    "temperature", "Thermostat setting", at_least=5, at_most=30, example="70 degF", usual=(15.0, 26.0)
)
PATH = ("house", "indoor_temperature")


def night_of(typed: str, system: str) -> tuple[str, list[dict[str, Any]], bool] | None:
    """Setting by day, set-backs of a study, and whether their hours were only taken; None where one setting, or none, was typed.

    Examples
    --------
    >>> night_of("70, 65 at night", "us")
    ('70 degF', [{'indoor_temperature': '65 degF', 'windows': ['22:00-06:00']}], True)
    >>> night_of("70", "us") is None, night_of("70, 650 at night", "us") is None
    (True, True)
    """
    temperatures = two_temperatures(typed)
    if temperatures is None:
        return None
    day, night = (understand(text, WARMTH, system=system) for text in temperatures[:2])
    try:
        for reading in (day, night):
            WARMTH.read(reading.text)
    except ValueError:
        return None
    return day.text, [{"indoor_temperature": night.text, "windows": [temperatures[2]]}], temperatures[3]


def warmth_of(house: Mapping[str, Any]) -> str:
    """How warm a house of a study is kept, with its set-back where it has one of every night.

    Examples
    --------
    >>> back = {"indoor_temperature": "65 degF", "windows": ["22:00-06:00"]}
    >>> warmth_of({"indoor_temperature": "70 degF", "setback": [back]}), warmth_of({"indoor_temperature": "70 degF"})
    ('70 degF, 65 degF from 22:00-06:00', '70 degF')
    """
    day, backs = str(house.get("indoor_temperature")), house.get("setback") or []
    if len(backs) != 1 or backs[0].keys() != {"indoor_temperature", "windows"} or len(backs[0]["windows"]) != 1:
        return day
    return f"{day}, {backs[0]['indoor_temperature']} from {backs[0]['windows'][0]}"


def warmth_shown(text: str, system: str) -> str:
    """What `warmth_of` gives, as the reader writes it.

    Examples
    --------
    >>> warmth_shown("70 degF, 65 degF from 22:00-06:00", "us"), warmth_shown("70 degF", "us")
    ('70 °F, 65 °F from 10 pm to 6 am', '70 °F')
    """
    night = night_of(text, system)
    if night is None:
        return as_shown(text, system)
    day, (back,), _ = night
    hours = window_words(back["windows"][0], system)
    return f"{as_shown(day, system)}, {as_shown(back['indoor_temperature'], system)} from {hours}"
