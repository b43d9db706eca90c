"""What is drawn and run for each draw, on made-up years."""

from __future__ import annotations

import copy
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, demo, study, wavy_weather

from costsim import load_weather
from costsim.analysis import scenarios as drawn
from costsim.analysis import uncertainty as unsure
from costsim.analysis.circulators import room_pumps
from costsim.analysis.layout import layout
from costsim.analysis.needs import case_of, cautions_for, contents_m3, needed_vessel_m3, needs_of
from costsim.analysis.scenarios import Scenarios, _coldness, draw, feels_cold, in_winter, shift_for_share, spreads
from costsim.analysis.sensitivity import _corners
from costsim.analysis.uncertainty import winters
from costsim.engine.batch import BatchResult
from costsim.engine.lower import lower_study
from costsim.study.case import Case, case_from
from costsim.study.rating_checks import rating_checks
from costsim.study.ratings import Ratings
from costsim.units.faults import build

ELECTRIC = {"kind": "electric", "output": "20 kW"}
PUMP = {"kind": "heat_pump", "outdoor": ["-10 degC", "10 degC"], "outputs": ["12 kW", "18 kW"]}
HELD = {**ELECTRIC, "curtailment": {"coldest_hours": 100}}


def scenarios(n: int = 5, **given: Any) -> Scenarios:
    """Draws of which only these are told; each thing else in its middle."""
    plain: dict[str, Any] = {
        "load": np.ones(n), "setpoint_spread_k": np.zeros(n), "winter_k": np.zeros(n), "efficiency": {}, "prices": {},
        "curtailment": np.ones(n), "year": np.zeros(n, dtype=np.int64), "winter": np.zeros(n),
    }  # fmt: skip
    return Scenarios(**{**plain, **given})


def test_curtailment_hours_are_named_where_they_were_drawn() -> None:
    plain = scenarios(2, prices={"natural_gas": np.ones(2)}, efficiency={"efficiency of burners": np.ones(2)})
    names = ["design load", "indoor temperature", "winter", "efficiency of burners", "price of natural gas"]
    assert list(plain.named()) == names
    moved = replace(plain, curtailment=np.array([0.75, 1.25]))
    assert list(moved.named()) == [*names[:4], "curtailment hours", names[4]]
    assert moved.named()["winter"] is moved.winter


def years(*hours: float) -> Any:
    """Weather years of so many degree-hours."""
    return [SimpleNamespace(degree_hours_k_h=one) for one in hours]


def test_how_cold_a_year_is() -> None:
    share, deviations = _coldness(years(90.0, 110.0), np.array([1, 0, 1]))
    assert share.tolist() == pytest.approx([0.1, -0.1, 0.1])
    assert deviations.tolist() == pytest.approx([1.0, -1.0, 1.0])
    # years of nearly nothing are told apart as well, and years of nothing or all alike are not
    small, _ = _coldness(years(0.2, 0.6), np.array([0, 1]))
    assert small.tolist() == pytest.approx([-0.5, 0.5])
    for same in (years(0.0, 0.0), years(70.0, 70.0)):
        assert [one.tolist() for one in _coldness(same, np.array([0, 1]))] == [[0.0, 0.0], [0.0, 0.0]]


def test_a_colder_winter_is_a_shift_of_the_balance_point() -> None:
    common = lower_study(study(ELECTRIC), constant_weather(10.0))
    # 10 K in all hours: a fifth more is 2 K, and shifts end at 12 K
    assert shift_for_share(common, np.array([0.0, 0.2, -0.5, -1.0, 9.0])) == pytest.approx(
        [0.0, 2.0, -5.0, -10.0, 12.0], abs=1e-9
    )
    warm = lower_study(study(ELECTRIC), constant_weather(30.0))
    assert shift_for_share(warm, np.array([0.1, -0.1])).tolist() == [0.0, 0.0]
    assert in_winter(common, 0.0) is common
    assert in_winter(warm, 0.2) is warm
    colder = in_winter(common, 0.2)
    assert colder.degree_hours_k_h == pytest.approx(1.2 * common.degree_hours_k_h, rel=1e-3)
    assert colder.design_outdoor_c == common.design_outdoor_c


