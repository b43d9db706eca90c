"""What homes share: values of whole studies, what the sun gives alone, today's option, units of headings."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from costsim import read_study
from costsim.portfolio import plan, summary, variants
from costsim.portfolio.columns import Column, Layout
from costsim.portfolio.headings import _PRICE, _TITLES, sample_of
from costsim.portfolio.homes import Block
from costsim.portfolio.today import NOT_KNOWN
from costsim.sources import Offer

CASE = read_study("lantern_cottage")


def test_six_homes_with_the_same_values_share_a_study() -> None:
    slow = Column("b", "tank.volume", ("tank", "volume"), "L", True)
    layout = Layout(("a", "b"), 0, None, ((1, slow),))
    recipe: Any = SimpleNamespace(layout=layout, slow=("tank.volume",))
    rows = [*["300"] * 5, *["200 "] * 3, *["200"] * 3]
    block = Block(0, 0, (*((str(at), text) for at, text in enumerate(rows)), ("short",)))
    groups, others = variants.shared_values(recipe, block, range(12))
    assert groups == [(("200",), [5, 6, 7, 8, 9, 10])]
    assert others == [0, 1, 2, 3, 4, 11]
    # what no column says keeps them apart
    recipe.slow = ("tank.volume", "solar_electric")
    assert variants.shared_values(recipe, block, [3, 4]) == ([], [3, 4])
    recipe.slow = ()
    assert variants.shared_values(recipe, block, [3, 4]) == ([], [3, 4])


def test_of_collectors_the_kernel_takes_what_the_sun_gives_where_they_may_run(monkeypatch: Any) -> None:
    monkeypatch.setattr(plan, "may_run", lambda source, weather, clock: np.array([1.0, 0.5, 0.0, 1.0, 1.0]))
    fields: dict[str, Any] = dict.fromkeys(Offer.__dataclass_fields__)
    offer = Offer(**{**fields, "capacity_w": np.full(5, 7.0)})
    sun = SimpleNamespace(shared_capacity_w=lambda seen: np.array([100.0, 100.0, 100.0, -5.0, -np.inf]))
    plain = SimpleNamespace(shared_capacity_w=lambda seen: None)
    recipe: Any = SimpleNamespace(common=SimpleNamespace(surroundings=None, calendar=None), weather=None)
    option: Any = SimpleNamespace(sources=(sun, plain))
    first, second = plan.kernel_offers(recipe, option, [offer, offer])
    assert first.capacity_w.tolist() == [100.0, 50.0, -np.inf, 0.0, -np.inf]
    assert second is offer


def test_where_electricity_moves_is_told_against_the_study_s_today_alone() -> None:
    power = np.array([[3e3, 1e3], [1e3, 2e3]])
    peak = summary.PeakHours(np.array([1.0, 0.0]), "")

    def told(option: int, known: bool = True) -> Any:
        today: Any = SimpleNamespace(
            known=known, option=option, summary=lambda store, numbers, heaviest: {"rows": [{"option": "x"}]}
        )
        return summary._against_today(today, None, [], 1.0, power, peak)  # type: ignore[arg-type]

    assert told(NOT_KNOWN) == {"rows": [{"option": "x"}]}
    assert told(0)["rows"] == [
        {"option": "x", "peak_hours_less_kwh": 2.0, "other_hours_more_kwh": 1.0, "other_hours_most_more_kw": 1.0}
    ]
    assert told(1)["rows"][0]["peak_hours_less_kwh"] == -2.0
    assert told(0, known=False) is None


def test_a_heading_s_example_has_the_unit_its_fuel_is_sold_by() -> None:
    assert sample_of(_PRICE["energy"], "prices.natural_gas.energy", CASE) == "$/therm"
    assert sample_of(_PRICE["energy"], "prices.electricity.energy", CASE) == "$/kWh"
    assert sample_of(_TITLES["house.floor_area"][1], "house.floor_area", CASE) == "ft2"
    assert sample_of(_TITLES["house.floor_area"][1], "house.floor_area", read_study("valley_row")) == "m2"
