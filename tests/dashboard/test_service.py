"""The electric service is asked on Sources as soon as an option heats with electricity for hours."""

from __future__ import annotations

import pytest
from dashboard.app import field, opened, said

from costsim.dashboard.service import asks_for_service


@pytest.mark.parametrize(
    ("kinds", "asked"),
    [
        ([], False),
        (["gas", "wood", "solar"], False),
        (["a kind of a later version"], False),
        (["gas", "electric"], True),
        (["heat_pump"], True),
        (["off_peak_electric"], True),
    ],
)
def test_it_is_asked_where_a_source_is_an_electric_load_for_hours(kinds: list[str], asked: bool) -> None:
    assert asks_for_service([{"kind": kind} for kind in kinds]) is asked


@pytest.mark.long
def test_it_is_typed_beside_the_electric_unit_and_shown_there() -> None:
    app = opened("sources", study="your_house", persona="household")
    assert "not typed yet; it is asked at the foot" not in said(app)  # the unit is closed
    app.toggle(key="show_all").set_value(True).run()
    assert said(app).count("not typed yet; it is asked at the foot of this page") == 1  # one electric unit
    field(app, "Service").set_value("150").run()
    assert "what it carries today" in said(app)
    field(app, "Highest demand").set_value("7 kW").run()
    assert app.session_state["typed"]["selection"] == {"service": "150 A", "measured_peak": "7 kW"}
    assert "what it carries today" not in said(app)
    assert "Electric service: 150 A, as typed." in said(app).replace("[", "").replace("](#service)", "").replace("(#service)", "").replace("]", "")  # fmt: skip


@pytest.mark.long
def test_without_electric_heat_nobody_is_asked() -> None:
    app = opened("sources", study="your_house")
    app.session_state["typed"]["option"] = [
        one for one in app.session_state["typed"]["option"] if one["source"][0]["kind"] != "electric"
    ]
    app.run()
    assert not [one for one in app.text_input if one.label == "Service"]
