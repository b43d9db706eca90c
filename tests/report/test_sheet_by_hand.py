"""Sizes, water, typed values and bills of a report by hand."""

from __future__ import annotations

import hashlib
from types import SimpleNamespace
from typing import Any

import pytest
from views.made import CIRCUIT, ELECTRIC, GAS, PRESSURE, SOURCE, but

from costsim.analysis.propane_tank import BoilOff
from costsim.physics.fluids import FluidProperties
from costsim.report import sheet, water
from costsim.report.blocks import Heading, Items, Table, Text, cleaned, table
from costsim.report.content import paper_of
from costsim.report.facts import fact_text
from costsim.report.formulas import _power, _resistance
from costsim.report.pdf import covered
from costsim.report.reader import count_to_confirm
from costsim.report.typed import _rows, _si, _text, _us
from costsim.tariffs.bill import BillLine
from costsim.units.fields import QuantityField
from costsim.units.quantity import read_quantity
from costsim.views import size_rows
from costsim.views.size_rows import CONFIRM
from costsim.views.text_capacity import boils_off_text
from costsim.views.verdict import MOST_WORDS

KW = 1000.0
NEAR = pytest.approx
EIGHT = "50 A, 8 AWG copper at 75 °C; NM-B cable, 60 °C: 6 AWG"


def test_sizes_to_confirm_by_hand() -> None:
    assert size_rows._heater(SOURCE, "si")[1:] == (
        "9.6 kW output in this study",
        "the load alone would ask for 8.0 kW output: 9.6 kW output is the next size sold",
    )
    assert size_rows._heater(but(SOURCE, needed_w=0.0), "si")[2] == "the other sources carry the design load without it"
    assert size_rows._heater(but(SOURCE, chosen=None), "si")[1:] == ("9.6 kW output in this study", "as entered")
    assert size_rows._heater(but(SOURCE, chosen=None, entered_w=0.0, note="n"), "si")[1:] == (CONFIRM, "n")
    assert size_rows._heater(but(SOURCE, what="solar area"), "si")[2] == "as entered"
    assert size_rows._heater(but(SOURCE, chosen=None, entered_w=1.0), "si")[1].endswith(" output in this study")
    assert size_rows._heater(but(SOURCE, needed_w=1.0), "si")[2].startswith("the load alone would ask ")
    breaker, service = size_rows.circuit_rows(but(SOURCE, electric=ELECTRIC, entered_electric=ELECTRIC))
    assert breaker[1] == EIGHT
    assert breaker[2].startswith("40.0 A at 240 V, times 1.25")
    assert service[1:] == ("150 A of 200 A, 50 A left", "by the meter")
    # 11.52 kW at 240 V are 48 A, which NEC 424.22(B) leaves in one; 12 kW are 50 A
    assert "subdivided" not in size_rows._breaker(but(ELECTRIC, load_w=11.52 * KW))[1]
    assert size_rows._breaker(but(ELECTRIC, load_w=12 * KW))[1].endswith(
        "its elements are subdivided inside as its listing says, which the electrician confirms"
    )
    typed = but(SOURCE, electric=ELECTRIC, entered_electric=but(ELECTRIC, typed_breaker_a=40.0))
    assert next(size_rows.circuit_rows(typed))[1] == f"{EIGHT} (the study has a breaker of 40 A)"
    assert list(size_rows.circuit_rows(SOURCE)) == []
    plated = list(size_rows.circuit_rows(but(SOURCE, entered_electric=but(ELECTRIC, rated=False))))
    assert [row[1] for row in plated] == [CONFIRM, "150 A of 200 A, 50 A left"]
    assert plated[0][2] == "its plate (MCA and MOP); here it draws up to 40.0 A in the year"
    beyond = list(
        size_rows.circuit_rows(
            but(SOURCE, electric=ELECTRIC, entered_electric=but(ELECTRIC, circuit=None, service_a=None))
        )
    )
    assert [row[1] for row in beyond] == [CONFIRM, CONFIRM]
    assert beyond[0][2].endswith("beyond one circuit of these tables")
    assert (
        next(
            iter(
                size_rows.circuit_rows(
                    but(SOURCE, electric=ELECTRIC, entered_electric=but(ELECTRIC, service_load_a=None))
                )
            )
        )[1]
        == EIGHT
    )
    assert CIRCUIT.breaker_a == 50
    pipe, vent = size_rows.gas_rows("B", GAS, "si")
    assert pipe[1:] == ("3/4 in steel", "30 kW over 15 m; NFPA 54 / IFGC 402.4")
    assert vent[0] == "B: vent category"
    propane = [
        row[1] for row in size_rows.gas_rows("B", but(GAS, propane_tank_m3=1.9, regulator_w=44 * KW, pipe=""), "si")
    ]
    assert (propane[0], *propane[2:]) == (CONFIRM, "1,900 L", "44 kW", CONFIRM)
    own = BoilOff(1.2, 50 * KW, 44 * KW, 20 * KW, -15.0)
    kept = list(size_rows.gas_rows("B", but(GAS, propane_tank_m3=1.9, own_tank=own), "si"))[2]
    assert kept[1:] == ("1,200 L, as entered", boils_off_text(own, "si"))
    boils = list(size_rows.gas_rows("B", but(GAS, propane_tank_m3=1.9), "si"))[2]
    assert boils[2].startswith("boils off the input at -15 °C, 30 % full")
    assert [row[1] for row in size_rows.gas_rows("B", but(GAS, regulator_w=44 * KW), "si")][2:] == [
        CONFIRM,
        "44 kW",
        CONFIRM,
    ]
    assert [row[1] for row in size_rows.gas_rows("B", but(GAS, propane_tank_m3=1.9), "si")][2:] == [
        "1,900 L",
        CONFIRM,
        CONFIRM,
    ]


