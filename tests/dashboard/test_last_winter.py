"""A winter checked on the page: the same rows as on the command line, the picture in words, a house to take, plain questions."""

from __future__ import annotations

import copy
import functools
from typing import Any

import numpy as np
import pytest
from bills.houses import bills_of, winters
from dashboard.app import opened, press, said
from streamlit.testing.v1 import AppTest

from costsim import load_weather, read_study, simulate
from costsim.analysis.billed_source import billed_source
from costsim.analysis.last_winter import against_bills
from costsim.bills.read import read_bill_file
from costsim.bills.temperatures import read_temperatures
from costsim.dashboard import page_last_winter
from costsim.errors import InputError
from costsim.units.quantity import THERM_J
from costsim.views.charts_verify import verify_alt, verify_chart, verify_finding
from costsim.views.text_verify import by_bill, gap, measure_details, measures, printed_verification, verify_sentence

WEATHER = winters(years=3)
SLOPE = 1.2
"""How much more the house loses than its study says."""


@functools.cache
def weather_csv() -> bytes:
    rows = [f"{day},{row.mean():.2f}" for day, row in zip(WEATHER.days, WEATHER.outdoor_c, strict=True)]
    return "\n".join(["date,mean [degC]", *rows]).encode()


@functools.cache
def bills_csv() -> bytes:
    """Bills of the study's house, which loses more, with insulation from the twentieth on."""
    case = read_study("lantern_cottage")
    result = simulate(case, load_weather(case))
    source = billed_source(case, result, "natural_gas")
    assert source is not None
    made = bills_of(
        WEATHER, base_w=200.0, slope_w_k=SLOPE * result.lowered.loss_w_k / source.efficiency.value,
        balance_c=float(np.mean(result.lowered.balance_c)), noise=0.004, change=(18, 0.7),
    )  # fmt: skip
    rows = [f"{made.start_day[i]},{made.end_day[i]},{made.energy_j[i] / THERM_J:.3f}" for i in range(made.n_periods)]
    return "\n".join(["start,end,usage (therm)", *rows]).encode()


def uploaded(app: AppTest, *, weather: bool = True) -> AppTest:
    app.file_uploader(key="winter/bills/files/0").set_value([("gas.csv", bills_csv(), "text/csv")]).run()
    if weather:
        app.file_uploader(key="winter/bills_weather/files/0").set_value([("days.csv", weather_csv(), "text/csv")]).run()
    assert not app.exception, app.exception
    return app


def test_bills_are_read_once_while_there_is_no_weather(monkeypatch: pytest.MonkeyPatch) -> None:
    names: list[str] = []

    def read(name: str, **more: Any) -> Any:
        names.append(name)
        return read_bill_file(name, **more)

    monkeypatch.setattr(page_last_winter, "read_bill_file", read)
    app = uploaded(opened("last-winter"), weather=False)
    app.text_input(key="winter/paid").set_value("1850").run()
    assert names == ["gas.csv"]
    assert any("usage" in one.value for one in app.text)  # what was understood is still shown
    app.text_input(key="winter/unit").set_value("CCF").run()
    assert names == ["gas.csv"] * 2  # another answer reads them anew
    changed = bills_csv().replace(b"therm", b"CCF")
    app.file_uploader(key="winter/bills/files/0").set_value([("gas.csv", changed, "text/csv")]).run()
    assert len(names) == 3


@pytest.mark.long
def test_the_page_says_what_the_command_line_says_and_the_house_can_be_taken() -> None:
    case = read_study("lantern_cottage")
    result = simulate(case, load_weather(case))
    (bills,) = read_bill_file("gas.csv", content=bills_csv())
    found = against_bills(case, result, bills, read_temperatures("days.csv", content=weather_csv()))
    app = uploaded(opened("last-winter"))
    page, printed = said(app), printed_verification(found, "us", case, "next")
    assert verify_sentence(found, "us") in page
    for line in (*measures(found), *measure_details(found)):
        assert line in page
        assert line in " ".join(printed.split())
    cells = [list(frame.value.iloc[:, 0]) for frame in app.dataframe]
    assert [row[0] for row in by_bill(found, "us", "$")[1]] in cells
    assert [row[0] for row in gap(found, "us", "$")[2]] == [
        str(one).replace("\\", "") for one in app.table[0].value.index
    ]
    assert found.avoided is not None
    assert (
        f"avoided +{(found.avoided.expected_j - found.avoided.metered_j) / THERM_J:,.0f} therms".lower() in page.lower()
    )
    chart = app.get("plotly_chart")[0].proto
    assert verify_alt(found, "us") in str(chart).replace("\\", "") or verify_finding(found) in str(chart).replace(
        "<br>", " "
    )
    before = app.session_state["typed"]["house"]
    assert "heat_loss_rate" not in before
    press(app, "Use this for my house")
    house = app.session_state["typed"]["house"]
    loss = float(house["heat_loss_rate"].split()[0])
    assert loss == pytest.approx(found.fit.now.loss_w_k / 0.52752792631, rel=0.01)  # W/K in a Btu/(h °F)
    assert house["balance_point"] != before["balance_point"]


