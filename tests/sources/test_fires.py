"""What is particular to fires of wood."""

from __future__ import annotations

from typing import Any

import cases
import numpy as np
import pytest
from cases import constant_weather, sample_weather, study

from costsim import simulate
from costsim.engine import layout as k
from costsim.engine.one_year import one_year
from costsim.physics.wood import higher_heating_value_j_kg
from costsim.results.result import OptionResult
from costsim.sources import KINDS
from costsim.tariffs.calendar import HourCalendar

GREENSBORO = sample_weather()
ELECTRIC = {"kind": "electric", "output": "20 kW"}
WOOD = {"kind": "wood", "charge": "20 kg", "burn_time": "5 h", "load_times": ["07:00", "18:00"], "efficiency": "60 %"}
TANK = {"tank__volume": "1500 L", "tank__max_temperature": "85 degC"}


def run(*sources: dict, weather=GREENSBORO, **house: Any) -> OptionResult:
    return simulate(study(*sources, **house), weather).options[0]


def test_a_charge_of_wood_is_its_heating_value() -> None:
    found = run(WOOD, ELECTRIC, weather=constant_weather(-5.0), **TANK)
    wood = found.sources[0]
    charge = 20 * float(higher_heating_value_j_kg(moisture=0.2)) * 0.60
    assert wood.facts["full_loads"] == pytest.approx(2 * 365, abs=1)
    assert wood.heat_j + wood.dumped_j == pytest.approx(wood.facts["full_loads"] * charge)
    assert wood.input_j == pytest.approx(wood.facts["full_loads"] * charge / 0.60)
    assert wood.facts["labor_hours"] == pytest.approx(wood.facts["full_loads"] / 3)
    assert wood.biogenic_co2_kg > 0
    assert wood.co2_kg == 0


def test_a_fire_that_has_burnt_out_gives_no_heat_of_rounding() -> None:
    """Two charges of five hours a day: 10 hours of heat in each of 365 days, in the season and in the table of hours."""
    found = run(WOOD | {"charge": "17.3 kg"}, ELECTRIC, weather=constant_weather(-5.0), **TANK)
    assert found.sources[0].hours == np.count_nonzero(found.hourly.heat_w[0]) == 3650
    assert found.hourly.imbalance() < 1e-9


def test_nobody_loads_a_fire_that_is_not_wanted() -> None:
    mild = run(WOOD, weather=constant_weather(19.0), **TANK)
    assert (
        33 < mild.sources[0].facts["full_loads"] < 0.2 * 730
    )  # 200 W all year are 33 charges; the tank's loss takes some more
    # a full tank takes the rest of a charge lit in good faith; what it cannot take is dumped and counted
    assert mild.hourly.tank_c.max() <= 85 + 1e-6


def test_a_large_store_is_not_filled_beyond_its_brim() -> None:
    """5 kW all year from 20,000 L that hold 1,000 kWh, loaded up to three times a day: 43,800 kWh at 70 % are 62,571 kWh of wood."""
    large = {"tank__volume": "20000 L", "tank__max_temperature": "90 degC", "tank__loss": "0 W/K"}
    often = {"charge": "40 kg", "efficiency": "70 %", "load_times": ["07:00", "15:00", "23:00"]}
    house = {"house__design_heat_loss": "5 kW", "place__design_outdoor": "-5 degC"}
    option = run(WOOD | often, ELECTRIC, weather=constant_weather(-5.0), **large, **house)
    wood, demand = option.sources[0], option.demand_j
    assert wood.dumped_j < 0.01 * wood.heat_j
    stored = option.hourly.tank_change_w.sum() * 3600
    assert option.sources[1].heat_j < 0.01 * demand
    assert wood.input_j * 0.7 == pytest.approx(demand + stored - option.sources[1].heat_j, rel=0.01)