@pytest.mark.parametrize(
    ("source", "feels"),
    [
        (ELECTRIC, False), (PUMP, True), ({**ELECTRIC, "lockout_above": "5 degC"}, True), ({**ELECTRIC, "lockout_below": "-5 degC"}, True),
        (HELD, False), ({**ELECTRIC, "kind": "off_peak_electric", "windows": ["22:00-06:00"], "price": "electricity", "charging": "forecast"}, True),
    ],
)  # fmt: skip
def test_what_feels_the_cold(source: dict[str, Any], feels: bool) -> None:
    assert feels_cold(study(source, tank__volume="300 L").options[0]) == feels


def runs(
    monkeypatch: pytest.MonkeyPatch, option: Any, given: Scenarios, names: tuple[str, ...] = ("first", "second")
) -> list[tuple[Any, ...]]:
    """Which study, option's curtailment hours, draws and shifts are run for an option."""
    told: list[tuple[Any, ...]] = []

    def group(common: Any, one: Any, draws: Any, picked: Any, winter_k: Any, tell: Any) -> BatchResult:
        held = one.sources[0].curtailment
        told.append((common, held.coldest_hours if held else None, picked.tolist(), np.round(winter_k, 6).tolist()))
        tell(1.0)
        number = picked[:, None].astype(float)
        return BatchResult(("electricity",), number, number[:, :, None], number[:, :, None])

    monkeypatch.setattr(drawn, "_simulate_group", group)
    monkeypatch.setattr(drawn, "_seen_prices", lambda common, one, draws: [()] * len(draws.load))
    monkeypatch.setattr(drawn, "in_winter", lambda common, share: f"{common} {share:+.2f}" if share else common)
    monkeypatch.setattr(drawn, "shift_for_share", lambda common, share: share)
    shares: list[float] = []
    study_of: Any = [SimpleNamespace(case=SimpleNamespace(options=(option,))), *names[1:]]
    study_of[0] = _Named(names[0], option)
    (found,) = drawn.simulate_scenarios(study_of, given, shares.append)
    assert found.sums[:, 0].tolist() == list(range(len(given.load)))  # in the order drawn
    assert shares[-1] == pytest.approx(1.0)
    assert shares == sorted(shares)
    return told


class _Named(str):
    """A study by its name, with its one option."""

    case: Any

    def __new__(cls, name: str, option: Any) -> _Named:
        """Hold the option."""
        made = str.__new__(cls, name)
        made.case = SimpleNamespace(options=(option,))
        return made


def test_a_heat_pump_is_run_in_drawn_winters_by_steps_and_the_rest_is_a_shift(monkeypatch: pytest.MonkeyPatch) -> None:
    """Steps of 4 % of degree-days: +5 % is run at +4 %, and what is left of it, 1.05/1.04 − 1, is a shift."""
    option = study(PUMP).options[0]
    given = scenarios(3, winter_k=np.array([1.0, -1.0, 1.0]), winter=np.array([0.05, -0.01, 0.05]))
    assert runs(monkeypatch, option, given) == [
        ("first", None, [1], [-1.0]), ("first +0.04", None, [0, 2], [round(1.05 / 1.04 - 1, 6)] * 2),
    ]  # fmt: skip


def test_a_heat_pump_in_real_years_meets_each_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    option = study(PUMP).options[0]
    given = scenarios(4, winter=np.array([0.3, -0.3, 0.3, -0.3]), year=np.array([1, 0, 1, 0]))
    assert runs(monkeypatch, option, given) == [
        ("first", None, [1, 3], [0.0, 0.0]),
        ("second", None, [0, 2], [0.0, 0.0]),
    ]


def test_draws_of_one_number_of_curtailment_hours_are_run_together(monkeypatch: pytest.MonkeyPatch) -> None:
    given = scenarios(4, curtailment=np.array([1.5, 0.5, 1.0, 0.5]))
    held, free = study(HELD).options[0], study(ELECTRIC).options[0]
    assert [one[1:3] for one in runs(monkeypatch, held, given)] == [(50, [1, 3]), (100, [2]), (150, [0])]
    assert [one[1:3] for one in runs(monkeypatch, free, given)] == [(None, [0, 1, 2, 3])]


