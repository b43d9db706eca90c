"""What the command line prints, from made-up results: every figure of a line, both sides of every limit, one and many."""

from __future__ import annotations

import io
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.made import ELECTRIC, GAS, KW, PRESSURE, SOURCE, STEP, but

from costsim.tariffs.bill import plain_calendar
from costsim.views import text_select as chosen
from costsim.views.text_layout import _unserved, pump_rows, supply_note, unserved_lines
from costsim.views.text_portfolio import Homes, pair_rows, shift_rows, today_lines
from costsim.views.text_tariff import SIGNS, picture, price_grid
from costsim.views.text_verify import avoided_lines, by_bill, gap, measures, verify_sentence


def test_circuits_by_hand() -> None:
    """9.6 kW at 240 V are 40 A, 50 A for hours on end."""
    line, service = chosen.electric_lines(ELECTRIC)
    assert line.startswith("  Circuit: 9.60 kW at 240 V is 40.0 A, times 1.25 is 50.0 A: 50 A breaker, 8 AWG copper")
    assert "copper at 75 °C; NM-B cable, 60 °C: 6 AWG; 1.2 % voltage drop." in line
    assert line.endswith("1.2 % voltage drop.")
    assert service == "  Service: 150 A of 200 A, 50 A left; by the meter."
    assert "0 A left" in chosen.electric_lines(but(ELECTRIC, service_load_a=200.0))[1]
    assert "1 A TOO LITTLE" in chosen.electric_lines(but(ELECTRIC, service_load_a=201.0))[1]
    assert "the most it draws" in chosen.electric_lines(but(ELECTRIC, rated=False))[0]
    assert "the most it draws" not in line
    assert "beyond one circuit" in chosen.electric_lines(but(ELECTRIC, circuit=None))[0]
    for missing in ({"service_a": None}, {"service_load_a": None}):
        assert chosen.electric_lines(but(ELECTRIC, **missing))[1] == "  Service: by the meter."


def test_gas_lines_by_hand() -> None:
    """10 in² are 64.5 cm², 2,000 ft³ are 56.6 m³."""
    gas, vent, air = chosen.gas_lines(GAS, "si")
    assert gas == "  Gas: input 20 kW; 3/4 in steel pipe carries the run of 30 kW over 15 m."
    assert vent.startswith("  Vent category IV: ")
    for words in ("two openings of 65 cm²", "129 cm² by level", "645 cm² to other", "a room of 57 m³"):
        assert words in air
    us = chosen.gas_lines(GAS, "us")[2]
    for words in ("two openings of 10 in²", "20 in² by level", "100 in² to other", "a room of 2,000 ft³"):
        assert words in us
    assert "larger than the tables" in chosen.gas_lines(but(GAS, pipe=""), "si")[0]
    propane = chosen.gas_lines(but(GAS, regulator_w=44 * KW, propane_tank_m3=1.9), "si")[3]
    assert propane.startswith("  Propane: 1,900 L tank boils off 25 kW at -15 °C")
    assert propane.endswith("second-stage regulator of 44 kW.")
    assert "no listed tank boils off enough" in chosen.gas_lines(but(GAS, regulator_w=44 * KW), "si")[3]
    assert "regulator beyond the list" in chosen.gas_lines(but(GAS, propane_tank_m3=1.9), "si")[3]
    assert len(chosen.gas_lines(GAS, "us")) == 3