def test_two_fires_do_not_fill_one_store_twice() -> None:
    """The same house and store with two such fires: they burn what one would, and nothing is thrown away."""
    large = {"tank__volume": "20000 L", "tank__max_temperature": "90 degC", "tank__loss": "0 W/K"}
    often = WOOD | {"charge": "40 kg", "efficiency": "70 %", "load_times": ["07:00", "15:00", "23:00"]}
    house = {"house__design_heat_loss": "5 kW", "place__design_outdoor": "-5 degC"}
    option = run(often, often | {"name": "other"}, ELECTRIC, weather=constant_weather(-5.0), **large, **house)
    first, second, electric = option.sources
    assert first.dumped_j + second.dumped_j < 0.001 * option.demand_j
    stored = option.hourly.tank_change_w.sum() * 3600
    wood = (first.input_j + second.input_j) * 0.7
    assert wood == pytest.approx(option.demand_j + stored - electric.heat_j, rel=0.001)
    assert electric.heat_j < 0.01 * option.demand_j
    assert option.hourly.imbalance() < 1e-9


def two_fires(
    *, space_kwh: float, call_kw: float, charges_kwh: tuple[float, ...], until_kwh: float = 0.0, zones: float = 0.0
) -> tuple[list[float], float]:
    """Heat of fires of 5 kW [kWh] that may be lit whole in the first of 20 hours, beside a tank of 1 kWh/K; and what is dumped [kWh]."""
    hours, scalars = np.zeros((k.HOURS, 20)), np.zeros(k.SCALARS)
    scalars[k.TANK_KEEP], scalars[k.TANK_RISE] = 1.0, 1e-3
    scalars[k.TANK_TOP], scalars[k.TANK_START], scalars[k.ZONES_KEPT] = 90.0, 90.0 - space_kwh, zones
    scalars[[k.WATER_RESISTANCE, k.WATER_DROP]] = 1e-9 if zones else 0.0
    hours[k.DEMAND], hours[k.ROOM], hours[k.FLOOR_LIMIT] = call_kw * 1e3, 20.0, 1e9
    own = np.zeros((len(charges_kwh), k.BILLED_SCALARS))
    own[:, k.MUST_RUN], own[:, k.BURN_POWER], own[:, k.LEAST_CHARGE] = 1.0, 5e3, 1.0
    rows = np.zeros((len(charges_kwh), k.SOURCE_HOURS, 20))
    for i, charge in enumerate(charges_kwh):
        rows[i, [k.CHARGE, k.AHEAD, k.UNTIL], 0] = np.array([charge, charge / 5 * call_kw, until_kwh]) * 3.6e6
    order = np.repeat(np.arange(len(rows))[:, None], 20, axis=1)
    _, heat, dumped, _ = one_year(scalars, hours, own, rows, order)
    return [round(float(kwh), 6) for kwh in (heat + dumped).sum(axis=1) / 1e3], round(float(dumped.sum()) / 1e3, 6)


@pytest.mark.parametrize("zones", [0.0, 1.0])
def test_the_room_for_a_fire_is_what_others_leave(zones: float) -> None:
    """Two charges of 20 kWh that burn four hours, in which the house takes 8 kWh: 32 kWh of room hold both, less does not."""
    charges = (20.0, 20.0)
    for space, heat in ((32.0, [20.0, 20.0]), (31.9, [20.0, 0.0]), (12.0, [20.0, 0.0]), (11.9, [0.0, 0.0])):
        assert two_fires(space_kwh=space, call_kw=2.0, charges_kwh=charges, zones=zones) == (heat, 0.0), space
    # a third of them finds its place beside two
    three = (20.0, 20.0, 20.0)
    assert two_fires(space_kwh=52.0, call_kw=2.0, charges_kwh=three, zones=zones) == ([20.0] * 3, 0.0)
    assert two_fires(space_kwh=51.9, call_kw=2.0, charges_kwh=three, zones=zones) == ([20.0, 20.0, 0.0], 0.0)


def test_where_the_fires_do_not_last_half_a_charge_finds_a_place() -> None:
    """22 kWh of room and 8 kWh of demand take 10 kWh beside 20: half a charge, and all of it is lit, which dumps 10 kWh.

    The tank holds 48 kWh over 20 °C and the first fire 20: they last while no more than 68 kWh are wanted until the next load time.
    """
    for until, heat, dumped in ((68.1, [20.0, 20.0], 10.0), (68.0, [20.0, 0.0], 0.0)):
        asked = two_fires(space_kwh=22.0, call_kw=2.0, charges_kwh=(20.0, 20.0), until_kwh=until)
        assert asked == (heat, dumped), until
    less = two_fires(space_kwh=21.9, call_kw=2.0, charges_kwh=(20.0, 20.0), until_kwh=68.2)
    assert less == ([20.0, 0.0], 0.0)


