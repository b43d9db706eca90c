"""Downloads of other countries and utilities, each written here with known days: read at first try, or one question."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest

from costsim.bills.readers_csv import read_bills_csv
from costsim.errors import InputError
from costsim.units.quantity import KWH_J

HOURS = [datetime(2021, 1, 1) + timedelta(hours=h) for h in range(24 * 6)]
USE = [round(0.2 + (at % 24) / 20 + at // 24 / 10, 3) for at in range(len(HOURS))]
DAYS_KWH = np.array(USE).reshape(-1, 24).sum(axis=1)


def comma(value: float) -> str:
    return str(value).replace(".", ",")


def told_above() -> str:
    """What is told of the whole file stands in two rows of its own, with dates and the unit."""
    head = "Identifiant PRM;Type de donnees;Date de debut;Date de fin;Grandeur physique;Unite;Pas en minutes\n"
    head += "123;Courbe de charge;01/01/2021;07/01/2021;Energie active;W;\nHorodate;Valeur\n"
    return head + "".join(f"{t.isoformat()}+01:00;{1000 * v:.0f}\n" for t, v in zip(HOURS, USE, strict=True))


def spelled_out() -> str:
    head = 'Energy Usage Information\n"For location: 1 ANY ST"\n\nEnergy consumption time period,Usage(Real energy in kilowatt-hours)\n'
    rows = (
        f"{t:%Y-%m-%d %H:%M:%S} to {t + timedelta(hours=1):%Y-%m-%d %H:%M:%S},{v}\n"
        for t, v in zip(HOURS, USE, strict=True)
    )
    return head + "".join(rows)


def with_a_number_of_the_meter() -> str:
    head = "MålepunktsID;Fra_dato;Til_dato;Mængde;Måleenhed;Kvalitet;Type\n"
    rows = (
        f"571313174;{t:%d-%m-%Y %H:%M:%S};{t + timedelta(hours=1):%d-%m-%Y %H:%M:%S};{comma(v)};KWH;Målt;Tidsserie\n"
        for t, v in zip(HOURS, USE, strict=True)
    )
    return head + "".join(rows)


def numbered_hours() -> str:
    head = "cups,fecha,hora,consumo_kWh,metodoObtencion,energiaVertida_kWh\n"
    return head + "".join(
        f"ES00X,{t:%Y/%m/%d},{t.hour + 1:02}:00,{v},Real,0\n" for t, v in zip(HOURS, USE, strict=True)
    )


def records(suffix: str = "E1", more: str = "") -> str:
    """Half hours as AEMO's NEM12 has them: half of each hour's use in both of its halves, the last day estimated."""
    rows = ["100,NEM12,202102010000,MDP1,SELLER", f"200,6001234567,E1B1,{suffix},{suffix},N1,01009,kWh,30,"]
    for day in range(6):
        values = ",".join(f"{USE[24 * day + half // 2] / 2:.4f}" for half in range(48))
        rows.append(f"300,{HOURS[24 * day]:%Y%m%d},{values},{'E52' if day == 5 else 'A'},,,20210202000000,")
    return "\r\n".join([*rows, *([more] if more else []), "900", ""])


WRITERS = (told_above, spelled_out, with_a_number_of_the_meter, numbered_hours, records)


@pytest.mark.parametrize("write", WRITERS, ids=lambda one: one.__name__)
def test_a_download_is_read_at_first_try(write) -> None:
    [found] = read_bills_csv("use.csv", content=write().encode())
    assert str(found.start_day[0]) == "2021-01-01"
    np.testing.assert_allclose(found.energy_j / KWH_J, DAYS_KWH, rtol=1e-3)


def test_meter_records_tell_what_is_estimated_and_leave_out_what_is_fed_in() -> None:
    fed_in = (
        "200,6001234567,E1B1,B1,B1,N1,01009,kWh,30,\r\n300,20210101," + ",".join(["9"] * 48) + ",A,,,20210202000000,"
    )
    [found] = read_bills_csv("use.csv", content=records(more=fed_in).encode())
    np.testing.assert_allclose(found.energy_j / KWH_J, DAYS_KWH, rtol=1e-6)
    assert found.estimated.tolist() == [False] * 5 + [True]
    assert "left out: B1, which is fed in or is no energy" in found.notes
    second = fed_in.replace("B1,B1,N1", "E2,E2,N1")
    with pytest.raises(InputError, match=r"2 meters run at the same time: '6001234567 E1' .* --meter"):
        read_bills_csv("use.csv", content=records(more=second).encode())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (records("B1"), "holds no energy taken from the grid"),
        (records().replace(",30,\r\n", ",7,\r\n"), "line 2: '200,6001234567,E1B1,E1,E1,N1,01009,kWh,7' tells no meter"),
        (records().replace(",kWh,30,", ",kWh,15,"), "line 3: holds 53 values for '20210101', and a day has 96"),
    ],
)
def test_broken_meter_records_are_one_line(text: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        read_bills_csv("use.csv", content=text.encode())
    (fault,) = caught.value.faults
    assert words in str(fault)
    assert "download the meter data" in str(fault)


def test_monthly_states_by_the_first_of_a_month_are_no_days() -> None:
    text = "Date,Meter reading (kWh)\n01/01/2021,1234.5\n01/02/2021,1400\n01/03/2021,1530\n05/04/2021,1600\n"
    [found] = read_bills_csv("use.csv", content=text.encode())
    assert found.end_day.astype(str).tolist() == ["2021-02-01", "2021-03-01", "2021-04-05"]
