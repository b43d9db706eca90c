"""Hours as tables, prices at which an option wins, and money over years as the terminal prints them, from made-up results."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from stand_ins import Unit
from views.made import but
from views.test_begun_by_hand import study

from costsim.analysis.winning_price import WinningPrice
from costsim.errors import InputError
from costsim.physics.combustion import MODERN_EFFICIENCY
from costsim.views import (
    capacity_chart,
    cold_rooms,
    design_night,
    planner_cards,
    tables,
    text_decision,
    text_uncertainty,
    text_weather,
    turning,
)

THERM = 105.4804e6


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


def hours(*, dumped: float = 0.0, hot: float = 0.0, mass: Any = None, system: str = "si") -> pd.DataFrame:
    """Two hours of a boiler."""
    each = np.array([1000.0, 2000.0])
    hourly = some(
        demand_w=each * 3, delivered_w=each * 2, unmet_w=each, heat_w=[each * 2], dumped_w=[each / 2], tank_c=np.array([50.0, 40.0]),
        hot_share=np.array([0.0, hot]), tank_top_c=np.array([55.0, 45.0]), tank_bottom_c=np.array([30.0, 31.0]), room_c=np.array([20.0, 19.0]),
    )  # fmt: skip
    option = some(name="=Gas", hourly=hourly, sources=[some(name="Boiler", dumped_j=dumped)])
    result: Any = some(clock=["a", "b"], options=[option], lowered=some(water=some(mass=mass)))
    return tables.hourly_frame(result, system)


def test_hours_have_a_column_for_all_that_there_is() -> None:
    plain = hours()
    assert list(plain.columns) == [
        "hour of the year", "local clock", "'=Gas: demand [kW]", "'=Gas: delivered [kW]", "'=Gas: short [kW]", "'=Gas: Boiler heat [kW]", "'=Gas: tank [degC]",
    ]  # fmt: skip
    assert plain.iloc[1].tolist() == [1, "b", 6.0, 4.0, 2.0, 4.0, 40.0]
    full = hours(dumped=0.5, hot=0.1, mass=object())
    more = [name for name in full.columns if name not in plain.columns]
    assert more == [
        "'=Gas: Boiler unused [kW]",
        "'=Gas: tank top [degC]",
        "'=Gas: tank bottom [degC]",
        "'=Gas: room [degC]",
    ]
    assert full[more].iloc[1].tolist() == [1.0, 45.0, 31.0, 19.0]
    assert hours(system="us").iloc[1].tolist()[-1] == pytest.approx(104.0)


def test_hours_are_written_by_the_ending_of_their_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    frame = hours()
    monkeypatch.setattr(tables, "hourly_frame", lambda result, system: frame)
    tables.write_hourly(None, tmp_path / "a.CSV")  # type: ignore[arg-type]
    lines = (tmp_path / "a.CSV").read_text().splitlines()
    assert len(lines) == 3
    assert lines[1] == "0,a,3,2,1,2,50"
    tables.write_hourly(None, tmp_path / "a.parquet")  # type: ignore[arg-type]
    assert pd.read_parquet(tmp_path / "a.parquet").columns.tolist() == frame.columns.tolist()
    for name in ("a.txt", "a"):
        with pytest.raises(InputError, match="is not a kind of file we write"):
            tables.write_hourly(None, tmp_path / name)  # type: ignore[arg-type]


CASE: Any = some(
    prices={"natural_gas": some(sold_price=lambda key, per_j, system: (per_j * THERM, "therm"))}, currency="$", economics=some(study_period=20),
)  # fmt: skip


def wins(factor: float, over: float | None = None, tried: tuple[str, ...] = (), near: Any = None) -> list[str]:
    one: Any = some(
        option="Gas", best="Pump, new", price="natural_gas", factor=factor, over_years=over, today_per_j=2.0 / THERM
    )
    return turning.winning_lines(CASE, [one], [near], "si", tried)


def test_below_which_price_each_option_wins() -> None:
    assert wins(0.5) == [
        "Gas costs less to run than “Pump, new” below $1.00/therm for natural gas (today $2.00/therm)."
    ]
    assert wins(0.5, tried=("natural_gas",))[0].endswith("(trying $2.00/therm).")
    assert wins(0.5, tried=("wood",)) == wins(0.5)
    free = wins(0.0)
    assert free == ["Gas costs more to run than “Pump, new” at any price of natural gas, even if it were free."]
    assert wins(0.0, tried=("natural_gas",)) == free
    assert wins(0.5, 0.25)[0].endswith("Over 20 years with the first costs: below $0.500/therm.")
    assert wins(0.5, 0.0)[0].endswith("Over 20 years with the first costs: not at any price.")
    assert wins(0.5, math.inf)[0].endswith("Over 20 years with the first costs: at any price.")
    assert {"option", "best", "price", "factor", "over_years"} <= {*WinningPrice.__dataclass_fields__}
    # what the line of the nearest price tells is not told again
    near = some(price="natural_gas", first="Pump, new", second="Gas", factor=0.5)
    assert wins(0.5, near=near) == []
    for other in (but(near, factor=None), but(near, second="Oil"), but(near, price="wood")):
        assert len(wins(0.5, near=other)) == 1


def competing(*factors: float, near: Any = None) -> str:
    found: Any = [
        some(
            option=name, best="Pump, new", price="natural_gas", factor=factor, over_years=None, today_per_j=2.0 / THERM
        )
        for name, factor in zip(("Boiler", "Natural gas", "Third"), factors, strict=False)
    ]
    return turning.competing_line(CASE, found, [near], "si")


def test_each_fuel_that_competes_has_its_price_in_one_line() -> None:
    start = "Cheaper to run than “Pump, new”: "
    assert competing(0.5, 0.25) == f"{start}Boiler below $1.00/therm of natural gas; Natural gas below $0.500/therm."
    assert competing(0.0) == f"{start}Boiler not even if natural gas were free."
    assert competing() == competing(math.inf) == ""
    near = some(price="natural_gas", first="Pump, new", second="Boiler", factor=0.5)
    assert competing(0.5, near=near) == ""
    assert competing(0.5, 0.25, near=near) == f"{start}Natural gas below $0.500/therm."


def outlay(name: str, *, priced: bool = True, unmet: int = 0) -> Any:
    return some(option=name, priced=priced, unmet_hours=unmet, yearly=[1234.4, 9.0], position={5: 8000.0, 10: 9000.4}, present_cost=20_000.4)  # fmt: skip


def test_money_over_years_in_rows() -> None:
    case: Any = some(
        currency="$", economics=some(study_period=20, discount_rate_share_per_year=0.03), house=some(max_unmet_hours=20),
        options=[some(first_cost_given=True, first_cost_money=5000.0, rebate_money=500.0), some(first_cost_given=False)],
    )  # fmt: skip
    headings, rows = text_uncertainty.lifecycle_rows(case, [outlay("Gas"), outlay("Pump", priced=False, unmet=1500)])
    assert headings[3:] == ["paid by year 5", "paid by year 10", "20 years, in today's money"]
    assert rows == [
        ["Gas", "$4,500", "$1,234", "$8,000", "$9,000", "$20,000"],
        ["Pump (1,500 h unmet)", "not given", "$1,234", "not known", "not known", "not known"],
    ]
    text = text_uncertainty.printed_lifecycle(case, [outlay("Gas"), outlay("Pump")], [])
    assert text.endswith(
        "Life-cycle costs over 20 years at 3.0% real, payments at the end of each year (forms of NIST Handbook 135)."
    )


def test_bills_and_turning_prices_are_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_uncertainty, "bill_rows", lambda *_: [(["a"], [["b"]])])
    told = text_uncertainty.printed_bill(some(currency="$"), some(name="Gas", cost_total=1234.567), "si")  # type: ignore[arg-type]
    assert told == "Gas\n\na\nb\n\nAll bills: $1,234.57 a year"
    assert text_uncertainty.printed_breakeven(CASE, [], "si") == "No single price tells these options apart."


def test_a_loan_is_told_beside_what_it_saves_a_month(monkeypatch: pytest.MonkeyPatch) -> None:
    """$2,400 against $1,200 a year are $100 a month."""
    for name, value in (
        ("payment_lines", ["PAID"]),
        ("waiting_lines", ["WAITS"]),
        ("driver_title", "T"),
        ("swing_lines", ["SWINGS"]),
    ):
        monkeypatch.setattr(
            text_decision, name, lambda *_, value=value: list(value) if isinstance(value, list) else value
        )
    monkeypatch.setattr(text_decision, "verdict_rows", lambda *_: (["a"], [["b"]]))
    monkeypatch.setattr(text_decision, "driver_rows", lambda *_: (["c"], [["d"]]))
    loan = some(monthly_payment=lambda: 87.654)
    gas, pump = some(name="Gas", loan=loan), some(name="Pump", loan=loan)
    case: Any = some(
        currency="$", today=None, options=[gas, pump, some(name="Oil", loan=None)], house=some(max_unmet_hours=1500)
    )
    text = text_decision.text_decision(case, some(scenarios=2000, seed=7), {"Gas": 2400.0, "Pump": 1200.0, "Oil": 1.0})  # type: ignore[arg-type]
    verdicts, lines, drivers, notes = text.split("\n\n")
    assert (verdicts, drivers) == ("a\nb", "T\nc\nd")
    assert lines.split("\n") == [
        "PAID",
        "Pump saves $100.00 a month on running against Gas; its loan takes $87.65.",
        "WAITS",
    ]
    assert notes.startswith("2,000 scenarios (seed 7)")
    assert "at most 1,500 hours" in notes.replace("\n  ", " ")
    case.today = pump
    assert "Gas costs $100.00 a month more to run than Pump" in text_decision.text_decision(
        case, some(scenarios=1, seed=1), {"Gas": 2400.0, "Pump": 1200.0}
    )  # type: ignore[arg-type]


def test_what_is_left_of_a_source_is_told_where_a_hundredth_of_it_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 10 kW; one that stops in the cold is said to give nothing where less than 100 W are left."""

    def told(left_w: float, day_w: float, *derates: tuple[str, float], **typed: Any) -> str:
        left = some(left_w=left_w, day_w=day_w, day_hours=24.0)
        monkeypatch.setattr(capacity_chart, "named_option", lambda case, name: some(sources=[Unit(**typed)]))
        monkeypatch.setattr(capacity_chart, "left_w", lambda *_: [left])
        option: Any = some(name="A", sources=[some(name="S", rated_w=1e4, derates=derates)])
        (line,) = capacity_chart.left_lines(some(lowered=some(case=None)), option, "si")  # type: ignore[arg-type]
        return line

    assert told(9901.0, 1e4) == ""
    assert told(9900.0, 9900.0).startswith("9.9 kW in the")
    assert "; " not in told(9900.0, 9900.0)
    assert told(9900.0, 5000.0).endswith("; 5.0 kW on average over that day")
    less = told(5000.0, 5000.0, ("altitude", 0.5), ("cold", 0.0), ("flow", -1.0))
    assert less.startswith("5.0 kW in the")
    assert less.endswith("less for altitude")
    assert told(99.0, 99.0, ("cold", 9901.0), cut_out_c=-15.4).endswith("it stops below -15 °C outside")
    assert told(100.0, 100.0, ("cold", 9900.0), cut_out_c=-15.4).endswith("less for cold")
    assert told(99.0, 99.0, ("cold", 9901.0)).endswith("less for cold")


