"""What analyses give as plain data, each figure by hand, and the small searches behind them."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import study

from costsim.analysis import breakeven, capacity, collector_sweep, decision, uncertainty, verify, winters
from costsim.analysis.billed_source import BilledSource
from costsim.analysis.breakeven import BreakEven
from costsim.analysis.capacity import CapacityReport, OptionCapacity, SourceCapacity
from costsim.analysis.decision import Decision, OptionDecision, PriceSwing, Verdict
from costsim.analysis.eligibility import CurtailmentRun
from costsim.analysis.eligibility import Verdict as Eligible
from costsim.analysis.outages import Failure, _silent
from costsim.analysis.scenarios import Scenarios
from costsim.analysis.sized_years import SizedYear
from costsim.analysis.verify import Avoided, Share, Verification
from costsim.bills.fit import Efficiency
from costsim.bills.model import Bills
from costsim.engine.loop_checks import LoopCheck
from costsim.errors import InputError

KWH, GALLON_M3 = 3.6e6, 3.785411784e-3


def test_a_closer_look_as_plain_data() -> None:
    source = SourceCapacity("boiler", 9e3, (("altitude", 500.0),), 8500.0, 4250.0, 12.0, 8e3, 1234.0, 30.0)
    failure = Failure("boiler", 100, np.zeros(3), np.array([12.0, 8.0, 9.0]), {10.0: 1, 40 / 9: None})
    option = OptionCapacity(
        "one", (source,), (failure,), Eligible("one", False, ("no",)), CurtailmentRun(6, 2 * GALLON_M3)
    )
    loops = LoopCheck("g", 3, 5e-5, 2000.0, 12e3, 45.0, 2500.0, 30.0)
    report = CapacityReport("t", 6e3, 5500.0, 42.0, 20.0, -13.0, -10.0, -12.0, 6400.0, 44.0, (loops,), (option,))
    found = capacity.as_json(report)
    assert {key: value for key, value in found.items() if key not in ("loops", "options")} == {
        "title": "t", "design_load_kw": 6.0, "floor_limit_kw": 5.5, "design_supply_temperature_c": 42.0, "freeze_c": -13.0, "design_outdoor_c": -10.0,
        "derated_at": {"outdoor_c": -12.0, "demand_kw": 6.4, "supply_c": 44.0},
    }  # fmt: skip
    assert found["loops"] == [{
        "name": "g", "flow_l_min": pytest.approx(3.0), "reynolds": 2000.0, "regime": "laminar", "head_kpa": 12.0, "heat_w_per_k": 45.0,
        "surface_limit_kw": 2.5, "pump_w": 30.0,
    }]  # fmt: skip
    [told] = found["options"]
    assert told["sources"] == [{
        "name": "boiler", "rated_kw": 9.0, "derates_kw": {"altitude": 0.5}, "derated_kw": 8.5, "day_mean_kw": 4.25, "day_hours": 12.0,
        "delivered_kw": 8.0, "full_load_hours": 1234.0, "propane_tank_hours_at_design": 30.0,
    }]  # fmt: skip
    assert told["failures"] == [{"what": "boiler", "lowest_c": 8.0, "hours_to_c": {"10": 1, "4.44444": None}}]
    assert told["program"] == {"eligible": False, "reasons": ["no"]}
    assert told["longest_curtailment_run"] == {"hours": 6, "propane_gal": pytest.approx(2.0)}


def test_turning_prices_as_plain_data() -> None:
    over = BreakEven("gas", "a", "b", 2.0, 1 / KWH, "b")
    one = BreakEven("gas", "a", "b", 1.5, 2 / KWH, "a", over)
    none = BreakEven("wood", "a", "b", None, 2 / KWH, "a")
    first, second = breakeven.as_json((one, none))
    assert (first["today_per_kwh"], first["turns_at_per_kwh"], first["turns_over_years_at_per_kwh"]) == pytest.approx(
        (2.0, 3.0, 2.0)
    )
    assert (first["cheaper_below"], first["cheaper_below_over_years"]) == ("a", "b")
    assert (second["turns_at_per_kwh"], second["turns_over_years_at_per_kwh"], second["cheaper_below_over_years"]) == (
        None,
        None,
        None,
    )


def test_winters_as_plain_data() -> None:
    row = winters.WinterRow("2014", 2500.0, -18.0, {"one": winters.OptionWinter(900.0, 3, 7.2e6)})
    [told] = winters.as_json(winters.WinterTable("$", (row,), (), ("note",)))["rows"]
    assert told["options"] == [{"name": "one", "cost": 900.0, "unmet_hours": 3, "unmet_kwh": 2.0}]
    for low, high, words in ((1.5, 1.5, "1.5 K"), (1.0, 2.5, "1 to 2.5 K by month")):
        assert winters._kelvin(winters.Warming((low,) * 11 + (high,), "s")) == words


def verified(avoided: Any = None, costs: tuple[float, ...] | None = (1.2, 1.9)) -> Verification:
    """A study held against two bills."""
    bills = Bills(
        "b", "natural_gas", np.array(["2024-01-01", "2024-02-01"], dtype="datetime64[D]"), np.array(["2024-02-01", "2024-03-01"], dtype="datetime64[D]"),
        np.array([10.0, 20.0]) * KWH, np.array([False, False]), np.array([2, 3]), cost=np.array([3.0, np.nan]),
    )  # fmt: skip
    source = BilledSource("one", Efficiency(0.9, 0.8, 1.0, ""))
    return Verification(
        bills, np.array([12.0, 19.0]) * KWH, 0.05, 0.15, (Share("s", 5 * KWH, 0.5),), 40 * KWH, 4.0, None, None, source, avoided,  # type: ignore[arg-type]
        ("n",), None if costs is None else np.array(costs),
    )  # fmt: skip


def test_a_verification_as_plain_data() -> None:
    found = verify.as_json(verified())
    assert (found["metered_kwh"], found["predicted_kwh"], found["planned_kwh"]) == pytest.approx((30.0, 31.0, 40.0))
    assert found["shares"] == [{"what": "s", "kwh": pytest.approx(5.0), "cost": 0.5}]
    first, second = found["periods"]
    assert (first["first_day"], first["last_day"], first["paid"], second["paid"]) == (
        "2024-01-01",
        "2024-01-31",
        3.0,
        None,
    )
    assert (first["metered_kwh"], first["predicted_kwh"], first["predicted_cost"]) == pytest.approx((10.0, 12.0, 1.2))
    assert second["last_day"] == "2024-02-29"
    assert found["avoided"] is None
    # at the limits of the guideline it is kept
    assert found["limits"] == {"nmbe": 0.05, "cv_rmse": 0.15, "met": True}
    for change in ({"nmbe": -0.0501}, {"cv_rmse": 0.1501}, {"nmbe": 0.0501}):
        fields = {name: getattr(verified(), name) for name in Verification.__dataclass_fields__}
        assert not Verification(**{**fields, **change}).meets_limits
    day = np.datetime64("2024-02-01", "D")
    told = verify.as_json(verified(Avoided(day, True, 20 * KWH, 15 * KWH, 0.25, 0.3, 0.1, 12, 6), None))
    assert told["avoided"] == {
        "first_day": "2024-02-01", "found_to_the_day": True, "expected_kwh": pytest.approx(20.0), "metered_kwh": pytest.approx(15.0), "fraction": 0.25,
        "uncertainty_90": 0.3, "baseline_cv_rmse": 0.1, "periods_before": 12, "periods_after": 6,
    }  # fmt: skip
    assert told["periods"][0]["predicted_cost"] is None


def test_the_day_of_a_retrofit_as_told_or_as_the_bills_show(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verify, "change_day", lambda bills, season, change: "to the day")
    monkeypatch.setattr(verify, "season_of", lambda bills, outdoor: None)
    change: Any = SimpleNamespace(day="of a bill")
    daily, monthly = (SimpleNamespace(days=np.array(days)) for days in ([1.0, 1.0, 2.0], [30.0, 31.0]))
    outdoor: Any = None
    assert verify._retrofit_day(monthly, outdoor, None, "") == (None, False)  # type: ignore[arg-type]
    assert verify._retrofit_day(monthly, outdoor, change, "") == ("of a bill", False)  # type: ignore[arg-type]
    assert verify._retrofit_day(daily, outdoor, change, "") == ("to the day", True)  # type: ignore[arg-type]
    assert verify._retrofit_day(daily, outdoor, change, "2024-03-31") == (np.datetime64("2024-03-31"), False)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="'soon' is no day"):
        verify._retrofit_day(daily, outdoor, change, "soon")  # type: ignore[arg-type]


def test_what_a_size_lacks_beyond_the_hours_borne() -> None:
    year = SizedYear((), np.array([0.0, 50.0, 900.0, 300.0, 700.0]), 4, 0.0, 900.0, np.zeros(1), np.zeros(1), 0.0, None)
    assert [year.missing_w(hours) for hours in (0, 1, 2, 3, 4)] == [900.0, 700.0, 300.0, 50.0, 0.0]


@pytest.mark.parametrize("together", [True, False])
def test_the_next_square_metre_by_hand(together: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """4 and 6 m² give 8 and 10 kWh of the 22 and 20 put in, with 14 and 10 of another source, and cost 30 and 24 $."""
    years = [
        SimpleNamespace(heat_j=np.array(heat), dumped_j=np.array([0.0, dumped]), taken_j=taken)
        for heat, dumped, taken in (
            ([14.0, 8.0], 1.0, 20.0),
            ([10.0, 10.0], 2.0, 20.0),
            ([30.0, 10.0], 2.0, 20.0),
            ([0.0, 0.0], 0.0, 0.0),
        )
    ]
    bills = [
        {"a": SimpleNamespace(total=20.0), "b": SimpleNamespace(total=10.0)},
        {"a": SimpleNamespace(total=24.0)},
        {},
        {},
    ]
    # years side by side, and where sources cannot be changed so one by one
    sized = SimpleNamespace(bills=lambda found: bills[: len(found)])
    if together:
        sized.with_sources = lambda i, sources: (
            years if [one.area_m2 for one in sources] == [4.0, 6.0, 7.0, 8.0] else []
        )
    else:
        left = iter(years)
        sized.with_sources, sized.year = lambda i, sources: None, lambda case, hours: next(left)
    monkeypatch.setattr(collector_sweep, "SizedOption", lambda case, weather, at: sized)
    monkeypatch.setattr(collector_sweep, "changed", lambda case, *changes: case)
    case = study({"kind": "electric", "output": "9 kW"}, {"kind": "solar", "area": "8 m2"}, tank__volume="300 L")
    found = collector_sweep.marginal_collector_area(case, None, option="one", areas_m2=[4.0, 6.0, 7.0, 8.0])  # type: ignore[arg-type]
    assert [(one.useful_j, one.dumped_j, one.cost) for one in found[:2]] == [(8.0, 1.0, 30.0), (10.0, 2.0, 24.0)]
    assert [one.share for one in found] == pytest.approx([8 / 22, 0.5, 0.25, 0.0])
    assert (found[0].next_useful_j_m2, found[0].next_saved_m2) == (None, None)
    assert (found[1].next_useful_j_m2, found[1].next_saved_m2) == (1.0, 3.0)
    assert collector_sweep.sweep_areas_m2(case, "one") == [2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0]


def test_a_source_that_fails_gives_nothing_for_a_week_and_then_goes_on() -> None:
    from costsim.sources import Offer

    fields: dict[str, Any] = dict.fromkeys(Offer.__dataclass_fields__)
    offer = Offer(**{**fields, "capacity_w": np.ones(400), "charge_j": np.full(400, 2.0)})
    gone = _silent(offer, 100)
    assert np.flatnonzero(gone.capacity_w == 0).tolist() == list(range(100, 268))
    assert gone.charge_j is not None
    assert (gone.charge_j.sum(), set(gone.charge_j)) == (2.0 * 232, {0.0, 2.0})
    assert _silent(Offer(**{**fields, "capacity_w": np.ones(400)}), 100).charge_j is None


def draws(**given: Any) -> Scenarios:
    """Three draws."""
    plain = {"load": np.array([1.0, 2.0, 3.0]), "setpoint_spread_k": np.zeros(3), "winter_k": np.zeros(3), "efficiency": {}, "prices": {"gas": np.ones(3)},
             "curtailment": np.ones(3), "year": np.zeros(3, dtype=np.int64), "winter": np.array([0.1, 0.3, 0.2])}  # fmt: skip
    return Scenarios(**{**plain, **given})


def test_what_moves_the_gap_is_its_squared_rank_correlation() -> None:
    gap = np.array([-5.0, 0.0, 100.0])
    found = uncertainty.shares(draws(), gap)
    # ranks 1, 2, 3 with the load; 1, 3, 2 with the winter: r = 1/2
    assert found == {
        "design load": pytest.approx(1.0),
        "indoor temperature": 0.0,
        "winter": pytest.approx(0.25),
        "price of gas": 0.0,
    }
    assert set(uncertainty.shares(draws(), np.zeros(3)).values()) == {0.0}
    small = uncertainty.shares(draws(load=np.array([1.0, 1.2, 1.4])), gap * 1e-3)
    assert small["design load"] == pytest.approx(1.0)
    paths = {"gas": np.array([[1.0, 1.0], [1.2, 1.0], [1.1, 1.0]]), "oil": np.ones((3, 2))}
    drivers = decision._drivers(draws(prices={"gas": np.ones(3), "oil": np.ones(3)}), paths, gap)
    assert drivers["path of the price of gas"] == pytest.approx(0.25)
    assert "path of the price of oil" not in drivers
    assert next(iter(drivers)) == "design load"
    assert list(drivers.values()) == sorted(drivers.values(), reverse=True)


def test_a_decision_as_plain_data() -> None:
    def one(name: str, cost: Any) -> OptionDecision:
        return OptionDecision(name, None, *(np.array(cost, dtype=float) for _ in range(4)))

    found = Decision(
        (one("a", [1, 2, 3]), one("b", [2, 2, 2])), (Verdict("q", "a", 0.5, 7.0, "money"),), ("b", "a"), {"x": 0.4}, (("b", -3.0),),
        {"gas": PriceSwing(0.1, 0.2, "s")}, 20, 100, 1,
    )  # fmt: skip
    told = decision.as_json(found)
    # b is cheaper than a in one of three draws, and as cheap in one
    assert told["first_is_cheaper"] == pytest.approx(0.5)
    assert told["life_cycle_10_50_90"]["b"] == [2.0, 2.0, 2.0]
    assert told["verdicts"] == [{"question": "q", "option": "a", "probability": 0.5, "figure": 7.0, "unit": "money"}]
    assert (told["cost_of_waiting_a_year"], told["price_swings"]["gas"]["reversion"]) == ({"b": -3.0}, 0.2)
