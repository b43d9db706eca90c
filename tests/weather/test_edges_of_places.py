"""What a year of weather takes from its file's head, what it leaves out without it, and how packed files tell their station."""

from __future__ import annotations

import io
import math
import zipfile
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.weather.hours import Hours
from costsim.weather.record import Record
from costsim.weather.unpack import unpacked
from costsim.weather.year_weather import _check_outdoor, _undated, assembled

OUTDOOR, SUN = np.full(8760, 5.0), np.zeros(8760)
PLACE = {"latitude_deg": 47.0, "longitude_deg": 15.0, "altitude_m": 400.0, "utc_offset_h": 1.0}


def record(columns: dict[str, Any], **more: Any) -> Record:
    return Record("T", "S", "made", None, columns, **more)


def test_a_year_takes_what_its_head_states_and_tells_the_rest() -> None:
    whole = record(
        {"outdoor": OUTDOOR, "ghi": SUN, "dni": SUN, "dhi": SUN, "wind": SUN},
        **PLACE,
        facts={"design_99_c": -16.0, "synthetic": True, "years": (1999,)},
    )
    year = assembled(whole, whole.columns, "f", (2020,), ["told"])
    assert (year.latitude_deg, year.longitude_deg, year.altitude_m, year.utc_offset_h) == (47.0, 15.0, 400.0, 1.0)
    assert (year.design_99_c, year.synthetic, year.years, year.title, year.station) == (-16.0, True, (1999,), "T", "S")
    assert year.notes == ("told",)
    assert all(getattr(year, name) is not None for name in ("ghi_w_m2", "dni_w_m2", "dhi_w_m2", "wind_m_s"))
    assert not year.outdoor_c.flags.writeable
    bare = assembled(record({"outdoor": OUTDOOR}), {"outdoor": OUTDOOR}, "f", (2020, 2021), [])
    assert (bare.altitude_m, bare.years, bare.synthetic) == (0.0, (2020, 2021), False)
    assert bare.notes == (
        "the file does not state its altitude: sea level is taken unless place.altitude says otherwise",
    )
    one = record({"outdoor": OUTDOOR, "ghi": SUN}, **PLACE)
    assert "split from the global by Erbs's correlation" in assembled(one, one.columns, "f", (), []).notes[0]


@pytest.mark.parametrize("key", ["latitude", "longitude", "utc_offset"])
def test_radiation_counts_only_where_its_place_is_known(key: str) -> None:
    name = next(one for one in PLACE if one.startswith(key))
    lost = record({"outdoor": OUTDOOR, "ghi": SUN, "dni": SUN, "dhi": SUN}, **(PLACE | {name: math.nan}))
    year = assembled(lost, lost.columns, "f", (), [])
    assert year.ghi_w_m2 is year.dni_w_m2 is year.dhi_w_m2 is None
    assert f"add lines '# {key}: " in " ".join(year.notes)
    assert "radiation was left out" in " ".join(year.notes)
    with pytest.raises(InputError, match=f"# {key}: is missing, and radiation cannot be used without it"):
        _undated(lost, "f")
    plain = record({"outdoor": OUTDOOR}, **(PLACE | {name: math.nan}))
    assert _undated(plain, "f").outdoor_c.tolist() == OUTDOOR.tolist()


def test_wrong_columns_and_places_are_told_together() -> None:
    wrong = record({"outdoor": OUTDOOR[:-1]}, **(PLACE | {"latitude_deg": 91.0}), facts={"design_99_c": 41.0})
    with pytest.raises(InputError) as caught:
        assembled(wrong, wrong.columns, "f", (), [])
    said = str(caught.value)
    assert all(part in said for part in ("91 cannot be", "41 cannot be", "8,759"))
    for value, good in ((-90.0, True), (60.0, True), (-90.1, False), (60.1, False)):
        values = np.zeros(30)
        values[[7, 9]] = value
        hours = Hours(np.datetime64("2023-01-01T00", "h"), {"outdoor": values})
        if good:
            _check_outdoor(hours, "f")
        else:
            with pytest.raises(
                InputError, match=rf"2 values lie outside -90 to 60 degC, first {value} at 2023-01-01T07:00"
            ):
                _check_outdoor(hours, "f")
    with pytest.raises(InputError, match="not one value can be read"):
        _check_outdoor(Hours(np.datetime64("2023-01-01T00", "h"), {"outdoor": np.full(9, np.nan)}), "f")


def packed(**files: str) -> bytes:
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as archive:
        for name, body in files.items():
            archive.writestr(name.replace("__", "."), body)
    return raw.getvalue()


def test_a_packed_station_stands_where_it_stood_last() -> None:
    head = "Stations_id;Stationshoehe;Geogr.Breite;Geogr.Laenge;von"
    about = f"{head}\n1;400.5;47.5;12.5;1990\n1;x;48.25;13.75;2001\n"
    content, name = unpacked(packed(produkt_tu__txt="a;b", Metadaten_Geographie_1__txt=about), "z.zip")
    assert (content.decode(), name) == ("# latitude: 48.25\n# longitude: 13.75\na;b", "z.zip/produkt_tu.txt")
    assert unpacked(packed(produkt_tu__txt="a;b", Metadaten_Geographie_1__txt=head + "\n"), "z.zip")[0] == b"a;b"
    assert unpacked(packed(a__csv="a;b", readme__txt="x"), "z.zip") == (b"a;b", "z.zip/a.csv")
    assert unpacked(packed(a__csv="a;b", b__epw="LOCATION,x"), "z.zip")[1] == "z.zip/b.epw"
    assert unpacked(b"plain", "p.csv") == (b"plain", "p.csv")
    with pytest.raises(InputError, match=r"holds 2 tables of weather: a\.csv, b\.csv"):
        unpacked(packed(a__csv="1", b__csv="2"), "z.zip")
    with pytest.raises(InputError, match="holds no table of weather"):
        unpacked(packed(readme__txt="1", b__epw="not one"), "z.zip")
