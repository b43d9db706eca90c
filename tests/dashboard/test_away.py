"""Days away are typed on House as one would say them: read, shown back, asked about and refused in one place."""

from __future__ import annotations

from typing import Any

import pytest
from dashboard.app import field, opened, press, said
from streamlit.testing.v1 import AppTest

LABEL = "Away for a while"


def typed(app: AppTest, text: str) -> Any:
    field(app, LABEL).set_value(text).run()
    assert not app.exception, app.exception
    return app.session_state["typed"]["house"].get("absence")


@pytest.mark.long
def test_a_holiday_and_a_weekend_cabin_are_typed_in_words() -> None:
    app = opened("house", study="lantern_cottage")
    assert field(app, LABEL).value == ""
    assert typed(app, "away Dec 20 - Jan 5 at 50 °F") == "away Dec 20 - Jan 5 at 50 °F"
    assert "Read as Dec 20 - Jan 5 at 50 °F." in said(app)
    assert not app.error
    typed(app, "weekends only")
    assert "Read as away Mon-Fri, kept at 50 °F (assumed)." in said(app)
    # ambiguous: one question, and its answer is what is kept
    typed(app, "12/5 - 1/6 at 50")
    assert [one.value for one in app.warning if "month or the day" in one.value]
    assert not any("month or the day" in one.value for one in app.error)
    press(app, "May 12 - Jun 1 at 50")
    assert app.session_state["typed"]["house"]["absence"] == "May 12 - Jun 1 at 50"
    assert "Read as May 12 - Jun 1 at 50 °F." in said(app)
    # wrong: one message
    typed(app, "two weeks at Christmas")
    assert sum("two weeks christmas" in one.value for one in app.error) == 1
    assert typed(app, "") is None
    assert not app.error


@pytest.mark.long
def test_tables_of_a_file_are_shown_in_words() -> None:
    app = opened("house", study="lantern_cottage")
    app.session_state["typed"]["house"]["absence"] = [
        {"from": "Dec 20", "to": "Jan 5", "back_at": "16:00", "indoor_temperature": "10 degC"}
    ]
    app.run()
    assert field(app, LABEL).value == "Dec 20 - Jan 5 at 10 °C, back at 4 pm"
