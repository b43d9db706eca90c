"""Headings, units, columns, money and meters of tables on both sides of what is taken for what."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from bills.test_readers_csv import lines_of, read

from costsim.bills.amounts import _factor_unit, bare
from costsim.bills.beside import months_beside
from costsim.bills.columns import Table, choose, kinds_of
from costsim.bills.convert import conversion, gas_around, heat_content, named_fuel, plain_unit, typical_fuel
from costsim.bills.cost import costs_of, with_costs
from costsim.bills.distinct import _counts, distinct, numbers_at
from costsim.bills.outliers import ONE_DAY
from costsim.bills.parts import are_parts, total_among
from costsim.bills.periods import _exclusive, _joined_ends, _with_lengths
from costsim.bills.sheet import _label, separator
from costsim.bills.times import Times, days_column, times_of
from costsim.bills.two_fuels import fuels_of
from costsim.bills.words import dims_of, goes_out, is_factor_unit, is_unit, role_of, unit_in
from costsim.errors import InputError
from costsim.units.quantity import BTU_J, FOOT_M, GALLON_M3, KWH_J, POUND_KG, THERM_J

NONE = np.zeros(0, dtype=bool)


def table(head: str, *rows: str, **more: Any) -> Table:
    """A table as it is parted, with its places chosen."""
    found = Table([row.split(",") for row in rows], list(range(2, 2 + len(rows))), head.split(","), **more)
    choose(found)
    return found


# units and fuels


def test_units_of_bills_are_spelled_in_many_ways() -> None:
    spelled = {
        "CCF": "ccf hcf HCF", "Mcf": "mcf MCF", "ft3": "cf|cu ft|cubic feet", "therm": "thm thms therm", "m3": "m³ cbm|cubic metres|cubic meters|smc sm3 nm3"
        "|stere steres stère stères ster raummeter rm", "L": "ltr litre litres liter liters l litros litri", "gal": "gals gal.", "lb": "lbs pounds",
        "Dth": "dth dkt dkth dekatherm dekatherms decatherms dths", "kWh": "kwh kwhs", "MWh": "mwh", "MJ": "mj", "GJ": "gj", "MMBtu": "mmbtu",
        "tonne": "t tonnes|metric tons|metric ton", "short_ton": "ton tons|short tons|short ton", "kg": "kgs kg", "therms": "Therms",
    }  # fmt: skip
    for unit, texts in spelled.items():
        for text in (
            one
            for group in texts.split("|")
            for one in ([group] if " " in group and group in ALIASED else group.split())
        ):
            assert plain_unit(text) == unit, text
    fuels = {"electricity": "kW W kWh MWh Wh", "natural_gas": "therm therms CCF Mcf Dth ft3 m3 MMBtu MJ GJ", "wood": "cord cords", "pellets": "kg",
             "": "gal L lb short_ton"}  # fmt: skip
    for fuel, units in fuels.items():
        assert {unit: typical_fuel(unit) for unit in units.split()} == dict.fromkeys(units.split(), fuel)
    words = {"Natural gas": "natural_gas", "Erdgas": "natural_gas", "gas oil": "heating_oil", "Propane gas": "propane", "LPG": "propane",
        "Heizöl": "heating_oil",
             "Strom": "electricity", "wood pellets": "", "Pellets": "pellets", "Brennholz": "wood", "gas and electricity": "", "usage": "",
             "NG": "natural_gas"}  # fmt: skip
    assert {text: named_fuel(text) for text in words} == words
    assert gas_around(["Brennwert", "kWh"]) == "Brennwert"
    assert gas_around(["Gas (m³)", "Water (m3)"]) == ""


ALIASED = {
    "cu ft",
    "cubic feet",
    "cubic metres",
    "cubic meters",
    "metric tons",
    "metric ton",
    "short tons",
    "short ton",
}


@pytest.mark.parametrize(
    ("unit", "fuel", "joule"),
    [
        ("therm", "natural_gas", THERM_J), ("kWh", "propane", KWH_J), ("kW", "electricity", 1e3), ("CCF", "natural_gas", 100 * 1036 * BTU_J),
        ("gal", "propane", 91452 * BTU_J), ("L", "heating_oil", 138500 * BTU_J / GALLON_M3 * 1e-3), ("cord", "wood", 20e6 * BTU_J),
        ("40 lb", "pellets", 40 * 8200 * BTU_J), ("ton", "pellets", 2000 * 8200 * BTU_J), ("t", "pellets", 1000 / POUND_KG * 8200 * BTU_J),
        ("kg", "propane", 91452 * BTU_J / GALLON_M3 / 507.0),
    ],
)  # fmt: skip
def test_a_unit_of_a_fuel_holds_its_published_heat(unit: str, fuel: str, joule: float) -> None:
    found = conversion(unit, fuel, None, "f")
    assert found.joule_per_unit == pytest.approx(joule)
    assert bool(found.note) == (unit not in ("therm", "kWh", "kW"))


def test_units_that_a_fuel_is_not_sold_in_are_refused() -> None:
    for fuel, units in (("propane", "cord CCF Mcf ft3"), ("heating_oil", "cord CCF Mcf kg"), ("wood", "gal L imp_gal CCF kg"), ("electricity", "m3 kg"),
                        ("natural_gas", "gal cord kg")):  # fmt: skip
        for unit in units.split():
            with pytest.raises(InputError, match="cannot be turned into the energy"):
                conversion(unit, fuel, None, "f")
    with pytest.raises(InputError, match="type --fuel propane"):
        conversion("gal", "natural_gas", None, "f")
    assert conversion("ft3", "propane", 93e6, "f").joule_per_unit == pytest.approx(93e6 * FOOT_M**3)
    assert conversion("kg", "propane", None, "f").note.startswith("propane by weight holds")
    assert heat_content("1.03 therm/CCF") == pytest.approx(1.03 * THERM_J / (100 * FOOT_M**3))
    assert heat_content("8200 Btu/lb") == pytest.approx(8200 * BTU_J / POUND_KG)
    for text in ("0 kWh/m3", "5 kWh", "much"):
        with pytest.raises(InputError, match="heat content"):
            heat_content(text)
    # numbers that are heat contents of gas in just one unit
    edges = {"therm/CCF": (0.8, 1.4), "kWh/m3": (8.0, 14.0), "MJ/m3": (30.0, 50.0), "Btu/ft3": (800.0, 1400.0)}
    for unit, (low, high) in edges.items():
        assert [_factor_unit([one]) for one in (low, high, 0.99 * low, 1.01 * high)] == [unit, unit, "", ""]
    assert [_factor_unit(values) for values in ([], [1.0, 10.0])] == ["", ""]


def test_headings_name_their_role_and_their_unit() -> None:
    roles = {
        "start": "Start|From|Service begin|von|Inicio|Desde", "end": "End|Hour ending|To|Until|bis|Fin|Service through",
        "date": "Date|Read Date|Billing period|Monat|年月|Datum der Ablesung",
        "time": "Time|Hour|Uhrzeit", "flag": "Estimated|Read type|Est.|Quality", "unit": "Unit|UOM|Einheit", "days": "Days|Number of days|Tage",
        "factor": "Therm factor|Brennwert|Heat content|BTU factor|MJ/m3", "register": "Meter reading|Zählerstand|Closing reading",
        "meter": "Meter number|ESIID|MPRN",
        "amount": "Usage|kWh|Therms used|Verbrauch|CCF", "money": "Cost ($)|Total due|Betrag|Balance|Price €",
        "average": "Average use|Use per day|Last year kWh|Vorjahr",
        "temperature": "Avg Temp|HDD|Degree days", "generation": "Solar kWh|Generation|Exported|kWh [2.8.0]",
        "correction": "Pressure factor|Zustandszahl|Volume correction factor",
        "power": "kW|Demand (kW)", "": "Note|Power factor|Product|Town",
    }  # fmt: skip
    found = {text: role_of(text) for texts in roles.values() for text in texts.split("|")}
    wanted = {text: role for role, texts in roles.items() for text in texts.split("|")}
    wanted |= {"Avg Temp": "average", "Datum der Ablesung": "date"}
    assert found == wanted
    units = {"usage (kWh)": "kWh", "Therms": "Therms", "bags (40 lb)": "40 lb", "Use x 100 cu ft": "CCF", "hundred cubic feet": "CCF", "1000 cf": "Mcf",
             "face cords": "", "kilowatt hours": "", "kilowatt-hours": "kWh", "Power kW": "kW", "kwH": "kWh", "use (t)": "tonne", "t": "",
             "metric tons": "tonne",
             "Gas [m³]": "m3", "MJ/m3": "MJ/m3", "nothing": ""}  # fmt: skip
    assert {text: unit_in(text) for text in units} == units
    assert [is_unit(text) for text in ("kWh", "gal", "lb", "kW", "m", "%")] == [True, True, True, False, False, False]
    assert [is_factor_unit(text) for text in ("MJ/m3", "Btu/lb", "kWh")] == [True, True, False]
    assert dims_of("x" * 25) is None
    assert [goes_out(one) for one in ("2.8.0", "12.8.0", "2.8.01", "1.8.0", "Einspeisung")] == [
        True,
        False,
        False,
        False,
        True,
    ]


# amounts and columns


def test_columns_that_repeat_one_another_count_once() -> None:
    use = np.array([310.0, 290.0, 250.0, 120.0])
    states = 4000 + np.cumsum(use)
    assert _counts(states, use)
    assert _counts(states[::-1], use[::-1])
    assert not _counts(states[:3], use[:3])  # three rows tell too little
    assert not _counts(states + np.array([0, 0, 2.0, 0]), use)
    assert _counts(states + np.array([0, 0, 1.0, 0]), use)  # whole numbers are off by one at most
    assert not _counts(states + np.array([0, 0, 0.5, 0]), use)
    head = "start,A kWh,B kWh,C kWh"
    rows = [f"2023-0{m}-01,{a},{a},{10000 + 0 * a}" for m, a in zip(range(1, 5), (31, 29, 25, 12), strict=True)]
    one = Table([row.split(",") for row in rows], [2, 3, 4, 5], head.split(","), {"start": 0})
    assert distinct(one, [1, 2, 3]) == [1]
    parts = Table(
        [["x", "1", "2", "3"], ["x", "4", "5", "9"], ["x", "1", "1", "2"]],
        [2, 3, 4],
        ["d", "Day", "Night", "All"],
        {"start": 0},
    )
    assert distinct(parts, [1, 2, 3]) == [3]
    assert numbers_at(parts, 3).tolist() == [3.0, 9.0, 2.0]
    assert are_parts(["1.8.1", "1.8.2"])
    assert not are_parts(["Day kWh", "Day kWh"])
    values = {1: np.array([1.0, 2.0]), 2: np.array([3.0, 4.0]), 3: np.array([4.0, 6.0])}
    assert total_among({1: "Day", 2: "Night", 3: "Total"}, values) == 3
    assert total_among({1: "Day", 2: "Night", 3: "Total"}, values | {3: np.array([4.0, 5.9])}) is None
    assert total_among({1: "Total", 2: "Night", 3: "Total"}, values) is None


def test_two_fuels_in_one_table_are_asked_about_and_one_gas_in_two_units_is_not() -> None:
    cubic, electric = np.array([100.0, 80.0, 20.0]), np.array([300.0, 310.0, 290.0])
    for heat, one in ((20.001e6, True), (19.9e6, False), (59.999e6, True), (60.1e6, False)):
        found = fuels_of({1: ("Energy", "kWh", cubic * heat / 3.6e6), 2: ("Volume", "m3", cubic)})
        assert (found == {}) == one, heat
    assert fuels_of({1: ("Power", "kWh", electric), 2: ("Gas", "m3", cubic)}) == {1: "electricity", 2: "natural_gas"}
    assert fuels_of({1: ("use", "kWh", electric), 2: ("use", "m3", cubic)}) == {1: "electricity", 2: "natural_gas"}
    assert fuels_of({1: ("use", "kWh", electric), 2: ("use", "kWh", electric)}) == {}
    for last, one in (
        (1.5, True),
        (1.6, False),
    ):  # 18 of 210 and 21.6 of 212 are off the mean: less and more than a tenth
        off = cubic * 40e6 / 3.6e6 * np.array([1.0, 1.0, last])
        assert (fuels_of({1: ("use", "kWh", off), 2: ("use", "m3", cubic)}) == {}) == one
    assert fuels_of({1: ("use", "kWh", 0 * cubic), 2: ("use", "m3", cubic)}) == {}


def test_volumes_with_corrections_factors_and_averages_by_hand() -> None:
    spans = ["2023-01-01,2023-02-01", "2023-02-01,2023-03-01", "2023-03-01,2023-04-01"]

    def energy(head: str, *cells: str) -> list[float]:
        return (
            read("\n".join([f"start,end,{head}", *(f"{a},{b}" for a, b in zip(spans, cells, strict=True))])).energy_j
            / 1e6
        ).tolist()

    assert energy(
        "Gas (m3),Correction factor,Calorific value (MJ/m3)", "100,1.02264,39.5", "80,1.02264,39.0", "20,1.02264,40"
    ) == pytest.approx([100 * 1.02264 * 39.5, 80 * 1.02264 * 39.0, 20 * 1.02264 * 40])
    assert energy(
        "Corrected gas (m3),Correction factor,MJ/m3", "100,1.02,39.5", "80,1.02,39", "20,1.02,40"
    ) == pytest.approx([3950, 3120, 800])
    assert energy("Usage (CCF),Therm factor", "100,1.03", "80,1.02", "20,1.03") == pytest.approx(
        [one * THERM_J / 1e6 for one in (103, 81.6, 20.6)]
    )
    assert energy("days,Average kWh per day", "31,10", "28,20", "31,5") == pytest.approx(
        [310 * 3.6, 560 * 3.6, 155 * 3.6]
    )
    for share, said in (("0.6", True), ("0.61", False), ("1.66", False), ("1.67", True)):
        rows = "\n".join(["start,end,Gas (m3),Correction factor", *(f"{span},100,{share}" for span in spans)])
        if said:
            assert any("holds numbers that are no correction of a volume" in line for line in lines_of(rows))
        else:
            assert read(rows).energy_j[0] == pytest.approx(100 * float(share) * 1036 * BTU_J / FOOT_M**3)
    told = lines_of(
        "\n".join(
            [
                "start,end,Gas (m3),Correction factor",
                f"{spans[0]},100,1.02",
                f"{spans[1]},100,n",
                f"{spans[2]},100,1.02",
            ]
        )
    )
    assert any("line 3" in line and "'n' in column 'Correction factor' is no amount" in line for line in told)
    assert [bare(text) for text in ("$1.50", "(2.00)", "EUR 5", "¥ 3")] == ["1.50", "(2.00)", "5", "3"]


def test_amounts_that_are_none_are_told_by_line() -> None:
    spans = [f"2023-{m:02d}-01,2023-{m + 1:02d}-01" for m in range(1, 5)]

    def told(*cells: str) -> list[str]:
        return lines_of(
            "\n".join(["start,end,usage (therm)", *(f"{a},{b}" for a, b in zip(spans, cells, strict=True))])
        )

    assert told("10", "x", "", "12") == [
        "bills.csv: line 3: 'x' in column 'usage (therm)' is no amount; write a number; a bill without use has the amount 0",
        "bills.csv: line 4: the amount in column 'usage (therm)' is missing; write a number; a bill without use has the amount 0",
    ]
    assert told("10", "-4", "3", "12") == [
        "bills.csv: line 3: the amount -4 is negative; add a credit to the bill that it belongs to"
    ]
    assert "'1,234' can be read as thousands or as a decimal" in told("1000", '"1,234"', "1200", "1100")[0]
    many = "\n".join(
        [
            "start,end,usage (kWh)",
            *(f"2023-01-{d:02d},2023-01-{d + 1:02d},{-1 if d <= 13 else 5}" for d in range(1, 29)),
        ]
    )
    assert "13 amounts in column 'usage (kWh)' are negative, as where a house feeds the grid" in lines_of(many)[0]
    assert sum("is negative" in line for line in lines_of(many.replace("2023-01-14,-1", "2023-01-14,5", 1))) == 12


def test_periods_by_a_number_of_days_and_by_seams() -> None:
    def with_days(dates: list[str], lengths: list[int], lone: str) -> tuple[list[str], str]:
        one = Table([], [], [], lone=lone)
        at = np.array(dates, dtype="datetime64[D]")
        n = len(dates)
        found = _with_lengths(at, np.array(lengths, dtype=float), np.ones(n), np.zeros(n, bool), np.arange(n), one)
        return found.start.astype(str).tolist(), one.notes[0].split(" of its period")[0].rpartition(" ")[2]

    ends, starts = ["2023-02-01", "2023-03-01", "2023-04-01"], ["2023-01-01", "2023-02-01", "2023-03-01"]
    assert with_days(ends, [31, 28, 31], "date") == (starts, "end")
    assert with_days(starts, [31, 28, 31], "date") == (starts, "start")
    odd = ["2023-02-01", "2023-03-10", "2023-05-01"]
    assert [with_days(odd, [10, 10, 10], lone)[1] for lone in ("start", "end", "date")] == ["start", "end", "end"]
    day = np.timedelta64(1, "D")
    begin = np.array(starts, dtype="datetime64[D]")
    end = np.array(ends, dtype="datetime64[D]")
    assert _joined_ends(begin, end - day).astype(str).tolist() == ["2023-02-01", "2023-03-01", "2023-03-31"]
    assert _joined_ends(begin, end - 2 * day).astype(str).tolist() == ["2023-01-30", "2023-02-27", "2023-03-30"]
    for ends_at, added in ((end, 0), (end - day, 1), (np.array([end[0], end[1] - day, end[2]]), 0)):
        assert (_exclusive(begin, ends_at, Table([], [], [])) - ends_at == added * ONE_DAY).all()
    assert days_column(table("date,days,kWh", "2023-01-01,31,5", "2023-02-01,28,6")).tolist() == [31.0, 28.0]
    assert [
        days_column(table("date,days,kWh", f"2023-01-01,{n},5", f"2023-02-01,{n},6")) is None for n in (399, 400, 0)
    ] == [False, True, True]


def test_times_tell_their_step_and_whether_they_are_readings() -> None:
    def times(*seconds: int, **more: Any) -> Times:
        return Times(np.array(seconds), None, None, more.pop("timed", True), **more)

    assert times(0, 3600, 7200).step_s == 3600
    assert [
        times(0, 3600).is_interval,
        times(0, 3600, 7200).is_interval,
        times(0, 3600, 7200, month=True).is_interval,
    ] == [False, True, False]
    assert [times(*(np.arange(5) * step).tolist()).is_interval for step in (138240, 138241)] == [True, False]
    assert times(5, 5, 5).step_s == 0
    wanted = {"1/2/2023 daily": "mdy", "1/2/2023 monthly": "dmy", "1/2/2023": ""}
    for head, order in wanted.items():
        faults: list[Any] = []
        word = head.partition(" ")[2]
        one = table(f"Date,{word} use (kWh)", *(f"{d}/1/2023,{5 + d}" for d in range(1, 9)))
        found = times_of(one, "f", faults)
        if order:
            assert found is not None
            assert (found.step_s > 86400) == (word == "monthly")
        else:
            assert "nothing else in the file tells which" in faults[0].problem


def test_months_side_by_side_need_ten_of_them() -> None:
    names = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()  # noqa: SIM905
    for count, found in ((10, True), (9, False)):
        rows = [["", *names[:count]], ["2023", *map(str, range(count))]]
        assert (months_beside(rows, [1, 2]) is not None) == found
    wide = months_beside(
        [["Therms", *names], ["2023", *map(str, range(12))], ["2024", *map(str, range(12, 24))]], [1, 2, 3]
    )
    assert wide is not None
    assert (wide.rows[0], wide.rows[-1], wide.lines[0], wide.headings) == (
        ["2023-01", "0"],
        ["2024-12", "23"],
        2,
        ["Month", "Therms"],
    )
    down = months_beside(
        [
            ["Month", "2023 (therms)", "2024 (therms)"],
            *([name, str(at), str(at + 50)] for at, name in enumerate(names)),
        ],
        list(range(13)),
    )
    assert down is not None
    assert (len(down.rows), down.rows[12]) == (24, ["2024-01", "50"])
    assert months_beside([["Month", "1969", "2101"], *([name, "1", "2"] for name in names)], list(range(13))) is None
    assert (
        months_beside([["Month", "1970", "2100"], *([name, "1", "2"] for name in names)], list(range(13))) is not None
    )


def test_marks_labels_and_kinds_of_columns() -> None:
    assert [
        separator(lines) for lines in (["a;b,c", "1;2,5"], ["a,b", "1,2"], ["a\tb", "1\t2"], ["a|b", "1|2"], ["a", "b"])
    ] == [";", ",", "\t", "|", ";"]
    labels = {
        "HE 1": "1",
        "00:30": "00:30",
        "0:00 - 0:30": "0:00",
        "Hour 24": "24",
        "kWh": None,
        "25:00": None,
        "v12": "12",
        "x1": None,
    }
    assert {text: _label(text) for text in labels} == labels
    one = table("when,how,use (kWh),what", "2023-01-01,0:30,1.5,day", "2023-01-02,1:00,2,night")
    assert kinds_of(one) == ["date", "time", "number", "text"]


# money


def test_what_was_paid_is_the_whole_or_nothing() -> None:
    spans = ["2023-01-01,2023-02-01", "2023-02-01,2023-03-01"]

    def paid(head: str, *cells: str) -> tuple[Any, str]:
        cost, sign = costs_of(
            table(f"start,end,use (kWh),{head}", *(f"{a},5{b}" for a, b in zip(spans, cells, strict=True)))
        )
        return (None if cost is None else cost.tolist(), sign)

    assert paid("Cost ($)", ",10", ",12") == ([10.0, 12.0], "$")
    assert paid("Energy cost,Delivery cost,Total cost", ",10,5,15", ",12,6,18.01") == ([15.0, 18.01], "")
    assert paid("Energy cost,Delivery cost", ",10,5", ",12,6") == (None, "")
    whole, _ = paid("Energy cost,Delivery cost,Cost of both", ",10,5,15", ",,,")  # a month for which no money is told
    assert whole == [15.0, pytest.approx(np.nan, nan_ok=True)]
    assert paid("Energy charge,Total cost", ",10,5", ",12,6")[0] == [5.0, 6.0]
    assert paid("Cost,Price per kWh,Tax", ",€10,1,1", ",€12,1,1") == ([10.0, 12.0], "€")
    assert paid("Cost", ",10", ",")[0] == [10.0, pytest.approx(np.nan, nan_ok=True)]
    assert paid("Fixed charge", ",10", ",12") == (None, "")
    found = read("\n".join(["start,end,use (kWh),Cost", *(f"{a},5,{b}" for a, b in zip(spans, (10, 12), strict=True))]))
    assert found.cost.tolist() == [10.0, 12.0]
    days = np.array(["2022-12-31", "2023-01-01", "2023-01-31", "2023-02-01", "2023-03-01"], dtype="datetime64[D]")
    put = with_costs(found, days, np.array([100.0, 1.0, 2.0, 4.0, 100.0]), "£")
    assert (put.cost.tolist(), put.currency) == ([3.0, 4.0], "£")
    assert with_costs(found, days[:1], np.array([1.0]), "£") is found
