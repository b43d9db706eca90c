"""A house of one's own: sizes that follow it, and the files that travel with it."""

from __future__ import annotations

import pytest
from dashboard.app import field, opened, press, said, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard.link import packed
from costsim.study_files import StudyFiles

BILLS = b"start,end,usage (therm)\n2024-01-01,2024-02-01,90\n"


def begun() -> AppTest:
    """A house begun by the five questions."""
    app = opened("start")
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    app.text_input(key="start/area").set_value("1500").run()
    next(one for one in app.button if one.label == "Show my answer").click().run()
    return turn(app, "house")


def sizes(app: AppTest) -> list[str]:
    sources = [source for one in app.session_state["typed"]["option"] for source in one["source"]]
    return [str(source.get("output") or source["outputs"]) for source in sources]


@pytest.mark.long
def test_sizes_follow_the_house_until_they_are_typed_and_one_undo_takes_both_back() -> None:
    app = begun()
    first = sizes(app)
    field(app, "Heated floor area").set_value("3000").run()
    larger = sizes(app)
    assert all(after != before for before, after in zip(first, larger, strict=True))
    press(app, "Undo")
    assert sizes(app) == first
    assert app.session_state["typed"]["house"]["floor_area"].startswith("1500")
    turn(app, "sources")
    app.session_state["source/option[1].source[1]"] = True
    app.run()
    assert "follows the house" in said(app)
    output = next(one for one in app.text_input if str(one.key).endswith("option[1].source[1].output"))
    output.set_value("90 kBtu/h").run()
    turn(app, "house")
    field(app, "Heated floor area").set_value("3000").run()
    assert sizes(app) == ["90 kBtu/h", *larger[1:]]


@pytest.mark.long
def test_bills_stay_with_the_study_and_a_link_says_what_it_lacks() -> None:
    app = begun()
    app.session_state["house/bills"] = True
    app.run()
    app.file_uploader(key="bills/files/0").set_value([("gas.csv", BILLS, "text/csv")]).run()
    turn(app, "decide")
    assert app.session_state["papers"] == {"bills": {"gas.csv": BILLS}}
    assert app.query_params["with"] == "bills:gas.csv"
    assert "A link does not carry gas.csv" in said(app)
    again = opened("decide", study=packed(app.session_state["typed"]), **{"with": "bills:gas.csv"})
    assert "made with gas.csv (bills), which a link does not carry" in said(again)


@pytest.mark.long
def test_a_link_without_its_weather_asks_for_the_file_and_answers_once_it_is_there() -> None:
    data = dict(begun().session_state["typed"])
    data["place"] = {"weather": "my_town.csv"}
    app = opened("decide", study=packed(data))
    assert not app.metric

    content = StudyFiles().read("greensboro.csv", "place.weather")
    next(one for one in app.file_uploader if one.label == "Open my\\_town.csv").set_value(
        ("x.csv", content, "text/csv")
    ).run()
    assert app.metric
