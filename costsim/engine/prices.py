"""Prices as rules of control see them, hour by hour."""

from __future__ import annotations

from collections.abc import Mapping

from costsim.study.case import Case
from costsim.tariffs.bill import blocks_reached, hourly_price_per_j
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.charges import Tariff
from costsim.units.arrays import Floats


def prices_seen(case: Case, tariffs: Mapping[str, Tariff], calendar: HourCalendar) -> dict[str, Floats]:
    """Price of each table in each hour as a rule sees it; of blocks that which the house's other electricity has reached."""
    prices = {key: hourly_price_per_j(tariff, calendar) for key, tariff in tariffs.items()}
    own = tariffs.get("electricity")
    if own is not None and own.blocks and case.other_electricity_known:
        reached = blocks_reached(own, calendar, case.other_electricity_j(calendar))
        prices["electricity"] = hourly_price_per_j(own, calendar, reached)
    return prices