def test_a_long_fire_leaves_a_short_one_its_room_where_the_house_takes_the_rest() -> None:
    """60 kWh burn twelve hours. A house of 10 kW takes the 40 kWh that come after the short fire's four hours, one of 4 kW 32 of them."""
    charges = (60.0, 20.0)
    # while both burn they make 40 kWh, and the house takes as much
    assert two_fires(space_kwh=0.5, call_kw=10.0, charges_kwh=charges) == ([60.0, 20.0], 0.0)
    # 60 + 20 kWh in twelve hours, of which the house takes 48: 32 kWh of room are enough and 31.9 are not
    assert two_fires(space_kwh=32.0, call_kw=4.0, charges_kwh=charges) == ([60.0, 20.0], 0.0)
    assert two_fires(space_kwh=31.9, call_kw=4.0, charges_kwh=charges) == ([60.0, 0.0], 0.0)


def test_unattended_days_are_short_for_want_of_fuel() -> None:
    found = run({**WOOD, "attended": "Sat"}, weather=constant_weather(0.0), **TANK)
    assert found.unmet.by_cause_j["fuel"] > 0.8 * found.unmet.energy_j
    never = run({**WOOD, "months": "Jan", "attended": "holidays"}, ELECTRIC, **TANK)
    assert any("nobody loads it" in text for text in never.warnings)


def test_an_efficiency_nobody_measured_is_doubted() -> None:
    assert any("rarely reached" in text for text in run({**WOOD, "efficiency": "80 %"}, ELECTRIC, **TANK).warnings)


def test_a_fire_burns_its_charge_over_its_time() -> None:
    offer, _ = cases.offer_of(WOOD, constant_weather(0.0), **TANK)
    charge_j = 20 * float(higher_heating_value_j_kg(moisture=0.2)) * 0.60
    assert offer.burn_power_w == pytest.approx(charge_j / (5 * 3600))
    assert offer.rated_w == offer.burn_power_w
    assert set(np.unique(offer.charge_j)) == {0.0, charge_j}
    assert np.count_nonzero(offer.charge_j) == 2 * 365
    burning = offer.fuel_limited_w == 0
    assert burning.sum() == 2 * 5 * 365  # both burns of every day end before midnight


def test_no_fire_is_lit_for_a_tank_while_no_heat_is_wanted_for_a_day() -> None:
    # cold until the end of day 100 and again from noon of day 200; the house wants nothing between
    hours = np.arange(8760)
    weather = cases.wavy_weather(np.where((hours < 100 * 24) | (hours >= 200 * 24 + 12), 0.0, 25.0))
    lit = np.flatnonzero(cases.offer_of(WOOD, weather, **TANK)[0].charge_j)
    days, at = np.divmod(lit, 24)
    assert set(at) == {7, 18}
    between = [(day, hour) for day, hour in zip(days, at, strict=True) if 100 <= day < 200]
    assert between == [(199, 18)]  # the last evening before; its morning is 29 hours from the first heat
    found = run(WOOD, weather=weather, **TANK)
    assert found.hourly.heat_w[0, 101 * 24 : 199 * 24].max() == 0.0
    assert found.hourly.heat_w[0, : 100 * 24].max() > 0.0


def test_the_heat_ahead_of_a_fire_is_the_demand_of_its_hours() -> None:
    from costsim.physics.demand import ahead_j

    assert ahead_j(demand_w=np.array([1.0, 2.0, 3.0]), hours=2).tolist() == [10800.0, 18000.0, 10800.0]


def test_a_fire_is_loaded_once_a_day_also_when_the_clocks_change() -> None:
    # New York, 2021: 2 am is skipped on March 14 (the 73rd day) and 1 am comes twice on November 7 (the 311th)
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2021)
    for text, hours in {"01:30": (1.0, 1.0), "02:30": (3.0, 2.0), "07:00": (7.0, 7.0)}.items():
        count = KINDS["wood"].model_validate({**WOOD, "load_times": [text]}).loadings(clock)
        loaded = np.flatnonzero(count)
        assert count.max() == 1.0
        assert (clock.day[loaded] - clock.day[0] == np.arange(365)).all()
        assert tuple(clock.clock_hour[loaded][[72, 310]]) == hours
