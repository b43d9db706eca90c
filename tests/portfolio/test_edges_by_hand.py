"""Folders, rows and moments of a portfolio exactly at a limit: what stands around them is made up, every result worked by hand."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.errors import InputError
from costsim.portfolio import looks, plan
from costsim.portfolio.compute import Part
from costsim.portfolio.homes import Block
from costsim.portfolio.lowered import STEP_W
from costsim.portfolio.store import open_store

# folders


def a_part(number: int, steps: list[list[int]]) -> Part:
    """A block of one home, whose electricity under each option is told in whole steps."""
    return Part(
        number, np.array([number + 2]), ("h",), np.array([1.0]), np.zeros((1, 1)), np.array(steps, dtype=np.int64), ()
    )


def test_power_of_all_parts_is_summed_up_to_what_whole_numbers_hold(tmp_path: Path) -> None:
    """Of 64 bits one is the sign; two to the power of 62 steps are 4.4 TW, and one step more is refused."""
    store = open_store(tmp_path, {}, ["a", "b"], ["c"])
    for number, steps in enumerate(([[2**61, 1], [5, 6]], [[2**61, 2], [7, 8]], [[1, 0], [0, 0]])):
        store.put(a_part(number, steps))
    assert store.power_w([0, 1], 2).tolist() == [[2.0**42, 3 * STEP_W], [12 * STEP_W, 14 * STEP_W]]
    assert store.power_w([], 2).tolist() == [[0.0, 0.0]] * 2
    with pytest.raises(InputError, match="take more than 4,000 GW"):
        store.power_w([0, 1, 2], 2)
    assert store.numbers() == [0, 1, 2]
    (store.folder / "sums" / "part-00001.json").unlink()
    assert store.numbers() == [0, 2]  # a part is there when all of its files are


def test_the_first_home_that_can_be_read_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    from costsim.portfolio.rows import RowError

    seen: list[int] = []

    def read_row(recipe: Any, number: int, row: tuple[str, ...]) -> None:
        seen.append(number)
        if row[1] == "x":
            raise RowError([])

    monkeypatch.setattr(looks, "read_row", read_row)
    monkeypatch.setattr(looks, "tidy_cells", lambda layout, row, case: [cell.upper() for cell in row])
    recipe: Any = SimpleNamespace(layout=SimpleNamespace(columns=((1, None), (2, None))), case=None)
    table: Any = SimpleNamespace(blocks=lambda size: iter([Block(0, 0, (("a", "x", "y"), ("b", "p", "q")), (2, 5))]))
    assert looks._first_cells(recipe, table) == ["P", "Q"]
    assert seen == [2, 5]
    table.blocks = lambda size: iter([Block(0, 0, (("a", "x", "y"),), (2,))])
    assert looks._first_cells(recipe, table) is None


# moments


def moments(
    monkeypatch: pytest.MonkeyPatch, *, rule: str = "cheapest_now", follows: bool = False, **tariff: Any
) -> list[list[float]]:
    """Rows by which hours are told apart: of three hours at 5, 6 and 7 °C and one source."""
    monkeypatch.setattr(plan, "hours_apart", lambda common, sunlit: [])
    monkeypatch.setattr(plan, "_sunlit", lambda case, layout: False)
    monkeypatch.setattr(plan, "may_run", lambda source, weather, calendar: np.array([1.0, 1.0, 0.0]))
    monkeypatch.setattr(plan, "period_shares", lambda tariff, calendar: np.array([[0.0, 1.0, 0.0]]))
    monkeypatch.setattr(plan, "billing_month", lambda day, calendar: np.array([1, 1, 2]))
    monkeypatch.setattr(
        plan, "Moments", SimpleNamespace(of_rows=lambda rows: [np.asarray(row).tolist() for row in rows])
    )
    offer = SimpleNamespace(
        heat_per_input=np.array([3.0, 3.1, 3.2]), price_per_j=np.array([0.5, 0.6, 0.7]), price_key="electricity"
    )
    ready = SimpleNamespace(option=SimpleNamespace(sources=("pump",), rule=rule), numbers=(4,), offers=(offer,))
    tariffs = {"electricity": SimpleNamespace(**{"extra": (), "blocks": (), "read_day": 1, **tariff})} if tariff else {}
    common = SimpleNamespace(
        weather=SimpleNamespace(outdoor_c=np.array([5.0, 6.0, 7.0])), calendar=None, tariffs=tariffs
    )
    recipe: Any = SimpleNamespace(case=None, layout=None, common=common, options=(ready,), own=((4, 0),) if follows else ((3, 0),))  # fmt: skip
    return plan._moments(recipe)  # type: ignore[return-value]


def test_hours_are_told_apart_by_all_that_rules_and_sources_see(monkeypatch: pytest.MonkeyPatch) -> None:
    out, heat, price, run, share = [5.0, 6.0, 7.0], [3.0, 3.1, 3.2], [0.5, 0.6, 0.7], [1.0, 1.0, 0.0], [0.0, 1.0, 0.0]
    assert moments(monkeypatch, rule="fixed") == [out]
    assert moments(monkeypatch, rule="fixed", follows=True) == [out, run]
    assert moments(monkeypatch) == [out, heat, price]
    assert moments(monkeypatch, follows=True) == [out, run, price]  # of what follows the house each home has its own
    assert moments(monkeypatch, blocks=()) == [out, heat, price, share]
    assert moments(monkeypatch, blocks=(1,)) == [out, heat, price, share, [1.0, 1.0, 2.0]]
    typed = tuple(SimpleNamespace(price_per_j=lambda tariff, calendar, one=one: one) for one in (0.25, np.array([1.0, 2.0, 3.0])))  # fmt: skip
    assert moments(monkeypatch, extra=typed) == [out, heat, price, share, [0.25] * 3, [1.0, 2.0, 3.0]]
