"""Price of an hour by month: against the tariff read by hand."""

from __future__ import annotations

import copy

import numpy as np
import pytest
from cases import demo

from costsim import load_weather
from costsim.engine.lower import lower_study
from costsim.study.case import case_from
from costsim.views.price_hours import price_chart, price_hours, price_sentence, used_sentence


def test_every_cell_is_the_price_that_the_tariff_says() -> None:
    data = copy.deepcopy(demo("lantern_cottage"))
    data["prices"]["electricity"] = {
        "energy": "0.10 $/kWh",
        "period": [
            {"name": "peak", "energy": "0.30 $/kWh", "windows": ["17:00-21:00"], "days": "Mon-Fri", "months": "Jun-Sep"}
        ],
    }
    case = case_from(data)
    common = lower_study(case, load_weather(case))
    found = price_hours(common, "electricity", "us")
    by_hand = np.full((2, 12, 24), 0.10)
    by_hand[0, 5:9, 17:21] = 0.30
    # a holiday on a workday is a day off in the picture, on which such a period may count all the same
    off = found.mean[1]
    assert found.unit == "$/kWh"
    assert found.mean[0] == pytest.approx(by_hand[0])
    assert np.delete(off, range(5, 9), axis=0) == pytest.approx(np.delete(by_hand[1], range(5, 9), axis=0))
    assert price_sentence(found) == "From 0.10 $/kWh (Jan, 12 am) to 0.30 $/kWh (Jun, 5 pm)."
    assert len(price_chart(found).data) == 2
    gas = price_hours(common, "natural_gas", "us")
    assert gas.flat
    assert price_sentence(gas) == "The price is the same at every hour: 1.22 $/therm."


def test_a_flat_price_of_a_source_with_hours_says_them() -> None:
    """The price by the day is paid at every hour; one that bills a source that runs from 22:00 to 6:00 alone has these."""
    data = copy.deepcopy(demo("net_loft"))
    keyed = [one for option in data["option"] for one in option["source"] if one["kind"] == "off_peak_electric"]
    assert keyed
    for one in keyed:
        one["windows"] = ["22:00-06:00"]
    case = case_from(data)
    assert used_sentence(case, "off_peak", "us") == "It is paid only in the hours of what it heats with: 10 pm to 6 am."
    assert used_sentence(case, "off_peak", "si").endswith(": 22:00-06:00.")
    assert used_sentence(case, "electricity", "us") == ""
    for one in keyed:  # billed with all else that the house takes
        one["price"] = "electricity"
    for option in data["option"]:
        option["source"] = [one for one in option["source"] if one in keyed]
    data["option"] = [option for option in data["option"] if option["source"]]
    data["prices"] = {"electricity": data["prices"]["electricity"]}
    assert used_sentence(case_from(data), "electricity", "us") == ""
