"""What `check` tells of a fire's load, and in which order break-even prices stand."""

from __future__ import annotations

from cases import constant_weather, demo

from costsim.analysis.breakeven import BreakEven
from costsim.study.case import case_from
from costsim.views.text_season import printed_case
from costsim.views.text_uncertainty import breakeven_rows, moved_together, printed_breakeven

FIRE = {"kind": "wood", "output": "25 kW", "burn_time": "6 h", "load_times": ["07:00", "18:00"], "efficiency": "60 %"}


def test_check_tells_the_charge_that_follows_from_a_plate() -> None:
    """By hand: 25 kW for 6 h are 540 MJ, 900 MJ at 60 %; wood of 20 % moisture has 16 MJ/kg, so 56.2 kg."""
    data = demo("lantern_cottage")
    data["prices"]["wood"] = {"energy": "250 $/cord"}
    data["option"].append({"name": "Wood", "source": [FIRE]})
    text = printed_case(case_from(data), constant_weather(0.0), "us")
    assert "a full charge: 25.0 kW (85.3 kBtu/h) × 6 h = 56.2 kg (124.0 lb) at 20 % moisture × 60 %" in text
    assert "count, not the" not in text
    data["option"][-1]["source"] = [{**FIRE, "charge": "60 kg"}]
    text = printed_case(case_from(data), constant_weather(0.0), "us")
    assert "× 6.4 h = 60.0 kg (132.3 lb)" in text
    assert "; output and charge count, not the 6 h typed" in text


def test_the_price_nearest_to_a_turn_stands_first_and_those_that_never_turn_last() -> None:
    case = case_from(demo("lantern_cottage"))

    def turn(price: str, factor: float | None, over_years: float | None = None) -> BreakEven:
        years = None if over_years is None else BreakEven(price, "a", "b", over_years, 1e-8, "a")
        return BreakEven(price, "a", "b", factor, 1e-8, "a", years)

    turns = [
        turn("electricity", None),
        turn("electricity", 2.0),
        turn("natural_gas", None, 3.0),
        turn("natural_gas", 0.6),
    ]
    _, rows = breakeven_rows(case, turns, "si")
    assert [(row[0], row[2] == "never") for row in rows] == [
        ("natural gas", False), ("electricity", False), ("natural gas", True), ("electricity", True),
    ]  # fmt: skip
    told = printed_breakeven(case, turns, "si")
    assert "First the price that is nearest to a turn" in told
    # only a table of several prices needs to be told how they move
    several = [key for key in ("electricity", "natural_gas") if case.prices[key].period or case.prices[key].charge]
    assert all(one in " ".join(told.split()) for one in moved_together(case, turns))
    assert bool(moved_together(case, turns)) == bool(several)
    clock = case.prices["electricity"].model_copy(update={"period": ("one",)})
    both = case.model_copy(update={"prices": {**case.prices, "electricity": clock}})
    assert moved_together(both, turns)[0].startswith("The price of electricity stands for its whole table")