def test_relief_valves_and_expansion_of_one_source_and_of_several() -> None:
    def rows(*entered_w: float, **more: Any) -> list[tuple[str, str]]:
        choice: Any = SimpleNamespace(
            circuit=but(PRESSURE, **more),
            sources=[but(SOURCE, name=f"S{at}", entered_w=w) for at, w in enumerate(entered_w)],
        )
        return [row[:2] for row in size_rows.pressure_size_rows(choice, "si")]

    assert rows(9.6 * KW) == [
        ("expansion tank", "40.0 L or more: a tank of 50.0 L"),
        ("S0: relief valve of its own", "300 kPa, 10 kW or more"),
    ]
    assert rows(9.6 * KW, 0.0)[1:] == [
        ("S0: relief valve of its own", "300 kPa, 10 kW or more"),
        ("relief valve on the tank", "300 kPa, 10 kW or more"),
    ]
    assert rows(9.6 * KW, 20 * KW)[-1] == ("relief valve on the tank", "300 kPa, 30 kW or more")
    # of a fire the mean of its charge is no size, nor is it in a sum
    burning: Any = SimpleNamespace(
        circuit=but(PRESSURE, fires="Stove"), sources=[but(SOURCE, name="Stove", fire=True), SOURCE]
    )
    _, stove, boiler, both = size_rows.pressure_size_rows(burning, "si")
    assert (stove[1], boiler[1], both[1]) == (CONFIRM, "300 kPa, 10 kW or more", CONFIRM)
    assert stove[2].startswith("what the plate or manual of Stove says: a fire peaks far above the mean of its charge")
    assert both[2].endswith(stove[2])
    assert [
        one
        for one in size_rows.pressure_size_rows(
            SimpleNamespace(circuit=burning.circuit, sources=burning.sources[:1]), "si"
        )
    ][1:] == [stove]  # type: ignore[arg-type]
    # any source has a valve, were it of a watt
    assert rows(1.0)[1][0] == "S0: relief valve of its own"
    assert rows(1.0, open_circuit=True)[0] == ("expansion", "12.0 L of room in the open tank")
    assert rows(1.0, needed_m3=None)[0] == ("expansion tank", CONFIRM)
    assert rows(1.0, units_counted=False)[0] == (
        "expansion tank",
        "40.0 L or more: a tank of 50.0 L; the units' own water is not typed",
    )
    assert rows(1.0, sold_m3=None)[0] == ("expansion tank", f"40.0 L or more, several tanks: {CONFIRM}")