def test_a_typical_year_is_no_winter_and_what_is_wrong_is_said_with_the_fields_of_the_page() -> None:
    app = uploaded(opened("last-winter"), weather=False)
    assert "typical year, which says nothing of last winter: open the weather of the bills' own days" in said(app)
    assert not app.get("plotly_chart")
    app.file_uploader(key="winter/bills_weather/files/0").set_value([("days.csv", weather_csv(), "text/csv")]).run()
    app.text_input(key="winter/paid").set_value("a lot").run()
    assert "'What all the bills came to': 'a lot' is no amount of money" in said(app)


def test_the_picture_names_its_finding_and_both_bars_of_every_bill() -> None:
    case = read_study("lantern_cottage")
    (bills,) = read_bill_file("gas.csv", content=bills_csv())
    found = against_bills(
        case, simulate(case, load_weather(case)), bills, read_temperatures("days.csv", content=weather_csv())
    )
    figure = verify_chart(found, "us")
    metered, predicted = figure.data
    assert (metered.name, predicted.name) == ("metered", "predicted")
    assert len(metered.x) == len(set(metered.x)) == found.bills.n_periods
    np.testing.assert_allclose(metered.y, found.bills.energy_j / THERM_J, rtol=1e-5)
    np.testing.assert_allclose(predicted.y, found.predicted_j / THERM_J, rtol=1e-5)
    off = found.predicted_j.sum() / found.bills.energy_j.sum() - 1.0
    assert f"{abs(off):.0%} {'more' if off > 0 else 'less'} than was metered" in figure.layout.title.text.replace(
        "<br>", " "
    )
    worst = int(np.argmax((found.predicted_j - found.bills.energy_j) * np.sign(off)))
    assert verify_finding(found).endswith(metered.x[worst])
    assert f"{found.bills.n_periods} bills" in verify_alt(found, "us")


def test_a_change_with_too_little_before_it_is_told_and_what_else_is_known_is_shown() -> None:
    """Bills that show a change after half a year: no use avoided can be told, and the rest is no question."""
    case = read_study("lantern_cottage")
    result = simulate(case, load_weather(case))
    made = bills_of(WEATHER, base_w=200.0, slope_w_k=150.0, balance_c=15.0, noise=0.002, change=(7, 0.6))
    rows = [f"{made.start_day[i]},{made.end_day[i]},{made.energy_j[i] / THERM_J:.3f}" for i in range(made.n_periods)]
    (bills,) = read_bill_file("gas.csv", content="\n".join(["start,end,usage (therm)", *rows]).encode())
    outdoor = read_temperatures("days.csv", content=weather_csv())
    found = against_bills(case, result, bills, outdoor)
    assert found.avoided is None
    (told,) = [note for note in found.notes if "shows a change" in note or "show a change" in note]
    assert told.endswith("but too few lie before it to say what it avoided")
    with pytest.raises(InputError, match=r"--retrofit: before \S+ the bills reach over \d+ days"):
        against_bills(case, result, bills, outdoor, retrofit=str(made.start_day[7]))


@pytest.mark.long
def test_bills_of_another_fuel_than_todays_ask_which_heater_used_them_as_house_does() -> None:
    """Electricity heats today and gas is only proposed: the usual 82 % and a question, until an efficiency or the option is told."""
    app = opened("last-winter")
    study = copy.deepcopy(app.session_state["typed"])
    study["option"][0]["today"] = True
    app.session_state["typed"] = study
    page = said(uploaded(app.run()))
    assert "Your house heats with electricity; these bills count natural gas. Which heater used it?" in page
    assert "Tell its efficiency with 'Efficiency of a season'; until then 82%, 72% to 92%, is assumed" in page
    assert "--efficiency" not in page
    assert "(a heater of 82%)" in page
    app.text_input(key="winter/share").set_value("90 %").run()
    page = said(app)
    assert "(a heater of 90%)" in page
    assert "Which heater used it?" not in page
    app.text_input(key="winter/share").set_value("").run()
    app.selectbox(key="winter/option").set_value("Natural gas").run()
    page = said(app)
    assert "('Natural gas')" in page
    assert "Which heater used it?" not in page
