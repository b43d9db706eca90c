"""Weather tables of services and loggers that no layout is known for: read with `--map`, by their own dates, never as a typical year."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from weather.layouts import hours, truth

from costsim.bills.temperatures import read_temperatures
from costsim.errors import InputError
from costsim.weather.columns import mapping_of

YEAR, TRUE = hours("2021-01-01"), truth()


def rows(head: str, row: Callable[[np.datetime64, float], str]) -> bytes:
    return (head + "\n" + "".join(f"{row(t, v)}\n" for t, v in zip(YEAR, TRUE, strict=True))).encode()


def text(time: np.datetime64) -> str:
    return str(time)[:16].replace("T", " ")


def digits(time: np.datetime64) -> str:
    return str(time)[:13].replace("-", "").replace("T", "")


TABLES = {
    "digits under a heading of their own": (
        rows("POSTE;NOM;LAT;LON;ALTI;AAAAMMJJHH;RR1;T;QT", lambda t, v: f"07005000;HILL;50.1;1.8;69;{digits(t)};0.0;{v:.1f};1"),
        "temp=T [degC]",
    ),
    "an offset and a word behind the time": (
        rows("dt_iso,city,temp,temp_min,temp_max", lambda t, v: f"{text(t)}:00 +0000 UTC,HILL,{v + 273.15:.2f},0,0"),
        "temp=temp [degK]",
    ),
    "headings below lines of another table": (
        rows("Stationsnamn;Klimatnummer\nHILL;97\n\nDatum;Tid (UTC);Lufttemperatur;Kvalitet", lambda t, v: f"{text(t)[:10]};{text(t)[11:]}:00;{v:.1f};G"),
        "temp=Lufttemperatur [degC]",
    ),
    "a logger with a title and numbered rows": (
        rows('Plot Title: garden\n#,"Date Time, GMT-05:00","Temp, C (LGR 1)"', lambda t, v: f"1,{text(t)}:00,{v:.1f}"),
        "temp=Temp, C (LGR 1) [degC]",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TABLES)
def test_a_table_without_a_layout_is_asked_for_its_temperature_and_read_by_its_dates(name: str) -> None:
    raw, answer = TABLES[name]
    with pytest.raises(InputError) as caught:
        read_temperatures("w.csv", content=raw)
    (fault,) = caught.value.faults
    assert "--map" in str(fault)
    found = read_temperatures("w.csv", content=raw, mapping=mapping_of([answer]))
    assert not found.typical
    assert str(found.first_day) == "2021-01-01"
    np.testing.assert_allclose(found.outdoor_c, TRUE.reshape(-1, 24), atol=6e-3)


def test_a_year_of_rows_without_dates_is_said_to_be_one() -> None:
    raw = ("outdoor [degC],ghi\n" + "".join(f"{v:.1f},\n" for v in TRUE)).encode()
    notes = read_temperatures("w.csv", content=raw.replace(b",ghi", b",remark")).notes
    assert any("no column of dates was found: rows are taken as the hours of a year" in note for note in notes)
