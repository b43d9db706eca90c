"""Rows of a layout and of capacities, and what is said of a house fitted to bills, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.made import but

from costsim.bills.fit import Fit
from costsim.study.uses import HotWater
from costsim.views import text_fit
from costsim.views.text_decision import _winner
from costsim.views.text_layout import fill_lines, half_rows, loop_rows, summary

NEAR = pytest.approx
FED = SimpleNamespace(count=3, flow_m3_s=2e-5, head_pa=1.5e4, loops_per_pump=2)
PLAN = SimpleNamespace(
    circuit=SimpleNamespace(name="Bath", length_m=79.6, leads_m=6.1), fed=FED, regime="laminar", output_w=712.0, limit_c=33.04,
    design=SimpleNamespace(drop_k=7.6, load_w=606.0, surface_c=27.46, supply_c=38.0),
    half=SimpleNamespace(load_w=303.0, supply_c=29.6, drop_k=3.8, surface_c=23.14), alone_flow_share=0.876, alone_share=0.953,
)  # fmt: skip


def laid(*plans: Any, **more: Any) -> Any:
    made = SimpleNamespace(
        loops=plans or (PLAN,), loop_count=3, tube="1/2 in PEX", tube_m=238.8, pumps=[1, 2], thermostats=["a"], design_load_w=4200.0, supply_c=38.4,
        half_supply_c=29.6, unserved=(), tappings=4, source_tappings=2,
    )  # fmt: skip
    return but(made, **more)


def test_a_loop_at_design_and_at_half_load() -> None:
    headings, (row,) = loop_rows(laid(), "si")
    assert row == ["Bath", "3", "80", "6", "1.20", "laminar", "15.0", "8", "0.61", "0.71", "27.5", "33.0"]
    assert len(headings) == len(row)
    stuck = but(PLAN, fed=but(FED, flow_m3_s=0.0))
    assert loop_rows(laid(stuck), "si")[1][0][7] == "–"
    headings, (row,) = half_rows(laid(), "si")
    assert row == ["Bath", "0.30", "30", "4", "23.1", "88% flow, 95% heat"]
    assert len(headings) == len(row)
    assert half_rows(laid(stuck), "si")[1][0][2:4] == ["–", "–"]
    for count, own in ((1, True), (2, False), (3, False)):
        assert (half_rows(laid(but(PLAN, fed=but(FED, loops_per_pump=count))), "si")[1][0][-1] == "has its own") is own


def test_a_layout_in_a_sentence() -> None:
    text = summary(laid(), "si")
    assert text.startswith(
        "3 loops of 1/2 in PEX (239 m of tube) on 2 pumps and 1 thermostat carry 4.2 kW at design with water at 38 °C"
    )
    assert text.endswith("30 °C at half load.")
    assert "do not carry all of 4.2 kW" in summary(laid(unserved=(1,)), "si")
    assert "1 loop of" in summary(laid(loop_count=1, pumps=[1]), "si")


FLUID = SimpleNamespace(
    content_m3={"tank": 0.3, "loops": 0.0412}, total_m3=0.3412, antifreeze="propylene_glycol", antifreeze_m3=0.1126, water_m3=0.2388, share=0.3, freeze_c=-13.4,
    needed_share=0.3, needed_freeze_c=-15.0,
)  # fmt: skip


def test_what_is_filled_in() -> None:
    fill, mix, taps = fill_lines(laid(fluid=FLUID), "si")
    assert fill == "Fill: 341 L (tank 300.0 L, loops 41.2 L)."
    assert mix.startswith(
        "Antifreeze: 113 L of propylene glycol (a tenth spare) and 239 L of water make 30 % by volume. Slush begins at -13 °C"
    )
    assert "It stays open at -15 °C" in mix
    assert taps.startswith("Tank connections: 4 for the floor and 2 for the sources, 6 in all")
    for share, needed, enough in ((0.3, 0.301, False), (0.301, 0.3, True), (0.3, None, False)):
        text = fill_lines(laid(fluid=but(FLUID, share=share, needed_share=needed)), "si")[1]
        assert ("It stays open" in text) is enough
        assert ("ask for" in text) is not enough
    assert "ask for more than any mixture gives" in fill_lines(laid(fluid=but(FLUID, needed_share=None)), "si")[1]
    water = fill_lines(laid(fluid=but(FLUID, antifreeze="none")), "si")[1]
    assert water.startswith("Plain water")
    assert "propylene glycol, 30 % by volume to stay open at -15 °C" in water
    assert "propylene" not in fill_lines(laid(fluid=but(FLUID, antifreeze="none", needed_share=None)), "si")[1]


DAY = np.datetime64("2024-01-15")
FIT = SimpleNamespace(
    bills=SimpleNamespace(fuel="electricity"), loss_w_k=201.4, loss_band_w_k=(180.4, 222.6), line=SimpleNamespace(balance_c=16.04, base_w=100.0),
    balance_band_c=(15.0, 17.0), design_load_w=6040.0, design_band_w=(5000.0, 7000.0), design_c=-10.4, meets_limits=True, usual_balance=True,
    annual_j=None, annual_base_j=0.0,
    annual_band_j=(0.0, 0.0), efficiency=SimpleNamespace(value=0.9, low=0.85, high=0.95, steady_w=0.0), r2=0.9812, cv_rmse=0.0834, nmbe=-0.00001, away=(),
)  # fmt: skip


def test_a_house_as_its_bills_show_it() -> None:
    text = text_fit.fit_sentence(SimpleNamespace(now=FIT, change=None, is_part=False), "si")  # type: ignore[arg-type]
    assert text == (
        "By its electricity bills the house loses 201 W/K (180 to 223 W/K) and needs no heat above 16.0 °C outdoors: 6.0 kW (5.0 to 7.0 kW) at -10 °C."
    )
    change = SimpleNamespace(day="2024-03-01", ratio=0.8, ratio_band=(0.7, 0.9))
    for part, told in ((True, True), (False, False)):
        found: Any = SimpleNamespace(now=FIT, change=change, is_part=part, before=None)
        text = text_fit.fit_sentence(found, "si")
        assert ("bills since 2024-03-01 the house" in text) is told
        lines = text_fit.change_lines(found, "si")
        assert "-20% (-30% to -10%) fuel for each kelvin" in lines[0]
        assert ("Too few bills follow" in lines[1]) is not part
    before: Any = SimpleNamespace(now=FIT, change=change, is_part=True, before=but(FIT, loss_w_k=250.0))
    assert text_fit.change_lines(before, "si")[2] == "Before, it lost 250 W/K by the same efficiency."
    assert text_fit.change_lines(but(before, change=None), "si") == []


def test_what_speaks_against_taking_a_house_from_bills() -> None:
    assert text_fit.doubts(FIT, "us") == []  # type: ignore[arg-type]
    rough = text_fit.doubts(but(FIT, meets_limits=False), "us")
    assert rough == ["The bills do not follow the weather closely, so treat this as rough."]
    # 4.4 °C is 39.9 °F; 10 and 20 °C are 50 and 68 °F
    (cold,) = text_fit.doubts(but(FIT, usual_balance=False, line=SimpleNamespace(balance_c=4.4)), "us")
    assert "above some 50 °F to 68 °F outdoors (common practice, no source)" in cold
    assert "none above 39.9 °F is unlikely" in cold
    limits = [Fit.usual_balance.fget(SimpleNamespace(line=SimpleNamespace(balance_c=c))) for c in (9.9, 10, 20, 20.1)]  # type: ignore[attr-defined]
    assert limits == [False, True, True, False]


def test_what_a_house_from_bills_leaves_out() -> None:
    fit, dry = but(FIT, annual_base_j=3.6e9), SimpleNamespace(use=())
    wet: Any = SimpleNamespace(use=(HotWater(kind="hot_water", people=3),))
    assert "1,000 kWh a year of these bills" in text_fit.base_left_out(fit, dry, "si")  # 3.6e9 J is 1,000 kWh
    assert text_fit.base_left_out(FIT, dry, "si") == ""  # type: ignore[arg-type]
    assert text_fit.base_left_out(fit, wet, "si") == ""


def test_how_well_the_line_fits() -> None:
    weather, measures, verdict = text_fit.quality_lines(FIT)  # type: ignore[arg-type]
    assert "explains 98% of how the bills differ" in weather
    assert "off by 8% of a mean one" in weather
    assert measures.startswith("R² 0.981; CV(RMSE) 8.3% ")
    assert "NMBE 0.0% " in measures  # no minus nothing
    assert verdict.startswith("within ")
    assert text_fit.quality_lines(but(FIT, r2=-0.2, meets_limits=False))[0].startswith("Weather explains 0% of")
    assert text_fit.quality_lines(but(FIT, meets_limits=False))[2].startswith("not within ")
    headings, rows = text_fit.fit_rows(FIT, "si")  # type: ignore[arg-type]
    assert [row[1:] for row in rows[:3]] == [
        ["201 W/K", "180 to 223 W/K"],
        ["16.0 °C", "15.0 to 17.0 °C"],
        ["6.0 kW", "5.0 to 7.0 kW"],
    ]
    assert rows[4][:2] == ["base use", "2.40 kWh a day"]  # 100 W
    assert rows[3][1:] == ["90%", "85% to 95%"]
    assert len(rows) == 5
    more = text_fit.fit_rows(but(FIT, annual_j=3.6e9, annual_base_j=1.8e9, annual_band_j=(3.24e9, 3.96e9)), "si")[1]
    assert [row[1:] for row in more[5:]] == [["1,000 kWh", "900 kWh to 1,100 kWh"], ["500 kWh", ""]]
    assert all(len(row) == len(headings) for row in more)


def test_the_words_of_a_command_are_kept() -> None:
    typed: Any = SimpleNamespace(
        fuel="gas",
        unit="",
        heat="",
        meter="",
        dates="",
        date_order="dmy",
        zone="",
        station="",
        column=["a=b"],
        map=["c=d"],
        utc=True,
        away=[],
    )
    assert text_fit.reading_words(typed) == [
        "--fuel",
        "gas",
        "--date-order",
        "dmy",
        "--column",
        "a=b",
        "--map",
        "c=d",
        "--utc",
    ]
    assert text_fit.reading_words(but(typed, utc=False, column=[], map=[], fuel="")) == ["--date-order", "dmy"]
    out: Any = but(typed, out="h.toml", bills=["b.csv"], weather=[], efficiency="", study="")
    assert "costsim compare h.toml" in text_fit._next(out)
    again = text_fit._next(but(out, out="", weather=["w x.csv"], efficiency="90 %"))
    assert "costsim fit b.csv --weather 'w x.csv' --fuel gas" in again
    assert "--efficiency '90 %' --study my_house.toml -o fitted.toml" in again


def test_who_wins_by_how_many_are_left() -> None:
    """Of three options those that are too cold or have no first cost are not compared; nothing is won where one is left."""

    def won(left: int, unpriced: tuple[str, ...] = (), options: int = 3, share: float = 0.83) -> tuple[str, str]:
        one: Any = SimpleNamespace(left_out=left, unpriced=unpriced, option="A", probability=share, others=(), alike=())
        return _winner(one, SimpleNamespace(options=range(options)))  # type: ignore[arg-type]

    assert won(0) == won(1) == won(0, ("B",)) == ("A", "about 85%")
    assert won(2) == won(1, ("B",)) == won(0, ("B", "C")) == ("A, the only one", "")
    assert won(0, options=1, share=1.0) == ("A", "more than 99%")


def test_a_printed_fit_has_all_its_parts() -> None:
    typed: Any = SimpleNamespace(out="h.toml", bills=["b.csv"], weather=[])
    bills = SimpleNamespace(
        fuel="electricity",
        delivered=False,
        name="b.csv",
        n_periods=12,
        notes=("read so",),
        start_day=[DAY],
        end_day=[DAY + np.timedelta64(365, "D")],
    )
    fit = but(
        FIT,
        bills=bills,
        weather="w.csv",
        design_from="typed",
        notes=("look here",),
        efficiency=but(FIT.efficiency, source="usual"),
    )
    change = SimpleNamespace(day="2024-03-01", ratio=0.8, ratio_band=(0.7, 0.9))
    found: Any = SimpleNamespace(now=fit, change=change, is_part=True, before=None)
    text = text_fit.printed_fit(found, "si", typed, None)
    heads = ["How well it fits\n", "What changed\n", "Take care\n", "What was read\n", "Next\n"]
    places = [text.index(head) for head in heads]
    assert places == sorted(places)
    assert "look here" in text
    assert "b.csv: 12 bills of electricity, 2024-01-15 to 2025-01-13" in text
    plain = text_fit.printed_fit(but(found, change=None, now=but(fit, notes=())), "si", typed, None)
    assert "What changed" not in plain
    assert "Take care" not in plain
    assert "12 deliveries of" in text_fit.printed_fit(
        but(found, now=but(fit, bills=but(bills, delivered=True))), "si", typed, None
    )
