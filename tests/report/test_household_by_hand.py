"""Pages of a household from made-up results: what pays for itself, what is left to fill in, how a floor is called."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import pytest
from report.bases import basis

from costsim.report import household, water
from costsim.report.blocks import Items, Text


def test_what_pays_for_itself_is_told_where_its_first_cost_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Against today's oil: one saves enough in nine years, one never does, one costs no more at first, one has no first cost typed."""
    names = ("Oil", "Gas", "Pump", "Stove", "Sun")
    outlays = [SimpleNamespace(option=name, priced=name != "Sun", first=1000.0, present_cost=20e3) for name in names]
    steps = [
        SimpleNamespace(option=name, against="Oil", investment=more, discounted_payback=paid)
        for name, more, paid in (("Gas", 0.8, 9.0), ("Pump", 500.0, None), ("Stove", 0.0, 0.0))
    ]
    one = basis(case__options=[])
    monkeypatch.setattr(household, "life_cycle", lambda case, result: (outlays, steps))
    (found,) = household.over_years(one)
    assert [row[3] for row in found.rows] == ["–", "9.0 years, with 3% interest", "never", "–", "–"]
    assert found.rows[4] == ("Sun", "not given", "not known", "–")
    assert "by what it saves against Oil" in found.note
    monkeypatch.setattr(household, "life_cycle", lambda case, result: (outlays, steps[:1]))
    (found,) = household.over_years(one)
    assert "by what it saves against Oil" in found.note
    assert (found.title, found.rows[0][1:3]) == ("Over 20 years", ("$1,000", "$20,000"))
    monkeypatch.setattr(household, "life_cycle", lambda case, result: (outlays, []))
    assert household.over_years(one) == ()


def test_what_a_household_need_not_fill_in_has_no_line(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[bool] = []
    for name in ("assumed", "open_rows"):
        monkeypatch.setattr(household, name, lambda *_, parts=True: told.append(parts) or (("a", "b"),))
    for name in ("offered", "costs", "cost_chart", "sure", "warmth"):
        monkeypatch.setattr(household, name, lambda *_: Text(""))
    monkeypatch.setattr(household, "design_night_sentence", lambda *_: "On a design night.")
    monkeypatch.setattr(household, "over_years", lambda *_: ())
    one = basis(signed__cautions=())
    notes = (SimpleNamespace(title="Hot water", short="Scalds."),)
    found = household.household_page(
        SimpleNamespace(**{**vars(one), "cautions": notes, "sentence": "", "decision": None}), 3
    )  # type: ignore[arg-type]
    assert told == [False, False]
    assert Text("On a design night.") in found
    (items,) = (block for block in found if isinstance(block, Items))
    assert (items.items, items.columns) == ((("Hot water", "Scalds.", ""),), 2)


@dataclass(frozen=True)
class Made:
    """A build-up that is no more than its title."""

    title: str


def test_a_floor_of_one_build_up_is_called_so_and_of_several_by_its_loops() -> None:
    told = ""

    def rows(*titles: str, named: bool = True) -> list[str]:
        nonlocal told
        groups = [SimpleNamespace(name=f"L{at}" if named else "", title=title) for at, title in enumerate(titles)]
        floor = SimpleNamespace(loops=groups, build_up_of=lambda one: Made(one.title), insulation_of=lambda one: 2.0)
        found = water._build_ups(floor, "si")  # type: ignore[arg-type]
        told = found[0][1]
        return [name for name, _ in found]

    assert rows("slab", "slab") == ["floor"]
    assert rows("slab", "plates", "slab") == ["floor of L0, L2", "floor of L1"]
    assert rows("slab", "plates", named=False) == ["floor of group 1", "floor of group 2"]
    assert told == "slab; insulation below 2.00 m² K/W"