def test_corners_move_one_thing_at_a_time() -> None:
    given = scenarios(
        11, load=np.linspace(0.5, 1.5, 11), winter=np.linspace(-0.5, 0.5, 11)[::-1], winter_k=np.arange(11.0), year=np.arange(11),
        prices={"natural_gas": np.linspace(1.0, 2.0, 11)},
    )  # fmt: skip
    found = _corners(given)
    # low and high of load, warmth, winter and price, and all in the middle: at 10, 50 and 90 % of eleven
    assert found.load.tolist() == pytest.approx([0.6, 1.4, *[1.0] * 7])
    assert found.winter.tolist() == pytest.approx([0.0] * 4 + [-0.4, 0.4] + [0.0] * 3)
    assert found.year.tolist() == [5] * 4 + [9, 1] + [5] * 3
    assert found.winter_k.tolist() == [5.0] * 4 + [9.0, 1.0] + [5.0] * 3
    assert found.prices["natural_gas"].tolist() == pytest.approx([1.5] * 6 + [1.1, 1.9, 1.5])
    assert found.curtailment.tolist() == [1.0] * 9


def test_winters_stand_side_by_side_with_their_degree_days(monkeypatch: pytest.MonkeyPatch) -> None:
    """One in ten is 1.2816 standard deviations of 5.5 %; the coldest on record 19 % over the mean."""
    monkeypatch.setattr(unsure, "in_winter", lambda common, share: share)
    monkeypatch.setattr(unsure, "_one_winter", lambda year, option: (float(getattr(year, "cost", year)), 3))
    case = SimpleNamespace(
        uncertainty=SimpleNamespace(winter_share=0.055, weather=("a.csv", "b.csv")), options=("x", "y")
    )
    common: Any = SimpleNamespace(case=case, degree_hours_k_h=200.0)
    others: Any = [SimpleNamespace(degree_hours_k_h=hours, cost=hours) for hours in (250.0, 100.0)]
    found = winters(common, others)
    assert [one.degree_days_share for one in found] == pytest.approx([0.0, 1.2816 * 0.055, 0.19, 0.25, -0.5], rel=1e-4)
    assert [one.cost for one in found] == [(one, one) for one in (0.0, found[1].degree_days_share, 0.19, 250.0, 100.0)]
    assert [one.name for one in found[3:]] == ["weather of a.csv", "weather of b.csv"]
    assert found[0].unmet_hours == (3, 3)
    case.uncertainty.winter_share = 0.11  # twice the spread, twice as far
    assert [one.degree_days_share for one in winters(common)] == pytest.approx([0.0, 1.2816 * 0.11, 0.38], rel=1e-4)
    none: Any = SimpleNamespace(case=case, degree_hours_k_h=0.0)
    assert winters(none, others)[3].degree_days_share == 0.0


def test_winters_that_nature_does_not_know_are_not_drawn() -> None:
    case = case_from({**study(ELECTRIC).typed, "uncertainty": {"winter": "50 %", "scenarios": 2000}})
    found = draw(case, lower_study(case, constant_weather(0.0)))
    assert (found.winter.min(), found.winter.max()) == (-0.6, 1.0)
    assert not found.year.any()
    assert (found.curtailment == 1.0).all()


def test_spreads_are_told_as_typed() -> None:
    told = spreads(
        case_from(
            {
                **study(HELD).typed,
                "uncertainty": {"load": "12 %", "setpoint_spread": "1.5 K", "price": {"electricity": "8 %"}},
            }
        )
    )
    assert told["design load"] == "12.0%"
    assert told["indoor temperature"] == "1.5 K (2.7 °F)"
    assert told["winter, degree-days"] == "5.5%"
    assert told["curtailment hours"] == "25.0%"
    assert told["price of electricity"] == "8.0%"
    assert "curtailment hours" not in spreads(study(ELECTRIC))
    typed = {**study(PUMP).typed, "uncertainty": {"source_efficiency": {"heat_pump": "7 %"}}}
    assert spreads(case_from(typed))["efficiency of air-to-water heat pump"] == "7.0%"