def test_pressure_lines_by_hand() -> None:
    tank, relief = chosen.pressure_lines(PRESSURE, "si")
    assert tank.startswith("Expansion tank: 40.0 L needed: filled cold to 120 kPa, it may reach 250 kPa hot")
    assert "growth and a reserve, EN 12828; the ASHRAE Handbook's rule" in tank
    assert tank.endswith("asks for 30.0 L: 50.0 L tank.")
    assert "for 20 kW on the largest entered: one that blows off 50 kW;" in relief
    us = chosen.pressure_lines(PRESSURE, "us")[0]
    assert "10.6 gal needed: filled cold to 17 psi, it may reach 36 psi hot, half a bar (7 psi) below the 44 psi" in us
    assert us.endswith("asks for 7.9 gal: 13.2 gal tank.")  # one size, whatever the units
    assert "ASHRAE" not in chosen.pressure_lines(but(PRESSURE, handbook_m3=None), "us")[0]
    assert "one beyond the list" in chosen.pressure_lines(but(PRESSURE, relief_discharge_w=None), "si")[1]
    plate = "what the plate or manual of Stove says: a fire peaks far above the mean of its charge, which is all that this study knows"
    alone = chosen.pressure_lines(but(PRESSURE, fires="Stove", discharge_needed_w=0.0, relief_discharge_w=None), "si")[
        1
    ]
    assert alone == f"Relief: each source its own valve, set no higher than 300 kPa, for {plate}."
    beside = chosen.pressure_lines(but(PRESSURE, fires="Stove"), "si")[1]
    assert "for 20 kW on the largest entered that is no fire: one that blows off 50 kW;" in beside
    assert beside.endswith(f"for a fire {plate}.")
    assert chosen.pressure_lines(but(PRESSURE, open_circuit=True), "si")[0].startswith(
        "Expansion: open tank with 12.0 L of room"
    )
    assert "10% more" not in chosen.tank_rule(PRESSURE, "us")  # type: ignore[arg-type]
    assert "; 10% more water is taken than store and tubes hold" in chosen.tank_rule(
        but(PRESSURE, units_counted=False), "us"
    )
    assert "leave it no room" in chosen.pressure_lines(but(PRESSURE, needed_m3=None), "si")[0]
    unknown = chosen.pressure_lines(but(PRESSURE, needed_m3=None, water_m3=0.0, known=False), "si")[0]
    assert "Expansion tank: not known: type what boiler, radiators or baseboards, and mains hold" in unknown
    assert "pressure" not in unknown
    some = chosen.pressure_lines(but(PRESSURE, needed_m3=None, water_m3=0.04, known=False), "si")[0]
    assert some.endswith("; tank and tubes alone hold 40.0 L.")
    assert "beyond the list; two tanks" in chosen.pressure_lines(but(PRESSURE, sold_m3=None), "si")[0]


def test_what_a_source_must_give_and_the_size_that_does() -> None:
    assert chosen.wanted_text(SOURCE, "si") == "must give 8.0 kW: 9.6 kW output, which leaves 9.4 kW"
    assert chosen.wanted_text(but(SOURCE, chosen=None), "si") == "must give 8.0 kW"
    spare = but(SOURCE, chosen=None, needed_w=0.0, design_load_w=10e3, beside_w=12e3, others=1)
    assert chosen.wanted_text(spare, "si") == (
        "need not carry the design load (design load 10.0 kW × 1.15 = 11.5 kW, less 12.0 kW that is sure from the others)"
    )
    # 10 kW × 1.15 = 11.5 kW, less 3.5 kW: 8 kW over the day is 24 kW in 8 of 24 hours
    asked = but(SOURCE, design_load_w=10e3, beside_w=3.5e3, others=1, steps=(but(STEP, day_share=8 / 24),))
    assert chosen.reason_text(asked, "si") == (
        " (design load 10.0 kW × 1.15 = 11.5 kW, less 3.5 kW that is sure from the others; it may run 8 of the coldest day's 24 hours,"
        " so 24.0 kW while it runs)"
    )
    alone = but(SOURCE, design_load_w=10e3, needed_w=11.5e3)
    assert chosen.reason_text(alone, "si") == " (design load 10.0 kW × 1.15 = 11.5 kW)"
    assert chosen.reason_text(but(alone, others=1), "si").endswith(
        "all of it, as the others may rest in the coldest hours)"
    )
    assert chosen.wanted_text(but(SOURCE, chosen=but(STEP, day_share=0.5)), "si").endswith(
        "on average over the coldest day"
    )
    field = but(SOURCE, what="solar area", chosen=but(STEP, size=10.0))
    assert chosen.wanted_text(field, "si").endswith("the next field over the one typed is 10 m² of collectors")
    stored = chosen.wanted_text(but(SOURCE, chosen=but(STEP, buffer_m3=0.8, buffer_asked_m3=0.55)), "si")
    assert stored.endswith("over the day, with a buffer of 800 L (EN 303-5 asks for 550 L)")
    assert chosen.sold_text("gas input", but(STEP, output_w=8.2e3), "si") == "10 kW input (8 kW output)"
    for what, said in (
        ("gas input", "10 kW input"),
        ("relief discharge", "10 kW discharge"),
        ("wood output", "10 kW output"),
        ("electric boiler output", "9.6 kW output"),
    ):
        assert chosen.size_text(what, 9600.0, "si") == said
    headings, (row,) = chosen.step_rows(but(SOURCE, steps=(STEP,)), "si", "$")
    assert row == ["> 9.6 kW output", "9.6", "9.4", "1,234", "1.5", "1,000.00", "$1,500"]
    assert len(headings) == len(row)
    assert chosen.step_rows(but(SOURCE, steps=(but(STEP, chosen=False),)), "si", "$")[1][0][0] == "  9.6 kW output"


