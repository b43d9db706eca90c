"""What a report rests on: the water of the option that is signed, which option that is, what is laid out and chosen for it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from costsim.report import basis
from costsim.study.ratings import Ratings

LAID = SimpleNamespace(layout=1)


def test_the_floor_takes_water_warmer_than_the_room_by_its_load() -> None:
    """6 kW through 0.004 K/W are 24 K over 20 °C."""
    case = SimpleNamespace(house=SimpleNamespace(indoor_temperature_c=20.0, zone=()))
    water = SimpleNamespace(resistance_k_w=0.004, circuits=(), supply_top_c=1e9)
    common = SimpleNamespace(case=case, route=SimpleNamespace(load_w=6e3), water=water)
    one = basis.Signed(SimpleNamespace(name="A"), case, common, None, (), (), None)  # type: ignore[arg-type]
    assert one.supply_c == 44.0
    assert one.name == "A"


def test_the_answers_first_option_is_signed_unless_another_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(basis, "leading", lambda _: SimpleNamespace(name="best"))
    monkeypatch.setattr(basis, "named_option", lambda case, name: name)
    nothing: Any = None
    assert basis.option_to_sign(nothing, nothing) == "best"
    assert basis.option_to_sign(nothing, nothing, "third") == "third"


@pytest.mark.parametrize(("floor", "laid"), [(None, False), (SimpleNamespace(layout=None), False), (LAID, True)])
@pytest.mark.parametrize("ratings", [None, Ratings()])
def test_what_holds_for_one_option(floor: Any, laid: bool, ratings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A layout where the floor has one, and ratings, none given, where the study has no table of them."""
    own = SimpleNamespace(case="own")
    case = SimpleNamespace(floor=floor, ratings=ratings)
    monkeypatch.setattr(basis, "option_study", lambda common, option: own)
    monkeypatch.setattr(basis, "needs_of", lambda common, option: "needs")
    monkeypatch.setattr(basis, "case_of", lambda asked, option: case if asked == "own" else None)
    monkeypatch.setattr(basis, "layout", lambda asked, weather: (asked is case, weather))
    monkeypatch.setattr(basis, "rating_checks", lambda given, needs, system: (given, needs, system))
    monkeypatch.setattr(basis, "cautions_for", lambda common, system, option: ("caution",))
    common: Any = SimpleNamespace(weather="weather")
    option: Any = SimpleNamespace(name="A")
    found = basis.signed_of(common, option, "si")
    assert found.layout == ((True, "weather") if laid else None)
    assert found.checks == (Ratings(), "needs", "si")
    assert (found.case, found.common, found.cautions) == (case, own, ("caution",))


@pytest.mark.parametrize("selection", [None, 1])
@pytest.mark.parametrize(("floor", "laid"), [(None, False), (SimpleNamespace(layout=None), False), (LAID, True)])
def test_sizes_are_of_what_is_signed_unless_the_study_asks_for_all(
    selection: Any, floor: Any, laid: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The outlays that the decision takes are the first part of the life-cycle cost."""
    case: Any = SimpleNamespace(selection=selection, floor=floor)
    weather: Any = "weather"
    monkeypatch.setattr(basis, "simulate", lambda *_: SimpleNamespace(lowered="lowered"))
    monkeypatch.setattr(basis, "option_to_sign", lambda case, result, name: name or "best")
    monkeypatch.setattr(basis, "signed_of", lambda common, option, system: SimpleNamespace(name=option))
    for name in ("headline", "uncertainty", "capacity_report", "cautions_for"):
        monkeypatch.setattr(basis, name, lambda *_, name=name: name)
    monkeypatch.setattr(basis, "life_cycle", lambda *_: ("outlays", "steps"))
    monkeypatch.setattr(basis, "decide", lambda case, weather, outlays: outlays)
    monkeypatch.setattr(basis, "select", lambda case, weather, name: name)
    monkeypatch.setattr(basis, "layout", lambda case, weather: "laid out")
    found = basis.basis_of(case, weather, "si", "B")
    assert found.selection == ("" if selection else "B")
    assert found.layout == ("laid out" if laid else None)
    assert found.decision == "outlays"
    assert found.signed.name == "B"
    assert basis.basis_of(case, weather, "si").signed.name == "best"


def test_looks_and_bands_are_found_by_the_options_name() -> None:
    looks = [SimpleNamespace(option=name) for name in "AB"]
    doubts = [SimpleNamespace(name=name, band=lambda name=name: name) for name in "AB"]
    one = SimpleNamespace(closer=SimpleNamespace(options=looks), uncertainty=SimpleNamespace(options=doubts))
    one._doubt_of = lambda name: basis.Basis._doubt_of(one, name)  # type: ignore[arg-type]
    assert basis.Basis.look(one, "B") is looks[1]  # type: ignore[arg-type]
    assert basis.Basis.look(one, "A") is looks[0]  # type: ignore[arg-type]
    assert [basis.Basis.band(one, name) for name in "BA"] == ["B", "A"]  # type: ignore[arg-type]
