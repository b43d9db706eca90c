"""Sentences and rows of the text pages on either side of their limits, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.analysis.breakeven import BreakEven
from costsim.analysis.capacity import SourceCapacity
from costsim.analysis.decision import Verdict
from costsim.results.result import UnmetLoad
from costsim.sources import KINDS
from costsim.study.uses import HotWater
from costsim.units.faults import build
from costsim.views import (
    first_study,
    hot_tank,
    tables,
    tank_lines,
    template_sources,
    text_capacity,
    text_decision,
    text_season,
    text_uncertainty,
    todays_heater,
    two_studies,
    used_prices,
    verdict,
    yearly_use,
)

KW, KWH = 1000.0, 3.6e6
TAPS = build(HotWater, {"kind": "hot_water", "people": 4})


def hot(
    needs_c: float, demand_w: list[float], *, kind: str = "heat_pump", layered: float | None = None, use: Any = TAPS
) -> str:
    """A floor that takes 2 kW at 5 K over the room of 20 °C for each kilowatt."""
    source = SimpleNamespace(likes_cool_water=KINDS[kind].likes_cool_water, label="Pump")
    option = SimpleNamespace(
        name="A", sources=[SimpleNamespace(likes_cool_water=False, label="Backup"), source],
        tank_of=lambda case: SimpleNamespace(stratification_share=layered),
    )  # fmt: skip
    case = SimpleNamespace(use=[use], options=[option], house=SimpleNamespace(indoor_temperature_c=20.0, zone=()))
    common = SimpleNamespace(
        case=case, uses=SimpleNamespace(each_needs_c=np.full((1, len(demand_w)), needs_c)), demand_w=np.array(demand_w),
        water=SimpleNamespace(resistance_k_w=0.005),
    )  # fmt: skip
    return hot_tank.hot_tank_sentence(SimpleNamespace(lowered=common), "si")  # type: ignore[arg-type]


def test_a_tank_hotter_than_the_floor_needs_by_two_kelvin_is_told() -> None:
    """1 and 3 kW in the hours with heating are 2 kW on average: 30 °C."""
    said = hot(50.0, [1 * KW, 0.0, 3 * KW])
    assert said.startswith("A: the whole tank is kept at 50 °C for hot water, so that Pump must heat")
    assert "where 30 °C would do on average" in said
    assert hot(32.0, [2 * KW]) != ""
    assert hot(31.9, [2 * KW]) == hot(29.0, [2 * KW]) == ""
    assert hot(50.0, [0.0, 0.0]) == ""  # nothing is heated
    assert hot(50.0, [0.5]) != ""
    assert hot(50.0, [2 * KW], kind="gas") == hot(50.0, [2 * KW], layered=0.8) == hot(50.0, [2 * KW], use=None) == ""
    assert hot(50.0, [2 * KW], kind="solar") != ""


def test_who_gives_more_than_it_takes_has_a_seasonal_figure() -> None:
    def told(heat: float, given: float, auxiliary: float = 0.0, fuel: str = "electricity") -> list[str]:
        source = SimpleNamespace(name="Pump", fuel=fuel, heat_j=heat, input_j=given, auxiliary_j=auxiliary)
        return tank_lines._scop_lines(SimpleNamespace(options=[SimpleNamespace(name="A", sources=[source])]))  # type: ignore[arg-type]

    ((line),) = told(300.0, 90.0, 10.0)
    assert line.startswith("A: Pump gives 3.0 units of heat for each of electricity (SCOP)")
    assert told(105.0, 100.0) == told(0.0, 0.0) == told(5.0, 0.0) == told(300.0, 100.0, fuel="gas") == []
    assert len(told(105.1, 100.0)) == 1


def test_what_pumps_cost_has_a_row_from_half_a_cent() -> None:
    def rows(energy: float, running: float = 2 * KWH) -> list[list[str]]:
        option = SimpleNamespace(cost_energy=energy, sources=[], co2_kg=1.0, running_j=running)
        return tables._pump_rows(SimpleNamespace(currency="$"), option, 12)  # type: ignore[arg-type]

    assert rows(0.004) == rows(-0.004) == rows(12.0, 0.0) == []
    ((name, *_, cost, _, used, _),) = rows(0.005)
    assert (name.strip(), cost, used) == ("pumps and fans", "$12", "2 kWh")
    assert len(rows(-0.005)) == 1


def test_causes_of_less_than_a_kilojoule_are_none() -> None:
    def causes(**joule: float) -> tuple[list[str], str]:
        short = UnmetLoad(7.2e6, 3, 1500.0, 0, 2, joule)
        result: Any = SimpleNamespace(options=[SimpleNamespace(name="A", unmet=short)], clock=["Jan 1, 12 am"])
        _, ((*_, why),) = tables.unmet_rows(result, "si")
        return [line.split(":")[0].strip() for line in text_season._cause_lines(result)], why

    assert causes(capacity=1000.0, floor=1000.1) == (["floor"], "floor")
    assert causes(floor=5e3, capacity=1e6) == (["capacity", "floor"], "floor, capacity")
    result: Any = SimpleNamespace(
        options=[SimpleNamespace(name="A", unmet=UnmetLoad(7.2e6, 1234, 1500.0, 0, 20, {"floor": 7.2e6}))],
        clock=["Jan 1, 12 am"],
    )
    _, (row,) = tables.unmet_rows(result, "si")
    assert row == ["A", "1,234", "2.00", "1.5", "Jan 1, 12 am", "20", "floor"]


def test_wood_for_six_hours_at_four_kilowatt_hours_a_kilogram() -> None:
    """Air-dry wood holds about 4 kWh a kilogram (handbook value from memory); at 60 % 20 kW for 6 h take 50 kg; never under 10."""
    for load_w, charge in ((20 * KW, "50 kg"), (10 * KW, "25 kg"), (1 * KW, "10 kg")):
        assert template_sources.wood(load_w, "si")[0]["charge"] == charge
    assert template_sources.wood(20 * KW, "us")[0]["charge"] == "110 lb"  # 110.2 by 0.4536 kg


def test_hours_at_full_load_are_told_of_what_can_give_any() -> None:
    def cells(left_w: float, *derates: tuple[str, float], hours: float = 24.0) -> list[str]:
        source = SourceCapacity("S", 10 * KW, derates, left_w, 4 * KW, hours, 9 * KW, 1234.0, None)
        return text_capacity.capacity_cells(source, "si")

    assert cells(8 * KW, ("altitude", 2 * KW)) == ["S", "10.0", "altitude 2.0", "8.0", "9.0", "1,234"]
    assert cells(0.5)[-1] == "1,234"
    assert cells(0.0)[-1] == "–"
    assert cells(10 * KW)[2] == cells(10 * KW - 1.0)[2] == "nothing taken off"
    assert cells(10 * KW - 1.1)[2] == "sun of the coldest hour"
    assert (
        cells(8 * KW, ("altitude", 2 * KW), hours=23.0)[2]
        == "altitude 2.0, 4.0 kW averaged over the coldest day, 23 of 24 h"
    )


def test_a_verdict_that_is_not_known_says_what_to_enter() -> None:
    made = [
        Verdict("least carbon", None, 0.0, 0.0, ""),
        Verdict("cheapest to buy", None, 0.0, 0.0, ""),
        Verdict("least carbon", "Gas", 0.8, 2.345, "metric tons CO2 a year"),
        Verdict("cheapest to run", "Gas", 0.8, 1234.0, "money a year"),
        Verdict("cheapest over 20 years", "Gas", 0.8, 23456.0, "money"),
        Verdict("never cold", "Gas", 0.8, 1234.4, "hours a year"),
    ]  # fmt: skip
    found: Any = SimpleNamespace(verdicts=made, options=(1, 2))
    _, rows = text_decision.verdict_rows(SimpleNamespace(currency="$"), found)  # type: ignore[arg-type]
    assert [row[1] for row in rows[:2]] == [
        "not known: enter the grid's carbon dioxide",
        "not known: enter a first cost",
    ]
    assert [row[3] for row in rows[2:]] == [
        "2.3 metric tons CO2 a year",
        "$1,200 a year",
        "$23,500",
        "1,234 hours a year",
    ]
    assert {row[2] for row in rows[2:]} == {"about 80%"}
    # who is cold more often is named with its own share; what reads alike stands together
    others: tuple[tuple[str, float], ...] = (("Pump", 0.81), ("Oil", 0.6))
    made[:] = [Verdict("never cold", "Gas", 0.82, 0.0, "hours a year", others=others)]
    _, rows = text_decision.verdict_rows(SimpleNamespace(currency="$"), found)  # type: ignore[arg-type]
    assert rows[0][1:3] == ["Gas, Pump", "about 80% each; Oil about 60%"]
    others = (*others, ("Wood", 0.001))  # of more the least says enough
    made[:] = [Verdict("never cold", "Gas", 0.82, 0.0, "hours a year", others=others)]
    _, rows = text_decision.verdict_rows(SimpleNamespace(currency="$"), found)  # type: ignore[arg-type]
    assert rows[0][1:3] == ["Gas", "about 80%; others from less than 1% up"]
    # the figure of screen and paper is that at the prices entered; the middle of the scenarios stands beside it where it is another
    made[:] = [
        Verdict("cheapest over 20 years", "Gas", 0.8, 37_310.0, "money", 0, ("Pump", "Oil"), 37_596.0),
        Verdict("cheapest to run", "Gas", 0.8, 1_240.0, "money a year", 0, (), 1_180.0),
        Verdict("cheapest over 20 years", "Gas", 1.0, 37_310.0, "money", 1, ("Pump",), 37_596.0),
    ]
    found.options = (1, 2, 3)
    _, rows = text_decision.verdict_rows(SimpleNamespace(currency="$"), found)  # type: ignore[arg-type]
    assert rows[0][0] == "cheapest over 20 years (no first cost given for Pump and Oil)"
    many = Verdict("cheapest to buy", "Gas", 1.0, 10.0, "money", 0, ("Pump", "Oil", "Wood"), 10.0)
    question = text_decision.verdict_rows(
        SimpleNamespace(currency="$"),  # type: ignore[arg-type]
        SimpleNamespace(verdicts=[many], options=(1, 2, 3, 4)),  # type: ignore[arg-type]
    )[1][0][0]
    assert question == "cheapest to buy (3 without a first cost left out)"
    assert rows[0][3] == "$37,600 (median of the scenarios $37,300)"
    assert rows[1][3] == "$1,200 a year"
    assert rows[0][1:3] == ["Gas, the only one", ""]
    assert rows[2][:2] == [
        "cheapest over 20 years, of those warm enough (no first cost given for Pump)",
        "Gas, the only one",
    ]


def test_who_is_cheaper_on_which_side_of_a_price() -> None:
    case: Any = SimpleNamespace(
        prices={"natural_gas": SimpleNamespace(sold_price=lambda key, per_j, system: (per_j * KWH, "kWh"))}, currency="$",
        economics=SimpleNamespace(study_period=20),
    )  # fmt: skip
    today = 0.1 / KWH

    def row(factor: float | None, below: str, later: BreakEven | None) -> list[str]:
        one = BreakEven("natural_gas", "Gas", "Pump", factor, today, below, later)
        return text_uncertainty.breakeven_rows(case, [one], "si")[1][0]

    never, turns = (
        BreakEven("natural_gas", "Gas", "Pump", factor, today, below)
        for factor, below in ((None, "Pump"), (3.0, "Pump"))
    )
    assert row(1.5, "Gas", None) == [
        "natural gas",
        "$0.100/kWh",
        "$0.150/kWh",
        "not known: a first cost is missing",
        "Gas",
        "Pump",
    ]
    assert row(1.5, "Pump", never)[2:] == ["$0.150/kWh", "never", "Pump", "Gas"]
    # where bills alone never turn, what both cost over the years says who wins
    assert row(None, "Gas", turns)[2:] == ["never", "$0.300/kWh", "Pump", "Gas"]
    assert row(None, "Gas", never)[2:] == ["never", "never", "Pump", "Pump, never Gas"]
    assert row(None, "Gas", None)[4:] == ["Gas", "Gas, never Pump"]


def test_each_study_is_told_with_its_own_cheapest() -> None:
    def result(name: str, cost: float) -> Any:
        one = SimpleNamespace(name=name, cost_total=cost, keeps_warm=True)
        return SimpleNamespace(options=[one], currency="$")

    said = two_studies.verdict_sentence(result("Gas", 500.0), result("Oil, old", 800.0), ("One", "Two"))
    assert said == "Cheapest to run. One: Gas, $500 a year. Two: “Oil, old”, $800 a year. One costs $300 a year less."


def test_electricity_stays_priced_where_there_is_a_house() -> None:
    prices = {
        "electricity": {"energy": "0.2 $/kWh"},
        "heating_oil": {"energy": "4 $/gal"},
        "propane": {"energy": "3 $/gal"},
    }
    burner = [{"source": [{"kind": "oil", "name": "B", "output": "9 kW", "efficiency": "85 %"}]}]

    def left(*, only: Any = None, **more: Any) -> tuple[list[str], list[str]]:
        data: dict[str, Any] = {
            "prices": dict(prices),
            "option": burner,
            "uncertainty": {"price": {"propane": "10 %"}},
            **more,
        }
        gone = used_prices.drop_unused_prices(data, only)
        assert data["uncertainty"]["price"] == ({} if "propane" in gone else {"propane": "10 %"})
        return sorted(data["prices"]), gone

    assert left(house={}) == (["electricity", "heating_oil"], ["propane"])
    assert left() == (["heating_oil"], ["electricity", "propane"])
    assert left(only=["electricity"]) == (["heating_oil", "propane"], ["electricity"])


def test_the_size_that_is_asked_for_is_that_of_what_is_new() -> None:
    assert todays_heater.asked_at("heat_pump", "heat_pump", "us") == 0
    # electric heat stays as the backup, so that the heat pump before it is new
    assert todays_heater.asked_at("heat_pump", "electric", "us") == 0
    assert todays_heater.asked_at("off_peak_propane", "electric", "us") == 1


def test_ranges_are_of_eight_scenarios_in_ten_with_their_middle(monkeypatch: pytest.MonkeyPatch) -> None:
    """Costs of 0 to 100 and 200 to 300 in the same scenarios: 10, 50 and 90; the first is always cheaper, by 200."""
    options = [SimpleNamespace(name=name, first_cost_given=False) for name in "AB"]
    case: Any = SimpleNamespace(
        options=options, uncertainty=SimpleNamespace(scenarios=101), economics=SimpleNamespace(study_period=20), today=None,
    )  # fmt: skip
    case.model_copy = lambda update: case
    monkeypatch.setattr(verdict, "lower_years", lambda *_: ["year"])
    monkeypatch.setattr(verdict, "load_winters", lambda _: ())
    monkeypatch.setattr(verdict, "draw", lambda *_: SimpleNamespace(prices={}))
    monkeypatch.setattr(
        verdict, "price_batch", lambda year, run, prices: np.arange(101.0) + (0.0 if run == "A" else 200.0)
    )
    runs = [SimpleNamespace(name=name, cost_total=cost, keeps_warm=True) for name, cost in (("A", 50.0), ("B", 250.0))]
    result: Any = SimpleNamespace(options=runs, lowered=SimpleNamespace(case=case))
    found = verdict.likelihood(case, None, result, keep=lambda option, work: option.name)  # type: ignore[arg-type, return-value]
    assert found is not None
    assert found.bands == {"A": (10.0, 50.0, 90.0), "B": (210.0, 250.0, 290.0)}
    assert (found.first, found.second, found.share, found.saving) == ("A", "B", 1.0, (200.0, 200.0))
    assert (found.over_years, found.years) == (None, 20)


def test_a_years_use_is_told_with_its_band() -> None:
    """Hot water of a fifth leaves four: its band of 40 % is 10 % of the rest, with 15 % together 18 %."""
    now: Any = SimpleNamespace(name="Propane", delivered_j=92.0, sources=[SimpleNamespace(input_j=100.0)])
    house: Any = SimpleNamespace(indoor_temperature_c=20.0, setback=())
    found = yearly_use._said(200.0, now, "1150 gal", 0.2, "si", house)
    assert found.band == pytest.approx((0.15**2 + 0.10**2) ** 0.5)
    assert found.words == (
        "Your 1,150 gal a year, less 20% for hot water, tell how fast the house loses heat: 200 W/K, give or take 18%. How much of"
        " its fuel Propane turns into heat over the year is in “Show the math”. The thermostat was taken to be at 20 °C in that year."
    )
    plain = yearly_use._said(200.0, now, "1150 gal", 0.0, "si", house)
    assert plain.band == 0.15
    assert "less" not in plain.words
    assert "“Show the math”. The thermostat" in plain.words
    house.setback = ("a night's",)
    nights = yearly_use._said(200.0, now, "1150 gal", 0.0, "si", house)
    assert nights.words.endswith("at 20 °C in that year, with the set-backs typed.")
    assert found.keys("si") == {"heat_loss_rate": "200 W/K", "heat_loss_rate_band": "18 %"}


def test_what_replaces_todays_heating_is_answered_with_its_year() -> None:
    def renewal(**more: Any) -> tuple[Any, Any]:
        found = first_study.answers_of({"option": [{"name": "Propane", "today": True, **more}]})
        return found.get("renew"), found.get("renew_years")

    assert renewal(replacement="9000 $", replacement_year=8) == ("9000 $", "8")
    assert renewal(replacement="9000 $") == ("9000 $", None)
    assert renewal() == (None, None)


def test_slush_is_told_where_there_is_antifreeze_and_a_limit_where_the_floor_has_one() -> None:
    def told(freeze_c: float, limit_w: float) -> str:
        report = SimpleNamespace(
            design_load_w=6e3, design_supply_temperature_c=40.0, design_outdoor_c=-10.0, floor_limit_w=limit_w, coldest_c=-15.0, coldest_demand_w=7e3,
            coldest_supply_c=44.0, freeze_c=freeze_c,
        )  # fmt: skip
        return text_capacity._design(report, "si")  # type: ignore[arg-type]

    assert told(-13.0, 9e3).endswith("\nSlush begins in the antifreeze at -13.0 °C.")
    assert "The floor can give 9.0 kW." in told(-13.0, 9e3)
    assert "-15 °C outside, 7.0 kW wanted after gains, water at 44.0 °C" in told(0.0, 9e3)
    assert "Slush" not in told(0.0, 9e3)
    assert "can give" not in told(0.0, float("inf"))