def test_a_source_that_is_entered_or_kept_is_told_so() -> None:
    assert chosen.source_lines(SOURCE, "si", "$") == ["Boiler: entered: 9.6 kW output."]
    kept = chosen.source_lines(but(SOURCE, kept=True), "si", "$")
    assert kept == ["Boiler: existing, kept: 9.6 kW output; the load alone would ask for 8.0 kW output."]
    spare = chosen.source_lines(but(SOURCE, kept=True, needed_w=0.0), "si", "$")
    assert spare == ["Boiler: existing, kept: 9.6 kW output; the other sources carry the design load without it."]
    assert chosen.source_lines(but(SOURCE, kept=True, what="solar area"), "si", "$") == [
        "Boiler: existing, kept: 9.6 kW output."
    ]
    asked = chosen.source_lines(but(SOURCE, steps=(STEP,), note="a note"), "si", "$")
    assert asked[0] == "Boiler must give 8.0 kW: 9.6 kW output, which leaves 9.4 kW (a note)."
    assert asked[-1] == "Boiler: entered: 9.6 kW output."
    fresh = chosen.source_lines(but(SOURCE, entered_w=0.0), "si", "$")
    assert fresh[0].startswith("Boiler must give")
    assert chosen.source_lines(but(SOURCE, what="", note="nothing to size"), "si", "$") == ["Boiler: nothing to size."]
    wired = chosen.source_lines(but(SOURCE, entered_electric=ELECTRIC, entered_gas=GAS), "si", "$")
    assert len(wired) == 1 + 2 + 3
    other = chosen.source_lines(
        but(SOURCE, electric=ELECTRIC, entered_electric=but(ELECTRIC, volts_v=120.0)), "si", "$"
    )
    assert "at 120 V is 80.0 A" in other[1]


def test_the_size_marked_and_the_size_entered_each_have_their_wire() -> None:
    """Marked 9.6 kW on 240 V: 40 A; entered 4.8 kW: 20 A. Of one size there is one circuit, and what is kept has no other."""
    entered = but(ELECTRIC, load_w=4800.0)
    two = but(SOURCE, steps=(STEP,), entered_w=4800.0, electric=ELECTRIC, entered_electric=entered)
    lines = chosen.entered_lines(two, "si")
    heads = [at for at, line in enumerate(lines) if line.startswith("Boiler")]
    assert [lines[at] for at in heads] == ["Boiler: marked: 9.6 kW output.", "Boiler: entered: 4.8 kW output."]
    assert "9.60 kW at 240 V is 40.0 A" in lines[heads[0] + 1]
    assert "4.80 kW at 240 V is 20.0 A" in lines[heads[1] + 1]
    gas = chosen.entered_lines(
        but(SOURCE, what="gas input", steps=(STEP,), entered_w=4800.0, gas=GAS, entered_gas=GAS), "si"
    )
    assert sum("Gas: input" in line for line in gas) == 2
    for same in (but(two, entered_w=9600.0), but(two, kept=True), but(two, steps=()), but(two, chosen=None)):
        assert not any("marked" in line for line in chosen.entered_lines(same, "si"))


DAY, A_DAY = np.datetime64("2024-01-15"), np.timedelta64(1, "D")
BILLS = SimpleNamespace(
    n_periods=2, fuel="electricity", energy_j=np.array([400.0, 200.0]) * 3.6e6, cost=np.array([60.0, 30.0]), days=np.array([31, 29]),
    start_day=np.array([DAY, DAY + 31 * A_DAY]), end_day=np.array([DAY + 31 * A_DAY, DAY + 60 * A_DAY]),
)  # fmt: skip


