"""What an option's electric units ask of the service, by the rule that sizes off the shelf go by, as Decide and Sources say it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from cases import constant_weather, study

from costsim.analysis import on_service
from costsim.analysis.select import select
from costsim.engine.lower import lower_study
from costsim.study.case import Case
from costsim.views.size_words import lacking_room

BANK = {"kind": "electric", "output": "12 kW", "efficiency": "100 %"}
PUMP = {"kind": "heat_pump", "outdoor": ["-15 degC", "7 degC"], "outputs": ["9 kW", "14 kW"]}
OIL = {"kind": "oil", "output": "20 kW", "efficiency": "84 %"}
REMEDY = " It needs a larger service, load control, or less heat by electricity; an electrician decides."


def told(monkeypatch: pytest.MonkeyPatch, case: Case, drawn_w: float = 8e3) -> list[str]:
    """What is said of each option where whatever has no plate draws so much in its worst hour."""
    offer = SimpleNamespace(
        capacity_w=np.array([0.0, 3 * drawn_w]), heat_per_input=np.array([2.0, 3.0]), auxiliary_w=0.0
    )
    monkeypatch.setattr(
        on_service, "lower_option", lambda common, option: SimpleNamespace(offers=[offer] * len(option.sources))
    )
    common: Any = SimpleNamespace(case=case)
    return [
        lacking_room(one.name, room) for one, room in zip(case.options, on_service.services_of(common), strict=True)
    ]


def test_all_units_of_an_option_count_at_once_against_what_is_free(monkeypatch: pytest.MonkeyPatch) -> None:
    """12 kW and a compressor of 8 kW are 20 kW: times 1.25 at 240 V 104.2 A; the bank alone 62.5 A."""
    short = "one asks for 104.2 A, and the electric service has 100 A free: 4.2 A too little."
    assert told(monkeypatch, study(PUMP, BANK, selection__service_free="100 A")) == [short + REMEDY]
    assert told(monkeypatch, study(PUMP, BANK, selection__service_free="104.2 A")) == [""]
    assert told(monkeypatch, study(BANK, selection__service_free="62.5 A")) == [""]
    assert told(monkeypatch, study(BANK, selection__service_free="0 A"))[0].startswith("one asks for 62.5 A, and")
    assert told(monkeypatch, study(OIL, selection__service_free="0 A")) == [""]


def test_what_the_service_carries_today_counts_beside_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """125 % of 16 kW and 12 kW new are 32 kVA, 133.3 A (NEC 220.87)."""
    metered = {"selection__measured_peak": "16 kW"}
    short = "With one the house asks for 133.3 A of an electric service of 100 A: 33.3 A too little."
    assert told(monkeypatch, study(BANK, selection__service="100 A", **metered)) == [short + REMEDY]
    assert told(monkeypatch, study(BANK, selection__service="150 A", **metered)) == [""]
    # nothing is said of a service alone, or of what is on the meter already
    assert told(monkeypatch, study(BANK, selection__service="20 A")) == [""]
    assert told(monkeypatch, study(BANK)) == [""]
    now = study(BANK, selection__service="100 A", **metered)
    now = now.model_copy(update={"option": (now.option[0].model_copy(update={"today": True}),)})
    assert told(monkeypatch, now) == [""]


@pytest.mark.long
def test_it_is_what_sizes_off_the_shelf_say_of_what_is_entered() -> None:
    case = study(PUMP, BANK, selection__service_free="60 A")
    weather = constant_weather(-10.0)
    [room] = on_service.services_of(lower_study(case, weather))
    assert room is not None
    for one in select(case, weather).options[0].sources:
        assert one.entered_electric is not None
        assert one.entered_electric.service_load_a == room.service_load_a
        assert (
            (one.entered_electric.service_a, one.entered_electric.free) == (room.service_a, room.free) == (60.0, True)
        )
