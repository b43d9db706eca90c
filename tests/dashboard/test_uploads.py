"""Every upload takes what its reader takes, whatever the file is called; what stays open is one choice on the page itself."""

from __future__ import annotations

import gzip
import io
import zipfile
from typing import Any

import numpy as np
import openpyxl
import pytest
from bills.test_strangers import ASKED
from dashboard.app import SCRIPT, opened, press, said, turn
from dashboard.test_last_winter import bills_csv, weather_csv
from streamlit.testing.v1 import AppTest

from costsim.weather import read_weather

HOURS = np.arange("2023-01-01T00", "2024-01-01T00", dtype="datetime64[h]")
OUTDOOR = np.round(
    8.0 - 12.0 * np.cos(2 * np.pi * np.arange(8760) / 8760.0) - 3.0 * np.cos(2 * np.pi * np.arange(8760) / 24.0), 1
)


def hourly(head: str, row: Any = None) -> str:
    row = row or (lambda time, value: f"{time},{value}")
    return "\n".join(
        [head, *(row(str(time).replace("T", " ") + ":00", value) for time, value in zip(HOURS, OUTDOOR, strict=True))]
    )


def zipped(name: str, text: str) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr(name, text)
    return stream.getvalue()


def workbook(text: str) -> bytes:
    book, stream = openpyxl.Workbook(), io.BytesIO()
    assert book.active is not None
    for line in text.split("\n"):
        book.active.append([_cell(cell) for cell in line.split(",")])
    book.save(stream)
    return stream.getvalue()


def _cell(text: str) -> Any:
    try:
        return float(text)
    except ValueError:
        return text


def page_of(text: str) -> bytes:
    rows = "".join(f"<tr><td>{line.replace(',', '</td><td>')}</td></tr>" for line in text.split("\n"))
    return f"<html><table>{rows}</table></html>".encode()


FORMS = {
    "station.csv.gz": lambda text: gzip.compress(text.encode()),
    "station.zip": lambda text: zipped("station.csv", text),
    "station.txt": lambda text: text.replace(",", "\t").encode(),
    "station.xlsx": workbook,
    "station.xls": page_of,
}


def first_and_long(*values: Any) -> list[Any]:
    """Cases of which the first alone is tried outside the long suite."""
    return [
        values[0],
        *(pytest.param(*(one if isinstance(one, tuple) else (one,)), marks=pytest.mark.long) for one in values[1:]),
    ]


def house(*parts: str) -> AppTest:
    """The House page with some of its parts open."""
    app = AppTest.from_file(str(SCRIPT), default_timeout=90)
    for part in parts:
        app.session_state[f"house/{part}"] = True
    return turn(app, "house")


def drop(app: AppTest, key: str, *files: tuple[str, bytes]) -> AppTest:
    """Drop files into the upload whose key begins so."""
    box = next(one for one in app.get("file_uploader") if str(one.key).startswith(key))
    box.set_value(
        [(name, raw, "") for name, raw in files] if len(files) > 1 or key != "envelope" else (*files[0], "")
    ).run()
    assert not app.exception, app.exception
    return app


def choose(app: AppTest, question: str, answer: str) -> AppTest:
    """Answer the one question of the page."""
    (asked,) = [one for one in app.radio if one.label == question]
    asked.set_value(answer).run()
    assert not app.exception, app.exception
    assert not [one for one in app.radio if one.label == question]
    return app


@pytest.mark.parametrize("name", first_and_long(*FORMS))
def test_a_study_s_weather_is_any_download(name: str) -> None:
    text = hourly("time,temp,dwpt,rhum", lambda time, value: f"{time},{value},1,50")
    app = drop(house(), "weather_file", (name, FORMS[name](text)))
    assert app.session_state["typed"]["place"]["weather"] == name
    assert read_weather(name, content=app.session_state["opened"][name]).outdoor_c.mean() == pytest.approx(
        OUTDOOR.mean(), abs=0.05
    )


@pytest.mark.long
def test_what_a_study_s_weather_leaves_open_is_asked_on_the_page() -> None:
    rows = hourly("when,north side,south side", lambda time, value: f"{time},{value},{value + 2}")
    app = drop(house(), "weather_file", ("logger.csv", rows.encode()))
    assert app.session_state["typed"]["place"]["weather"] == "greensboro.csv"
    choose(app, "Which column is the outdoor temperature?", "north side")
    choose(app, "In which unit are the temperatures?", "degC")
    assert app.session_state["typed"]["place"]["weather"] == "logger as read.csv"
    made = read_weather("x.csv", content=app.session_state["opened"]["logger as read.csv"])
    assert made.outdoor_c.mean() == pytest.approx(OUTDOOR.mean(), abs=0.05)
    drop(app, "weather_file", ("scan.pdf", b"%PDF-1.7 x"))
    assert "scan.pdf: is a PDF, which is made to be looked at; download it as CSV" in said(app)


@pytest.mark.long
def test_two_fuels_are_one_choice_on_both_pages_of_bills() -> None:
    head, *rows = ASKED["two fuels below merged headings"][0].split("\n")[1:]
    raw = "\n".join([f"{head},Low Temp (F)", *(f"{row},41" for row in rows)]).encode()  # which is no weather for that
    for app, key, place in (
        (house("bills"), "bills/files", "bills"),
        (opened("last-winter"), "winter/bills/files", "winter"),
    ):
        if place == "winter":
            drop(app, "winter/bills_weather/files", ("days.csv", weather_csv()))
        drop(app, key, ("both.csv", raw))
        assert "both.csv: 'Therms' and 'kWh' can each be the use." in said(app)
        choose(app, "Which fuel heats the house?", "natural_gas")
        assert app.selectbox(key=f"{place}/fuel").value == "natural_gas"
        assert "can each be the use" not in said(app)