def verified(*predicted_kwh: float, **more: Any) -> Any:
    made: dict[str, Any] = {
        "bills": BILLS, "predicted_j": np.array(predicted_kwh) * 3.6e6, "meets_limits": True, "paid": None, "nmbe": 0.05, "cv_rmse": 0.123,
        "source": SimpleNamespace(option="Boiler", asked=False), "left_j": 0.0, "predicted_cost": 0.15 * np.array(predicted_kwh),
        "planned_j": 500 * 3.6e6, "fit": SimpleNamespace(is_part=False),
        "shares": (), "avoided": None, "notes": (),
    }  # fmt: skip
    return SimpleNamespace(**{**made, **more})


@pytest.mark.parametrize(
    ("predicted", "said"),
    [((400.0, 203.1), "1% more"), ((400.0, 202.9), "predicts what the meter said"), ((400.0, 197.1), "predicts what the meter said"),
     ((400.0, 196.9), "1% less"), ((300.0, 150.0), "25% less"), ((500.0, 250.0), "25% more")],
)  # fmt: skip
def test_how_study_and_meter_compare(predicted: tuple[float, ...], said: str) -> None:
    found = verified(*predicted)
    text = verify_sentence(found, "si")
    assert text.startswith("The meter counted 600 kWh of electricity")
    assert said in text
    assert f"{sum(predicted):,.0f} kWh ('Boiler')" in text
    assert text.endswith("fits these bills.")
    assert "does not fit" in verify_sentence(verified(*predicted, meets_limits=False), "si")
    left = verify_sentence(verified(*predicted, meets_limits=False, left_j=120 * 3.6e6), "si")
    assert "The house fits these bills: 120 kWh of them are base use" in left
    usual = SimpleNamespace(option="", efficiency=SimpleNamespace(value=0.82))
    assert "kWh (a heater of 82%)" in verify_sentence(verified(*predicted, source=usual), "si")
    (measure,) = measures(found)
    assert f"predicts {abs(sum(predicted) / 600 - 1):.0%} too little" in measure
    assert "off by 12% of a mean bill" in measure
    assert "too much" in measures(verified(*predicted, nmbe=-0.01))[0]
    assert "too much" in measures(verified(*predicted, nmbe=0.0))[0]


def test_bills_more_than_a_quarter_off_are_marked() -> None:
    headings, rows = by_bill(verified(500.0, 149.0), "si", "$")
    assert [row[-1] for row in rows] == ["", "*"]
    assert [row[1:3] for row in rows] == [["400 kWh", "500 kWh"], ["200 kWh", "149 kWh"]]
    assert all(len(row) == len(headings) for row in rows)
    assert by_bill(verified(501.0, 150.0), "si", "$")[1][0][-1] == "*"
    assert rows[0][0].startswith("2024-01-15 to 2024-02-14")


def test_what_explains_the_gap_adds_up() -> None:
    shares = [SimpleNamespace(what="weather", energy_j=30 * 3.6e6, cost=4.6), SimpleNamespace(what="house", energy_j=70 * 3.6e6, cost=None),
              SimpleNamespace(what="price", energy_j=0.0, cost=-12.4)]  # fmt: skip
    head, headings, rows = gap(verified(0.0, 0.0, shares=shares), "si", "$")
    assert "500 kWh on these days; metered: 600 kWh." in head
    assert rows == [
        ["weather", "+30 kWh", "+30%", "$5"],
        ["house", "+70 kWh", "+70%", ""],
        ["price", "", "", "-$12"],
        ["together", "+100 kWh", "", "-$8"],
    ]
    assert all(len(row) == len(headings) for row in rows)
    assert "change of the house" not in head
    part = gap(verified(0.0, 0.0, shares=shares, fit=SimpleNamespace(is_part=True), planned_j=700 * 3.6e6), "si", "$")
    assert "change of the house" in part[0]
    assert part[2][0][1:3] == ["+30 kWh", "-30%"]
    assert part[2][-1][1] == "-100 kWh"
    none = gap(verified(0.0, 0.0, shares=shares[1:2], planned_j=600 * 3.6e6), "si", "$")[2]
    assert none[0][2] == ""
    assert none[-1] == ["together", "0 kWh", "", ""]


