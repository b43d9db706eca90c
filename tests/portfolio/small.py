"""A built-in study, and the headings of a small table of homes for it."""

from __future__ import annotations

from costsim import load_weather, read_study

CASE = read_study("lantern_cottage")
WEATHER = load_weather(CASE)
HEADINGS = (
    "home",
    "weight",
    "house.design_heat_loss [kW]",
    "house.balance_point [degC]",
    "prices.electricity.energy [$/kWh]",
)