def test_years_of_weather_are_each_as_likely_as_the_study_s_own() -> None:
    case = study(ELECTRIC)
    of_years = case.model_copy(
        update={"uncertainty": case.uncertainty.model_copy(update={"weather": ["a.csv", "b.csv"]})}
    )
    assert spreads(of_years)["winter, degree-days"] == "one of 3 weather years, each as likely"


# what a circuit asks for


def laid_out() -> Case:
    """The built-in house of two levels, without the loops it may have."""
    return case_from(copy.deepcopy(demo("two_levels")))


def test_pumps_are_counted_as_the_layout_has_them() -> None:
    case = laid_out()
    weather = load_weather(case)
    pumps = layout(case, weather).pumps
    found = room_pumps(case, weather, lower_study(case, weather))
    assert sum(one.count for one in found) == len(pumps)
    assert min(one.count for one in found) >= 1
    for one in found:
        same = [pump for pump in pumps if pump.thermostat == one.name and abs(pump.flow_m3_s - one.flow_m3_s) < 1e-8]
        assert len(same) == one.count
    loops = [{"count": 5, "length": "60 m", "flow": "2 L/min"}, {"count": 4, "length": "60 m"}]
    pump = {"flows": ["0 L/min", "20 L/min", "40 L/min"], "heads": ["60 kPa", "50 kPa", "20 kPa"], "loops_per_pump": 2}
    typed = study(ELECTRIC, floor__loops=[{**loops[1], "count": 5}, {**loops[1], "count": 1}], floor__pump=pump)
    first, second = room_pumps(typed, weather, lower_study(typed, weather))
    assert (first.count, second.count) == (3, 1)  # two loops on each, and one alone
    each = lower_study(typed, weather).water.loops
    assert (first.flow_m3_s, second.flow_m3_s) == (
        pytest.approx(2 * each[0].flow_m3_s),
        pytest.approx(each[1].flow_m3_s),
    )
    plain = study(ELECTRIC, floor__loops=loops[:1])
    assert [one.count for one in room_pumps(plain, weather, lower_study(plain, weather))] == [5]
    assert room_pumps(study(ELECTRIC), weather, lower_study(study(ELECTRIC), weather)) == ()


def test_cautions_are_of_one_option_or_of_all() -> None:
    data = dict(study(ELECTRIC, prices__natural_gas={"energy": "1 $/therm"}).typed)
    gas = {"kind": "gas", "output": "20 kW", "efficiency": "80 %", "altitude_rule": "none"}
    data["option"] = [
        {"name": "a", "source": [ELECTRIC]},
        {"name": "b", "source": [gas], "tank": {"volume": "300 L", "max_temperature": "70 degC"}},
    ]
    data["prices"]["natural_gas"] = {"energy": "1 $/therm"}
    case = case_from(data)
    common = lower_study(case, wavy_weather(np.linspace(-5.0, 20.0, 8760)))
    keys = [{one.key for one in cautions_for(common, "si", option)} for option in (None, *case.options)]
    assert {"carbon_monoxide", "electrical_work", "weight", "scalding", "freezing"} <= keys[0]
    assert "carbon_monoxide" not in keys[1]
    assert "weight" not in keys[1]
    assert "electrical_work" not in keys[2]
    assert "weight" in keys[2]
    assert case_of(case, case.options[1]).tank is not None
    # the hottest tank of all counts
    assert "scalding" in keys[1]