def test_what_a_change_avoided_and_how_sure_that_is() -> None:
    found: Any = SimpleNamespace(
        to_the_day=True, expected_j=1000 * 3.6e6, metered_j=700 * 3.6e6, day="2024-03-01", fraction=0.3, uncertainty=0.5, before=12, after=9,
        cv_rmse=0.081,
    )  # fmt: skip
    lines = avoided_lines(found, "electricity", "si")
    assert lines[0].endswith("first day 2024-03-01 (found to the day in daily use)")
    assert "would have used 1,000 kWh; metered 700 kWh" in lines[1]
    assert lines[2] == "avoided +300 kWh, 30% ± 15% at 90% confidence"
    assert "uncertainty 50%; baseline of 12 periods, CV(RMSE) 8.1%; 9 periods after" in lines[3]
    assert len(lines) == 4
    more = avoided_lines(
        but(found, uncertainty=0.51, to_the_day=False, metered_j=1300 * 3.6e6, fraction=-0.3), "electricity", "si"
    )
    assert "do not prove them" in more[4]
    assert more[2] == "avoided -300 kWh, -30% ± 15% at 90% confidence"
    assert "by the bills, or as told" in more[0]


def test_a_year_of_prices_as_a_picture() -> None:
    calendar = plain_calendar()
    clock, weekend = calendar.clock_hour.astype(int), calendar.weekday >= 5
    price = np.where((clock >= 17) & (clock < 21) & ~weekend, 0.30, 0.10) / 3.6e6
    grid = price_grid(price, calendar, False) * 3.6e6
    assert grid[0] == pytest.approx([0.10] * 17 + [0.30] * 4 + [0.10] * 3)
    assert price_grid(price, calendar, True) * 3.6e6 == pytest.approx(np.full((12, 24), 0.10))
    lines = picture(price, calendar, 3.6e6, "kWh", "$").split("\n")
    assert lines[2] == f"Jan   {'1' * 17}2222111  {'1' * 24}"
    assert [line[:3] for line in lines[2:14]] == [
        "Jan",
        "Feb",
        "Mar",
        "Apr",
        "May",
        "Jun",
        "Jul",
        "Aug",
        "Sep",
        "Oct",
        "Nov",
        "Dec",
    ]
    assert lines[14:] == ["1 $0.1000/kWh", "2 $0.3000/kWh"]
    # the clock stands over its hours, weekdays and weekends alike
    assert [lines[1].index(mark) for mark in ("0", "6", "12", "18")] == [6, 12, 18, 24]
    assert lines[1].rindex("18") == 6 + 24 + 2 + 18
    assert lines[0].index("weekdays") == 6
    assert lines[0].index("Saturday") == 6 + 24 + 2
    # twenty-four prices on nine signs: each a span, in order, the dearest the last
    many = picture((clock + 1.0) / 3.6e6, calendar, 3.6e6, "kWh", "$").split("\n")
    row = many[2][6:30]
    assert list(row) == sorted(row)
    assert {*row} == {*SIGNS}
    assert len(many) == 14 + len(SIGNS)
    assert many[14] == "1 $1.0000 to $3.5556/kWh"
    assert many[-1].endswith("to $24.0000/kWh")
    nine = picture((clock % 9 + 1.0) / 3.6e6, calendar, 3.6e6, "kWh", "$").split("\n")
    assert nine[14:] == [f"{at} ${at}.0000/kWh" for at in range(1, 10)]


class Clock:
    """A clock that is set by hand."""

    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_progress_says_how_much_is_done_and_left() -> None:
    clock, stream = Clock(), io.StringIO()
    homes = Homes(stream, 1000, clock)
    clock.now = 9.9
    homes.told(100)
    assert stream.getvalue() == ""  # in a log, every ten seconds
    clock.now = 20.0
    homes.told(300)
    # 200 homes in 10.1 s since the first word: 35 s for 700
    assert stream.getvalue() == "300 homes, 20 s, about 35 s left of 1,000 homes\n"
    clock.now = 29.9
    homes.told(400)
    clock.now = 30.0
    homes.told(1000)
    assert stream.getvalue().splitlines()[1:] == ["1,000 homes, 30 s"]
    homes.done()
    assert stream.getvalue().count("\n") == 2
    terminal: Any = io.StringIO()
    terminal.isatty = lambda: True
    both = Homes(terminal, 10, clock, tariffs=2)
    both.told(5)
    assert terminal.getvalue() == f"\r{'5 homes under each of 2 tariffs, 0 s':<90}"
    both.done()
    assert terminal.getvalue().endswith("\n")


