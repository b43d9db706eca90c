"""Each limit of the figures of a result, on both sides and at it, and what counts where nothing is given."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from results.test_season_by_hand import common, hourly, house, offer, zone_of

from costsim.physics.demand import ROUNDING_W
from costsim.results import season, zones
from costsim.results.clock import wall_times
from costsim.results.cycling import too_many_starts
from costsim.results.price_assumptions import _pounds
from costsim.results.recovery import recovery_of
from costsim.results.result import CoolTank, Result, UseSeason
from costsim.results.solar import _mean, solar_share
from costsim.results.tank_alone import beyond_loops, with_cool_tank
from costsim.study.uses import HotWater
from costsim.tariffs.calendar import HourCalendar

# the clock


def test_a_picture_s_clock_jumps_in_spring_and_tells_the_hour_that_autumn_repeats_half_past_it() -> None:
    """New York: 9 March 2025 has no 2 am, 2 November has 1 am twice (Energy Policy Act of 2005, section 110)."""
    clock = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone="America/New_York", year=2025)
    spring, autumn = ((31 + 28 + 8) * 24, 305 * 24)
    for first, wanted in (
        (spring, ["03-09T00:00", "03-09T01:00", "03-09T03:00", "03-09T04:00"]),
        (autumn - 1, ["11-02T00:00", "11-02T01:00", "11-02T01:30", "11-02T02:00"]),
    ):
        assert [str(one) for one in wall_times(clock, range(first, first + 4))] == [f"2023-{one}" for one in wanted]


def test_a_picture_of_a_leap_year_has_its_day() -> None:
    leap = HourCalendar.build(n_hours=8784, utc_offset_h=0.0, timezone=None, year=2024)
    hours = range((31 + 28) * 24 + 23, (31 + 29) * 24 + 1)
    assert [str(one) for one in wall_times(leap, hours)] == ["2024-02-29T23:00", "2024-03-01T00:00"]


# figures


def test_pounds_are_written_as_fine_as_they_are_large() -> None:
    assert [_pounds(one) for one in (0.856, 4.994, 5.0, 5.25, 99.94, 100.0, 105.4, 5251.7)] == [
        "0.86", "4.99", "5.0", "5.2", "99.9", "100", "105", "5,252",
    ]  # fmt: skip


def test_a_use_tells_the_hours_of_a_cool_tank() -> None:
    plain = UseSeason("taps", "hot_water", 7.2e9, 3.6e6, 3)
    assert plain.as_dict() == {
        "name": "taps", "kind": "hot_water", "heat_kwh": 2000.0, "unmet_kwh": 1.0, "unmet_hours": 3, "too_cool_hours": 3,
        "priority": "before_house", "cool_tank_hours": 0, "cool_tank_gives_c": None,
    }  # fmt: skip
    cool = replace(plain, cool=CoolTank(12, 3, 44.0, 50.0, 39.0, 45.0)).as_dict()
    assert (cool["cool_tank_hours"], cool["cool_tank_gives_c"]) == (12, 39.0)


def test_a_result_is_shown_and_compared_without_what_it_was_made_of() -> None:
    fields: dict[str, Any] = dict.fromkeys(name for name in Result.__dataclass_fields__ if name != "told")
    one, other = Result(**{**fields, "lowered": "the study"}), Result(**{**fields, "lowered": "the study"})
    one.told["asked"] = 1
    assert one == other
    assert "the study" not in repr(one)
    assert "told" not in repr(one)
    assert other.told == {}
    with pytest.raises(TypeError, match="told"):
        Result(**fields, told={})


MONTHS = np.arange(1, 13, dtype=np.int8)
NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def a_year(**months: float) -> np.ndarray:
    """A year of twelve hours, one a month."""
    return np.array([months.get(name, 0.0) for name in NAMES])


def test_a_summer_in_which_nothing_is_taken_has_no_share() -> None:
    def summer(sun: np.ndarray, taken: np.ndarray) -> float | None:
        found = solar_share(
            sun_w=sun, others_w=a_year(), taken_w=taken, hot_water_w=a_year(), months=MONTHS, southern=False
        )
        assert found is not None
        return found.summer

    # the tank may be charged in July and lose it all
    assert summer(a_year(jul=1.0), a_year(jan=2.0)) is None
    assert summer(a_year(jul=1.0), a_year(jan=2.0, jul=0.5)) == 1.0


def test_less_than_a_billionth_of_a_watt_is_nothing() -> None:
    share = np.array([0.5])
    assert _mean(share, np.array([1e-9])) is None
    assert _mean(share, np.array([1.05e-9])) == pytest.approx(0.5)


# the tank alone


def cool(top: float, *, wanted: float = 100.0, tank: float = 0.5) -> CoolTank | None:
    """What is said of a tap that needs 50 °C in an hour in which the tank is so warm."""
    common: Any = SimpleNamespace(
        uses=SimpleNamespace(each_needs_c=np.array([[50.0]]), by_use_w=np.array([[wanted]]), late=np.array([False])),
        case=SimpleNamespace(use=(SimpleNamespace(above_use_k=0.0),)), water=SimpleNamespace(tank_j_k=tank),
    )  # fmt: skip
    hours: Any = SimpleNamespace(tank_top_c=np.array([top]))
    return with_cool_tank(common, hours, (UseSeason("taps", "hot_water", 1.0, 0.0, 0),))[0].cool


def test_a_kelvin_too_cool_is_warm_and_a_twentieth_more_is_not() -> None:
    assert cool(49.0) is None
    found = cool(48.95)
    assert found is not None
    # without an exchanger the tap gets what the tank has
    assert (found.gives_c, found.wanted_c) == (48.95, 50.0)
    assert cool(48.95, wanted=ROUNDING_W) is None
    assert cool(48.95, tank=0.0) is None


def test_the_smallest_tank_has_loops_to_serve() -> None:
    def over(tank: float, resistance: float, given: float) -> int:
        common: Any = SimpleNamespace(
            water=SimpleNamespace(tank_j_k=tank, mass=None, resistance_k_w=resistance), setpoint_c=np.array([20.0]),
            route=SimpleNamespace(load_w=100.0),
        )  # fmt: skip
        hours: Any = SimpleNamespace(tank_top_c=np.array([40.0]), delivered_w=np.array([given]), slab_c=None)
        found = beyond_loops(common, hours)
        return found.hours if found else 0

    # 20 K over 2 K/W are 10 W, of which a hundredth of the load of 100 W more is allowed
    assert [over(0.5, 2.0, given) for given in (11.0, 11.05)] == [0, 1]
    assert over(0.0, 2.0, 50.0) == over(0.5, 0.0, 50.0) == 0


# starts, set-backs and warnings


def test_six_starts_an_hour_are_allowed() -> None:
    unit: Any = SimpleNamespace(name="boiler", min_fire_w=8000.0)
    facts = {"starts": 100.0}
    assert too_many_starts(unit, facts, 0.9e6) == ""
    assert too_many_starts(unit, {**facts, "most_starts_per_hour": 6.0}, 0.9e6) == ""
    said = too_many_starts(unit, {**facts, "most_starts_per_hour": 6.3}, 0.9e6)
    assert "up to 6.3 times an hour" in said
    assert said.endswith("keeps it at 6 an hour")


def test_a_room_that_is_warm_at_the_very_end_has_followed() -> None:
    """From 16 °C in two hours to 19.5, which is near enough to 20; the set-point falls in the third."""
    found = recovery_of(
        setpoint_c=np.array([16.0, 20.0, 20.0, 16.0]), room_c=np.array([16.0, 17.0, 19.5, 19.5]), outdoor_c=np.zeros(4)
    )
    assert found is not None
    assert (found.longest_h, found.unfinished) == (2.0, 0)
    never = recovery_of(
        setpoint_c=np.array([16.0, 20.0, 20.0, 16.0]), room_c=np.array([16.0, 17.0, 19.4, 19.6]), outdoor_c=np.zeros(4)
    )
    assert never is not None
    assert (never.longest_h, never.unfinished) == (2.0, 1)


# zones, taps and what is bought


def test_what_no_loop_is_named_for_is_no_fault_of_the_floor(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(zones, "zone_hours", lambda study, **given: (zone_of([2.0, 0.0, 0.0], [0.0] * 3),))
    none = np.zeros(3)
    hours = hourly(unmet_w=none, unmet_by_cause_w={"floor": none, "capacity": none}, available_w=np.zeros((1, 3)))
    found, (zone,) = zones.house_and_zones(house(object(), ()), hours)
    assert {name: each.tolist() for name, each in found.unmet_by_cause_w.items()} == {
        "floor": [0.0, 0.0, 0.0], "capacity": [2.0, 0.0, 0.0],
    }  # fmt: skip
    assert (zone.recovery, zone.coldest_c) == (None, None)
    # a house that only the floor may keep cold
    alone = replace(hours, unmet_by_cause_w={"floor": none})
    found, _ = zones.house_and_zones(house(object(), ()), alone)
    assert found.unmet_by_cause_w["floor"].tolist() == [2.0, 0.0, 0.0]


def test_loops_get_no_hotter_water_than_the_tank_s_and_a_hotter_room_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """15 and 45 °C in halves are 30 °C; 0.005 K/W times 6 kW more are 60 °C, and the tank ends at 44."""
    parts = (zone_of([0.0] * 3, [0.0] * 3), zone_of([0.0] * 3, [0.0] * 3))
    monkeypatch.setattr(zones, "zone_hours", lambda study, **given: parts)
    named = [
        SimpleNamespace(load_share=0.5, indoor_temperature_c=warm, limit_w=9e3, heat_w_k=50.0, groups=(at,))
        for at, warm in enumerate((15.0, 45.0))
    ]
    home = house(None, named)
    hours = hourly(unmet_w=np.zeros(3), available_w=np.zeros((1, 3)))
    _, (first, _) = zones.house_and_zones(home, hours)
    assert (first.supply_c, first.loops_give_w) == (60.0, 50.0 * 45)
    home.water.max_temperature_c = 44.0
    _, (first, second) = zones.house_and_zones(home, hours)
    assert first.supply_c == second.supply_c == 44.0
    assert (first.loops_give_w, second.loops_give_w) == (50.0 * 29, 0.0)
    assert (first.loops, second.loops) == (2, 3)
    # a floor behind a mixing valve at 35 °C gives 50 W/K × 20 K; what has no valve has the tank's 44
    floor, radiator = (
        SimpleNamespace(emitter=kind, supply_c=35.0, valved=valve)
        for kind, valve in ((None, True), ("radiator", False))
    )
    home.water.circuits = (radiator, floor)
    _, (first, _) = zones.house_and_zones(home, hours)
    assert (first.supply_c, first.loops_give_w) == (35.0, 50.0 * 20)
    home.water.circuits = (radiator, SimpleNamespace(emitter=None, supply_c=35.0, valved=False))
    _, (first, _) = zones.house_and_zones(home, hours)
    assert first.supply_c == 44.0


def test_a_zone_of_a_heavy_floor_has_its_own_recovery_and_coldest_hour(monkeypatch: pytest.MonkeyPatch) -> None:
    part = zone_of([0.0] * 3, [0.0] * 3)
    part.part.setpoint_c, part.room_c = np.array([16.0, 20.0, 20.0]), np.array([16.0, 18.5, 20.5])
    monkeypatch.setattr(zones, "zone_hours", lambda study, **given: (part,))
    none = np.zeros(3)
    hours = hourly(unmet_w=none, unmet_by_cause_w={"floor": none, "capacity": none}, available_w=np.zeros((1, 3)))
    home = house(object(), ())
    home.weather = SimpleNamespace(outdoor_c=np.array([1.0, 2.0, 3.0]))
    _, (zone,) = zones.house_and_zones(home, hours)
    assert zone.coldest_c == 16.0
    # from 16 over 18.5 halfway to 20.5: 19.5 after an hour and a half
    assert zone.recovery == recovery_of(
        setpoint_c=part.part.setpoint_c, room_c=part.room_c, outdoor_c=home.weather.outdoor_c
    )
    assert zone.recovery is not None
    assert (zone.recovery.longest_h, zone.recovery.outdoor_c) == (1.5, 2.0)
    # without thermal mass the load is met in its hour
    home.water.mass = None
    assert zones.house_and_zones(home, hours)[1][0].recovery is None


def test_a_shop_that_the_tank_heats_is_no_tap() -> None:
    """Two thirds of what goes in are the sun's: taps take 10 W in January, heated by the other, the shop 20 W in July by the sun."""
    kinds = (HotWater.model_construct(name="a", kind="hot_water", priority="before_house"), SimpleNamespace(name="b"))
    wanted = np.array([[10.0, 0.0], [0.0, 20.0]])
    study_of = common(
        uses=SimpleNamespace(by_use_w=wanted, asked_w=wanted, late=np.array([False, False])),
        case=SimpleNamespace(use=kinds, prices={}, tank=None),
        weather=SimpleNamespace(n_hours=2, months=np.array([1, 7], dtype=np.int8), southern=False),
    )
    option: Any = SimpleNamespace(sources=(SimpleNamespace(collects_sun=True), SimpleNamespace(collects_sun=False)))
    hours = hourly(2, heat_w=[[0.0, 20.0], [10.0, 0.0]], use_delivered_w=[10.0, 20.0])
    found = season.sun_of(study_of, option, hours)
    assert found is not None
    assert (found.hot_water, found.space) == (0.0, 1.0)


