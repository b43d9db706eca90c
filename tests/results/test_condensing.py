"""What a boiler of 90 % and more is said to cost where nobody tells whether it condenses, on made-up hours."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from stand_ins import Unit

from costsim.results import condensing
from costsim.results.condensing import condensing_doubts, condensing_warnings, untold_condensing

COMMON: Any = SimpleNamespace(case=SimpleNamespace(currency="$"), surroundings="here")


class Boiler(Unit):
    """A boiler that says nothing of condensing, and what its water makes of it in each hour."""

    condensing_is_untold = True

    def __init__(self, by_water: Any, **given: Any) -> None:
        self.label, self.by_water, self.asked = "Boiler", by_water, []
        vars(self).update(given)

    def model_copy(self, *, update: dict[str, Any]) -> Boiler:
        self.asked.append(update)
        return self

    def offer(self, surroundings: str) -> Any:
        self.asked.append(surroundings)
        return SimpleNamespace(heat_per_input=np.array(self.by_water))


def told(source: Any, heat_w: Any, cost: float = 950.0) -> tuple[str, ...]:
    hours: Any = SimpleNamespace(heat_w=np.array([heat_w]))
    seasons: Any = [SimpleNamespace(name="Boiler", cost=cost)]
    option: Any = SimpleNamespace(name="A", sources=(source,))
    return condensing_warnings(COMMON, option, hours, seasons)


def test_the_year_is_weighed_by_heat_and_told_with_its_dollars() -> None:
    """3 kWh at 80 % and 1 kWh at 100 % take 4.75 kWh: 84.2 %; $950 at 95 % are 950 × 0.95 × 4.75 / 4 = $1,072."""
    boiler = Boiler([0.8, 1.0], efficiency_share=0.95)
    [text] = told(boiler, [3000.0, 1000.0])
    assert text.startswith("A, Boiler: 95% is billed as typed")
    assert "gives about 84% over the year: about $122 a year more" in text
    assert boiler.asked == [{"condensing": True}, "here"]


@pytest.mark.parametrize(("by_water", "said"), [(0.9405, False), (0.9395, True), (0.97, False)])
def test_a_hundredth_less_than_typed_is_worth_a_word(by_water: float, said: bool) -> None:
    assert bool(told(Boiler([by_water] * 2, efficiency_share=0.95), [1000.0, 1000.0])) == said


def test_the_difference_at_which_figures_part_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(condensing, "ALIKE", 0.25)
    assert told(Boiler([0.5, 0.5], efficiency_share=0.75), [1000.0, 1000.0])
    assert not told(Boiler([0.5, 0.5], efficiency_share=0.6875), [1000.0, 1000.0])


def test_a_boiler_without_a_figure_counts_as_giving_all_its_heat() -> None:
    # at half of it $100 become $200
    [text] = told(Boiler([0.5, 0.5]), [1000.0, 1000.0], cost=100.0)
    assert "Boiler: 100% is billed" in text
    assert "about 50% over the year: about $100 a year more" in text


def test_nothing_is_told_of_a_boiler_that_is_idle_or_told_or_cannot_condense() -> None:
    assert told(Boiler([0.5, 0.5], efficiency_share=0.95), [0.0, 0.0]) == ()
    assert told(Boiler([0.5, 0.5], efficiency_share=0.95, condensing_is_untold=False), [1000.0, 0.0]) == ()
    assert told(Unit(efficiency_share=0.95, label="Bank"), [1000.0, 1000.0]) == ()


def test_each_untold_boiler_is_asked_once() -> None:
    silent, other = Boiler([1.0]), Unit(label="Bank")
    known = Boiler([1.0], condensing_is_untold=False, label="Known")
    options: Any = [SimpleNamespace(sources=(silent, other, known)), SimpleNamespace(sources=(silent,))]
    [asked] = untold_condensing(options)
    assert asked.startswith("Boiler: 90 % and more is reached by condensing units only")


def test_doubts_of_all_options_are_told_by_their_own_study(monkeypatch: pytest.MonkeyPatch) -> None:
    options = [
        SimpleNamespace(name=name, sources=sources)
        for name, sources in (
            ("A", (Unit(), Boiler([1.0]))), ("B", (Unit(), Boiler([1.0], condensing_is_untold=False))), ("C", (Boiler([1.0]),)),
        )
    ]  # fmt: skip
    common = SimpleNamespace(case=SimpleNamespace(options=options))
    result: Any = SimpleNamespace(
        lowered=common,
        option=lambda name: SimpleNamespace(hourly=f"hours of {name}", sources=f"sources of {name}"),
    )
    monkeypatch.setattr(condensing, "option_study", lambda study, option: f"{option.name} own")
    monkeypatch.setattr(condensing, "condensing_warnings", lambda own, option, *season: [(own, option.name, *season)])
    assert condensing_doubts(result) == [(f"{one} own", one, f"hours of {one}", f"sources of {one}") for one in "AC"]