def pairs(count: int) -> dict[str, Any]:
    one = {
        "first": "Gas", "second": "Pump", "second_costs_more_by": {"quantiles": [-300.0, -200.0, -100.0, 0.0, 50.0]},
        "second_costs_more_mean_of_warm_in_both": -120.4, "second_is_cheaper_share": 0.8, "homes_warm_in_both": 1234.0,
        "peak_hours_less_kwh": 10.6, "other_hours_more_kwh": 20.4, "other_hours_most_more_kw": 1234.56,
    }  # fmt: skip
    return {"currency": "$", "quantiles": [0.05, 0.25, 0.5, 0.75, 0.95], "today": None, "pairs": [one] * count}


def test_what_one_option_saves_against_another() -> None:
    headings, rows = pair_rows(pairs(16))
    assert len(rows) == 15
    assert rows[0] == ["Pump rather than Gas", "-$50", "$0", "$100", "$200", "$300", "80.0%", "1,234", "$120"]
    assert headings[1:6] == ["5%", "25%", "median", "75%", "95%"]
    assert len(headings) == len(rows[0])
    unknown = pairs(1)
    unknown["pairs"][0] |= {"second_costs_more_by": {"quantiles": None}, "second_costs_more_mean_of_warm_in_both": None}
    assert set(pair_rows(unknown)[1][0][1:6]) == {pair_rows(unknown)[1][0][-1]}
    assert shift_rows(pairs(1))[1] == [["Pump rather than Gas", "-11 kWh", "+20 kWh", "1,234.6 kW"]]
    still = pairs(1)
    still["pairs"][0] |= {"peak_hours_less_kwh": 0.3, "other_hours_more_kwh": -0.3}
    assert shift_rows(still)[1][0][1:3] == ["+0 kWh", "+0 kWh"]
    assert len(shift_rows(pairs(16))[1]) == 15
    assert "mark one" in today_lines(pairs(1))[0]
    assert today_lines(pairs(0)) == []


def test_rooms_that_are_not_served_and_what_would_do_it() -> None:
    way = SimpleNamespace(what="a spacing of", value=0.15, dimension="small_length")
    one: Any = SimpleNamespace(
        circuit="Bath", why="surface", missing_w=510.0, remedies=(way, SimpleNamespace(what="another pump", value=None))
    )
    text = _unserved(one, "si")
    assert text.startswith("NOT SERVED: Bath: the floor would have to be warmer than it may be (0.51 kW missing).")
    assert text.endswith("Any of these would: a spacing of 150 mm; another pump.")
    assert "missing" not in _unserved(but(one, missing_w=0.5), "si")
    assert "(0.00 kW missing)" in _unserved(but(one, missing_w=0.6), "si")
    assert _unserved(but(one, remedies=()), "si").endswith("No single change of spacing, covering or pump does.")
    assert len(unserved_lines(SimpleNamespace(unserved=[one, one]), "si")) == 2  # type: ignore[arg-type]


def test_like_pumps_are_counted_and_one_water_is_told() -> None:
    pump = SimpleNamespace(
        level="G", thermostat="T", loops=(0, 1), speed_share=0.6, flow_m3_s=1e-4, head_pa=2e4, electric_w=24.6
    )
    found: Any = SimpleNamespace(pumps=[pump, pump, but(pump, speed_share=0.8)])
    rows = pump_rows(found, "si")[1]
    assert [row[:4] for row in rows] == [["G, thermostat T", "2", "2", "60%"], ["G, thermostat T", "1", "2", "80%"]]
    assert rows[0][-1] == "25"
    plan = SimpleNamespace(
        design=SimpleNamespace(supply_c=40.0, load_w=500.0), fed=SimpleNamespace(count=2), output_w=900.0
    )
    water: Any = SimpleNamespace(
        supply_c=40.0, year_supply_c=40.0, tank_c=40.0, beside=(), cooler={}, loops=[plan], fires=()
    )
    assert supply_note(water, "si").startswith("Set mixing valve and boiler for 40 °C")
    wood = supply_note(but(water, fires=("Wood boiler",)), "us")
    assert wood.startswith("Set the floor's mixing valve for 104 °F; Wood boiler and its tank run hotter")
    assert "return held at 140 °F or more" in wood
    assert "and boiler for" not in wood
    assert "heat pump" not in supply_note(water, "si")
    cold = but(plan, design=SimpleNamespace(supply_c=30.0, load_w=500.0))
    assert "A heat pump runs the better" in supply_note(but(water, loops=[plan, cold]), "si")
    assert "take 50 °C at design; the layout takes 40 °C" in supply_note(but(water, year_supply_c=50.0), "si")
