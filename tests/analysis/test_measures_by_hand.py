"""Measures of bills and of many winters at their limits: small figures worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from analysis.units import ELECTRIC
from cases import constant_weather, study

from costsim.analysis.billed_source import billed_source, other_fuel, season_efficiency
from costsim.analysis.guideline14 import cv_rmse, lag_one, nmbe, savings_uncertainty
from costsim.analysis.last_winter import amount_paid
from costsim.analysis.verify import by_month, paid_in, the_one
from costsim.analysis.winters import OptionWinter, Warming, WinterRow, _over_all, read_warming
from costsim.bills.fit import Efficiency
from costsim.bills.model import Bills
from costsim.errors import InputError
from costsim.results.result import Result
from costsim.tariffs.bill import plain_calendar


def test_measures_of_guideline_14_by_hand() -> None:
    metered, predicted = np.array([10.0, 20.0, 30.0, 20.0]), np.array([12.0, 16.0, 30.0, 19.0])
    assert nmbe(metered, predicted) == pytest.approx(3 / (3 * 20))
    assert nmbe(metered, predicted, 2) == pytest.approx(3 / (2 * 20))
    assert cv_rmse(metered, predicted) == pytest.approx(math.sqrt(21 / 3) / 20)
    assert cv_rmse(metered, predicted, 3) == pytest.approx(math.sqrt(21) / 20)
    # no more is fitted than there is
    assert nmbe(metered[:1], predicted[:1]) == pytest.approx(-2 / 10)
    assert cv_rmse(metered, predicted, 9) == pytest.approx(math.sqrt(21) / 20)


def test_what_follows_itself_counts_less() -> None:
    # pairs (1, 2), (2, 1), (1, 1): means 4/3, products about them (−1/3)(2/3) + (2/3)(−1/3) + (−1/3)(−1/3) over 2/3
    assert lag_one(np.array([1.0, 2.0, 1.0, 1.0])) == 0.0
    # pairs (0, 0), (0, 3), (3, 3): products (−1)(−2) + (−1)(1) + (2)(1) = 3 over the root of 6 × 6
    assert lag_one(np.array([0.0, 0.0, 3.0, 3.0])) == pytest.approx(0.5)
    assert lag_one(np.array([0.0, 0.0, 3.0])) == 0.0  # three tell nothing
    assert lag_one(np.array([1.0, 1.0, 1.0, 3.0])) == lag_one(np.array([3.0, 1.0, 1.0, 1.0])) == 0.0
    plain = savings_uncertainty(cv=0.10, fraction=0.2, before=12, after=12, parameters=3)
    # Student's t of nine degrees at 95 % is 1.8331 (any table)
    assert plain == pytest.approx(1.8331 * 1.26 * 0.1 / 0.2 * math.sqrt((1 + 2 / 12) / 12), rel=1e-4)
    # a correlation of 0.5 leaves four of twelve
    less = savings_uncertainty(cv=0.10, fraction=-0.2, before=12, after=12, parameters=3, correlation=0.5)
    assert less == pytest.approx(1.8331 * 1.26 * 0.1 / 0.2 * math.sqrt(12 / 4 * (1 + 2 / 4) / 12), rel=1e-4)
    # of two with two parameters one degree is left: 6.3138; no fewer than one period counts
    few = savings_uncertainty(cv=0.10, fraction=0.2, before=2, after=12, parameters=2, correlation=0.9)
    assert few == pytest.approx(6.3138 * 1.26 * 0.1 / 0.2 * math.sqrt(2 / 1 * (1 + 2 / 1) / 12), rel=1e-4)


class Told(SimpleNamespace):
    """A result of which only its options, and what they share, are told."""

    option = Result.option


def season(fuel: str, heat: float, put_in: float, cost: float = 0.0, standby: float = 0.0) -> Any:
    """A source over a season."""
    return SimpleNamespace(fuel=fuel, heat_j=heat, input_j=put_in, cost=cost, price_key=fuel, standby_j=standby)


def test_the_source_of_the_bills_is_the_one_that_takes_the_fuel() -> None:
    case = study(ELECTRIC)
    case = case.model_copy(update={"option": (case.options[0], case.options[0].model_copy(update={"name": "two"}))})

    def ran(*options: Any, uses: Any = ()) -> Any:
        return Told(
            lowered=SimpleNamespace(calendar=plain_calendar(), tariffs={"natural_gas": None, "electricity": None}),
            options=[
                SimpleNamespace(
                    name=name,
                    sources=sources,
                    uses=uses,
                    delivered_j=2e5,
                    running_j=300.0,
                    hourly=SimpleNamespace(demand_w=np.zeros(2)),
                )
                for name, sources in zip(("one", "two"), options, strict=False)
            ],
        )

    both = ran(
        [
            season("natural_gas", 60.0, 80.0, 8.0),
            season("natural_gas", 20.0, 20.0, 12.0),
            season("electricity", 9.0, 9.0),
        ]
    )
    found = billed_source(case, both, "natural_gas")
    assert found is not None
    assert (found.option, found.efficiency.value, found.services) == ("one", 0.8, (("natural_gas", 1.0),))
    half = 1.645 * case.uncertainty.efficiency_share * 0.8
    assert (found.efficiency.low, found.efficiency.high) == pytest.approx((0.8 - half, 0.8 + half))
    assert billed_source(case, both, "propane") is None
    # 30 J through a meter of its own, 90 J and the 300 J of pumps and fans on the main one: 30 and 390 of 420 J; what nobody sells has none
    metered = season("electricity", 30.0, 30.0)
    metered.price_key = "natural_gas"
    shared = billed_source(case, ran([metered, season("electricity", 90.0, 90.0)]), "electricity")
    assert getattr(shared, "services", None) == (("natural_gas", 30 / 420), ("electricity", 390 / 420))
    # a household of 8,760 kWh a year takes 1 kW, 7,200 kJ in the two hours, all on the main meter
    lived = case.house.model_copy(update={"other_electricity_j_year": 8760 * 3.6e6})
    home = case.model_copy(update={"house": lived})
    apart_j = season("electricity", 1800e3, 1800e3)
    apart_j.price_key = "natural_gas"
    housed = billed_source(home, ran([apart_j, season("electricity", 9e3, 999.7e3)]), "electricity")
    assert housed is not None
    # 1,800 of 1,800 + 999.7 + 7,200 + 0.3 kJ
    assert dict(housed.services) == pytest.approx({"natural_gas": 0.18, "electricity": 0.82})
    assert getattr(billed_source(case, ran([season("wood", 60.0, 80.0)]), "wood"), "services", None) == ()
    assert billed_source(case, ran([season("propane", 0.0, 0.0)]), "propane") is None
    # a hundredth apart is alike
    near = ran([season("propane", 1e4, 100.0)], [season("propane", 9900.0, 100.0)])
    first = billed_source(case, near, "propane")
    assert first is not None
    assert first.option == "one"
    apart = ran([season("propane", 100.0, 100.0)], [season("propane", 98.9, 100.0)])
    with pytest.raises(
        InputError, match="several options take propane, with other efficiencies: 'one' 100%, 'two' 99%"
    ):
        billed_source(case, apart, "propane")
    second = billed_source(case, apart, "propane", "two")
    assert second is not None
    assert second.option == "two"
    # an efficiency told counts for whichever of them it was
    said = billed_source(case, apart, "propane", stated=Efficiency(0.7, 0.7, 0.7, "as given"))
    assert said is not None
    assert said.efficiency.value == 0.7
    today = case.model_copy(update={"option": (case.options[0], case.options[1].model_copy(update={"today": True}))})
    assert getattr(billed_source(today, apart, "propane"), "option", "") == "two"  # unnamed: what heats the house today
    assert getattr(billed_source(today, apart, "propane", "one"), "option", "") == "one"
    # in two hours taps and pool took 46 kJ of the 90 kJ made, gas made 80 of them from 100: 40.9 kJ of heat, 51.1 kJ of gas, over 7,200 s;
    # a shop that goes with the cold took a tenth of the house's 200 kJ
    taps = SimpleNamespace(kind="hot_water", heat_j=4e4, unmet_j=4e3)
    pool = SimpleNamespace(kind="pool_or_tub", heat_j=1e4, unmet_j=0.0)
    shop = SimpleNamespace(kind="zone", heat_j=2.1e4, unmet_j=1e3)
    made = [season("natural_gas", 8e4, 1e5), season("electricity", 1e4, 1e4)]
    watered = billed_source(case, ran(made, uses=(taps, pool, shop)), "natural_gas")
    assert watered is not None
    assert watered.base_w == pytest.approx(46.0 * 80 / 90 / 0.8 * 1e3 / 7200.0)
    assert (watered.beside_share, watered.household_meter) == (pytest.approx(0.1), False)
    assert watered.efficiency.steady_w == watered.base_w
    # a pilot that takes 36 kJ in the two hours takes 5 W; the rest, 64 kJ, made 48 kJ of heat: 75 %
    lit = billed_source(case, ran([season("propane", 4.8e4, 1e5, standby=3.6e4)]), "propane")
    assert lit is not None
    assert (lit.efficiency.value, lit.base_w, lit.efficiency.steady_w) == pytest.approx((0.75, 5.0, 5.0))
    assert lit.efficiency.source.endswith("75% without its standby fuel")
    wired = billed_source(case, ran(made), "electricity")
    assert wired is not None
    # pumps and fans took 300 J beside the 10 kJ of its elements: 10 of 10.3 kJ; nothing generates
    assert (wired.household_meter, wired.efficiency.value, wired.own_by_day_w) == (
        True,
        pytest.approx(10.0 / 10.3),
        None,
    )
    assert watered.efficiency.value == pytest.approx(0.8)  # those of a gas boiler are on another meter
    with pytest.raises(InputError, match="'three' is no option of the study"):
        billed_source(case, apart, "propane", "three")


def read(starts: Any, ends: Any, energy: Any, cost: Any = None) -> Bills:
    """Readings of some days."""
    return Bills(
        "b", "natural_gas", np.array(starts, dtype="datetime64[D]"), np.array(ends, dtype="datetime64[D]"), np.array(energy, dtype=float),
        np.array([False] * (len(starts) - 1) + [True]), np.arange(2, 2 + len(starts)), cost=None if cost is None else np.array(cost, dtype=float),
    )  # fmt: skip


def test_readings_are_put_together_by_the_month_in_which_they_begin() -> None:
    starts = ["2024-01-10", "2024-01-20", "2024-01-30", "2024-02-09", "2024-02-12"]
    ends = ["2024-01-20", "2024-01-30", "2024-02-09", "2024-02-11", "2024-02-20"]
    found = by_month(read(starts, ends, [1, 2, 4, 8, 16], [1, 1, 1, 1, 1]))
    # a day is missing before the last one
    assert [str(day) for day in found.start_day] == ["2024-01-10", "2024-02-09", "2024-02-12"]
    assert [str(day) for day in found.end_day] == ["2024-02-09", "2024-02-11", "2024-02-20"]
    assert found.energy_j.tolist() == [7.0, 8.0, 16.0]
    assert found.estimated.tolist() == [False, False, True]
    assert found.lines.tolist() == [4, 5, 6]
    assert found.cost is not None
    assert found.cost.tolist() == [3.0, 1.0, 1.0]
    assert paid_in(found) == 5.0
    assert paid_in(read(starts, ends, [1] * 5)) is None
    assert paid_in(read(starts, ends, [1] * 5, [1, 1, math.nan, 1, 1])) is None
    assert the_one([found], "natural_gas") is found
    assert the_one([found]) is found
    with pytest.raises(InputError, match="the bills are of natural_gas, natural_gas"):
        the_one([found, found])


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("", None),
        ("  ", None),
        ("1850", 1850.0),
        (" $1,850.50 ", 1850.5),
        ("1850 €", 1850.0),
        ("£9", 9.0),
        ("0.5 $", 0.5),
        ("999999999", 999999999.0),
    ],
)
def test_amounts_of_money(text: str, amount: float | None) -> None:
    assert amount_paid(text) == amount


@pytest.mark.parametrize("text", ["0", "-1", "1e9", "much", "$", "nan"])
def test_what_is_no_amount_of_money(text: str) -> None:
    with pytest.raises(InputError, match="is no amount of money"):
        amount_paid(text)


def test_warming_is_up_to_ten_kelvin_and_goes_by_month() -> None:
    assert read_warming("-10 K", "s").by_month_k == (-10.0,) * 12  # type: ignore[union-attr]
    assert read_warming("1,2,3,4,5,6,7,8,9,10,0,1 K", "s").by_month_k[9] == 10.0  # type: ignore[union-attr]
    assert read_warming("0.5 degC", "s").by_month_k[0] == 0.5  # type: ignore[union-attr]
    for text, says in (
        ("10.1 K", "beyond 10 K"),
        ("1,2 K", "no warming"),
        ("nan K", "no warming"),
        ("1 C", "no warming"),
        ("", "no warming"),
    ):
        with pytest.raises(InputError, match=says):
            read_warming(text, "s")
    with pytest.raises(InputError, match="11 values were given"):
        Warming((1.0,) * 11, "s")
    with pytest.raises(InputError, match="is missing"):
        Warming((1.0,) * 12, " ")
    year = constant_weather(0.0)
    warm = Warming((1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 0.0, -1.0), "s").applied(year)
    assert warm.outdoor_c[[0, 31 * 24 - 1, 31 * 24, 8759]].tolist() == [1.0, 1.0, 2.0, -1.0]
    assert warm.synthetic
    assert "warmer by -1 to 10 K (s)" in warm.source


def test_one_winter_in_ten_by_its_plotting_position() -> None:
    """Of nine winters the ninth stands at 9/10: the worst of them is exceeded one year in ten."""
    rows = [
        WinterRow(str(at), 0.0, 0.0, {"a": OptionWinter(float(cost), hours, 0.0)})
        for at, (cost, hours) in enumerate(zip((1, 9, 3, 4, 5, 6, 7, 8, 2), (0, 0, 5, 5, 1, 1, 1, 1, 1), strict=True))
    ]
    found = _over_all("a", rows)
    assert (found.mean_cost, found.one_in_ten_cost, found.worst_cost, found.worst_cost_winter) == (5.0, 9.0, 9.0, "1")
    assert (found.one_in_ten_unmet_hours, found.worst_unmet_hours, found.worst_unmet_winter) == (5.0, 5, "2")
    longer = _over_all("a", [*rows, *rows, WinterRow("x", 0.0, 0.0, {"a": OptionWinter(10.0, 0, 0.0)})])
    # nineteen: the place 0.9 × 20 is the eighteenth
    assert longer.one_in_ten_cost == 9.0
    warm = _over_all("a", [replace(row, options={"a": OptionWinter(1.0, 0, 0.0)}) for row in rows])
    assert (warm.worst_unmet_hours, warm.worst_unmet_winter) == (0, "")


def test_bills_of_another_fuel_than_todays_take_no_proposed_heaters_efficiency() -> None:
    """Propane heats today; therms are not counted at the 91 % of the gas that is proposed, but at the usual 82 %, with one question."""
    now = SimpleNamespace(name="one")
    case: Any = SimpleNamespace(
        options=(now, SimpleNamespace(name="two")),
        today=now,
        file="",
        uncertainty=SimpleNamespace(efficiency_share=0.05),
        solar_electric=None,
        other_electricity_j=lambda calendar: np.full(2, 3.6e6),
    )
    taps = SimpleNamespace(kind="hot_water", heat_j=5e4, unmet_j=8e3)
    shop = SimpleNamespace(kind="zone", heat_j=2e4, unmet_j=0.0)
    ran = {"uses": (taps, shop), "delivered_j": 2e5, "running_j": 0.0, "hourly": SimpleNamespace(demand_w=np.zeros(2))}
    result: Any = Told(
        lowered=SimpleNamespace(calendar=None, tariffs={"natural_gas": None}),
        options=[
            SimpleNamespace(name="one", sources=[SimpleNamespace(fuel="propane"), SimpleNamespace(fuel="sun")], **ran),
            SimpleNamespace(name="two", sources=[season("natural_gas", 9.1e4, 1e5)], **ran),
        ],
    )
    assert other_fuel(case, result, "natural_gas") == "propane"
    assert other_fuel(case, result, "propane") == ""
    asked = season_efficiency(case, result, "natural_gas")
    assert asked is not None
    assert (asked.value, asked.low, asked.high) == (0.82, 0.72, 0.92)
    assert asked.source.startswith(
        "Your house heats with propane; these bills count natural gas. Which heater used it?"
    )
    assert "until then 82%, 72% to 92%, is assumed" in asked.source
    # the taps' 42 kJ in two hours at 82 % are 51.2 kJ, 7.11 W; the shop has a tenth of the house's heat
    unknown = billed_source(case, result, "natural_gas")
    assert unknown is not None
    assert (unknown.option, unknown.asked, unknown.services) == ("", True, (("natural_gas", 1.0),))
    assert (unknown.base_w, unknown.beside_share) == pytest.approx((42e3 / 0.82 / 7200.0, 0.1))
    assert asked.steady_w == unknown.base_w
    # the option named by somebody is the answer, and so is an efficiency
    named = billed_source(case, result, "natural_gas", "two")
    assert named is not None
    assert (named.option, named.asked, named.efficiency.value) == ("two", False, pytest.approx(0.91))
    typed = billed_source(case, result, "natural_gas", stated=Efficiency(0.9, 0.9, 0.9, "as given"))
    assert typed is not None
    assert (typed.option, typed.asked, typed.efficiency.value) == ("", False, 0.9)
    # resistance heat is 100 % and has no band; the household's 1 kW is counted beside the taps' 42 kJ, 5.83 W
    wired = season_efficiency(case, result, "electricity")
    assert wired is not None
    assert "until then 100% is assumed" in wired.source
    assert wired.steady_w == pytest.approx(1000.0 + 42e3 / 7200.0)
    case.today = None
    assert other_fuel(case, result, "natural_gas") == ""
    assert getattr(billed_source(case, result, "natural_gas"), "option", "") == "two"
