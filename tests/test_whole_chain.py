"""What algebra says of whole studies: units, doubling, order, shifts and clocks; `python tests/nightly.py` is the long run."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study, wavy_weather
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costsim.engine import layout as k
from costsim.engine.batch import price_batch, run_batch
from costsim.engine.lower import calendar_of, lower_option, lower_study
from costsim.results.result import OptionResult, Result
from costsim.simulation import simulate
from costsim.study.case import case_from
from costsim.units.quantity import DIMENSIONS, parse, to_display, unit_for
from costsim.weather import Weather

FEW = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))

# US unit and its size in the SI unit beside it, from NIST SP 811 (exact: Btu_IT, ft, lb, US gallon; therm US = 100,000 Btu_IT here)
FT2_M2, KBTU_H_KW, GAL_L, BTU_KWH = 0.09290304, 1055.05585262 / 3600, 3.785411784, 1055.05585262 / 3.6e6


@cache
def winter(seed: int) -> Weather:
    """A year with seasons, days and weather of some days' length; five hours behind UTC."""
    rng = np.random.default_rng(seed)
    hours = np.arange(8760)
    spells = np.repeat(rng.normal(0, 6, 8760 // 60), 60)
    return wavy_weather(
        rng.uniform(2, 12) - 13 * np.cos(2 * np.pi * hours / 8760) - 4 * np.cos(2 * np.pi * hours / 24) + spells
    )


def shown(value: float, unit: str) -> str:
    """A number with all its digits, and its unit."""
    return f"{value!r} {unit}"


@st.composite
def studies(draw: st.DrawFn, *, tank: bool | None = None) -> dict[str, Any]:
    """Plain data of a random study in SI: one to three options of one to three sources."""
    some = draw(st.randoms(use_true_random=False))
    number = some.uniform
    data: dict[str, Any] = {
        "title": "drawn",
        "place": {"weather": "greensboro.csv", "design_outdoor": shown(number(-25, 0), "degC"), "timezone": "America/New_York"},
        "house": {
            "floor_area": shown(number(50, 300), "m2"),
            "design_heat_loss": shown(number(3, 20), "kW"),
            "indoor_temperature": shown(number(18, 23), "degC"),
            "balance_point": shown(number(12, 18), "degC"),
        },
        "prices": {
            "electricity": {"energy": shown(number(0.05, 0.4), "$/kWh"), "fixed": shown(number(0, 30), "$/month")},
            "natural_gas": {"energy": shown(number(0.02, 0.2), "$/kWh"), "fixed": shown(number(0, 30), "$/month")},
            "propane": {"energy": shown(number(0.03, 0.3), "$/kWh")},
        },
        "option": [],
    }  # fmt: skip
    if tank if tank is not None else some.random() < 0.4:
        data["tank"] = {
            "volume": shown(number(100, 1500), "L"),
            "loss": shown(number(0, 6), "W/K"),
            "max_temperature": "75 degC",
        }
    for at in range(some.randint(1, 3)):
        sources = [_source(some) for _ in range(some.randint(1, 3))]
        data["option"].append(
            {"name": f"option {at}", "rule": some.choice(["fixed", "cheapest_now"]), "source": sources}
        )
    if some.random() < 0.5:
        data["prices"]["electricity"]["period"] = [
            {"name": "peak", "energy": shown(number(0.1, 0.6), "$/kWh"), "windows": ["16:30-20:00"], "days": "Mon-Fri"}
        ]
    used = {source["price"] for option in data["option"] for source in option["source"]}
    data["prices"] = {key: table for key, table in data["prices"].items() if key in used or key == "electricity"}
    return data


def _source(some: Any) -> dict[str, Any]:
    kind = some.choice(["electric", "electric", "gas", "propane", "heat_pump"])
    output = shown(some.uniform(1, 15), "kW")
    if kind == "electric":
        share = shown(some.uniform(95, 100), "%")
        found = {"kind": "electric", "output": output, "efficiency": share, "price": "electricity"}
        if some.random() < 0.4:
            found["windows"] = [some.choice(["22:00-06:00", "00:00-12:30", "13:15-21:45"])]
        return found
    if kind == "heat_pump":
        outputs = [shown(some.uniform(2, 5), "kW"), shown(some.uniform(6, 9), "kW")]
        return {
            "kind": "heat_pump",
            "outdoor": ["-15 degC", "7 degC"],
            "outputs": outputs,
            "price": "electricity",
            "pump": "0 W",
        }
    fuel = "natural_gas" if kind == "gas" else "propane"
    return {
        "kind": "gas",
        "fuel": fuel,
        "output": output,
        "efficiency": shown(some.uniform(75, 96), "%"),
        "price": fuel,
    }


def run(data: dict[str, Any], weather: Weather) -> Result:
    """Simulate plain data."""
    return simulate(case_from(data), weather)


def figures(option: OptionResult) -> np.ndarray:
    """What a household would compare."""
    return np.array(
        [
            option.demand_j,
            option.delivered_j,
            option.unmet.energy_j,
            option.cost_total,
            option.cost_fixed,
            option.co2_kg,
            *(s.heat_j for s in option.sources),
        ]
    )


def same(a: np.ndarray, b: np.ndarray, share: float = 1e-9) -> bool:
    """Equal to a share of the larger, or to a joule and a thousandth of a cent."""
    return bool(np.allclose(a, b, rtol=share, atol=1e-5))


def every_quantity(node: Any, change: Callable[[str, str], str], key: str = "") -> Any:
    """A copy with every quantity changed."""
    if isinstance(node, dict):
        return {name: every_quantity(value, change, name) for name, value in node.items()}
    if isinstance(node, list):
        return [every_quantity(value, change, key) for value in node]
    return change(key, node) if isinstance(node, str) else node


def american(key: str, text: str) -> str:
    """The same amount in US customary units."""
    number, _, unit = text.partition(" ")
    ways: dict[str, tuple[float, float, str]] = {
        "m2": (1 / FT2_M2, 0.0, "ft2"),
        "kW": (1 / KBTU_H_KW, 0.0, "kBtu/h"),
        "degC": (1.8, 32.0, "degF"),
        "L": (1 / GAL_L, 0.0, "gal"),
        "$/kWh": (BTU_KWH * 1e5, 0.0, "$/therm"),
    }
    if unit not in ways or (key in ("energy",) and unit != "$/kWh"):
        return text
    size, zero, name = ways[unit]
    return shown(float(number) * size + zero, name)


@FEW
@given(studies(), st.integers(0, 5))
def test_a_study_in_us_units_gives_the_same_answer(data: dict[str, Any], seed: int) -> None:
    electric = copy.deepcopy(data)
    other = every_quantity(electric, american)
    assert other != data
    for a, b in zip(run(data, winter(seed)).options, run(other, winter(seed)).options, strict=True):
        assert same(figures(a), figures(b), 1e-7)


@FEW
@given(st.sampled_from(sorted(DIMENSIONS)), st.floats(1e-3, 1e4), st.sampled_from(["si", "us"]))
def test_text_and_back(dimension: str, value: float, system: str) -> None:
    text = f"{to_display(value, dimension, system)!r} {unit_for(dimension, system)}"
    assert abs(parse(text, dimension).value - value) <= 1e-9 * max(1.0, value)


@FEW
@given(studies(tank=False), st.integers(0, 5), st.sampled_from([2.0, 0.5, 3.0]))
def test_a_house_twice_as_leaky_with_sources_twice_as_large_takes_twice_as_much(
    data: dict[str, Any], seed: int, factor: float
) -> None:
    def larger(key: str, text: str) -> str:
        number, _, unit = text.partition(" ")
        grows = unit == "kW" and key in ("design_heat_loss", "output", "outputs")
        return shown(float(number) * factor, unit) if grows else text

    for a, b in zip(
        run(data, winter(seed)).options, run(every_quantity(data, larger), winter(seed)).options, strict=True
    ):
        # The half watt below which nothing is short does not grow with the house: 0.5 W for an hour is 1,800 J. An hour that lacks
        # s < 0.5 W and so counts for nothing lacks factor * s in the larger house, and may count there: less than 1,800 * factor J
        # apart. In the smaller one it is the other way about: s counts here, factor * s < 0.5 W there does not, and the figure
        # expected of it is factor * s, less than 1,800 J.
        edge_j = 1800.0 * max(1.0, factor) * abs(a.unmet.hours - b.unmet.hours)
        unmet_j = np.array([a.unmet.energy_j * factor, b.unmet.energy_j])
        assert same(factor * figures(a)[:2], figures(b)[:2], 1e-4)
        assert np.ptp(unmet_j) <= 1e-4 * unmet_j.max() + edge_j + 1.0
        assert same(factor * np.array([a.cost_energy]), np.array([b.cost_energy]), 1e-4)


@FEW
@given(studies(), st.integers(0, 5))
def test_a_leakier_house_never_wants_less(data: dict[str, Any], seed: int) -> None:
    before = run(data, winter(seed))
    data["house"]["design_heat_loss"] = shown(2 * float(data["house"]["design_heat_loss"].split()[0]), "kW")
    for a, b in zip(before.options, run(data, winter(seed)).options, strict=True):
        assert same(np.array([2 * a.demand_j]), np.array([b.demand_j]))
        assert b.unmet.energy_j >= a.unmet.energy_j - 1.0


@FEW
@given(studies(), st.integers(0, 5), st.sampled_from([2.0, 0.25]))
def test_prices_times_two_are_energy_charges_times_two(data: dict[str, Any], seed: int, factor: float) -> None:
    def dearer(key: str, text: str) -> str:
        return shown(float(text.split()[0]) * factor, text.split()[1]) if key == "energy" else text

    for a, b in zip(
        run(data, winter(seed)).options, run(every_quantity(data, dearer), winter(seed)).options, strict=True
    ):
        assert same(factor * np.array([a.cost_energy]), np.array([b.cost_energy]))
        assert same(np.array([a.cost_fixed, a.demand_j, a.co2_kg]), np.array([b.cost_fixed, b.demand_j, b.co2_kg]))


@FEW
@given(studies(tank=False), st.integers(0, 5), st.floats(-6, 6))
def test_everything_some_degrees_warmer_is_the_same_heat(data: dict[str, Any], seed: int, warmer: float) -> None:
    def shifted(key: str, text: str) -> str:
        number, _, unit = text.partition(" ")
        return (
            shown(float(number) + warmer, unit)
            if key in ("indoor_temperature", "balance_point", "design_outdoor")
            else text
        )

    weather = winter(seed)
    moved = run(every_quantity(data, shifted), replace(weather, outdoor_c=weather.outdoor_c + warmer))
    for a, b in zip(run(data, weather).options, moved.options, strict=True):
        assert same(np.array([a.demand_j]), np.array([b.demand_j]), 1e-8)


@FEW
@given(studies(), st.integers(0, 5), st.randoms(use_true_random=False))
def test_the_order_of_options_and_price_tables_does_not_matter(data: dict[str, Any], seed: int, some: Any) -> None:
    other = copy.deepcopy(data)
    some.shuffle(other["option"])
    other["prices"] = dict(reversed(other["prices"].items()))
    found = run(other, winter(seed))
    for option in run(data, winter(seed)).options:
        assert np.array_equal(figures(option), figures(found.option(option.name)))


@FEW
@given(studies(), st.integers(0, 5), st.floats(1, 12), st.floats(1, 12))
def test_the_order_of_sources_that_cost_the_same_does_not_matter(
    data: dict[str, Any], seed: int, first: float, second: float
) -> None:
    pair = [
        {"kind": "electric", "output": shown(size, "kW"), "efficiency": "99 %", "price": "electricity"}
        for size in (first, second)
    ]
    data["option"] = [{"name": "ab", "source": pair}, {"name": "ba", "source": pair[::-1]}]
    data["prices"] = {"electricity": data["prices"]["electricity"]}
    a, b = run(data, winter(seed)).options
    assert same(figures(a)[:6], figures(b)[:6])


@pytest.mark.long
@FEW
@given(studies(), st.integers(0, 5))
def test_a_clock_and_its_weather_moved_together_give_the_same_bill(data: dict[str, Any], seed: int) -> None:
    # New York and Chicago change their clocks on the same nights at the same local hour (US Energy Policy Act of 2005)
    weather = winter(seed)
    east = run(data, replace(weather, utc_offset_h=-5.0))
    data["place"]["timezone"] = "America/Chicago"
    west = run(data, replace(weather, utc_offset_h=-6.0))
    for a, b in zip(east.options, west.options, strict=True):
        assert np.array_equal(figures(a), figures(b))
    assert east.clock == west.clock


@FEW
@given(studies(), st.integers(0, 5), st.sampled_from(["", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe"]))
def test_without_clock_windows_no_zone_matters(data: dict[str, Any], seed: int, zone: str) -> None:
    data["prices"]["electricity"].pop("period", None)
    data["prices"]["electricity"]["co2"] = "0.4 kg/kWh"  # the US average holds for no other zone
    for option in data["option"]:
        for source in option["source"]:
            source.pop("windows", None)
    before = run(data, winter(seed))
    data["place"]["timezone"] = zone
    for a, b in zip(before.options, run(data, winter(seed)).options, strict=True):
        assert same(figures(a), figures(b))


@FEW
@given(
    studies(),
    st.integers(0, 5),
    st.sampled_from(["02:00", "06:00", "12:30", "23:45"]),
    st.floats(0.05, 0.4),
    st.floats(0.05, 0.4),
)
def test_two_periods_that_fill_the_day_add_up(
    data: dict[str, Any], seed: int, turn: str, day: float, night: float
) -> None:
    """Energy is neither lost nor doubled in the nights of the clock change: day and night bills add up to the flat one."""

    def cost(first: float, second: float) -> np.ndarray:
        periods = [
            {"name": name, "energy": shown(price, "$/kWh"), "windows": [window]}
            for name, price, window in (
                ("a", first, f"{turn}-15:00" if turn < "15" else f"{turn}-24:00"),
                ("b", second, "00:00-24:00"),
            )
        ]
        data["prices"]["electricity"] |= {"period": periods, "fixed": "0 $/month"}
        return np.array([option.cost_energy for option in run(data, winter(seed)).options])

    for option in data["option"]:
        option["rule"] = "fixed"  # or the order would follow the price
        option["source"] = [source for source in option["source"] if source["price"] == "electricity"][:1]
    data["option"] = [option for option in data["option"] if option["source"]]
    if data["option"]:
        data["prices"] = {"electricity": data["prices"]["electricity"]}
        assert same(cost(day, 0.0) + cost(0.0, night), cost(day, night), 1e-7)


@FEW
@given(studies(), st.integers(0, 5))
def test_a_source_that_costs_less_never_makes_the_year_dearer(data: dict[str, Any], seed: int) -> None:
    before = run(data, winter(seed))
    table = data["prices"]["electricity"]
    table["energy"] = shown(0.9 * float(table["energy"].split()[0]), "$/kWh")
    for option in data["option"]:
        option["rule"] = "fixed"
    fixed = {o.name: o for o in before.options if o.rule == "fixed"}
    for option in run(data, winter(seed)).options:
        if option.name in fixed:
            assert option.cost_total <= fixed[option.name].cost_total + 1e-6


@FEW
@given(studies(), st.integers(0, 5), st.floats(0.05, 20), st.booleans())
def test_one_draw_at_the_study_s_own_load_is_the_study(
    data: dict[str, Any], seed: int, charge: float, known: bool
) -> None:
    """The sums of many scenarios, priced by month and period, give what the hours and their bills give."""
    # every month has charges of its own, so that energy booked into another month would show
    table = data["prices"]["electricity"]
    table["demand"] = [
        {"price": shown(charge, "$/kW"), "windows": ["07:00-21:00"], "days": "Mon-Fri", "months": "Jan"},
        {"price": shown(charge / 3, "$/kW"), "months": "Mar-May"},
    ]
    table["block"] = [{"energy": "0.31 $/kWh", "months": "Feb"}, {"energy": table["energy"], "months": "Nov-Jan"}]
    if known:
        data["house"]["other_electricity"] = "6000 kWh/year"
    case, weather = case_from(data), winter(seed)
    common = lower_study(case, weather)
    for option, found in zip(case.options, simulate(case, weather).options, strict=True):
        plant = lower_option(common, option)
        ones = np.ones((1, len(plant.offers)))
        many = run_batch(common, plant, loss_w_k=np.array([common.loss_w_k]), shift_k=np.zeros(1), efficiency=ones)
        assert same(many.sums[0, [k.SUM_DEMAND, k.SUM_DELIVERED]], np.array([found.demand_j, found.delivered_j]), 1e-7)
        assert same(price_batch(common, many, {}), np.array([found.cost_total]), 1e-7)


def test_a_calendar_year_is_moved_only_where_the_weather_has_a_day_more() -> None:
    for hours, asked, used in ((8760, 2025, 2025), (8760, 2028, 2028), (8784, 2025, 2024), (8784, 2028, 2028)):
        case = study({"kind": "electric", "output": "9 kW"}, place__calendar_year=asked)
        assert calendar_of(case, constant_weather(5.0, hours)).year == used


def test_without_a_tank_the_water_is_no_hotter_than_the_emitter_asks_for() -> None:
    common = lower_study(study({"kind": "electric", "output": "9 kW"}), constant_weather(-10.0))
    assert common.surroundings.water_c[0] == common.water.hottest_c == 45.0


@FEW
@given(studies(tank=False), st.integers(0, 5), st.floats(-3, 1), st.floats(0.6, 1.5))
def test_a_draw_is_a_leakier_house_with_another_balance_point(
    data: dict[str, Any], seed: int, shift: float, leakier: float
) -> None:
    case, weather = case_from(data), winter(seed)
    common = lower_study(case, weather)
    plant = lower_option(common, case.options[0])
    ones = np.ones((1, len(plant.offers)))
    many = run_batch(
        common, plant, loss_w_k=np.array([leakier * common.loss_w_k]), shift_k=np.array([shift]), efficiency=ones
    )
    # degree-hours by hand, with the balance point so much higher
    balance_c = float(data["house"]["balance_point"].split()[0]) + shift
    moved = np.maximum(balance_c - weather.outdoor_c, 0.0).sum()
    assert many.sums[0, k.SUM_DEMAND] == pytest.approx(leakier * common.loss_w_k * moved * 3600.0, rel=1e-9)
