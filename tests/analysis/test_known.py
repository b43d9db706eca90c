"""What searches remember of a study is what they would make anew, and is told apart by the object."""

from __future__ import annotations

import gettext
from collections.abc import Callable
from typing import Any

import pytest
from cases import sample_weather

from costsim import read_study
from costsim.analysis.breakeven import breakeven_prices, price_map
from costsim.analysis.known import known_plant, known_study, remembered
from costsim.analysis.sizing import smallest
from costsim.study.case import Case, case_from
from costsim.study.changed import changed
from costsim.words import speak, spoken

GREENSBORO, LOFT = sample_weather(), read_study("net_loft")
BREAKER, OUTPUT = (
    {"option": "Electric and propane, the cheaper first", "what": what} for what in ("breaker", "output")
)


class Spanish(gettext.NullTranslations):
    """A language without a word."""

    def info(self) -> dict[str, str]:
        """Its code."""
        return {"language": "es"}


def test_the_same_objects_are_asked_of_once_and_equal_ones_again() -> None:
    asked: list[Any] = []
    ask = remembered(2)(lambda one, other: asked.append((one, other)) or len(asked))
    first, equal, other = [1], [1], [2]
    assert [ask(first, other), ask(first, other), ask(equal, other), ask(first, other)] == [1, 1, 2, 1]
    assert ask(other, first) == 3
    assert ask(equal, other) == 4  # two are remembered: the one asked for longest ago is not


def test_a_study_is_made_again_when_it_is_read_again_or_spoken_of_in_another_language() -> None:
    case = read_study("lantern_cottage")
    here, before = known_study(case, GREENSBORO), spoken()
    assert known_study(case, GREENSBORO) is here
    assert known_plant(here, case.options[1]) is known_plant(here, case.options[1])
    assert known_study(case.model_copy(), GREENSBORO) is not here
    assert known_study(case, sample_weather("cold_valley.csv")).demand_w.sum() > here.demand_w.sum()
    try:
        speak(Spanish())
        assert known_study(case, GREENSBORO) is not here
    finally:
        speak(before or "en")


@pytest.mark.parametrize(
    "ask",
    [
        lambda case: smallest(case, GREENSBORO, **BREAKER),
        lambda case: smallest(case, GREENSBORO, **OUTPUT),
        lambda case: smallest(case, GREENSBORO, **OUTPUT, source=1, hours=40),
        lambda case: price_map(case, GREENSBORO, "electricity", "propane", steps=3).winner.tolist(),
        lambda case: breakeven_prices(case, GREENSBORO),
    ],
    ids=["breaker", "output", "hours borne", "map", "turns"],
)
def test_an_answer_after_others_is_that_of_a_study_read_anew(ask: Callable[[Case], Any]) -> None:
    smallest(LOFT, GREENSBORO, **OUTPUT)
    price_map(LOFT, GREENSBORO, "electricity", "propane", steps=2)
    assert repr(ask(LOFT)) == repr(ask(LOFT)) == repr(ask(LOFT.model_copy()))


def test_a_study_with_a_size_typed_is_not_taken_for_the_one_it_comes_from() -> None:
    today = smallest(LOFT, GREENSBORO, **BREAKER)
    less = changed(LOFT, (("option", 1, "source", 0, "output"), "4 kW"))
    read_again = case_from(less.typed, file=less.file, files=less.files)
    assert smallest(less, GREENSBORO, **BREAKER) == smallest(read_again, GREENSBORO, **BREAKER) != today
