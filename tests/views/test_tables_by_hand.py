"""Tables of a result, the arithmetic behind its cards, and a first study's sizes, by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, wavy_weather
from views.loft import loft
from views.made import but

from costsim.study.prices import Price
from costsim.tariffs.bill import BillLine
from costsim.units.faults import build
from costsim.units.quantity import to_display
from costsim.views import card_math, tables
from costsim.views.bought_anew import outlay_text
from costsim.views.first_study import efficiency_of, fuels_of, rule_of_thumb, sizing_load_w
from costsim.views.tables import bought, hourly_frame, safe_text, season_rows, text_table, unmet_rows, whole_costs

NEAR = pytest.approx
GAS = build(Price, {"energy": "1.20 $/therm"})
THERM_J = 105.505585e6


def test_columns_stand_under_their_headings() -> None:
    lines = text_table(["what", "kWh", ""], [["heat of all", "12", "x"], ["sun", "1,234", ""]]).split("\n")
    assert lines == ["what           kWh", "heat of all     12  x", "sun          1,234"]


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        (19.96, "20.0 therms"),
        (19.94, "19.9 therms"),
        (20.001, "20 therms"),
        (1234.4, "1,234 therms"),
        (0.0, "0.0 therms"),
    ],
)
def test_what_is_bought_has_a_decimal_only_where_it_is_little(amount: float, text: str) -> None:
    source: Any = SimpleNamespace(fuel="natural_gas", input_j=amount * THERM_J, heat_content=None)
    assert bought(source, "us") == text
    assert bought(but(source, fuel="sun"), "us") == ""


@pytest.mark.parametrize(
    ("line", "quantity", "rate"),
    [
        (BillLine(1, "e", 50 * THERM_J, "J", 0.0, 60.0), "50.00 therms", "$1.20/therm"),
        (BillLine(1, "e", 0.0, "J", 0.0, 0.0), "0.00 therms", ""),
        (BillLine(1, "p", 12_345.0, "W", 0.009, 111.1), "12.35 kW", "$9.00/kW"),
        (BillLine(1, "t", 1234.5, "money", 0.0725, 89.5), "$1,234.50", "7.250%"),
        (BillLine(1, "f", 1.0, "month", 14.0, 14.0), "1 month", "$14.00"),
        (BillLine(0, "f", 12.0, "month", 14.0, 168.0), "12 months", "$14.00"),
        (BillLine(0, "f", 0.5, "month", 14.0, 7.0), "0.5 month", "$14.00"),
        (BillLine(0, "f", 1.0, "year", 1234.5, 1234.5), "1 year", "$1,234.50"),
    ],
)
def test_a_line_of_a_bill_by_what_it_counts(line: BillLine, quantity: str, rate: str) -> None:
    case: Any = SimpleNamespace(currency="$", prices={"natural_gas": GAS})
    assert tables._quantity(line, case, "natural_gas", "us") == (quantity, rate)


def test_bills_say_what_heating_adds_to_the_house() -> None:
    case: Any = SimpleNamespace(currency="$", prices={"natural_gas": GAS})
    lines = (BillLine(0, "fixed", 1.0, "year", 5.0, 5.0), BillLine(12, "energy", 50 * THERM_J, "J", 0.0, 60.0))
    bill = SimpleNamespace(lines=lines, total=1065.0, without_heating=None)
    ((headings, rows),) = tables.bill_rows(case, SimpleNamespace(bills={"natural_gas": bill}), "us")  # type: ignore[arg-type]
    assert [row[0] for row in rows] == ["year", "Dec", ""]
    assert rows[-1][1:] == ["natural gas, whole bill", "", "", "1,065.00"]
    assert all(len(row) == len(headings) for row in rows)
    both = SimpleNamespace(bills={"natural_gas": but(bill, without_heating=100.0)})
    rows = tables.bill_rows(case, both, "us")[0][1]  # type: ignore[arg-type]
    assert [row[-1] for row in rows[-3:]] == ["1,065.00", "100.00", "1,165.00"]
    assert "what heating adds" in rows[-3][1]


def test_rows_of_the_season_are_the_results_own() -> None:
    _, _, result = loft()
    headings, rows = season_rows(result, "si")
    assert all(len(row) == len(headings) for row in rows)
    at = 0
    for option in result.options:
        row = rows[at]
        assert row[:6] == [
            option.name, f"${option.cost_total:,.0f}", f"{option.unmet.hours:,}", f"${option.cost_fixed:,.0f}", f"${option.cost_energy:,.0f}",
            f"{option.delivered_j / 3.6e6:,.1f}",
        ]  # fmt: skip
        for number, source in enumerate(option.sources, 1):
            assert rows[at + number][0] == f"  {source.name}"
            assert rows[at + number][5] == f"{source.heat_j / 3.6e6:,.1f}"
        at += 1 + len(option.sources)
        pumps = option.running_j > 0 and abs(tables.pumps_cost(option)) >= 0.005
        if pumps:
            assert rows[at][0] == "  pumps and fans"
            assert rows[at][6] == f"{option.running_j / 3.6e6:,.0f} kWh"
            at += 1
        whole = whole_costs(option)
        assert sum(part for *_, part in whole) == round(sum(cost for _, cost, _ in whole))
        assert sum(cost for _, cost, _ in whole) == NEAR(option.cost_total)
    assert at == len(rows)
    none = replace(result.options[0], pump_j=0.0, sources=())
    assert tables._pump_rows(result, none, 0) == []
    free = replace(none, pump_j=3.6e6, cost_energy=0.004)
    assert tables._pump_rows(result, free, 0) == []
    some = replace(free, cost_energy=free.cost_energy + 0.01)
    assert tables._pump_rows(result, some, 7)[0][4:7] == ["$7", "", "1 kWh"]


def test_rows_of_what_is_missing() -> None:
    _, _, result = loft()
    headings, (row,) = unmet_rows(result, "us")
    short = result.options[0].unmet
    assert row[:4] == [
        result.options[0].name, f"{short.hours:,}", f"{to_display(short.energy_j, 'heat', 'us'):,.2f}", f"{to_display(short.worst_w, 'power', 'us'):,.1f}",
    ]  # fmt: skip
    assert row[4] == result.clock[short.worst_hour]
    assert row[5] == f"{short.longest_run_hours:,}"
    assert len(headings) == len(row)
    few = replace(short, by_cause_j={"capacity": 1000.1, "floor": 1000.0})
    assert unmet_rows(replace(result, options=(replace(result.options[0], unmet=few),)), "us")[1][0][6] == "capacity"


def test_hours_of_all_options_in_the_readers_unit() -> None:
    _, _, result = loft()
    frame = hourly_frame(result, "us")
    assert len(frame) == 8760
    option = result.options[1]
    name = safe_text(option.name)
    assert list(frame[f"{name}: demand [kBtu/h]"][:3]) == NEAR(
        [watts * 3.412142e-3 for watts in option.hourly.demand_w[:3]]
    )
    assert list(frame["hour of the year"][:3]) == [0, 1, 2]
    assert frame[f"{name}: tank [degF]"][5] == NEAR(option.hourly.tank_c[5] * 1.8 + 32)
    assert not [column for column in frame.columns if "tank top" in column]
    sunless = [column for column in frame.columns if "unused" in column]
    assert len(sunless) == sum(source.dumped_j > 0 for one in result.options for source in one.sources)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.1234, "0.1234"),
        (0.12, "0.12"),
        (1.0, "1.00"),
        (0.99999, "1"),
        (0.0, "0"),
        (99.994, "99.99"),
        (100.0, "100"),
        (100.4, "100"),
        (1234.5, "1,234"),
        (-2.5, "-2.50"),
    ],
)
def test_prices_of_a_unit_have_the_digits_that_people_write(value: float, text: str) -> None:
    assert card_math._digits(value) == text


def sums(**more: Any) -> Any:
    made = SimpleNamespace(
        case=SimpleNamespace(price_date="", prices={"natural_gas": GAS}, options=[],
            economics=SimpleNamespace(study_period=20), uncertainty=SimpleNamespace(scenarios=500)),
        result=SimpleNamespace(currency="$", loss_w_k=200.0, degree_hours_k_h=60_000.0, route=SimpleNamespace(words="typed"),
            weather_facts={"title": "W"}, assumptions=[]),
        sure=None, system="si", examples=(), money=lambda value: f"${value:,.0f}",
    )  # fmt: skip
    return but(made, **more)


def season(**more: Any) -> Any:
    made = SimpleNamespace(
        name="Boiler",
        price_key="natural_gas",
        heat_j=90 * THERM_J,
        input_j=100 * THERM_J,
        cost=120.0,
        fuel="natural_gas",
        biogenic_co2_kg=0.0,
    )
    return but(made, **more)


def test_what_a_source_costs_is_its_amount_times_its_price() -> None:
    cost, made = card_math._source_steps(sums(system="us"), season(), "$120")
    assert cost.formula == "Boiler: 100 therms × $1.20/therm = $120"
    assert (
        made.formula == "100 therms for 9.5 MMBtu of heat: 0.90 units of heat for each unit bought"
        or "0.90 units of heat" in made.formula
    )
    assert cost.source == "as you entered it"
    assert card_math._source_steps(sums(system="us"), season(cost=120.5), "$120")[0].formula.count("on average") == 0
    # 780.46 gal at $3.29 are $2,567.71: 780 would give $2,566, 780.5 gives $2,568
    assert card_math.enough_digits(780.46, 3.29, 2567.71) == "780.5"
    dearer = card_math._source_steps(sums(system="us"), season(cost=121.0), "$121")[0]
    assert "× $1.21/therm on average = $121" in dearer.formula
    little = card_math._source_steps(sums(system="us"), season(input_j=19.96 * THERM_J), "$24")[0].formula
    assert little.startswith("Boiler: 20.0 therms × ")
    assert (
        "× $1.21/therm on average" in card_math._source_steps(sums(system="us"), season(cost=120.63), "$121")[0].formula
    )
    twenty = card_math._source_steps(sums(system="us"), season(input_j=20.01 * THERM_J), "$24")[0].formula
    assert twenty.startswith("Boiler: 20 therms × ")
    assert card_math._source_steps(sums(), season(heat_j=0.0), "")[0].formula == "Boiler: did not run"
    least = card_math._source_steps(sums(system="us"), season(heat_j=0.5, input_j=0.5), "$1")
    assert [one.formula.split(":")[0] for one in least] == ["Boiler", "0.0 therms for 0.0 MMBtu of heat"]
    assert "nothing bought" in card_math._source_steps(sums(), season(input_j=0.0), "")[0].formula
    assert "nothing bought" in card_math._source_steps(sums(), season(price_key="sun"), "")[0].formula
    assert "example price" in card_math._price_source(sums(examples={"natural_gas"}), "natural_gas")


def test_what_a_kind_of_source_rests_on_is_told_beside_what_it_makes() -> None:
    def source(*rows: tuple[str, str, str, str], cold: bool = True) -> str:
        typed: Any = SimpleNamespace(
            feels_cold=cold, rests_on=rows, burns_fuel=False, model_fields_set=set(), plate_efficiency=lambda: None
        )
        case = SimpleNamespace(price_date="2026-01-02", prices={"natural_gas": GAS})
        cost, made = card_math._source_steps(sums(case=case), season(), "$120", typed)
        assert cost.source == "as you entered it, 2026-01-02"
        return str(made.source)

    volts, gives = ("volts", "240 V", "usual", "volts"), ("heat at -15 °C", "70 % of rated", "EN 14511", "outputs")
    assert source(volts, gives) == "70 % of rated; EN 14511"
    assert (
        source(volts, ("seasonal efficiency", "by its label", "a sheet", "efficiency"), gives)
        == "by its label; a sheet"
    )
    plain = "efficiency as typed on Sources, mean of the year's hours"
    assert source(volts) == source(volts, gives, cold=False) == source() == plain
    assert card_math._source_steps(sums(), season(), "$120")[1].source == plain


def test_a_source_is_told_by_its_own_option_where_another_has_one_of_the_same_name(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of 95 % typed 0.88 come out, which is more than the 80 % of today's boiler, of the same name."""

    def boiler(share: float, *, condenses: bool) -> Any:
        return SimpleNamespace(
            label="Boiler",
            burns_fuel=True,
            feels_cold=False,
            plate_efficiency=lambda: share,
            condenses=lambda: condenses,
        )

    options = [
        SimpleNamespace(name="Now", sources=[boiler(0.80, condenses=False)]),
        SimpleNamespace(name="New", sources=[boiler(0.95, condenses=True)]),
    ]
    case = but(sums().case, options=options)
    monkeypatch.setattr(card_math, "about", lambda result, option: 120)
    monkeypatch.setattr(card_math, "whole_costs", lambda option: [("Boiler", 120.0, 120.0)])

    def told(name: str) -> str:
        option: Any = SimpleNamespace(name=name, sources=[season(heat_j=88 * THERM_J)], bills={}, cost_total=120.0)
        return str(card_math.yearly(sums(case=case), option)[2].source)

    assert told("New").startswith("95% on the label, 88% over the year with water as warm as your house needs")
    assert told("Now") == "efficiency as typed on Sources, mean of the year's hours"


