"""Who reads stays with a saved study, and answers that somebody types are not taken for another reader's example."""

from __future__ import annotations

import pytest
from dashboard.app import opened

from costsim.dashboard import answers
from costsim.dashboard.answers import LINE, READER_LINE, code_in


def test_a_study_saved_alone_says_who_reads_it_beside_its_answers() -> None:
    saved = f'title = "A house"\n\n{READER_LINE}installer\n{LINE}abc\n'.encode()
    assert code_in(saved, READER_LINE) == "installer"
    assert code_in(saved) == "abc"
    assert code_in(b'title = "A house"\n', READER_LINE) == ""


@pytest.mark.parametrize(
    ("kept", "begun"),
    [
        ({"start/now": "gas", "start/place": "greensboro.csv", "start/insulation": "some", "start/area": ""}, False),
        ({"start/area": "2200"}, True),
        ({"start/quote/propane": "9500"}, True),
        ({"start/considered": ["propane"]}, True),
        ({"start/considered": []}, False),
    ],
)
def test_answers_have_begun_once_a_figure_is_typed(
    kept: dict[str, object], begun: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(answers, "answers", lambda: kept)
    assert answers.begun() is begun


@pytest.mark.long
def test_another_reader_leaves_begun_answers_beside_the_study_they_began_with() -> None:
    app = opened("start")
    app.text_input(key="start/area").set_value("2200").run()
    app.selectbox(key="persona").set_value("installer").run()
    assert not app.exception
    assert app.session_state["study_name"] == "lantern_cottage"
    assert app.text_input(key="start/area").value == "2200"


@pytest.mark.long
def test_the_reader_of_a_saved_study_comes_back_with_it() -> None:
    app = opened("house")
    app.session_state["persona_saved"] = "installer"
    app.run()
    assert app.selectbox(key="persona").value == "installer"
    assert app.query_params["persona"] in ("installer", ["installer"])
    app.session_state["persona_saved"] = "nobody"
    app.run()
    assert app.selectbox(key="persona").value == "installer"
