"""Sums over homes, worked by hand on a study of two made-up options."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.portfolio.plan import COST, LAST, SHORT, SHORT_HOURS, PortfolioPlan, Sheet
from costsim.portfolio.summary import PeakHours, _at_once, _shifted, _size_column, _Sums, _won, read_peak_hours
from costsim.portfolio.tariffs import _won as tariff_won
from costsim.portfolio.today import Today, option_of
from costsim.portfolio.today import _of_study as of_study
from costsim.portfolio.totals import MOST_GROUPS, GroupSums, as_csv, harmless, headings_of, sold


def option(name: str, first: int, fuel: str, *, today: bool = False, **traits: Any) -> Any:
    """One option of one source and one service: six columns and CO2."""
    plain = {"feels_cold": False, "windows": (), "store": False, "utility_controlled": False}
    kind = "gas" if fuel != "electricity" else "electric"
    return SimpleNamespace(
        sheet=Sheet(first, (name,), (fuel,), 3 + len(LAST)),
        offers=(SimpleNamespace(fuel=fuel),),
        option=SimpleNamespace(name=name, today=today, sources=(SimpleNamespace(**{"kind": kind} | plain | traits),)),
    )


def two(*, today: bool = False, allowed: int = 10) -> Any:
    """What summaries must know of a study of two options."""
    ready = [option("Gas", 0, "natural_gas", today=today), option("Boiler", 8, "electricity")]
    names = [
        f"{one.option.name}: {what}"
        for one in ready
        for what in (
            "heat wanted [J]",
            "heat from it [J]",
            f"{one.sheet.keys[0]} [kWh]",
            *(text.format(coin="$") for text in LAST),
        )
    ]
    house = SimpleNamespace(max_unmet_hours=allowed)
    return SimpleNamespace(
        options=ready, columns=tuple(names), common=SimpleNamespace(case=SimpleNamespace(house=house)),
        case=SimpleNamespace(prices={}, currency="$", house=house),
    )  # fmt: skip


def values(costs: Any, hours: Any) -> np.ndarray:
    """Columns of two options (columns, homes) of which only costs and hours short are told; the others are their place."""
    found = np.repeat(np.arange(16.0)[:, None], len(costs[0]), axis=1)
    for at in range(2):
        found[8 * at + 3 + COST], found[8 * at + 3 + SHORT_HOURS] = costs[at], hours[at]
    return found


WEIGHTS = np.array([1.0, 2.0, 4.0, 8.0])
HOMES = values([[100, 100, 100, 100], [90, 100, 120, 80]], [[0, 10, 11, 11], [0, 0, 0, 11]])


def test_winners_pairs_and_shares_of_four_homes() -> None:
    """As many hours as are allowed, 10, are warm; a tie is split; the fourth home is cold under both."""
    sums = _Sums(two())
    sums.add(WEIGHTS[:1], HOMES[:, :1])
    sums.add(WEIGHTS[1:], HOMES[:, 1:])
    assert (sums.homes, sums.heaviest, sums.weight.value) == (4, 8.0, 15.0)
    quantiles = [[float(at)] for at in range(5)]
    gas, boiler = (sums.option(at, quantiles) for at in range(2))
    assert gas["homes_short_share"] == 12 / 15
    assert boiler["homes_short_share"] == 8 / 15
    # cheapest: the first home and the last are the boiler's, the second is shared, the third is gas's
    assert gas["cheapest_share"] == pytest.approx((1 + 4) / 15)
    assert boiler["cheapest_share"] == pytest.approx((1 + 1 + 8) / 15)
    # of those that keep warm the third is the boiler's, the fourth nobody's
    assert gas["cheapest_warm_share"] == pytest.approx(1 / 15)
    assert boiler["cheapest_warm_share"] == pytest.approx((1 + 1 + 4) / 15)
    assert gas["cost"] == {"quantiles": [0.0], "mean": 100.0}
    assert boiler["cost"]["mean"] == pytest.approx((90 + 200 + 480 + 640) / 15)
    assert boiler["unmet_kwh"] == {"quantiles": [3.0], "mean": pytest.approx(11.0 + SHORT)}
    pair = sums.pair(0, quantiles)
    assert pair["second_costs_more_by"] == {"quantiles": [4.0], "mean": pytest.approx((-10 + 80 - 160) / 15)}
    assert pair["second_is_cheaper_share"] == pytest.approx(9 / 15)
    assert pair["homes_warm_in_both"] == 3.0
    assert pair["second_costs_more_mean_of_warm_in_both"] == pytest.approx(-10 / 3)
    row = sums.total_row(0, "si")
    assert (row["homes"], row["bills [$]"], row["homes over 10 h short"], row["home-hours short [h]"]) == (
        15.0,
        1500.0,
        12.0,
        20 + 44 + 88,
    )
    none = _Sums(two())
    assert none.option(0, None)["homes_short_share"] is None
    assert none.option(0, None)["cost"] == {"quantiles": None, "mean": None}
    assert none.pair(0, None)["second_costs_more_mean_of_warm_in_both"] is None


def test_a_tie_is_split_and_nobody_wins_a_home_that_all_leave_cold() -> None:
    cost = np.array([[1.0, 2.0, np.inf, 5.0], [1.0, 1.0, np.inf, np.inf], [1.0, 1.0, np.inf, 6.0]])
    wanted = [[1 / 3, 0, 0, 1], [1 / 3, 0.5, 0, 0], [1 / 3, 0.5, 0, 0]]
    for won in (_won, tariff_won):
        np.testing.assert_allclose(won(cost), wanted)


def test_what_moves_out_of_the_peak_hours() -> None:
    peak = PeakHours(np.array([0.0, 1.0, 0.5, 0.0]), "")
    first, second = np.array([1e3, 4e3, 2e3, 1e3]), np.array([2e3, 1e3, 4e3, 5e3])
    # in the peak 3 less and half of 2 more; elsewhere 1, the other half of 2, and 4
    assert _shifted(first, second, peak) == {
        "peak_hours_less_kwh": 2.0, "other_hours_more_kwh": 6.0, "other_hours_most_more_kw": 4.0,
    }  # fmt: skip
    assert _shifted(second, second * 0.5, peak)["other_hours_most_more_kw"] == 0.0


def test_the_highest_hour_of_all_homes_and_the_mean_over_peak_hours(plan: PortfolioPlan) -> None:
    power = np.zeros(8760)
    power[[3, 40, 50]] = 9e3, 6e3, 2e3
    share = np.zeros(8760)
    share[[3, 50]] = 0.5, 1.0
    found = _at_once(plan, power, PeakHours(share, ""))
    assert found == {
        "coincident_peak_kw": 6.0, "coincident_peak_hour": 40, "coincident_peak_at": "Jan 2, 4 pm", "coincident_peak_hours": 1,
        "peak_hours_mean_kw": pytest.approx((4.5 + 2) / 1.5), "peak_hours_highest_kw": 9.0,
    }  # fmt: skip
    late = np.where(np.arange(8760) == 50, 1.0, 0.0)
    assert _at_once(plan, power, PeakHours(late, ""))["peak_hours_highest_kw"] == 2.0  # hours outside do not count
    none = _at_once(plan, power * 0.0, PeakHours(share * 0.0, ""))
    assert (none["coincident_peak_kw"], none["coincident_peak_hour"], none["peak_hours_mean_kw"]) == (0.0, None, None)


def test_peak_hours_are_winter_weekdays(plan: PortfolioPlan) -> None:
    found = read_peak_hours("17:00-20:00, 06:00-07:00", plan)
    assert found.text == "17:00-20:00, 06:00-07:00, Mon-Fri, not holidays, Dec-Feb"
    # 2025: 23 weekdays in January, 20 in February, 23 in December, less New Year, King's and Washington's days and Christmas
    assert found.share.sum() == 4 * 62
    with pytest.raises(InputError, match="--peak-hours"):
        read_peak_hours("17-25", plan)


def test_a_column_of_sizes_is_named_where_there_is_none(plan: PortfolioPlan) -> None:
    assert _size_column(plan, "us") == "Output of Electric 9 kW [kBtu/h]"
    sized = SimpleNamespace(layout=SimpleNamespace(keys=("house.floor_area", "option[1].source[1].output")))
    assert _size_column(sized, "us") == ""  # type: ignore[arg-type]
    assert _size_column(SimpleNamespace(layout=SimpleNamespace(keys=("tank.volume",))), "us") == ""  # type: ignore[arg-type]


# what heats homes today


def test_savings_against_the_option_of_today() -> None:
    today = Today(two(today=True), {})
    assert (today.known, today.option, today.column) == (True, 0, "")
    today.add([], WEIGHTS, HOMES)
    store: Any = SimpleNamespace(parts=lambda names, numbers: iter([(WEIGHTS, HOMES)]))
    found = today.summary(store, [0], 8.0)
    assert (found["column"], found["option"], found["homes"], found["by_value"]) == ("", "Gas", 15.0, [])
    [row] = found["rows"]
    assert row["option"] == "Boiler"
    assert row["saves"]["mean"] == pytest.approx((10 - 80 + 160) / 15)
    assert row["saves_total"] == pytest.approx(10 - 80 + 160)
    # savings by weight: -20 of 4, 0 of 2, 10 of 1, 20 of 8
    assert row["saves"]["quantiles"] == [-20.0, -20.0, 20.0, 20.0, 20.0]
    assert row["saves_share"] == pytest.approx(9 / 15)  # as much is no saving
    assert row["homes_warm_in_both"] == 3.0
    assert row["saves_warm_in_both_mean"] == pytest.approx(10 / 3)


def test_a_column_names_what_heats_each_home() -> None:
    today = Today(two(), {"Heating fuel": "Heating fuel", "Utility": "Utility"})
    assert (today.known, today.option, today.column) == (True, -1, "Heating fuel")
    texts = ["gas", "coal", "BOILER", ""]
    assert today.of(texts, 4).tolist() == [0, -1, 1, -1]
    today.add(texts, WEIGHTS, HOMES)
    store: Any = SimpleNamespace(
        parts=lambda names, numbers: iter([(WEIGHTS, HOMES)]), texts=lambda names, number: [texts]
    )
    found = today.summary(store, [0], 8.0)
    assert (found["column"], found["option"], found["homes"]) == ("Heating fuel", "", 5.0)
    assert {one["value"]: (one["homes"], one["option"]) for one in found["by_value"]} == {
        "": (8.0, None), "BOILER": (4.0, "Boiler"), "coal": (2.0, None), "gas": (1.0, "Gas"),
    }  # fmt: skip
    gas, boiler = found["rows"]
    # of those with a today: the first home saves 10 with the boiler, the third 20 with gas, which leaves it cold
    told = [
        (row["saves"]["mean"], row["saves_share"], row["homes_warm_in_both"], row["saves_warm_in_both_mean"])
        for row in (gas, boiler)
    ]
    assert told == [(80 / 5, 4 / 5, 1.0, 0.0), (10 / 5, 1 / 5, 5.0, 10 / 5)]
    assert not Today(two(), {"Utility": "Utility"}).known
    assert Today(two(), {"Fuel today": "first", "fuel_today": "second"}).column == "first"
    # half a dollar is a saving, and homes that weigh less than one are as good as others
    half = Today(two(today=True), {})
    half.add([], WEIGHTS[:1] / 2, values([[100], [99.5]], [[0], [0]]))
    light: Any = SimpleNamespace(
        parts=lambda names, numbers: iter([(WEIGHTS[:1] / 2, values([[100], [99.5]], [[0], [0]]))])
    )
    assert half.summary(light, [0], 0.5)["rows"][0]["saves_share"] == 1.0
    few = _Sums(two())
    few.add(WEIGHTS[:1] / 2, HOMES[:, :1])
    assert few.heaviest == 0.5


# totals and groups


def test_groups_are_summed_by_name_and_cold_ones_counted() -> None:
    groups = GroupSums(two(), "Utility")
    groups.add(["City", "", "City", "Valley"], WEIGHTS, HOMES)
    groups.add(["City"], WEIGHTS[:1], HOMES[:, :1])
    found = {(row["group"], row["option"]): row for row in groups.rows("si")}
    assert list(found) == [(group, name) for group in ("(empty)", "City", "Valley") for name in ("Gas", "Boiler")]
    city = found["City", "Gas"]
    assert (city["homes"], city["bills [$]"], city["homes over 10 h short"], city["home-hours short [h]"]) == (
        6.0,
        600.0,
        4.0,
        44.0,
    )
    assert found["(empty)", "Gas"]["homes over 10 h short"] == 0.0
    assert found["City", "Boiler"]["electricity [kWh]"] == pytest.approx(6.0 * 10)
    assert found["City", "Boiler"]["CO2 [metric tons]"] == pytest.approx(6.0 * 15 / 1e3)
    many = GroupSums(two(), "Number")
    every = np.repeat(HOMES[:, :1], MOST_GROUPS, axis=1)
    many.add([str(at) for at in range(MOST_GROUPS)], np.ones(MOST_GROUPS), every)
    many.add(["7"], WEIGHTS[:1], HOMES[:, :1])
    with pytest.raises(InputError, match="has more than 200 different values, such as 'x'"):
        many.add(["x"], WEIGHTS[:1], HOMES[:, :1])


def test_rows_with_other_fuels_share_a_table() -> None:
    rows: list[dict[str, Any]] = [{"option": "a", "gas": 1.5, "end": None}, {"option": "=b", "wood": 2, "end": 1e12}]
    assert headings_of(rows) == ["option", "gas", "end", "wood"] or headings_of(rows) == [
        "option",
        "wood",
        "gas",
        "end",
    ]
    lines = as_csv(rows).splitlines()
    assert lines[0].startswith("option,")
    assert lines[1].startswith("a,")
    assert lines[2].startswith("'=b,")
    cells = dict(zip(lines[0].split(","), lines[2].split(","), strict=True))
    assert cells == {"option": "'=b", "gas": "", "wood": "2", "end": "1e+12"}
    assert [harmless(text) for text in ("@x", "-3.5", "+4", "-x", "1=1", "\t=2")] == [
        "'@x",
        "-3.5",
        "+4",
        "'-x",
        "1=1",
        "'\t=2",
    ]


def test_fuels_are_told_in_the_unit_they_are_sold_in(plan: PortfolioPlan) -> None:
    assert sold(plan, "electricity", "us") == (1.0, "kWh")
    amount, unit = sold(plan, "natural_gas", "us")
    assert (amount, unit) == (pytest.approx(3.6e6 / 105.505585e6), "therms")
    assert sold(plan, "off_peak", "us") == (1.0, "kWh")
    assert sold(plan, "steam", "us") == (1.0, "kWh")  # nobody knows the fuel


def named(*names: str, fuels: Any = ("natural_gas", "natural_gas", "electricity"), today: int | None = None) -> Any:
    """What must be known of options by these names."""
    ready = [option(name, 0, fuel, today=at == today) for at, (name, fuel) in enumerate(zip(names, fuels, strict=True))]
    return SimpleNamespace(options=ready, case=SimpleNamespace(prices={}))


@pytest.mark.parametrize(
    ("names", "today", "text", "found"),
    [
        (("New gas", "Gas today", "Pump"), None, "gas", 1), (("New gas", "Old gas", "Pump"), 1, "gas", 1), (("New gas", "Old gas", "Pump"), None, "gas", -1),
        (("New gas", "Old gas", "Pump"), None, "old GAS", 1), (("New gas", "Old gas", "Pump"), None, "electric", 2),
        (("Gas today", "Gas of today", "Pump"), None, "natural_gas", -1), (("New gas", "Old gas", "Pump"), None, "coal", -1),
        (("New gas", "Old gas", "Pump"), None, " Electric  resistance ", 2),
    ],
)  # fmt: skip
def test_what_a_column_says_is_an_option_by_its_name_its_fuel_or_today(
    names: Any, today: int | None, text: str, found: int
) -> None:
    at, why = option_of(named(*names, today=today), text)
    assert at == found
    assert bool(why) == (found < 0)
    if found < 0:
        assert why == "no option of the study is that" if text == "coal" else why.startswith("fits several options (")


@pytest.mark.parametrize(
    "traits",
    [
        {"windows": ("22:00-06:00",)},
        {"store": True},
        {"kind": "heat_pump", "feels_cold": True},
        {"kind": "off_peak_electric", "utility_controlled": True},
    ],
)
def test_electric_is_no_heat_pump_store_or_cheap_hours(traits: dict[str, Any]) -> None:
    other = option("Other", 0, "electricity", **traits)
    at, why = option_of(SimpleNamespace(options=[other]), "electric")
    assert (at, why) == (-1, "no option of the study is electric alone, at any hour (Other is not)")
    plain = option("Boiler", 8, "electricity")
    assert option_of(SimpleNamespace(options=[other, plain]), "Electric") == (1, "")
    assert option_of(SimpleNamespace(options=[other, plain]), "other") == (0, "")


def test_the_study_s_option_of_today_is_marked_or_says_so() -> None:
    assert of_study(named("a", "b", "c", today=1)) == 1
    assert of_study(named("Gas today", "b", "c", today=2)) == 2
    assert of_study(named("Gas today", "b", "c")) == 0
    assert of_study(named("Gas today", "Oil today", "c")) == -1
    assert of_study(named("Todays", "b", "c")) == -1