def test_heat_needed_is_loss_times_degree_hours() -> None:
    """200 W/K × 60,000 K·h are 12,000 kWh; 379 Btu/(h °F) × 108,000 °F·h are 40.9 MMBtu."""
    step = card_math.heat_step(sums())
    assert step.formula == "Heat needed: 200.0 W/K × 60,000 K·h = 12,000.0 kWh"
    assert "× 108,000 °F·h = " in card_math.heat_step(sums(system="us")).formula


def test_odds_are_told_as_counted() -> None:
    sure = SimpleNamespace(
        first="A", second="B", share=0.83, saving=(-24.0, 310.0), over_years=0.314, years=15, rivals=2, least=None
    )
    first, second, third = card_math._sure(sums(sure=sure))
    assert first.formula == "A costs less than B on one year's bills in 415 of 500 scenarios = 83.0%, about 85%"
    assert second.formula == "One in ten scenarios costs over $24 more, one in ten saves more than $310"
    spans = [
        card_math._sure(sums(sure=but(sure, saving=saving)))[1].formula for saving in ((24.0, 310.0), (-310.0, -24.0))
    ]
    least = [step.formula for step in card_math._sure(sums(sure=but(sure, least=("C", 0.352))))]
    assert (
        least[2]
        == "C has the lowest cost over 15 years of all 2 options that keep the house warm in 35.2% of the scenarios, about 35%"
    )
    assert spans == [
        "One in ten scenarios saves less than $24, one in ten more than $310",
        "One in ten scenarios costs over $310 more, one in ten less than $24 more",
    ]
    for saving, said in (
        ((0.0, 310.0), "saves less than $0, one in ten more than $310"),
        ((0.4, 310.0), "saves less than $0, one in ten more than $310"),
        ((-310.0, 0.0), "costs over $310 more, one in ten saves more than $0"),
        ((-310.0, 0.4), "costs over $310 more, one in ten saves more than $0"),
    ):
        assert card_math._sure(sums(sure=but(sure, saving=saving)))[1].formula == f"One in ten scenarios {said}"
    assert third.formula == "A costs less than B over 15 years in 157 of 500 scenarios = 31.4%, about 30%"
    assert len(card_math._sure(sums(sure=but(sure, over_years=None)))) == 2
    assert card_math._sure(sums()) == []
    of_three = card_math._sure(sums(sure=but(sure, rivals=3, of_all=0.5)))
    assert len(of_three) == 4
    least = "A has the lowest bills of all 3 options that keep the house warm in 250 of 500 scenarios = 50.0%, a little more than half"
    assert of_three[2].formula == least


