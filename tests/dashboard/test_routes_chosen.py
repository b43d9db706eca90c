"""House: another route to the heat loss is chosen, and nothing of the first is lost."""

from __future__ import annotations

import copy

import pytest
from dashboard.app import opened


@pytest.mark.long
def test_another_route_is_chosen_and_the_first_stays() -> None:
    app = opened("house", study="lantern_cottage")
    assert not [one for one in app.radio if one.label == "Which one counts"]  # one answer alone
    app.session_state["typed"]["house"]["heat_loss_per_area"] = "20 Btu/(h ft2)"
    app.run()
    (radio,) = (one for one in app.radio if one.label == "Which one counts")
    before = copy.deepcopy(app.session_state["typed"]["house"])
    assert radio.value != "area"
    radio.set_value("area").run()
    assert not app.exception
    assert app.session_state["typed"]["house"] == before | {"load_from": "area"}
