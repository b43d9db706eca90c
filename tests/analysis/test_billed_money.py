"""Bills of somebody's periods by a study's own tariff, each by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.analysis.billed_money import OwnBills
from costsim.bills.model import Bills
from costsim.tariffs.bill import plain_calendar
from costsim.tariffs.charges import Tariff
from costsim.tariffs.charges.price_keys.demand import DemandCharge
from costsim.tariffs.charges.tariff import Block
from costsim.tariffs.windows import parse_windows

KWH = 3.6e6
ALL_DAY = parse_windows([])


def own(tariff: Tariff, *edges: str) -> OwnBills:
    """Periods between days, use spread evenly."""
    days = np.array(edges, dtype="datetime64[D]")
    count = len(edges) - 1
    bills = Bills(
        "b", "natural_gas", days[:-1], days[1:], np.ones(count), np.zeros(count, dtype=bool), np.arange(count)
    )
    lowered: Any = SimpleNamespace(calendar=plain_calendar(), tariffs={"gas": tariff})
    hourly = [np.ones((int(length), 24)) for length in bills.days.tolist()]
    return OwnBills(lowered, (("gas", 1.0),), bills, hourly)


def test_blocks_fixed_charge_and_tax_come_with_each_bill() -> None:
    """12 € and 800 kWh at 0.14 €, the rest at 0.09 €, and 5 %: 1,000 kWh are (12 + 112 + 18) · 1.05 = 149.10 €, 100 kWh 27.30 €."""
    blocks = (Block(800 * KWH, 0.14 / KWH), Block(float("inf"), 0.09 / KWH))
    tariff = Tariff("gas", 0.0, fixed_per_month=12.0, blocks=blocks, tax_share=0.05)
    # read in the middle of the month, over the new year, and twelve months later again
    bills = own(tariff, "2018-12-14", "2019-01-13", "2019-02-14", "2019-12-14", "2020-01-14")
    cost = bills.cost(np.array([1000.0, 100.0, 5000.0, 1000.0]) * KWH)
    assert cost[[0, 1, 3]] == pytest.approx([149.10, 27.30, 149.10])
    # ten months of 500 kWh: (12 + 70) · 1.05 each
    assert cost[2] == pytest.approx(861.0)
    assert bills.cost(np.zeros(4))[0] == pytest.approx(12.60)


def test_a_piece_of_a_month_has_its_part_of_the_fixed_charge() -> None:
    """Nine days of 30.4375 are 0.2957 months: 3.55 of 12 €, and 10 kWh at 0.10 €; rent of 73 € a year is 0.20 € a day."""
    tariff = Tariff("gas", 0.10 / KWH, fixed_per_month=12.0, rent_per_year=73.0)
    cost = own(tariff, "2019-03-01", "2019-03-10", "2019-04-10").cost(np.array([10.0, 10.0]) * KWH)
    assert cost == pytest.approx([12.0 * 9 / 30.4375 + 1.0 + 9 * 0.20, 12.0 + 1.0 + 31 * 0.20])


def test_a_month_by_its_middle_is_not_taken_twice_where_bills_follow_each_other() -> None:
    """Twelve bills from mid-month, whose middles fall on Jan 31, Mar 1 and Mar 30: one year, 100 kWh each, 300 kWh at 2 €, 900 at 1 €: 1,500 €."""
    blocks = (Block(300 * KWH, 2.0 / KWH, per="year"), Block(float("inf"), 1.0 / KWH, per="year"))
    tariff = Tariff("gas", 0.0, blocks=blocks)
    days = ("01-16", "02-15", "03-16", "04-15", "05-16", "06-15", "07-15", "08-15", "09-15", "10-15", "11-15", "12-15")
    bills = own(tariff, *(f"2023-{day}" for day in days), "2024-01-15")
    assert bills.cost(np.full(12, 100.0) * KWH).sum() == pytest.approx(1500.0)


def test_29_february_on_the_28th_makes_no_peak() -> None:
    """1 kW all month at 10 €/kW is 10 €, in February of 28 and of 29 days, and 20 € for two months."""
    tariff = Tariff("gas", 0.0, demand=(DemandCharge(0.01, ALL_DAY),))
    assert own(tariff, "2023-02-01", "2023-03-01").cost(np.array([28 * 24.0]) * KWH) == pytest.approx([10.0])
    assert own(tariff, "2024-02-01", "2024-03-01").cost(np.array([29 * 24.0]) * KWH) == pytest.approx([10.0])
    assert own(tariff, "2024-02-01", "2024-04-01").cost(np.array([60 * 24.0]) * KWH) == pytest.approx([20.0])


def test_a_thirteenth_bill_has_its_days_part_of_what_the_year_lacks() -> None:
    """80 kWh a month at 0.10 € are 240 kWh, 24 €, short of 1,200: 120 € a year; January again is 8 € and 31 of 365 days of the 24 €."""
    tariff = Tariff("gas", 0.10 / KWH, minimum_use_j=1200 * KWH)
    edges = [f"2023-{month:02d}-01" for month in range(1, 13)] + ["2024-01-01", "2024-02-01"]
    cost = own(tariff, *edges).cost(np.full(13, 80.0) * KWH)
    assert cost[:12].sum() == pytest.approx(120.0)
    assert cost[12] == pytest.approx(8.0 + 24.0 * 31 / 365)


def test_blocks_of_the_year_count_months_that_bills_of_the_year_lack() -> None:
    """100 kWh a month, 300 a year at 2 €, the rest at 1 €: January to March cost 200 € each, November and December 100 €, before or after."""
    blocks = (Block(300 * KWH, 2.0 / KWH, per="year"), Block(float("inf"), 1.0 / KWH, per="year"))
    edges = ["2022-11-01", "2022-12-01"] + [f"2023-{month:02d}-01" for month in range(1, 13)] + ["2024-01-01"]
    cost = own(Tariff("gas", 0.0, blocks=blocks), *edges).cost(np.full(14, 100.0) * KWH)
    assert cost == pytest.approx([100.0] * 2 + [200.0] * 3 + [100.0] * 9)