def test_payments_and_first_costs_add_up() -> None:
    outlay = SimpleNamespace(option="A", first=5000.2, present_cost=12_000.8, priced=True)
    case: Any = sums().case
    case.currency = "$"
    assert outlay_text(outlay, case) == "A: first cost $5,000 + payments of 20 years $7,001 = $12,001"  # type: ignore[arg-type]
    assert outlay_text(but(outlay, priced=False, first=0.0), case).startswith(
        "A: first cost not given; $12,001 for the payments of 20 years"
    )
    option = SimpleNamespace(name="A", first_cost_given=True, first_cost_money=5000.0, rebate_money=0.0, today=False)
    assert card_math._first_step(sums(), option).formula == "A: $5,000"  # type: ignore[arg-type]
    assert card_math._first_step(sums(), but(option, rebate_money=800.0)).formula == "A: $5,000 − rebate $800 = $4,200"
    assert card_math._first_step(sums(), but(option, first_cost_given=False)).formula == "A: not given"
    assert card_math._first_step(sums(), option).source == "typed on Money"
    there = card_math._first_step(sums(), but(option, first_cost_money=0.0, today=True))
    assert there.source == "it is there already, so nothing is counted for it"


def test_carbon_is_energy_times_factor() -> None:
    def steps(total: float, *sources: Any, factor: float = 0.2 / 3.6e6, prices: Any = None) -> list[str]:
        factors = {"natural_gas": factor, "wood": 0.4 / 3.6e6, "heating_oil": 73.96 / 1055.06e6}
        surroundings = SimpleNamespace(co2_kg_per_j=factors)
        best = SimpleNamespace(name="A", sources=sources, co2_kg=total)
        made = sums(lead=best)
        made.result.lowered = SimpleNamespace(surroundings=surroundings)
        made.case.prices, made.system = {**made.case.prices, **(prices or {})}, "us" if prices else "si"
        return [step.formula for step in card_math._carbon(made)]

    gas, wood = (
        season(input_j=3.6e9),
        season(name="Stove", price_key="wood", fuel="wood", input_j=3.6e9, biogenic_co2_kg=400.0),
    )
    assert steps(200.4, gas) == ["A: 200 kg = 0.2 metric tons a year", "Boiler: 1,000 kWh × 0.200 kg/kWh = 200 kg"]
    # 73.96 kg in a million Btu, 0.138 of them in a gallon: 10.21 kg, EPA's emission factor hub
    oil = season(name="Oil", price_key="heating_oil", fuel="heating_oil", input_j=0.138e6 * 1055.06 * 10)
    priced = {"heating_oil": Price.model_validate({"energy": "3.65 $/gal", "heat_content": "138000 Btu/gal"})}
    assert steps(102.1, oil, prices=priced)[1] == "Oil: 10 gal × 10.21 kg/gal = 102 kg"
    assert steps(200.5, gas)[-1] == "Pumps and fans: 0 kg" or steps(200.6, gas)[-1] == "Pumps and fans: 1 kg"
    both = steps(1200.0, gas, wood)
    assert both[2] == "Stove: 1,000 kWh × 0.400 kg/kWh = 400 kg, wood's own, not counted"
    assert both[3] == "Pumps and fans: 1,000 kg"
    assert both[0] == "A: 1,200 kg = 1.2 metric tons a year"
    assert steps(math.nan, gas, factor=math.nan)[0].startswith("A: not known")
    assert len(steps(0.0, season(input_j=0.0))) == 1