def test_water_and_formulas_in_both_systems_of_units() -> None:
    """Water at 20 °C: 998.2 kg/m³ are 62.32 lb/ft³, 4,184 J/(kg K) one Btu/(lb °F), 0.598 W/(m K) 0.346 Btu/(h ft °F), 1.002 mPa s as many cP."""
    at = FluidProperties(
        density_kg_m3=998.2, heat_capacity_j_kgk=4184.0, conductivity_w_mk=0.598, viscosity_pa_s=1.002e-3
    )
    assert water._properties(at, "si") == "998.2 kg/m³, 4,184 J/(kg K), 1.002 mPa s, 0.598 W/(m K), Prandtl 7.0"
    us = water._properties(at, "us")
    assert us.startswith("62.32 lb/ft³, ")
    assert float(us.split(", ")[1].split()[0]) == NEAR(0.9994, abs=0.001)
    assert float(us.split(", ")[3].split()[0]) == NEAR(0.3455, abs=0.001)
    assert "1.002 cP" in us
    assert (_power(10 * KW, "si"), _power(10 * KW, "us")) == ("10,000 W", "34,121 Btu/h")
    assert _resistance(1e-3, "si") == "0.001 K/W"
    assert _resistance(1e-3, "us") == "0.0005275 °F/(Btu/h)"  # 1.8 °F for 3.412 Btu/h
    # 8.92 × 5^1.1 = 52.4 W/m² by EN 1264-2
    assert water.surface_c(heat_w=524.0, area_m2=10.0, room_c=20.0) == NEAR(25.0, abs=0.01)
    assert sheet._span(10 * KW, 0.1, "si") == "9.0 kW to 11.0 kW"


def test_what_sources_tell_of_their_season() -> None:
    facts = {
        "supply_c": 40.0,
        "burn_hours": 5.5,
        "cover_share": 0.25,
        "heat_kwh": 1000.0,
        "wood_kg": 100.0,
        "note": "none",
    }
    assert fact_text(facts, "si") == "supply 40.0 °C, burn 5.5 h, cover 0.2, heat 1,000 kWh, wood 100 kg, note none"
    us = fact_text(facts, "us")
    assert us.startswith("supply 104.0 °F, burn 5.5 h, cover 0.2, heat 3.4 MMBtu, wood 220.5 lb")
    assert fact_text({"useful_kwh_m2": 100.0}, "si") == "useful 100 kWh/m²"
    assert fact_text({"useful_kwh_m2": 100.0}, "us") == "useful 31.7 kBtu/ft²"  # 341.2 kBtu on 10.764 ft²


def line(month: int, label: str, quantity: float, unit: str, rate: float, amount: float) -> BillLine:
    return BillLine(month, label, quantity, unit, rate, amount)


