"""What a year's waiting costs: all that buying brings falls a year later, bills go by the calendar; worked by hand."""

from __future__ import annotations

from typing import Any

import pytest
from analysis.test_money_by_hand import bill, options

from costsim.analysis.decision import _waiting
from costsim.analysis.lifecycle import outlay_of

LATER = 1.0 - 1.0 / 1.03
"""What a dollar paid a year later is worth less, at 3 %."""


@pytest.mark.parametrize(
    ("more", "saved"),
    [
        ({}, 3000 * LATER),
        ({"incentive": [{"amount": "1000 $"}]}, 2000 * LATER),
        ({"incentive": [{"amount": "1000 $", "year": 1}]}, 3000 * LATER - 1000 / 1.03 * LATER),
        ({"incentive": [{"amount": "1000 $", "year": 2}]}, 3000 * LATER - 1000 / 1.03**2 * LATER),
        ({"incentive": [{"amount": "1000 $", "year": 10}]}, 3000 * LATER - 1000 / 1.03**10 * LATER),
        ({"incentive": [{"amount": "1000 $", "year": 1, "expires": True}]}, 3000 * LATER - 1000 / 1.03),
        ({"incentive": [{"amount": "1000 $", "expires": True}]}, 3000 * LATER - 1000),
        # half of what others leave: 1,000 at once, 1,500 where the 1,000 has expired; that in money of next year
        ({"incentive": [{"amount": "1000 $", "expires": True}, {"share": "50 %", "after_others": True}]}, 1000 - 1500 / 1.03),
        # 1,000 at no interest in ten or twenty equal payments, no inflation: all of them a year later
        ({"loan": ("1000 $", 10)}, (2000 + 100 * sum(1.03**-year for year in range(1, 11))) * LATER),
        ({"loan": ("1000 $", 20)}, (2000 + 50 * sum(1.03**-year for year in range(1, 21))) * LATER),
        # longer than the study: its twenty payments are counted, and the 500 left after them, bought now or later
        ({"loan": ("1000 $", 40)}, (2000 + 25 * sum(1.03**-year for year in range(1, 21)) + 500 * 1.03**-20) * LATER),
        ({"replacement": "1000 $", "replacement_year": 1}, (3000 + 1000 / 1.03) * LATER),
        ({"replacement": "1000 $", "replacement_year": 8}, (3000 + 1000 / 1.03**8) * LATER),
        # counted in the study's last year bought now, and a year later bought later: the end of the study is no gain
        ({"replacement": "1000 $", "replacement_year": 20}, (3000 + 1000 / 1.03**20) * LATER),
        ({"replacement": "1000 $", "replacement_year": 21}, 3000 * LATER),
        # a year of twenty, or of forty, is left at the end
        ({"part": [{"cost": "3000 $", "life": 20}]}, 3000 * LATER + 150 / 1.03**20),
        ({"part": [{"cost": "3000 $", "life": 40}]}, 3000 * LATER + 75 / 1.03**20),
        # renewed in years 8 and 16, or 9 and 17, with four of eight years left or five
        ({"part": [{"cost": "1000 $", "life": 8}]}, (3000 + 1000 / 1.03**8 + 1000 / 1.03**16) * LATER + 125 / 1.03**20),
        # renewed each year from the first to the nineteenth, or from the second
        ({"part": [{"cost": "100 $", "life": 1}]}, 3000 * LATER + 100 / 1.03),
        ({"maintenance": "50 $/year", "part": [{"cost": "1 $", "life": 20, "maintenance": "10 $/year", "salvage": False}]}, 3000 * LATER + 60 / 1.03),
        ({"salvage": "700 $"}, 3000 * LATER),
    ],
)  # fmt: skip
def test_all_that_buying_brings_falls_a_year_later(more: dict[str, Any], saved: float) -> None:
    """Two options alike in bills; the second costs 3,000 and what is named. Its whole cash flow is shifted by a year, bills are not."""
    if "loan" in more:
        amount, years = more["loan"]
        more = {"loan": {"amount": amount, "interest": "0 %/year", "years": years}}
    case = options({"today": True}, {"first_cost": "3000 $", **more}, discount_rate="3 %/year", inflation="0 %/year")
    outlays = [outlay_of(case, one, {"electricity": bill(900.0, 90.0)}, 0.0, 0) for one in case.options]
    assert _waiting(case, outlays) == (("b", pytest.approx(-saved)),)


def test_a_year_longer_costs_what_today_costs_that_year() -> None:
    """Today's burns 900 of fuel at 110 % in year 1, a part is renewed then for 80; the other 500 of electricity and upkeep of 20.

    The loan on today's is owed either way; carbon of one tonne at 50 $ and a half is each year's own.
    """
    old = {
        "today": True, "first_cost": "1000 $", "replacement": "400 $", "replacement_year": 2, "part": [{"cost": "80 $", "life": 1}],
        "loan": {"amount": "1000 $", "interest": "0 %/year", "years": 5},
    }  # fmt: skip
    case = options(
        old, {"first_cost": "3000 $", "maintenance": "20 $/year"}, discount_rate="3 %/year", carbon_price="50 $/tonne",
        price_path={"electricity": ["110 %", "300 %"]},
    )  # fmt: skip
    outlays = [
        outlay_of(case, one, {"electricity": bill(energy, 0.0)}, co2, 0)
        for one, energy, co2 in zip(case.options, (900.0, 500.0), (1000.0, 500.0), strict=True)
    ]
    wasted = 900 * 1.1 + 80 + 50 - (500 * 1.1 + 20 + 25)
    assert _waiting(case, outlays) == (("b", pytest.approx(wasted / 1.03 - 3000 * LATER)),)


def test_nothing_is_said_of_keeping_what_is_worn_out_within_the_year() -> None:
    """Its replacement is due in year 1: who waits a year would buy two boilers, and nobody renews one to throw it away."""
    case = options({"today": True, "replacement": "9500 $", "replacement_year": 1}, {"first_cost": "9500 $"})
    outlays = [outlay_of(case, one, {"electricity": bill(900.0, 90.0)}, 0.0, 0) for one in case.options]
    assert _waiting(case, outlays) == ()