def test_a_rule_of_thumb_by_hand() -> None:
    """2.0 W/(m² K) from 21 °C to -10 °C: 62 W/m², 19.65 Btu/(h ft²), told as 19.5; a warm place is taken as one of 12 °C."""
    cold, warm = constant_weather(-10.0), constant_weather(20.0)
    assert rule_of_thumb("average", cold, "si") == "62 W/m2"
    assert rule_of_thumb("average", cold, "us") == "19.5 Btu/(h ft2)"
    assert rule_of_thumb("little", cold, "si") == "87 W/m2"  # 2.8 × 31
    assert rule_of_thumb("good", cold, "si") == "37 W/m2"
    assert rule_of_thumb("average", warm, "si") == "18 W/m2"
    assert rule_of_thumb("average", constant_weather(12.0), "si") == "18 W/m2"


def test_sizes_cover_the_coldest_hour_of_the_year() -> None:
    """From 17 °C to -20 °C, 37 K, where design has 26 K and 15 % are on top: 37/26/1.15 of the load."""
    outdoor = np.full(8760, 5.0)
    outdoor[100] = -20.0
    weather = wavy_weather(outdoor)
    assert sizing_load_w(10_000.0, weather, -5.0) == NEAR(10_000 * 37 / 26 / 1.15)
    assert sizing_load_w(10_000.0, constant_weather(0.0), -5.0) == 10_000.0
    assert sizing_load_w(10_000.0, wavy_weather(np.where(outdoor < 0, 0.0, 30.0)), 25.0) == NEAR(10_000 * 17 / 9 / 1.15)
    assert fuels_of(["gas", "propane"]) == ["natural_gas", "electricity", "propane"]
    assert (
        efficiency_of("gas", "us"),
        efficiency_of("oil", "us"),
        efficiency_of("electric", "us"),
        efficiency_of("wood", "us"),
    ) == ("92%", "86%", "", "60%")