def test_a_circuit_of_nothing_needs_no_vessel_and_water_that_is_typed_alone_one() -> None:
    weather = constant_weather(5.0)
    bare = study(ELECTRIC)
    assert contents_m3(bare) == {}
    lowered = lower_study(bare, weather)
    assert needed_vessel_m3(lowered, Ratings()) is None
    # 40 L that are typed alone count as any: 3 L of reserve, filled to 12 psi, 22.75 psi (30 less 0.5 bar) hot: 37.45/10.75
    typed, needs = build(Ratings, {"extra_water_volume": "40 L"}), needs_of(lowered)
    needed = needed_vessel_m3(lowered, typed)
    assert needed == pytest.approx((0.04 * needs.swell_share + 0.003) * 37.45 / 10.75, rel=1e-3)
    [line] = [one for one in rating_checks(typed, needs, "us") if one.what == "expansion tank: volume"]
    assert line.needed == needed
    small = study(
        ELECTRIC, tank__volume="2 L", floor__loops=[{"count": 1, "length": "9 m", "tube": "16x2", "flow": "2 L/min"}]
    )
    assert needed_vessel_m3(lower_study(small, weather), Ratings()) is not None
    loops = [{"count": 4, "length": "50 m", "tube": "16x2", "flow": "2 L/min"}]
    # 200 m of 12 mm inside: π/4 × 0.012² × 200
    tubes = contents_m3(study(ELECTRIC, floor__loops=loops, tank__volume="100 L"))
    assert tubes == {"tubes": pytest.approx(np.pi / 4 * 0.012**2 * 200), "tank": pytest.approx(0.1)}


def test_a_rule_sees_how_drawn_prices_stand_to_the_first_one() -> None:
    def seen(rule: str, *keys: str) -> list[dict[str, float]]:
        option: Any = SimpleNamespace(rule=rule, price_keys=lambda _: list(keys))
        common: Any = SimpleNamespace(case=SimpleNamespace(prices={}))
        return [dict(one) for one in drawn._seen_prices(common, option, given)]

    given = scenarios(
        3, prices={"electricity": np.array([1.1, 0.9, 1.3]), "propane": np.array([2.2, 0.9, 0.65]), "wood": np.ones(3)}
    )
    found = seen("cheapest", "electricity", "propane", "uncertain_no_price")
    assert [one["electricity"] for one in found] == [1.0, 1.0, 1.0]
    # twice, level, half, to the half of a step
    for one, stands in zip(found, (2.0, 1.0, 0.5), strict=True):
        assert abs(np.log(one["propane"] / stands)) <= drawn.PRICE_STEP / 2
        assert set(one) == {"electricity", "propane"}
    assert seen("fixed", "electricity", "propane") == seen("cheapest", "electricity") == [{}] * 3


def test_no_efficiency_is_drawn_below_a_half_or_a_quarter_above() -> None:
    case = case_from({**study(ELECTRIC).typed, "uncertainty": {"efficiency": "30 %", "scenarios": 4000}})
    drawn_with = draw(case, lower_study(case, constant_weather(0.0))).efficiency["efficiency of burners"]
    assert (drawn_with.min(), drawn_with.max()) == (0.5, 1.25)
    inside = drawn_with[(drawn_with > 0.5) & (drawn_with < 1.25)]
    # 0.5 is 1.67 standard deviations below the middle, 1.25 is 0.83 above: 4.8 % and 20.2 % of a normal distribution (tables)
    assert (drawn_with == 0.5).mean() == pytest.approx(0.048, abs=0.012)
    assert (drawn_with == 1.25).mean() == pytest.approx(0.202, abs=0.022)
    assert np.median(inside) == pytest.approx(0.95, abs=0.03)


def test_curtailment_goes_with_the_cold_by_a_correlation_of_six_tenths() -> None:
    """As many draws of its own: 0.6 of the cold and 0.8 of chance, to the nearest of five steps."""
    settings = {"curtailment": "25 %", "winter": "5 %", "scenarios": 20_000}
    case = case_from({**study(HELD).typed, "uncertainty": settings})
    found = draw(case, lower_study(case, constant_weather(0.0)))
    cold, chance = np.random.default_rng(11).standard_normal((2, 100_000))
    steps = np.array([0.5, 0.75, 1.0, 1.25, 1.5])
    hours = np.exp(0.25 * (0.6 * cold + 0.8 * chance))
    ours = steps[np.abs(hours[:, None] - steps).argmin(axis=1)]
    assert np.corrcoef(found.curtailment, found.winter)[0, 1] == pytest.approx(np.corrcoef(ours, cold)[0, 1], abs=0.02)
    for step in steps:
        assert (found.curtailment == step).mean() == pytest.approx((ours == step).mean(), abs=0.012)
