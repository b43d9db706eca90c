"""Hours that are left out, and a thermostat that is set lower at night, in the words that people use."""

from __future__ import annotations

import pytest

from costsim.units.calendar_words import clock_window, hours_off, two_temperatures


@pytest.mark.parametrize(
    "typed",
    ["all but 4 to 9 pm", "except 4-9 pm", "off 4 to 9", "not 4 pm to 9 pm", "switched off 4 to 9 pm", "all hours except for 4 pm – 9 pm",
     "off between 4 and 9 pm", "All day but 16:00-21:00", "It is switched off from 4 p.m. to 9 p.m."],
)  # fmt: skip
def test_hours_that_are_left_out_are_the_others(typed: str) -> None:
    assert (hours_off(typed), clock_window(typed)) == ("16:00-21:00", "21:00-16:00")


def test_hours_that_can_be_none_or_all_stay_as_typed() -> None:
    for typed in ("off", "not 4", "all but noon to noon", "notary 4 to 9 pm", "off 44 to 50", "x" * 99, "4 to 9"):
        assert clock_window(typed) == typed
    # left out over noon and midnight: the shorter time is meant
    assert [hours_off(f"not {text}") for text in ("10 to 2 pm", "11 pm to 6", "9 to 5 am", "12 to 5 pm", "16 to 21")] == [
        "10:00-14:00", "23:00-06:00", "21:00-05:00", "12:00-17:00", "16:00-21:00",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "typed",
    ["70, 65 at night", "70 by day and 65 at night", "70 65 at night", "65 at night, 70 by day", "70 during the day, 65 overnight",
     "70 days / 65 nights"],
)  # fmt: skip
def test_a_night_without_hours_is_taken_from_10_to_6(typed: str) -> None:
    assert two_temperatures(typed) == ("70", "65", "22:00-06:00", True)


def test_a_night_with_hours_has_those_and_one_temperature_has_none() -> None:
    assert two_temperatures("70 65 from 10 pm to 6 am") == ("70", "65", "22:00-06:00", False)
    assert two_temperatures("70°F, 65°F from 9 pm to 5 am") == ("70 °f", "65 °f", "21:00-05:00", False)
    assert two_temperatures("21,5 by day, 18 23:00-05:30") == ("21,5", "18", "23:00-05:30", False)
    for typed in (
        "",
        "70",
        "70 F",
        "68-70",
        "70, 65",
        "70 65 from now on",
        "7" * 200,
        "70 65 70 at night",
        "65 at night",
    ):
        assert two_temperatures(typed) is None
