"""What is typed in the five questions and not yet used survives a reload, and goes once the study has changed."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import again, opened, press, turn
from streamlit.testing.v1 import AppTest

from costsim.dashboard import answers, state
from costsim.dashboard.link import MOST_CODE, packed, unpacked


def form(app: AppTest) -> dict[str, Any]:
    """Fields of the five questions as they are filled in."""
    found = {str(one.key): one.value for one in (*app.text_input, *app.selectbox)}
    return {key: value for key, value in found.items() if key.startswith("start/")}


def query(app: AppTest, key: str) -> str:
    """One word of the page's address."""
    found = app.query_params.get(key, "")
    return str(found[0] if isinstance(found, list) else found)


@pytest.mark.long
def test_the_last_field_too_comes_back_after_a_reload_and_from_another_page() -> None:
    app = opened("start")
    assert not query(app, "draft")
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    app.text_input(key="start/area").set_value("1,750").run()
    app.text_input(key="start/used").set_value("780 gallons last winter").run()
    draft = unpacked(query(app, "draft"))["answers"]
    assert (draft["start/area"], draft["start/used"]) == ("1,750", "780 gallons last winter")
    assert len(query(app, "draft")) < 600
    assert not query(app, "answers")  # they are no answers of the invented house
    first = form(app)
    reloaded = again(app, "start")
    assert form(reloaded) == first
    assert form(turn(turn(reloaded, "decide"), "start")) == first
    assert form(turn(again(turn(app, "decide"), "decide"), "start")) == first


@pytest.mark.long
def test_beside_a_study_of_ones_own_only_what_it_does_not_say_is_a_draft() -> None:
    app = opened("start")
    app.selectbox(key="start/place").set_value("greensboro.csv").run()
    app.text_input(key="start/area").set_value("1500").run()
    press(app, "Show my answer")
    turn(app, "decide")
    assert not query(app, "draft")
    turn(app, "start")
    app.text_input(key="start/area").set_value("1750").run()
    assert unpacked(query(app, "draft"))["answers"]["start/area"].startswith("1750")
    reloaded = again(app, "start")
    assert form(reloaded)["start/area"] == "1750"
    assert reloaded.session_state["typed"]["house"]["floor_area"] == "1500 ft2"
    # what is changed elsewhere since is newer than the draft
    study = dict(unpacked(query(app, "study")))
    study["house"] = study["house"] | {"floor_area": "1600 ft2"}
    app.session_state["typed"] = study
    turn(app, "decide")
    assert not query(app, "draft")
    assert form(turn(app, "start"))["start/area"].startswith("1,600")
    # used, it is none any more; taken back, the form is that of the study
    app.text_input(key="start/area").set_value("1900").run()
    press(app, "Show my answer")
    turn(app, "decide")
    assert not query(app, "draft")
    press(app, "Undo")
    assert form(turn(app, "start"))["start/area"].startswith("1,600")


@pytest.mark.long
def test_the_study_is_packed_no_more_than_once_a_rerun_and_one_too_long_for_a_link_ends_its_draft_too(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The address, twice a rerun, and the draft, three times, all ask what the study is by now."""
    made: list[str] = []

    def counted(data: dict[str, Any]) -> str:
        made.extend(["study"] if "house" in data else [])
        return packed(data)

    monkeypatch.setattr(state, "packed", counted)
    monkeypatch.setattr(answers, "packed", counted)
    app = opened("start")
    assert not made  # an invented house stands in the address by its name
    app.session_state["typed"] = app.session_state["typed"] | {"title": "Changed"}
    app.run()
    assert made == ["study"]
    app.text_input(key="start/area").set_value("1,750").run()
    assert made == ["study"]
    assert query(app, "draft")
    app.session_state["study_name"] = "my_house"
    app.session_state["typed"] = app.session_state["typed"] | {"note": " ".join(map(str, range(MOST_CODE)))}
    app.run()
    app.text_input(key="start/area").set_value("1,800").run()
    assert made == ["study"] * 2
    assert query(app, "draft")
    assert not query(app, "study")
    app.session_state["typed"] = app.session_state["typed"] | {"title": "Changed again"}
    turn(app, "decide")
    assert not query(app, "draft")


@pytest.mark.long
@pytest.mark.parametrize(
    "code",
    [
        "cut off",
        packed({"answers": {"start/now": "perpetual motion", "start/area": {"a": 1}, "persona": "x", "start/used": "9" * 999}}),
        packed({"answers": []}),
        packed({}),
    ],
)  # fmt: skip
def test_nonsense_in_a_link_is_no_draft(code: str) -> None:
    app = opened("start", draft=code)
    assert not app.exception
    assert (form(app)["start/area"], form(app)["start/used"]) == ("", "")
    assert "persona" not in app.session_state["answers"]
