"""Tables of bills: every odd file is read and told, or refused in plain lines."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from costsim.bills.model import Bills, joined
from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import InputError
from costsim.units.quantity import CORD_M3, FOOT_M, GALLON_M3, KWH_J, THERM_J

DATES = ["2023-01-05", "2023-02-03", "2023-03-06", "2023-04-05", "2023-05-04", "2023-06-05"]
AMOUNTS = [120.5, 98.25, 61.0, 30.0, 12.0]


def read(text: str | bytes, name: str = "bills.csv", **more: Any) -> Bills:
    raw = text if isinstance(text, bytes) else text.encode()
    [found] = read_bills_csv(name, content=raw, **more)
    return found


def lines_of(text: str | bytes, name: str = "bills.csv", **more: Any) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(text, name, **more)
    return str(caught.value).split("\n")


def spanned(form: str = "%Y-%m-%d", head: str = "start,end,usage (therm)", inclusive: bool = False) -> str:
    days = [date.fromisoformat(text) for text in DATES]
    rows = [
        f"{a.strftime(form)},{(b - timedelta(days=1) if inclusive else b).strftime(form)},{amount}"
        for a, b, amount in zip(days, days[1:], AMOUNTS, strict=False)
    ]
    return "\n".join([head, *rows, ""])


def check_plain(found: Bills, unit_j: float = THERM_J) -> None:
    assert found.start_day.astype(str).tolist() == DATES[:-1]
    assert found.end_day.astype(str).tolist() == DATES[1:]
    np.testing.assert_allclose(found.energy_j, np.array(AMOUNTS) * unit_j)


@pytest.mark.parametrize(
    ("form", "told"),
    [
        ("%Y-%m-%d", ""),
        ("%Y/%m/%d", ""),
        ("%Y%m%d", ""),
        ("%m/%d/%Y", "month, day, year"),
        ("%m/%d/%y", "month, day, year"),
        ("%d/%m/%Y", "day, month, year"),
        ("%d.%m.%Y", "day, month, year"),
        ("%d-%b-%y", ""),
        ("%B %d %Y", ""),
        ("%Y-%m-%d 00:00", ""),
    ],
)
def test_dates_of_many_kinds_are_read_and_the_order_is_told(form: str, told: str) -> None:
    found = read(spanned(form))
    check_plain(found)
    orders = [note for note in found.notes if note.startswith("dates read as")]
    assert orders == ([f"dates read as {told}"] if told else [])


def test_ends_on_the_last_day_are_told_from_the_seams() -> None:
    found = read(spanned(inclusive=True))
    check_plain(found)
    assert any("the last day of each bill" in note for note in found.notes)


def test_reading_dates_alone_run_from_one_to_the_next() -> None:
    rows = "\n".join(f"{day},{amount}" for day, amount in zip(DATES, [77.0, *AMOUNTS], strict=True))
    found = read(f"read date,kWh\n{rows}\n")
    check_plain(found, KWH_J)
    assert found.fuel == "electricity"
    assert any("the first row has no period" in note for note in found.notes)


def test_each_delivery_replaces_what_was_burned_before_it() -> None:
    found = read("delivered on,gallons\n2023-11-02,180\n2023-12-20,150\n2024-01-30,160.5\n", "propane.csv")
    assert found.fuel == "propane"
    assert found.delivered
    assert found.start_day.astype(str).tolist() == ["2023-11-02", "2023-12-20"]
    np.testing.assert_allclose(found.energy_j / (91452 * 1055.05585262), [150, 160.5])
    assert any("each delivery replaces" in note for note in found.notes)


def test_a_semicolon_file_from_latin_1_with_decimal_commas() -> None:
    rows = "\n".join(
        f"{a[8:]}.{a[5:7]}.{a[:4]};{str(v).replace('.', ',')}" for a, v in zip(DATES, [9.0, *AMOUNTS], strict=True)
    )
    found = read(f"Ablesedatum;Verbrauch für Gas [kWh]\n{rows}\n".encode("latin-1"), "erdgas.csv")
    check_plain(found, KWH_J)
    assert found.fuel == "natural_gas"
    for told in ("semicolons", "decimal commas", "Latin-1", "day, month, year"):
        assert any(told in note for note in found.notes), told


def test_tabs_a_byte_order_mark_and_thousands() -> None:
    text = "from\tto\tkWh\n1/5/2023\t2/3/2023\t1,205\n2/3/2023\t3/6/2023\t982.5\n"
    found = read(text.encode("utf-8-sig"))
    np.testing.assert_allclose(found.energy_j, [1205 * KWH_J, 982.5 * KWH_J])
    assert any("tabs" in note for note in found.notes)


def test_no_headings_but_clear_columns() -> None:
    rows = spanned().split("\n", 1)[1]
    found = read(rows, unit="therm")
    check_plain(found)
    assert any("no headings" in note for note in found.notes)


def test_lines_above_the_headings_money_and_sums_are_passed_over() -> None:
    text = "Account,12345\nAddress,1 Any Street\n" + spanned(head="start,end,usage (therm)").replace("\n2", "\n2")
    rows = [
        row + (",cost ($)" if row.startswith("start") else ",$12.00" if row[:1] == "2" else "")
        for row in text.strip().split("\n")
    ]
    found = read("\n".join([*rows, "Total,,321.75,"]))
    check_plain(found)
    assert any("left out as a sum" in note for note in found.notes)
    assert any("cost ($)" in note for note in found.notes)


@pytest.mark.parametrize(
    ("unit", "joule", "fuel"),
    [
        ("kWh", KWH_J, "electricity"),
        ("MJ", 1e6, "natural_gas"),
        ("MMBtu", 1055.05585262e6, "natural_gas"),
        ("CCF", 100 * FOOT_M**3 * 1036 * 1055.05585262 / FOOT_M**3, "natural_gas"),
        ("m3", 1036 * 1055.05585262 / FOOT_M**3, "natural_gas"),
        ("cords", 20e6 * 1055.05585262, "wood"),
    ],
)
def test_units_become_energy_of_the_fuel_they_are_typical_for(unit: str, joule: float, fuel: str) -> None:
    found = read(spanned(head=f"start,end,amount [{unit}]"))
    assert found.fuel == fuel
    np.testing.assert_allclose(found.energy_j, np.array(AMOUNTS) * joule, rtol=1e-9)
    assert any(note.startswith("fuel ") for note in found.notes)


def test_litres_of_oil_and_a_column_of_units() -> None:
    text = "date,qty,unit\n2023-01-01,500,L\n2023-03-01,600,L\n2023-05-01,100,gal\n"
    found = read(text, fuel="heating_oil")
    np.testing.assert_allclose(found.energy_j, 138500 * 1055.05585262 * np.array([0.6 / GALLON_M3, 100]), rtol=1e-9)
    assert any("several units" in note for note in found.notes)


def test_a_bills_own_therm_factor_counts() -> None:
    text = "start,end,CCF,therm factor\n2023-01-05,2023-02-03,100,1.02\n2023-02-03,2023-03-06,50,1.04\n"
    np.testing.assert_allclose(read(text).energy_j, [102 * THERM_J, 52 * THERM_J])
    given = read(text.replace(",therm factor", "").replace(",1.02", "").replace(",1.04", ""), heat="1.05 therm/CCF")
    np.testing.assert_allclose(given.energy_j, [105 * THERM_J, 52.5 * THERM_J])


def test_a_calorific_value_with_its_unit_in_the_heading() -> None:
    text = "von;bis;Gas [m3];Brennwert [kWh/m3]\n05.01.2023;03.02.2023;100;11,2\n03.02.2023;06.03.2023;50;11,3\n"
    np.testing.assert_allclose(read(text).energy_j, [1120 * KWH_J, 565 * KWH_J])


def test_estimated_readings_join_the_next_actual_one() -> None:
    text = spanned().replace("\n", ",read type\n", 1)
    rows = text.strip().split("\n")
    rows = [rows[0], rows[1] + ",A", rows[2] + ",E", rows[3] + ",estimated", rows[4] + ",A", rows[5] + ",E"]
    found = read("\n".join(rows))
    assert found.end_day.astype(str).tolist() == [DATES[1], DATES[4]]
    np.testing.assert_allclose(found.energy_j, [120.5 * THERM_J, 189.25 * THERM_J])
    assert found.estimated.tolist() == [False, True]
    assert any(note.startswith("2 estimated") for note in found.notes)
    assert any("1 estimated readings at the end" in note for note in found.notes)


def test_backward_order_is_turned() -> None:
    head, *rows = spanned().strip().split("\n")
    found = read("\n".join([head, *rows[::-1]]))
    check_plain(found)
    assert any("order of time" in note for note in found.notes)


def test_all_faults_are_told_at_once() -> None:
    text = "start,end,therms\n2023-01-05,2023-02-03,-4\n2023-02-03,2023-02-30,10\n2023-03-06,2023-04-05,abc\n"
    told = lines_of(text)
    assert len(told) == 3
    assert any("line 2" in line and "negative" in line for line in told)
    assert any("line 3" in line and "no date" in line for line in told)
    assert any("line 4" in line and "'abc' in column 'therms' is no amount" in line for line in told)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("start,end,therms\n", "no bills"),
        ("a,b,c\n1,2,3\n", "were not found"),
        ("start,end,therms\n2023-01-05,2023-02-03,4\n2023-01-30,2023-03-06,5\n", "begins 4 days before"),
        ("start,end,therms\n2023-01-05,2023-02-03,4\n2023-02-10,2023-03-06,5\n", "no bill covers the 7 days from 2023-02-03 to 2023-02-09"),
        ("start,end,therms\n2023-02-05,2023-02-03,4\n", "ends on 2023-02-03"),
        ("date,therms\n03/04/05,4\n05/06/07,5\n", "can be read as"),
        ("start,end,usage (floop)\n2023-01-05,2023-02-03,4\n", "unit"),
        ("start,end,usage,unit\n2023-01-05,2023-02-03,4,floop\n2023-02-03,2023-03-03,4,therm\n", "'floop' is not known"),
        ("start,end,usage,unit\n2023-01-05,2023-02-03,4,gal\n2023-02-03,2023-03-03,4,cords\n", "cannot be turned|no one fuel|does not tell"),
        ("start,end,usage,unit\n2023-01-05,2023-02-03,4,kWh\n2023-02-03,2023-03-03,4,cords\n", "no one fuel"),
        ("date,gallons\n2023-01-05,4\n2023-02-03,9\n", "does not tell the fuel"),
        ("start,end,kWh\n2023-01-05,2023-02-03,\"1,234\"\n2023-02-03,2023-03-03,\"2,345\"\n", "can be read as thousands"),
        ("start,end,therms,estimated\n2023-01-05,2023-02-03,4,maybe\n", "'maybe' does not say"),
        ("start,end,CCF,factor\n2023-01-05,2023-02-03,4,\n", "no heat content"),
        ("start,end,therms\n2093-01-05,2093-02-03,4\n", "in the future"),
        ("date,therms\n2023-01-05,4\n", "not one whole period"),
        (b"\x00\x01\x02", "not text"),
        ("start,end,therms\n2023-01-05,2023-02-03,1.2.3\n2023-02-03,2023-03-03,4.5\n", "'1.2.3' is no amount"),
        ("start,end,therms\n2023-01-05,2023-02-03,\"1,2,3.4\"\n2023-02-03,2023-03-03,4.5\n", "'1,2,3.4' is no amount"),
        ("start,end,kWh99999999\n2023-01-05,2023-02-03,4\n", "were not found|power|unit"),
        ("start,end,therms\n2023-01-05,2023-02-03\n", "line 2: the amount in column 'therms' is missing"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_one_line(text: str | bytes, words: str) -> None:
    told = "\n".join(lines_of(text))
    assert any(word in told for word in words.split("|")), told
    assert all(line.startswith("bills.csv: ") and "; " in line for line in told.split("\n"))


def test_gallons_cannot_be_electricity() -> None:
    told = lines_of("date,gallons\n2023-01-05,4\n2023-02-03,9\n", fuel="electricity")
    assert "cannot be turned into the energy of electricity" in told[0]


def test_files_of_one_fuel_join_and_their_gap_is_refused() -> None:
    one = read("start,end,therms\n2023-01-05,2023-02-03,4\n", "a.csv")
    two = read("start,end,therms\n2023-02-03,2023-03-03,5\n", "b.csv")
    both = joined([two, one])
    assert len(both) == 1
    np.testing.assert_allclose(both[0].energy_j, [4 * THERM_J, 5 * THERM_J])
    with pytest.raises(InputError, match="no bill covers"):
        joined([one, read("start,end,therms\n2023-03-03,2023-04-03,5\n", "c.csv")])


def test_a_cord_is_a_stacked_volume() -> None:
    stacked = read(f"date,m3\n2023-01-05,1\n2023-03-05,{CORD_M3}\n", "firewood.csv")
    assert stacked.energy_j[0] == pytest.approx(20e6 * 1055.05585262)