def test_months_of_a_bill_are_added_up_by_line() -> None:
    lines = (
        line(1, "energy", 3.6e6, "J", 1e-7, 0.36), line(2, "energy", 7.2e6, "J", 2e-7, 1.44), line(1, "fixed", 1, "month", 14.0, 14.0),
        line(2, "fixed", 1, "month", 14.0, 14.0), line(1, "fixed", 1, "month", 15.0, 15.0), line(1, "none", 0.0, "J", 5.0, 0.0),
        line(1, "power", 2e3, "W", 0.01, 20.0), line(2, "power", 3e3, "W", 0.02, 60.0),
    )  # fmt: skip
    from costsim.tariffs.bill import Bill

    made = Bill.__new__(Bill)
    object.__setattr__(made, "lines", lines)
    fields = {name: getattr(made, name, None) for name in Bill.__dataclass_fields__}
    added = {(one.label, one.rate): one for one in sheet._added_up(Bill(**{**fields, "lines": lines})).lines}
    energy = next(one for key, one in added.items() if key[0] == "energy")
    assert (energy.quantity, energy.amount, energy.rate, energy.month) == (
        NEAR(10.8e6),
        NEAR(1.80),
        NEAR(1.80 / 10.8e6),
        0,
    )
    assert (added["fixed", 14.0].quantity, added["fixed", 14.0].amount) == (2, 28.0)
    assert added["fixed", 15.0].amount == 15.0
    assert added["none", 0.0].amount == 0.0
    power = next(one for key, one in added.items() if key[0] == "power")
    assert (power.quantity, power.rate) == (5e3, NEAR(0.016))


def test_a_name_is_not_repeated_below_itself() -> None:
    assert sheet._once([["a", "1"], ["a", "2"], ["b", "3"], ["a", "4"]]) == [
        ["a", "1"],
        ["", "2"],
        ["b", "3"],
        ["a", "4"],
    ]
    block = table("t", ["what", "value", "key that changes it"], [["a", "1", "k"]], "wrw")
    plain = sheet._plain(block)
    assert isinstance(plain, Table)
    assert (plain.headings, plain.rows, plain.aligned) == (("what", "value"), (("a", "1"),), "wr")
    assert sheet._plain(Text("x")) == Text("x")
    for headings, rows, aligned in ((["a"], [["1", "2"]], "w"), (["a"], [["1"]], "ww"), (["a", "b"], [[]], "ww")):
        with pytest.raises(ValueError, match="do not fit"):
            table("t", headings, rows, aligned)


def test_values_that_rest_on_memory_are_counted_once() -> None:
    blocks = (
        Heading("Head"),
        table("", ["a", "b"], [["x", "EN 1 (value from memory)"], ["y", "seen"], ["x", "EN 1 (value from memory)"]], "ww", "note from memory"),
        Items((("lead", "One. Two (values from memory). Three", ""),)),
        Text("value from memory"),
    )  # fmt: skip
    assert count_to_confirm(blocks) == 3
    assert count_to_confirm((Text("seen"),)) == 0


def test_texts_lose_what_no_drawing_can_hold() -> None:
    assert cleaned("a\x08b\u00a0c\td") == "a b c d"
    assert cleaned(("a\x07", 5, None)) == ("a ", 5, None)
    assert (covered("Ա"), covered("ԯ"), covered("∞"), covered("☀"), covered("Ḁ"), covered("᷿")) == (
        False,
        True,
        True,
        False,
        True,
        False,
    )
    for currency, system, paper in (("$", "si", "letter"), ("", "us", "letter"), ("", "si", "a4"), ("€", "us", "a4")):
        assert paper_of(SimpleNamespace(currency=currency), system) == paper  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [("a_w", 5.0, "5 W"), ("a_m2k_w", 1.8, "1.8 m² K/W"), ("a_w_m2k", 0.3, "0.3 W/(m² K)"), ("a_w_k", 3.0, "3 W/K"), ("a_share", 0.25, "0.25"),
     ("a_share_per_year", 0.03, "0.03 a year"), ("cost_money", 12.0, "12 ¤"), ("a_per_year", 9.0, "9 ¤/year"), ("a_c", 21.5, "21.5 °C"), ("a_k", 5.0, "5 K"),
     ("a_pa", 1e5, "100000 Pa"), ("a_m3", 0.3, "0.3 m³"), ("a_m", 3.0, "3 m"), ("count", 3, "3"), ("a_w", None, ""), ("a_deg", 30.0, "30 °")],
)  # fmt: skip
def test_values_are_given_in_the_unit_that_their_name_ends_in(name: str, value: Any, said: str) -> None:
    assert _si(name, value) == said


