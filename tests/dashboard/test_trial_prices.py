"""A price that a slider tries is told as a trial everywhere, and neither saved, linked nor printed."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import field, opened, press, said, slide, turn

from costsim.dashboard import what_if
from costsim.dashboard.link import unpacked
from costsim.study.case import parse_study, read_study, write_study


def slid(value: float) -> tuple[Any, str]:
    """The first page with its first price moved, and the key of that price."""
    app = opened("decide")
    return app, slide(app, "what-if/", value)


@pytest.mark.long
def test_a_tried_price_is_told_on_every_page_and_leaves_link_file_and_paper_alone(monkeypatch: Any) -> None:
    printed: list[dict[str, Any]] = []
    monkeypatch.setattr(
        "costsim.dashboard.parts_report.hand_over", lambda answer, *_: printed.append(dict(answer.case.typed))
    )
    saved: list[str] = []
    monkeypatch.setattr(
        "costsim.dashboard.files_of_study.write_study", lambda data: saved.append(text := write_study(data)) or text
    )
    app, key = slid(0.8)
    paid = read_study("lantern_cottage").typed["prices"][key]["energy"]
    now = app.session_state["typed"]["prices"][key]["energy"]
    assert now != paid
    for page in ("reports", "house"):
        text = said(turn(app, page))
        assert "Trying " in text
        assert "you pay " in text
    assert "(today" not in said(turn(app, "decide"))
    assert app.query_params["study"] in ("lantern_cottage", ["lantern_cottage"])
    assert printed[-1]["prices"][key]["energy"] == paid
    assert parse_study(saved[-1].encode())["prices"][key]["energy"] == paid
    press(app, "Keep these prices")
    assert "Trying " not in said(app)
    code = app.query_params["study"]
    assert unpacked(code if isinstance(code, str) else code[0])["prices"][key]["energy"] == now
    # back to what is paid, and a price that is typed, end a trial
    slide(app, f"/{key} ", 1.1)
    assert "Trying " in said(app)
    press(app, "As in the study")
    assert "Trying " not in said(app)
    press(app, "Undo")
    assert "Trying " in said(app)
    app.session_state["typed"]["prices"][key]["energy"] = paid
    app.run()
    assert "Trying " not in said(app)


@pytest.mark.long
def test_a_slider_stops_at_round_prices_and_at_the_study_s_own_which_comes_back_letter_by_letter() -> None:
    app = opened("decide")
    app.session_state["typed"]["prices"]["natural_gas"]["energy"] = "$1.373/therm"
    app.run()
    slider = next(one for one in app.select_slider if "Natural gas" in one.label)
    stops = [float(one) for one in slider.options]
    assert {0.7, 0.75, 1.0, 1.373, 1.5, 2.0, 2.5} <= set(stops)
    assert (min(stops), max(stops)) == (0.69, 2.74)  # half and twice the price, 0.687 and 2.746, within whole cents
    slide(app, "Natural gas", 1.5 / 1.373)
    assert app.session_state["typed"]["prices"]["natural_gas"]["energy"] == "1.5 $/therm"
    assert "Trying " in said(app)
    slide(app, "Natural gas", 1.373 / 1.5)
    assert app.session_state["typed"]["prices"]["natural_gas"]["energy"] == "$1.373/therm"
    assert "Trying " not in said(app)
    slide(app, "Natural gas", 0.8)
    press(app, "As in the study")
    assert app.session_state["typed"]["prices"]["natural_gas"]["energy"] == "$1.373/therm"


@pytest.mark.long
def test_a_value_in_the_other_system_stands_in_the_reader_s_unit_and_stays_what_it_was() -> None:
    app = opened("house", study="lantern_cottage", units="us")
    assert app.session_state["typed"]["house"]["design_heat_loss"] == "7.6 kW"
    assert field(app, "Design heat loss").value == "25.93"  # 7.6 kW / 0.29307107 kW per kBtu/h
    # who types a unit sees that unit
    field(app, "Design heat loss").set_value("8 kW").run()
    assert field(app, "Design heat loss").value == "8"
    assert app.session_state["typed"]["house"]["design_heat_loss"] == "8 kW"


@pytest.mark.long
def test_a_price_is_typed_beside_its_slider_which_then_stops_at_it() -> None:
    app = opened("decide")
    app.session_state["typed"]["prices"]["natural_gas"]["energy"] = "$1.37/therm"
    app.run()
    next(one for one in app.number_input if "Natural gas" in one.label).set_value(3.0).run()
    assert not app.exception, app.exception
    assert app.session_state["typed"]["prices"]["natural_gas"]["energy"] == "3 $/therm"
    assert next(one for one in app.select_slider if "Natural gas" in one.label).value == 3.0
    assert "Trying " in said(app)
    next(one for one in app.number_input if "Natural gas" in one.label).set_value(1.37).run()
    assert app.session_state["typed"]["prices"]["natural_gas"]["energy"] == "$1.37/therm"
    assert "Trying " not in said(app)


def test_a_box_that_sends_what_it_was_drawn_with_takes_nothing_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """While the slider moves fast, the box of the price before it is still there and sends that price; only another one was typed."""
    heard: list[float] = []
    sent = {"box": 1.22}
    monkeypatch.setattr(what_if, "_slid", lambda key, unit, box, own: heard.append(sent[box]))
    monkeypatch.setattr(what_if.st, "session_state", sent)
    what_if._typed("natural_gas", "$/therm", "box", 1.22, 1.22)
    assert heard == []
    sent["box"] = 1.4
    what_if._typed("natural_gas", "$/therm", "box", 1.22, 1.22)
    assert heard == [1.4]