def test_a_source_shows_its_fuel_by_the_heat_content_typed() -> None:
    case = SimpleNamespace(prices={"natural_gas": SimpleNamespace(content="a therm")}, tank=None, use=())
    hours = hourly(
        heat_w=np.ones((1, 3)), input_w=np.ones((1, 3)), auxiliary_w=np.zeros((1, 3)), dumped_w=np.zeros((1, 3))
    )
    assert season.source_season(offer(), 0, hours, {}, common(case=case)).heat_content == "a therm"
    assert season.source_season(offer(), 0, hours, {}, common()).heat_content is None


def test_units_that_start_too_often_are_told_by_the_option_s_own_tank() -> None:
    """0.5 MJ/K through 5 K are 0.69 kWh."""
    own = common(
        water=SimpleNamespace(short=(), warnings=(), tank_j_k=0.5e6),
        case=SimpleNamespace(prices={}, tank=SimpleNamespace(differential_k=5.0), use=()),
    )
    sources: Any = [SimpleNamespace(facts={"starts": 10.0, "most_starts_per_hour": most}) for most in (9.0, 5.0)]
    [text] = season.option_warnings(common(), own, [offer(min_fire_w=8e3), offer(name="other")], sources)
    assert text.startswith("boiler starts up to 9.0 times")
    assert "takes 0.69 kWh" in text