def test_quantities_of_any_kind_are_given_in_si() -> None:
    assert _si("x", read_quantity("1 $/kWh")) == f"{1 / 3.6e6:.6g} ¤/J"
    assert _si("x", read_quantity("2 gal")) == "0.00757082 m³"
    assert _si("x", read_quantity("1 MJ/kg")) == "1e+06 J/kg"
    length = QuantityField("length", "Length")
    assert _us(length, "3 m", 3.0) == "9.84252 ft"
    assert _us(length, "3 m", None) == "3 m"  # what became no number stands as typed, as does what a fuel must settle
    assert _us(QuantityField("money_by_power", "Charge"), "9 $/kW", 9e-3) == "$9/kW"
    assert _us(QuantityField("price", "Price"), "1 $/kWh", read_quantity("1 $/kWh")) == "$1/kWh"
    assert [_text(one) for one in (True, False, ["a", 2], 3.5)] == ["yes", "no", "a, 2", "3.5"]
    assert MOST_WORDS == 25
    # a list of tables of which the study has fewer, or none, is told as it was typed
    for model in (None, ()):
        assert list(_rows(model, [{"a": 1}], "x", "si")) == [("x[1].a", "1", "")]


def test_a_fingerprint_is_half_of_what_the_study_hashes_to() -> None:
    typed = {"title": "x"}
    whole = hashlib.sha256(b'title = "x"\n').hexdigest()
    assert sheet.fingerprint(SimpleNamespace(case=SimpleNamespace(typed=typed))) == whole[: len(whole) // 2]  # type: ignore[arg-type]


def test_own_generation_has_a_table_where_there_is_any(monkeypatch: pytest.MonkeyPatch) -> None:
    basis: Any = SimpleNamespace(system="si", case=SimpleNamespace(currency="$"), result=SimpleNamespace(options=()))
    assert [type(block) for block in sheet._bills(basis)] == [Heading, Text]
    heads = ["own generation, kWh a year", "generated", "exported"]
    monkeypatch.setattr(sheet, "own_generation_rows", lambda result: (heads, [["Pump", "4,000", "2,500"]]))
    *_, found = sheet._bills(basis)
    assert isinstance(found, Table)
    assert found.title == "Own generation, kWh a year"
    assert found.headings == ("option", "generated", "exported")
    assert found.rows == (("Pump", "4,000", "2,500"),)
    assert found.aligned == "wrr"


def test_surfaces_and_the_air_of_each_room_are_told_with_what_they_lose() -> None:
    wall = SimpleNamespace(
        name="Wall", area_m2=40.0, u_value_known_w_m2k=0.3, typical="", difference_share=0.6, loss_w_k=7.2
    )
    air = SimpleNamespace(loss_w_k={1500.0: 30.0}.__getitem__)  # at the altitude of the place
    room = SimpleNamespace(
        name="Bath", surface=(SimpleNamespace(**{**vars(wall), "typical": "Wall uninsulated"}),), infiltration=air
    )
    basis: Any = SimpleNamespace(
        system="si",
        case=SimpleNamespace(house=SimpleNamespace(surface=(wall,), infiltration=None, room=(room,))),
        common=SimpleNamespace(surroundings=SimpleNamespace(altitude_m=1500.0)),
    )
    heads, rows = sheet._surface_rows(basis)
    assert len(heads) == 6
    assert rows == [
        ["Wall", "40.0 m²", "0.300 W/(m² K)", "60%", "7.2 W/K", "given"],
        ["Bath: Wall", "40.0 m²", "0.300 W/(m² K)", "60%", "7.2 W/K", "typical, not known"],
        ["Bath: air", "", "", "", "30.0 W/K", "given"],
    ]