def test_what_lacks_at_a_design_night_is_the_load_less_what_does_not_need_the_sun(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """10 kW of load; 6 kW of a heat pump and 2 kW of an electric boiler leave 2 kW, whatever the sun gives by day."""
    pump, boiler, sun = (some(collects_sun=at == 2, feels_cold=at == 0, makes_water=lambda _: True) for at in range(3))

    def lacks(*given: tuple[Any, float], load_w: float = 1e4) -> tuple[float, bool]:
        monkeypatch.setattr(design_night, "named_option", lambda case, name: some(sources=[one for one, _ in given]))
        monkeypatch.setattr(design_night, "left_w", lambda *_: [some(day_w=watts) for _, watts in given])
        result: Any = some(lowered=some(case=None), route=some(load_w=load_w))
        return design_night.short_at_design_w(result, some(name="A"))  # type: ignore[arg-type]

    assert lacks((pump, 6e3), (boiler, 2e3), (sun, 5e3)) == (2e3, True)
    assert lacks((boiler, 8e3), (sun, 5e3)) == (2e3, False)
    assert lacks((boiler, 12e3)) == lacks((boiler, 1e4)) == (0.0, False)
    # a hundredth of the load is none
    assert lacks((boiler, 9900.0)) == (0.0, False)
    assert lacks((boiler, 9895.0)) == (105.0, False)

    def beyond(design_c: float) -> bool:
        weather = some(outdoor_c=np.array([5.0, -10.0]))
        return design_night.beyond_weather(some(lowered=some(design_outdoor_c=design_c, weather=weather)))  # type: ignore[arg-type]

    assert [beyond(one) for one in (-20.0, -10.0, -9.0)] == [True, False, False]
    assert [beyond(one) for one in (-11.5, -11.52)] == [False, True]


def test_the_coldest_is_who_lacks_most_else_whose_room_is_coldest() -> None:
    def option(name: str, energy_j: float) -> Any:
        return some(name=name, unmet=some(energy_j=energy_j))

    rooms = {"A": 15.0, "B": 12.0, "C": 18.0}
    assert cold_rooms.coldest(some(options=[option("A", 0.0), option("B", 0.0), option("C", 0.0)]), rooms) == "B"  # type: ignore[arg-type]
    assert cold_rooms.coldest(some(options=[option("A", 0.0), option("B", 1.0), option("C", 2.0)]), rooms) == "C"  # type: ignore[arg-type]


def test_collectors_that_cannot_be_swept_are_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    def collector(area: float, sun: bool = True) -> Any:
        return Unit(area_m2=area, collects_sun=sun)

    asked: list[Any] = []

    def sweep(case: Any, weather: Any, *, option: str, areas_m2: list[float]) -> Any:
        asked.append((option, areas_m2))
        if option == "A":
            raise InputError([])
        return some(area_m2=areas_m2[0], useful_j=3.6e6, cost=900.0), some(
            area_m2=areas_m2[1], useful_j=3 * 3.6e6, cost=890.5
        )

    monkeypatch.setattr(planner_cards, "marginal_collector_area", sweep)
    options = [
        some(name="A", sources=[collector(4.0)]),
        some(name="B", sources=[collector(9.0, sun=False), collector(0.0), collector(0.5)]),
    ]
    card = planner_cards.collector_card(some(options=options, currency="$"), None, "si")  # type: ignore[arg-type]
    assert asked == [("A", [4.0, 5.0]), ("B", [0.5, 1.5])]
    assert card.value == "$9.50 a year"
    assert card.math[0][0] == "B: $900.00 a year with 0 m² − $890.50 with 2 m² = $9.50 a year"
    for first, second, shown in ((900.4, 832.84, ("$900", "$833", "$67")), (900.0, 889.5, ("$900", "$890", "$10"))):
        steps = (some(cost=first), some(cost=second))
        assert planner_cards._spent(steps, "$") == shown  # type: ignore[arg-type]
    assert card.note.startswith("B · 2 kWh more useful heat")
    assert planner_cards.collector_card(some(options=options[:1], currency="$"), None, "si").value == "no collectors"  # type: ignore[arg-type]


def test_an_efficiency_of_modern_boilers_is_condensing_still(monkeypatch: pytest.MonkeyPatch) -> None:
    for percent, condensing in ((MODERN_EFFICIENCY * 100, True), (MODERN_EFFICIENCY * 100 - 0.1, False)):
        made = study(monkeypatch, efficiency=f"{percent:g} %")
        assert ("condensing" in made["option"][0]["source"][0]) is condensing


def test_a_weather_report_is_underlined(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_weather, "weather_lines", lambda *_: ["LINE"])
    monkeypatch.setattr(text_weather, "_plot", lambda *_: ["PLOT"])
    assert text_weather.printed_weather(some(title="Town"), "si") == "Town\n====\nLINE\n\nPLOT"  # type: ignore[arg-type]