@pytest.mark.parametrize(
    "pack", first_and_long(gzip.compress, lambda raw: zipped("g.csv", raw.decode()), lambda raw: workbook(raw.decode()))
)
def test_bills_and_their_weather_come_packed(pack: Any) -> None:
    app = drop(opened("last-winter"), "winter/bills/files", ("gas.bin", pack(bills_csv())))
    drop(app, "winter/bills_weather/files", ("days.bin", pack(weather_csv())))
    assert "How well the study fits" in [one.value for one in app.header]


def test_several_stations_of_the_bills_weather_are_a_choice() -> None:
    lines = weather_csv().decode().split("\n")
    both = "\n".join([f"station,{lines[0]}", *(f"{name},{line}" for line in lines[1:] for name in ("Hill", "Valley"))])
    app = drop(opened("last-winter"), "winter/bills/files", ("gas.csv", bills_csv()))
    drop(app, "winter/bills_weather/files", ("both.csv", both.encode()))
    choose(app, "Which station?", "Valley")
    assert "How well the study fits" in [one.value for one in app.header]
    assert "Read as you answered: Valley." in said(app)
    press(app, "Ask again")
    assert [one for one in app.radio if one.label == "Which station?"]


HPXML = """<HPXML xmlns="http://hpxmlonline.com/2019/10" schemaVersion="3.0">{}</HPXML>"""
BUILDING = """<Building><BuildingID id="{}"/><ProjectStatus><EventType>audit</EventType></ProjectStatus><BuildingDetails><Enclosure><Walls><Wall>
<SystemIdentifier id="w"/><ExteriorAdjacentTo>outside</ExteriorAdjacentTo><Area>{}</Area><Insulation><AssemblyEffectiveRValue>12.5
</AssemblyEffectiveRValue></Insulation></Wall></Walls></Enclosure></BuildingDetails></Building>"""
LIST = "name,area [ft2],u_value [Btu/(h ft2 degF)]\nWalls,1000,0.08\nRoof,900,0.04"


@pytest.mark.parametrize(
    ("name", "raw"),
    first_and_long(
        ("walls.xlsx", workbook(LIST)),
        ("walls.csv", LIST.encode()),
        ("house.zip", zipped("h.xml", HPXML.format(BUILDING.format("a", 1000)))),
    ),
)
def test_the_envelope_comes_from_a_file(name: str, raw: bytes) -> None:
    app = drop(house("surfaces"), "envelope", (name, raw))
    press(app, "Use this envelope")
    typed = app.session_state["typed"]["house"]
    assert typed["load_from"] == "envelope"
    assert [one["area"] for one in typed["surface"]] == (
        ["1000 ft2"] if name == "house.zip" else ["1000 ft2", "900 ft2"]
    )


@pytest.mark.long
def test_several_buildings_are_a_choice_and_what_is_none_is_one_sentence() -> None:
    raw = HPXML.format(BUILDING.format("front", 1000) + BUILDING.format("back", 800)).encode()
    app = choose(drop(house("surfaces"), "envelope", ("two.xml", raw)), "Which building?", "back")
    press(app, "Use this envelope")
    assert [one["area"] for one in app.session_state["typed"]["house"]["surface"]] == ["800 ft2"]
    drop(app, "envelope", ("plan.pdf", b"%PDF-1.7 x"))
    assert "plan.pdf: is a PDF" in said(app)


def test_a_file_that_is_no_study_is_one_sentence() -> None:
    app = drop(opened("house"), "upload", ("plan.xml", HPXML.format(BUILDING.format("a", 1)).encode()))
    assert "plan.xml: is a building, not a study; open it on the House page" in said(app)
    drop(app, "upload", ("gas.csv", bills_csv()))
    assert "gas.csv: is no saved study; open a .toml or .zip that this program saved" in said(app)


@pytest.mark.parametrize(
    "pack",
    first_and_long(gzip.compress, lambda raw: zipped("street.csv", raw.decode()), lambda raw: raw.replace(b",", b"\t")),
)
def test_a_table_of_homes_comes_packed_or_parted_by_tabs(pack: Any) -> None:
    table = b"Home,Heat loss [kW]\nFirst,6.1\nSecond,7.2\n"
    app = drop(opened("many-homes"), "homes/files", ("street.bin", pack(table)))
    assert "2 homes computed, 0 set aside and in no total." in said(app)


def test_the_order_of_day_and_month_is_one_choice() -> None:
    rows = [
        f"01/{month:02}/2024,{use}" for month, use in enumerate((140, 120, 100, 60, 30, 15, 12, 12, 20, 50, 90, 125), 1)
    ]
    app = drop(house("bills"), "bills/files", ("gas.csv", "\n".join(["date,therms", *rows]).encode()))
    assert "can be read as 2024-02-01 or as 2024-01-02" in said(
        app
    ) or "can be read as 2024-01-02 or as 2024-02-01" in said(app)
    choose(app, "In which order are dates written?", "dmy")
    assert app.selectbox(key="bills/order").value == "dmy"
    assert "can be read as" not in said(app)


def test_files_in_each_other_s_box_are_told_on_last_winter() -> None:
    app = drop(opened("last-winter"), "winter/bills/files", ("gas.csv", bills_csv()))
    drop(app, "winter/bills_weather/files", ("gas.csv", bills_csv()))
    assert "gas.csv looks like bills, not weather. Drop it in the other box." in said(app)
    assert not app.radio
    drop(app, "winter/bills_weather/files", ("days.csv", weather_csv()))
    drop(app, "winter/bills/files", ("days.csv", weather_csv()))
    assert "days.csv looks like weather, not bills. Drop it in the other box." in said(app)
