"""Hours, seasons, bills and scenarios of one option by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study, wavy_weather

from costsim import load_weather, read_study, simulate
from costsim.engine import layout as k
from costsim.engine.batch import BatchResult, price_batch, run_batch, run_once, tariff_shares
from costsim.engine.lower import lower_option, lower_study
from costsim.results.clock import clock_labels, clock_time
from costsim.results.result import OptionResult
from costsim.simulation import load_winters
from costsim.tariffs.calendar import HourCalendar
from costsim.units.quantity import BTU_J, POUND_KG

ELECTRIC = {"kind": "electric", "output": "20 kW"}
GAS = {"kind": "gas", "output": "20 kW", "efficiency": "80 %", "altitude_rule": "none", "min_output": "0 W"}
WOOD = {"kind": "wood", "charge": "20 kg", "burn_time": "5 h", "load_times": ["07:00"], "efficiency": "60 %"}
HOUR = np.arange(8760) % 24
KWH = 3.6e6
US_POWER = 0.81 * POUND_KG / KWH
GAS_CO2 = 53.06 / 1e6 / BTU_J


def one(*sources: dict[str, Any], weather: Any, **house: Any) -> OptionResult:
    """Result of a one-option study."""
    return simulate(study(*sources, **house), weather).options[0]


def test_a_source_s_season_by_hand() -> None:
    # half the year 3 kW are wanted, half nothing
    weather = wavy_weather(np.where(np.arange(8760) < 4380, 5.0, 30.0))
    found = one({**GAS, "electric": "100 W", "cycling_degradation": 0.0}, weather=weather)
    source = found.sources[0]
    heat = 3000.0 * 4380 * 3600
    assert source.heat_j == pytest.approx(heat)
    assert source.input_j == pytest.approx(heat / 0.8)
    assert source.auxiliary_j == pytest.approx(100.0 * 4380 * 3600)
    assert source.hours == 4380
    assert source.peak_w == pytest.approx(3000.0)
    assert source.co2_kg == pytest.approx(heat / 0.8 * GAS_CO2 + 100.0 * 4380 * 3600 * US_POWER)
    assert (source.dumped_j, source.biogenic_co2_kg, source.rated_w, source.facts) == (0.0, 0.0, 20e3, {})
    assert found.co2_kg == source.co2_kg
    assert found.pump_j == 0.0
    # 1.00 $/therm and 0.10 $/kWh
    therms, kwh = heat / 0.8 / (1e5 * BTU_J), 0.1 * 4380
    assert source.cost == pytest.approx(therms)
    assert found.cost_energy == pytest.approx(therms + 0.10 * kwh)
    assert found.cost_total == pytest.approx(found.cost_energy + found.cost_fixed)
    assert {key: bill.total for key, bill in found.bills.items()} == pytest.approx({"natural_gas": therms, "electricity": 0.10 * kwh})  # fmt: skip


def test_a_breath_of_heat_is_no_hour() -> None:
    # 200 W/K: 0.4 W and 0.6 W are wanted a thousandth of a kelvin below the balance point
    weather = wavy_weather(np.where(HOUR < 12, 20.0 - 0.4 / 200, 20.0 - 0.54 / 200))
    assert one(ELECTRIC, weather=weather).sources[0].hours == 365 * 12


def test_fires_burn_what_was_loaded_and_count_what_was_thrown_away() -> None:
    # 8 kg are 21 kWh; the floor takes 10 kWh of them in five hours, and a small tank next to nothing
    found = one(
        {**WOOD, "charge": "8 kg"}, weather=constant_weather(10.0), tank__volume="60 L", tank__max_temperature="60 degC"
    )
    source, hourly = found.sources[0], found.hourly
    made = hourly.heat_w[0] + hourly.dumped_w[0]
    assert source.dumped_j > 0
    assert source.dumped_j == pytest.approx(hourly.dumped_w[0].sum() * 3600)
    assert source.input_j == pytest.approx(made.sum() * 3600 / 0.60)
    assert source.facts["dumping_hours"] == np.count_nonzero(hourly.dumped_w[0] > 0.5)
    assert source.facts["dumped_kwh"] == pytest.approx(source.dumped_j / KWH)
    assert source.facts["full_loads"] == pytest.approx(made.sum() * 3600 / (8 * 16e6 * 0.6))
    assert source.co2_kg == 0.0
    assert source.biogenic_co2_kg == pytest.approx(source.input_j * 93.80 / 1e6 / BTU_J)
    assert found.biogenic_co2_kg == source.biogenic_co2_kg


def test_two_sources_on_one_meter_share_it_by_the_price_of_their_hours() -> None:
    price = {"energy": "0.30 $/kWh", "fixed": "5 $/month", "service": "for_heating_alone"}
    price |= {"period": [{"name": "night", "energy": "0.10 $/kWh", "windows": ["00:00-12:00"]}]}  # fmt: skip
    night = {**ELECTRIC, "windows": ["00:00-12:00"]}
    day = {**ELECTRIC, "name": "day", "windows": ["12:00-24:00"]}
    found = one(night, day, weather=constant_weather(5.0), prices__electricity=price)
    assert [source.cost for source in found.sources] == pytest.approx([365 * 12 * 3 * 0.10, 365 * 12 * 3 * 0.30], rel=1e-3)  # fmt: skip
    assert found.cost_fixed == pytest.approx(60.0)
    free = one(
        ELECTRIC,
        weather=constant_weather(5.0),
        prices__electricity={"energy": "0 $/kWh", "fixed": "5 $/month", "service": "for_heating_alone"},
    )
    assert (free.sources[0].cost, free.cost_total) == (0.0, pytest.approx(60.0))


def test_hours_cannot_be_written_and_name_their_cause() -> None:
    hourly = one({**ELECTRIC, "output": "2 kW"}, weather=constant_weather(5.0)).hourly
    arrays = [value for value in (getattr(hourly, name) for name in hourly.__slots__) if isinstance(value, np.ndarray)]
    assert len(arrays) == 19
    assert not any(array.flags.writeable for array in (*arrays, *hourly.unmet_by_cause_w.values()))
    assert hourly.unmet_by_cause_w["capacity"] == pytest.approx(np.full(8760, 1000.0), rel=2e-6)
    # the water of the first hour is a hair cooler at first
    assert hourly.unmet_w == pytest.approx(np.full(8760, 1000.0), rel=2e-6)


def test_a_floor_s_share_of_the_shortfall_is_told_apart() -> None:
    # from 20 to 50 °C the tank gives 30 K / (30 K / 6 kW) = 6 kW; 8 kW are wanted at -20 °C
    tank = {
        "tank__volume": "300 L",
        "tank__max_temperature": "50 degC",
        "tank__design_supply_temperature": "50 degC",
        "tank__loss": "0 W/K",
    }
    found = one({**ELECTRIC, "output": "5 kW"}, weather=constant_weather(-20.0), **tank)
    assert found.hourly.unmet_w[100] == pytest.approx(3000.0, rel=1e-3)
    causes = {name: values[100] for name, values in found.hourly.unmet_by_cause_w.items()}
    assert causes["floor"] == pytest.approx(2000.0, rel=1e-3)
    assert causes["capacity"] == pytest.approx(1000.0, rel=2e-3)


@pytest.mark.parametrize(("hour", "said"), [
    (0.0, "12 am"), (0.5, "12:30 am"), (1.0, "1 am"), (11.75, "11:45 am"), (12.0, "12 pm"), (12.25, "12:15 pm"), (13.0, "1 pm"),
    (23.5, "11:30 pm"), (5.1, "5:06 am"),
])  # fmt: skip
def test_the_clock_as_people_say_it(hour: float, said: str) -> None:
    assert clock_time(hour) == said


def test_every_hour_has_its_name() -> None:
    labels = clock_labels(HourCalendar.build(n_hours=8760, utc_offset_h=0.0, timezone=None, year=2025))
    assert (labels[0], labels[13], labels[31 * 24 + 6], labels[-1]) == ("Jan 1, 12 am", "Jan 1, 1 pm", "Feb 1, 6 am", "Dec 31, 11 pm")  # fmt: skip
    assert len(set(labels)) == 8760


def test_a_study_without_further_winters_has_none() -> None:
    case = read_study("lantern_cottage")
    assert load_winters(case) == ()
    assert load_weather(case).n_hours == 8760


# scenarios


def drawn(
    *sources: dict[str, Any], scenarios: int = 3, weather: Any = None, **more: Any
) -> tuple[Any, Any, BatchResult]:
    """A study, its plant and so many scenarios of it as it stands."""
    settings = {key: more.pop(key) for key in ("threads", "progress") if key in more}
    common = lower_study(study(*sources, **more), weather or constant_weather(5.0))
    plant = lower_option(common, common.case.options[0])
    ones = np.ones(scenarios)
    many = run_batch(common, plant, loss_w_k=common.loss_w_k * ones, shift_k=0.0 * ones, efficiency=np.ones((scenarios, len(sources))), **settings)  # fmt: skip
    return common, plant, many


@pytest.mark.parametrize("scenarios", [1, 64, 65, 129])
def test_scenarios_are_told_as_they_are_done_and_come_in_order(scenarios: int) -> None:
    told: list[float] = []
    common, plant, many = drawn(ELECTRIC, scenarios=scenarios, threads=1, progress=told.append)
    parts = -(-scenarios // 64)
    assert told == pytest.approx([(i + 1) / parts for i in range(parts)])
    assert many.sums.shape == (scenarios, k.SUMS + 1)
    loads = np.linspace(0.5, 1.5, scenarios) * common.loss_w_k
    other = run_batch(common, plant, loss_w_k=loads, shift_k=0 * loads, efficiency=np.ones((scenarios, 1)))
    assert other.energy_j[:, 0].sum(axis=(1, 2)) == pytest.approx(loads * 15 * 8760 * 3600)
    warmer = run_batch(common, plant, loss_w_k=loads, shift_k=0 * loads + 2.0, efficiency=np.full((scenarios, 1), 0.5))
    assert warmer.energy_j[:, 0].sum(axis=(1, 2)) == pytest.approx(loads * 17 * 8760 * 3600 / 0.5)


def test_one_run_is_the_study_itself() -> None:
    case = study(GAS, floor__loops=[{"count": 8, "length": "90 m", "spacing": "150 mm", "flow": "3 L/min"}])
    weather = constant_weather(5.0)
    common = lower_study(case, weather)
    many, alone = run_once(common, case.options[0]), simulate(case, weather).options[0]
    assert len(many.sums) == 1
    assert many.keys == ("natural_gas", "electricity")
    assert many.energy_j[0].sum(axis=(1, 2)) == pytest.approx([alone.sources[0].input_j, alone.pump_j])
    assert price_batch(common, many, {}).tolist() == [pytest.approx(alone.cost_total)]


def test_only_a_source_with_a_smallest_fire_cycles_where_sources_change_places() -> None:
    # 3 kW all year: gas for the eight hours in which it is cheap, oil for the others, never below its smallest fire
    oil = {"kind": "oil", "output": "20 kW", "efficiency": "75 %", "altitude_rule": "none", "min_output": "3 kW"}
    price = {"energy": "10 $/therm", "period": [{"name": "night", "energy": "0.1 $/therm", "windows": ["22:00-06:00"]}]}
    case = study(GAS, oil, prices__natural_gas=price)
    case = case.model_copy(update={"option": (case.options[0].model_copy(update={"rule": "cheapest_now"}),)})
    common = lower_study(case, constant_weather(5.0))
    many, alone = run_once(common, case.options[0]), simulate(case, constant_weather(5.0)).options[0]
    by_hand = [3000 / 0.8 * 8 * 365 * 3600, 3000 / 0.75 * 16 * 365 * 3600, 0.0]
    assert many.energy_j[0].sum(axis=(1, 2)) == pytest.approx(by_hand)
    assert [source.input_j for source in alone.sources] == pytest.approx(by_hand[:2])
    assert price_batch(common, many, {}) == pytest.approx([alone.cost_total])


def test_a_meter_for_pumps_and_fans_alone_is_paid_when_they_run() -> None:
    price = {"energy": "0.10 $/kWh", "fixed": "14 $/month", "service": "for_heating_alone"}
    for source, fixed in ((GAS, 0.0), ({**GAS, "electric": "50 W"}, 168.0)):
        common, _, many = drawn(source, prices__electricity=price)
        alone = simulate(common.case, constant_weather(5.0)).options[0]
        assert alone.cost_fixed == pytest.approx(fixed)
        assert price_batch(common, many, {}) == pytest.approx(np.full(3, alone.cost_total))
    # a source on the meter pays its charge whether it runs or not
    idle, _, none = drawn({**ELECTRIC, "months": "Jan"}, weather=constant_weather(30.0), prices__electricity=price)
    assert not none.energy_j.any()
    assert price_batch(idle, none, {}) == pytest.approx(np.full(3, 168.0))
    assert simulate(idle.case, constant_weather(30.0)).options[0].cost_total == pytest.approx(168.0)


def test_one_year_under_many_prices_and_many_years_under_one() -> None:
    common, _, many = drawn(ELECTRIC, scenarios=1)
    kwh = 3.0 * 8760
    factors = np.array([0.5, 1.0, 2.0, 4.0])
    assert price_batch(common, many, {"electricity": factors}) == pytest.approx(kwh * 0.10 * factors)
    common, _, three = drawn(ELECTRIC, scenarios=3)
    assert price_batch(common, three, {"electricity": 2.0}) == pytest.approx(np.full(3, kwh * 0.20))
    assert price_batch(common, three, {}) == pytest.approx(np.full(3, kwh * 0.10))


def test_periods_of_two_tariffs_are_filled_up_to_the_longer() -> None:
    night = {"energy": "0.20 $/kWh", "period": [{"name": "night", "energy": "0.10 $/kWh", "windows": ["22:00-06:00"]}]}
    common = lower_study(study(ELECTRIC, GAS, prices__electricity=night), constant_weather(5.0))
    shares = tariff_shares(common, ("electricity", "natural_gas", "free"))
    assert shares.shape == (3, 2, 8760)
    inside = ((HOUR >= 22) | (HOUR < 6)).astype(float)
    assert shares[0].tolist() == [inside.tolist(), (1 - inside).tolist()]
    for row in (1, 2):
        assert (shares[row, 0] == 1.0).all()
        assert not shares[row, 1].any()


def test_peaks_of_scenarios_by_hand() -> None:
    # 200 W/K over 15 K on top of 2 kW of the house's own at seven; the second charge sees afternoons alone
    price = {"energy": "0.10 $/kWh", "demand": [{"price": "5 $/kW"}, {"price": "7 $/kW", "windows": ["12:00-18:00"]}]}
    common, plant, many = drawn(ELECTRIC, GAS, scenarios=1, prices__electricity=price, house__other_electricity="8760 kWh/year")  # fmt: skip
    other = common.case.other_electricity_j(common.calendar) / 3600
    month = common.calendar.month
    assert many.peaks_w.shape == (1, 2, 12)
    for at, seen in enumerate((HOUR >= 0, (HOUR >= 12) & (HOUR < 18))):
        by_hand = [(other + 3000.0)[(month == m) & seen].max() for m in range(1, 13)]
        assert many.peaks_w[0, at] == pytest.approx(by_hand)
    assert [offer.price_key for offer in plant.offers] == ["electricity", "natural_gas"]
