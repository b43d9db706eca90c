"""Figures of a season by hand, at the edges of what they are defined over."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study
from stand_ins import Unit

from costsim.engine.lower import lower_study
from costsim.physics.demand import ROUNDING_W
from costsim.results import amperes
from costsim.results.clock import clock_labels, day_labels
from costsim.results.cycling import starts_of
from costsim.results.peak import peak_hour
from costsim.results.recovery import Recovery, recovery_of
from costsim.results.result import Hourly, OptionResult, ZoneSeason, longest_run, split_by_cause, unmet_load_of
from costsim.results.solar import SolarShare, solar_share
from costsim.results.warnings import _unused, warnings_of
from costsim.tariffs.calendar import HourCalendar
from costsim.weather import Weather

ELECTRIC = {"kind": "electric", "output": "20 kW"}
MONTHS = np.arange(1, 13, dtype=np.int8)


def sun(taken: Any, taps: Any, others: Any, *, southern: bool = False) -> SolarShare | None:
    """Solar share of a year of twelve hours, one a month."""
    return solar_share(
        sun_w=np.maximum(np.array(taken, dtype=float) - np.array(others, dtype=float), 0.0),
        taken_w=np.array(taken, dtype=float),
        hot_water_w=np.array(taps, dtype=float),
        others_w=np.array(others, dtype=float),
        months=MONTHS,
        southern=southern,
    )


@pytest.mark.parametrize("month", range(1, 13))
def test_summer_is_may_to_september_and_november_to_march_in_the_south(month: int) -> None:
    """One month of twelve is heated by other sources: a fifth of a summer of five months where it is one of them."""
    others = (month == MONTHS) * 1.0
    north, south = (sun(np.ones(12), np.zeros(12), others, southern=side) for side in (False, True))
    assert north is not None
    assert south is not None
    assert north.year == south.year == pytest.approx(11 / 12)
    assert north.summer == pytest.approx(0.8 if month in (5, 6, 7, 8, 9) else 1.0)
    assert south.summer == pytest.approx(0.8 if month in (11, 12, 1, 2, 3) else 1.0)


def test_solar_shares_stay_between_nothing_and_all() -> None:
    # in January other sources give 3, 1 of it lost by the tank; in July the sun gives all of 1, half of it to taps
    found = sun([2, *[0] * 5, 1, *[0] * 5], [0.5, *[0] * 5, 0.5, *[0] * 5], [3, *[0] * 11])
    assert found == SolarShare(0.25, 1.0, 0.5, pytest.approx(0.5 / 2))
    winter = sun([1, *[0] * 11], np.zeros(12), [0.25, *[0] * 11])
    assert winter == SolarShare(0.75, None, None, 0.75)
    only_taps = sun([1, *[0] * 11], [1, *[0] * 11], [0.25, *[0] * 11])
    assert only_taps == SolarShare(0.75, None, 0.75, None)
    assert sun(np.zeros(12), np.zeros(12), np.zeros(12)) is None
    wasted = sun([*[0] * 6, 1, *[0] * 5], np.zeros(12), [*[0] * 6, 2, *[0] * 5])
    assert wasted == SolarShare(0.0, 0.0, None, 0.0)


def offer(**given: Any) -> Any:
    """What of an offer makes a unit start."""
    return SimpleNamespace(**{"name": "boiler", "min_fire_w": 8000.0, "must_run": False, **given})


def test_starts_of_a_season_by_hand() -> None:
    """At half of 8 kW a store of 7.2 MJ takes 1,800 s to fill and as long to empty: one start an hour."""
    heat = np.array([0.0, 4000.0, 4000.0, 8000.0, 9000.0])
    assert starts_of(offer(), heat, 7.2e6) == {"starts": pytest.approx(2.0), "most_starts_per_hour": pytest.approx(1.0)}
    # small ones are units like any other
    tiny = starts_of(offer(min_fire_w=0.8), np.array([0.4]), 720.0)
    assert tiny["starts"] == pytest.approx(1.0)
    assert starts_of(offer(), heat[:2], 14.4e6)["most_starts_per_hour"] == pytest.approx(0.5)
    assert starts_of(offer(), heat, 0.5)["starts"] > 0
    assert starts_of(offer(min_fire_w=0.0), heat, 7.2e6) == {}
    assert starts_of(offer(), heat, 0.0) == {}
    assert starts_of(offer(must_run=True), heat, 7.2e6) == {}
    assert starts_of(offer(), np.zeros(0), 7.2e6) == {"starts": 0.0, "most_starts_per_hour": 0.0}


def recovered(setpoint: Any, room: Any) -> Recovery | None:
    """Recoveries of a few hours."""
    return recovery_of(setpoint_c=np.array(setpoint), room_c=np.array(room), outdoor_c=np.arange(len(setpoint)) * 1.0)


def test_set_backs_of_half_a_kelvin_are_none_and_half_a_kelvin_short_is_warm() -> None:
    assert recovered([20.0, 20.5, 20.0], [20.0, 20.0, 20.0]) is None
    small = recovered([20.0, 20.53125, 20.53125], [20.0, 20.0, 20.03125])
    assert small is not None
    # the room is back at 20.03125 °C, which it reaches at the second hour's end
    assert (small.longest_h, small.count, small.unfinished) == (2.0, 1, 0)
    # a fall of half a kelvin ends no recovery, one of more does
    slow = recovered([16.0, 20.0, 19.5, 19.5, 19.5], [16.0, 17.0, 18.0, 19.0, 20.0])
    assert slow is not None
    assert (slow.longest_h, slow.unfinished) == (3.5, 0)
    fallen = recovered([16.0, 20.0, 19.46875, 19.46875, 19.46875], [16.0, 17.0, 18.0, 19.0, 20.0])
    assert fallen is not None
    assert (fallen.longest_h, fallen.unfinished, fallen.outdoor_c) == (1.0, 1, 1.0)


def test_a_house_that_stayed_warm_has_nothing_to_catch_up() -> None:
    found = recovered([16.0, 20.0, 16.0, 20.0, 20.0, 20.0], [19.5, 19.5, 16.0, 17.0, 19.0, 20.0])
    assert found is not None
    # from 16 °C over 17 and 19: 19.5 °C after 2.5 h; the mild day takes no time, which the median leaves out
    assert found == Recovery(2.5, 3, 3.0, 20.0, 2.5, 2, 0)
    assert found.as_dict() == {
        "longest_h": 2.5,
        "outdoor_c": 3.0,
        "setpoint_c": 20.0,
        "median_h": 2.5,
        "count": 2,
        "unfinished": 0,
    }
    assert recovered([16.0, 20.0], [19.5, 19.5]) == Recovery(0.0, 1, 1.0, 20.0, 0.0, 1, 0)


def test_the_highest_hour_is_looked_for_after_the_first_day() -> None:
    power = np.zeros(48)
    power[[23, 24, 47]] = 9.0, 5.0, 5.0
    assert peak_hour(power) == (24, 2)
    # a millionth less is as high, two are not
    power[47] = 5.0 * (1 - 0.9e-6)
    assert peak_hour(power) == (24, 2)
    power[47] = 5.0 * (1 - 1.05e-6)
    assert peak_hour(power) == (24, 1)
    assert peak_hour(power[:24]) == (23, 1)  # a day alone has no first day to leave out
    assert peak_hour(power[:25]) == (24, 1)
    assert peak_hour(np.full(30, 0.5)) == (24, 6)
    assert peak_hour(np.zeros(30)) is None


def test_hours_have_names_of_their_clock() -> None:
    calendar = HourCalendar.build(n_hours=8760, utc_offset_h=-5.0, timezone=None, year=2025)
    labels = clock_labels(calendar)
    assert [labels[hour] for hour in (0, 1, 11, 12, 13, 23, 24)] == [
        "Jan 1, 12 am", "Jan 1, 1 am", "Jan 1, 11 am", "Jan 1, 12 pm", "Jan 1, 1 pm", "Jan 1, 11 pm", "Jan 2, 12 am",
    ]  # fmt: skip
    assert labels[-1] == "Dec 31, 11 pm"
    assert day_labels(calendar, [0, 31 * 24 - 1, 31 * 24, 8759]) == ["Jan 1", "Jan 31", "Feb 1", "Dec 31"]


def test_unmet_load_counts_what_is_more_than_rounding() -> None:
    unmet = np.array([0.0, ROUNDING_W, 100.0, 0.6, 0.0, 300.0])
    found = unmet_load_of(unmet, {"capacity": unmet, "floor": np.full(6, 1.0)})
    assert (found.hours, found.worst_w, found.worst_hour, found.longest_run_hours) == (3, 300.0, 5, 2)
    assert found.energy_j == pytest.approx(400.6 * 3600)
    assert found.by_cause_j == {"capacity": pytest.approx(400.6 * 3600), "floor": pytest.approx(3 * 3600)}
    none = unmet_load_of(np.zeros(3), {"capacity": np.zeros(3)})
    assert (none.hours, none.worst_w, none.worst_hour, none.longest_run_hours) == (0, 0.0, None, 0)


@pytest.mark.parametrize(
    ("mask", "longest"), [("", 0), ("0", 0), ("1", 1), ("111", 3), ("1101110", 3), ("0111", 3), ("110", 2)]
)
def test_longest_run(mask: str, longest: int) -> None:
    assert longest_run(np.array([one == "1" for one in mask], dtype=bool)) == longest


def test_causes_are_taken_in_their_order() -> None:
    parts = split_by_cause(
        unmet_w=np.array([10.0, 10.0, 10.0, 10.0]),
        beyond_floor_w=np.array([4.0, 20.0, 0.0, 0.0]),
        curtailed_w=np.array([3.0, 5.0, 20.0, 0.0]),
        fuel_limited_w=np.array([2.0, 5.0, 5.0, 0.0]),
    )
    assert {cause: watts.tolist() for cause, watts in parts.items()} == {
        "floor": [4.0, 10.0, 0.0, 0.0],
        "curtailment": [3.0, 0.0, 10.0, 0.0],
        "fuel": [2.0, 0.0, 0.0, 0.0],
        "capacity": [1.0, 0.0, 0.0, 10.0],
    }


def hourly(**given: Any) -> Hourly:
    """Hours of which only these are told."""
    names = Hourly.__dataclass_fields__
    return Hourly(**{name: given.get(name, np.zeros(2)) for name in names})


def test_imbalance_is_what_is_left_of_the_largest_flow() -> None:
    heat = np.array([[3000.0, 0.0], [1000.0, 500.0]])
    flows = {"delivered_w": [3000.0, 300.0], "use_delivered_w": [400.0, 50.0], "tank_loss_w": [100.0, 60.0]}
    rows = {name: np.array(row) for name, row in flows.items()}
    whole = hourly(heat_w=heat, tank_change_w=np.array([500.0, 90.0]), **rows)
    assert whole.imbalance() == pytest.approx(0.0)
    assert hourly(heat_w=heat, tank_change_w=np.array([500.0, 50.0]), **rows).imbalance() == pytest.approx(40 / 4000)
    given = hourly(heat_w=np.zeros((1, 2)), delivered_w=np.array([200.0, 0.0]), tank_change_w=np.array([-200.0, 2.0]))
    assert given.imbalance() == pytest.approx(2 / 200)
    still = hourly(heat_w=np.zeros((1, 2)), tank_change_w=np.array([0.0, 0.25]))
    assert still.imbalance() == pytest.approx(0.25)


def option(*, hours: int, allowed: int, uses: Any = (), **given: Any) -> OptionResult:
    """An option of which only this is told."""
    fields = dict.fromkeys(OptionResult.__dataclass_fields__)
    told = {"unmet": SimpleNamespace(hours=hours), "max_unmet_hours": allowed, "uses": uses, **given}
    return OptionResult(**{**fields, **told})  # type: ignore[arg-type]


def test_as_many_cold_hours_as_are_allowed_are_warm() -> None:
    assert option(hours=10, allowed=10).keeps_warm
    assert not option(hours=11, allowed=10).keeps_warm
    uses = tuple(
        SimpleNamespace(unmet_hours=hours, priority=priority)
        for hours, priority in ((3, "before_house"), (7, "before_house"), (9, "after_house"))
    )
    assert option(hours=5, allowed=0, uses=uses).lacking_hours == 7
    assert option(hours=8, allowed=0, uses=uses).lacking_hours == 8


def test_energy_of_the_year_and_of_what_runs_for_it() -> None:
    fans = (SimpleNamespace(auxiliary_j=2.0), SimpleNamespace(auxiliary_j=3.0))
    hours = hourly(demand_w=np.array([1.0, 2.0]), delivered_w=np.array([0.5, 1.0]))
    found = option(hours=0, allowed=0, hourly=hours, pump_j=10.0, sources=fans)
    assert (found.demand_j, found.delivered_j, found.running_j) == (3 * 3600.0, 1.5 * 3600.0, 15.0)


def test_a_zone_tells_its_recovery() -> None:
    back = Recovery(2.5, 3, 3.0, 20.0, 2.0, 2, 0)
    zone = ZoneSeason("bath", 0.25, 24.0, 1500.0, None, None, None, 7.2e9, 3.6e6, 3, 0.0, 0, back)
    assert zone.as_dict()["recovery"] == back.as_dict()


def test_electric_heat_that_takes_most_of_a_usual_service_is_told_until_one_is_typed() -> None:
    # 1.25 P / 240 V: 150 A, three quarters of 200 A, at 28.8 kW; 200 A at 38.4 kW
    def told(*kilowatts: float, **more: object) -> str:
        banks = [{"kind": "electric", "output": f"{one} kW", "efficiency": "100 %"} for one in kilowatts]
        case = study(*banks, **more)
        return amperes.large_for_service(case, case.options[0])

    assert told(28.7) == ""
    most = "(28.8 kW at 240 V, times 1.25), most of a usual 200 A service: an electrician must look first."
    assert told(28.8) == told(14.4, 14.4) == f"one asks for 150 A {most}"
    assert "one asks for 229 A (44 kW at 240 V, times 1.25), more than a usual 200 A service" in told(31.0, 13.0)
    assert told(44.0, selection__service_free="100 A") == ""
    # of a service of one's own: 75 A, three quarters of 100 A, at 14.4 kW; 100 A at 19.2 kW
    own = {"selection__service": "100 A"}
    assert told(14.3, **own) == ""
    assert told(14.4, **own).endswith("most of your 100 A service: an electrician must look first.")
    assert told(19.3, **own).endswith("more than your 100 A service carries: an electrician must look first.")
    assert told(19.3, **own, selection__measured_peak="9 kW") == ""
    assert told(38.5, selection__service="400 A") == ""
    # what is there already: 12 kW ask for 12,000 / 240 × 1.25 = 62.5 A, more than 60 A, whatever a metered demand leaves free
    there = {"selection__service": "60 A", "selection__measured_peak": "12 kW"}
    case = study({"kind": "electric", "output": "12 kW", "efficiency": "100 %"}, **there)
    old = case.options[0].model_copy(update={"today": True})
    assert amperes.large_for_service(case, old).startswith(
        "one asks for 62 A (12 kW at 240 V, times 1.25), more than your 60 A service"
    )
    assert amperes.large_for_service(case, case.options[0]) == ""  # a new one is held against what is free
    fits = study({"kind": "electric", "output": "11.5 kW", "efficiency": "100 %"}, **there)  # 59.9 A
    assert amperes.large_for_service(fits, fits.options[0].model_copy(update={"today": True})) == ""
    # 18 kW of backup ask for 93.75 A; what the compressor takes beside it only its plate tells
    pump = {"kind": "heat_pump", "name": "HP", "outdoor": ["-8 degC", "8 degC"], "outputs": ["6 kW", "9 kW"]}
    backup = {"kind": "electric", "output": "18 kW", "efficiency": "100 %"}
    case = study(pump, backup, **own)
    assert amperes.large_for_service(case, case.options[0]) == (
        "one asks for more than 94 A (18 kW at 240 V, times 1.25), most of your 100 A service: an electrician must look first."
        " HP: a circuit of its own on top of that, by its nameplate (MCA and MOP)."
    )
    assert told(44.0, prices__electricity={"energy": "0.30 EUR/kWh"}) == ""


def test_the_service_is_asked_for_by_the_option_that_asks_most() -> None:
    # 9.9 kW at 99 % are 10 kW: 41.67 A at 240 V, and a quarter more for what runs for hours
    bank = {"kind": "electric", "output": "9.9 kW", "efficiency": "99 %"}
    assert amperes.of_the_service(study(bank, bank)) == "one asks for 104.2 A at 240 V for its heat alone."
    gas = {"kind": "gas", "output": "20 kW", "efficiency": "80 %", "altitude_rule": "none"}
    assert amperes.of_the_service(study(gas)) == ""
    euros = study(bank, prices__electricity={"energy": "0.30 EUR/kWh"})
    assert amperes.of_the_service(euros) == ""
    with_volts = study(bank, prices__electricity={"energy": "0.30 EUR/kWh"}, selection__volts="230 V")
    assert amperes.of_the_service(with_volts) == "one asks for 54.3 A at 230 V for its heat alone."


@pytest.mark.parametrize(
    ("given", "verdict"),
    [({"breaker": "50 A"}, "is enough"), ({"breaker": "49 A"}, "is too small"), ({"breaker": "51 A"}, "is enough")],
)
def test_a_breaker_of_just_what_is_asked_is_enough(given: dict[str, str], verdict: str) -> None:
    """9.6 kW at 240 V are 40 A, and 50 A with the quarter."""
    [source] = (
        study({"kind": "electric", "output": "9.6 kW", "efficiency": "100 %", "volts": "240 V", **given})
        .options[0]
        .sources
    )
    told = amperes.circuit(source)
    assert ": 9.6 kW at 240 V is 40.0 A and asks for a circuit of 50.0 A; the breaker of " in told
    assert told.endswith(f" {verdict}.")


def test_a_circuit_carries_what_goes_in() -> None:
    """9 kW of heat at 90 % are 10 kW: 41.7 A at 240 V."""
    unit: Any = Unit(efficiency_share=0.9, nameplate_w=lambda: 9e3, label="bank", volts_v=240.0, breaker_a=60.0)
    told = amperes.circuit(unit)
    assert told == "bank: 10.0 kW at 240 V is 41.7 A and asks for a circuit of 52.1 A; the breaker of 60 A is enough."


def test_volts_alone_tell_the_breaker() -> None:
    """12 kW / 240 V = 50 A, × 1.25 = 62.5 A: the next rating of NEC 240.6(A) is 70 A."""
    typed = {"kind": "electric", "output": "12 kW", "efficiency": "100 %", "volts": "240 V"}
    case = study(typed)
    [source] = case.options[0].sources
    assert amperes.circuit(source).endswith(
        ": 12.0 kW at 240 V is 50.0 A and asks for a circuit of 62.5 A, the next breaker 70 A."
    )
    assert next(iter(source.formulas(0.0)))[2] == "1.25 × 12,000 W / 240 V = 62.5 A; next breaker 70 A"
    assert source.breaker_limit_w() == float("inf")


def test_no_circuit_without_its_volts() -> None:
    for given in ({"volts_v": None, "breaker_a": 50.0}, {}):
        unit: Any = Unit(efficiency_share=1.0, nameplate_w=lambda: 9600.0, label="bank", **given)
        assert amperes.circuit(unit) == ""


def bill(**amounts: float) -> Any:
    """A bill of lines and what they come to."""
    return SimpleNamespace(
        lines=[SimpleNamespace(label=key.replace("_", " "), amount=paid) for key, paid in amounts.items()]
    )


@pytest.mark.parametrize(("paid", "told"), [(1.0, False), (1.5, True)])
def test_a_dollar_paid_for_nothing_is_not_worth_a_word(paid: float, told: bool) -> None:
    found = _unused(
        option(hours=0, allowed=0, name="one", bills={"natural_gas": bill(energy=900.0, minimum_bill=paid)}), "$"
    )
    assert found == (["one pays $2 a year for natural gas it does not use (minimum bill)"] if told else [])


def of_days(case: Any, fahrenheit_days: float, hours: float) -> str:
    """Warnings of a year of so many degree-days and full-load hours."""

    class Given(Weather):
        def degree_days_k_d(self, base_c: float) -> float:
            return fahrenheit_days / 1.8

    common = lower_study(case, constant_weather(5.0))
    weather = Given(*(getattr(common.weather, name) for name in Weather.__dataclass_fields__))
    whole = replace(common, weather=weather, demand_w=np.array([hours * common.route.load_w]))
    return "\n".join(warnings_of(whole, ()))


@pytest.mark.parametrize(
    ("days", "hours", "told"),
    [
        (7000.0, 1000.0, True), (8000.0, 1000.0, True), (6999.0, 1000.0, False), (8001.0, 1000.0, False),
        (7200.0, 1300.0, False), (7200.0, 2600.0, False), (7200.0, 1299.0, True), (7200.0, 2601.0, True),
    ],
)  # fmt: skip
def test_full_load_hours_are_usual_up_to_their_bounds(days: float, hours: float, told: bool) -> None:
    assert days / 1.8 * 1.8 == days
    assert ("full-load hours are unusual" in of_days(study(ELECTRIC), days, hours)) == told


def test_bounds_of_warnings_are_allowed_themselves() -> None:
    # design at -10 °C and 8 K allowed; 100 m² that give off 100 W/m²
    for outdoor_c in (-2.0, -18.0):
        assert "is far from" not in "\n".join(
            warnings_of(lower_study(study(ELECTRIC), constant_weather(outdoor_c)), ())
        )
    just = study(ELECTRIC, house__design_heat_loss="10 kW")
    assert "give off this much heat" not in "\n".join(warnings_of(lower_study(just, constant_weather(-5.0)), ()))
    over = study(ELECTRIC, house__design_heat_loss="10.2 kW")
    told = "\n".join(warnings_of(lower_study(over, constant_weather(-5.0)), ()))
    assert "at its surface limit gives about 100.00 W/m²" in told  # EN 1264-2: 9 K over the room


@pytest.mark.parametrize(("joules", "told"), [(3.6e6, False), (3.7e6, True)])
def test_a_kilowatt_hour_of_pumps_that_nobody_pays_for_is_not_worth_a_word(joules: float, told: bool) -> None:
    data = dict(study({"kind": "gas", "output": "20 kW", "efficiency": "80 %", "altitude_rule": "none"}).typed)
    data["prices"] = {"natural_gas": data["prices"]["natural_gas"]}
    from costsim.study.case import case_from

    one = option(hours=0, allowed=0, name="one", pump_j=joules, sources=(), warnings=(), bills={})
    found = warnings_of(lower_study(case_from(data), constant_weather(5.0)), [one])
    assert any("pumps and fans" in text for text in found) == told
