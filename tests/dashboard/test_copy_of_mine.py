"""Two variants of one's own study stand side by side: a copy is kept, the study changed on any page."""

from __future__ import annotations

import pytest
from dashboard.app import field, opened, press, said, turn


@pytest.mark.long
def test_a_kept_copy_is_compared_with_what_was_changed_since() -> None:
    app = opened("two-studies", study="your_house", persona="household")
    assert "Forget the copy" not in [one.label for one in app.button]
    press(app, "Keep a copy of mine as it is now")
    assert "A copy is kept." in said(app)
    assert not app.dataframe
    turn(app, "house")
    field(app, "Thermostat setting").set_value("65").run()
    turn(app, "two-studies")
    assert "beside the copy you kept of it" in said(app)
    assert app.session_state["typed"]["house"]["indoor_temperature"] == "65 degF"
    costs, differing = (one.value for one in app.dataframe)
    # a colder room needs less heat, whatever heats it
    assert (costs[costs.columns[3]] > 0).all()
    thermostat = [str(one)[:2] for one in differing.set_index("entry").loc["Thermostat setting"]]
    assert thermostat == ["65", "70"]
    press(app, "Forget the copy")
    assert not app.dataframe
