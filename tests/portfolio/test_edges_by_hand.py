"""Folders, rows and moments of a portfolio exactly at a limit: what stands around them is made up, every result worked by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from portfolio.small import CASE, WEATHER

from costsim.engine.block import AnnualTotals
from costsim.errors import InputError
from costsim.portfolio import compute, looks, lowered, run, side_by_side
from costsim.portfolio import plan as module
from costsim.portfolio.compute import Part
from costsim.portfolio.homes import Block
from costsim.portfolio.lowered import STEP_W
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.store import MOST_PART, alone, open_store
from costsim.portfolio.table import OwnPrice

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
    monkeypatch.setattr(module, "hours_apart", lambda common, sunlit: [])
    monkeypatch.setattr(module, "_sunlit", lambda case, layout: False)
    monkeypatch.setattr(module, "may_run", lambda source, weather, calendar: np.array([1.0, 1.0, 0.0]))
    monkeypatch.setattr(module, "period_shares", lambda tariff, calendar: np.array([[0.0, 1.0, 0.0]]))
    monkeypatch.setattr(module, "billing_month", lambda day, calendar: np.array([1, 1, 2]))
    monkeypatch.setattr(
        module, "Moments", SimpleNamespace(of_rows=lambda rows: [np.asarray(row).tolist() for row in rows])
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
    return module._moments(recipe)  # type: ignore[return-value]


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


# homes side by side


def priced(
    monkeypatch: pytest.MonkeyPatch,
    *,
    key: str = "electricity",
    own: Any = None,
    reached: Any = None,
    blocks: Any = (),
    extra: Any = (),
    known: bool = True,
) -> Any:
    """Prices of one source at the moments 0 and 2 for two homes, and who was asked."""
    asked: list[Any] = []

    def hourly(tariff: Any, calendar: Any, block: Any) -> Any:
        asked.append((tariff, block))
        return np.array([1.0, 2.0, 3.0]) * (tariff or 1.0)

    monkeypatch.setattr(side_by_side, "_reached", lambda recipe, tariff, table: reached)
    monkeypatch.setattr(side_by_side, "own_tariff", lambda tariff, own: own.per_j)
    monkeypatch.setattr(side_by_side, "hourly_price_per_j", hourly)
    monkeypatch.setattr(side_by_side, "prices_of_many_per_j", lambda tariff, calendar, prices, first: ("many", prices.tolist(), first.tolist()))  # fmt: skip
    tariffs = {key: SimpleNamespace(blocks=blocks, extra=extra)} if known else {}
    moments = SimpleNamespace(first=np.array([0, 2]))
    recipe: Any = SimpleNamespace(common=SimpleNamespace(tariffs=tariffs, calendar=None), moments=moments)
    offer: Any = SimpleNamespace(price_key=key, price_per_j=np.array([0.5, 0.6, 0.7]))
    prices = {} if own is None else {key: OwnPrice(np.array(own))}
    found = side_by_side._price_per_j(recipe, offer, Homes(2, prices))  # type: ignore[arg-type]
    return (found if isinstance(found, tuple) else found.tolist()), asked


class Homes:
    """So many homes with prices of their own."""

    def __init__(self, count: int, prices: Any) -> None:
        self.count, self.prices, self.house = count, prices, dict[str, Any]()

    def __len__(self) -> int:
        return self.count


def test_a_source_s_price_is_the_study_s_or_each_home_s_own(monkeypatch: pytest.MonkeyPatch) -> None:
    study = ([[0.5], [0.7]], [])  # at the moments 0 and 2
    assert priced(monkeypatch) == priced(monkeypatch, known=False, own=[2.0, 3.0]) == study
    assert priced(monkeypatch, own=[2.0, 3.0]) == (("many", [2.0, 3.0], [0, 2]), [])
    # with blocks or typed charges each home is asked alone: 1 and 3 at these moments, times its price
    for more in ({"blocks": (1,)}, {"extra": (1,)}):
        found, asked = priced(monkeypatch, own=[2.0, 3.0], **more)
        assert (found, asked) == ([[2.0, 3.0], [6.0, 9.0]], [(2.0, (1,) * 12), (3.0, (1,) * 12)])
    # the block of each month that other use has reached
    two = [(1,) * 12, (2,) * 12]
    found, asked = priced(monkeypatch, reached=two, blocks=(1, 2))
    assert (found, asked) == ([[1.0, 1.0], [3.0, 3.0]], [(None, two[0]), (None, two[1])])
    # which gas has not
    assert priced(monkeypatch, key="natural_gas", reached=two, blocks=(1, 2)) == study


def test_what_homes_share_under_an_order_is_kept_up_to_a_number_of_orders(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(side_by_side, "MOST_ORDERS", 2)
    monkeypatch.setattr(side_by_side, "kernel_offers", lambda recipe, option, offers: offers)
    made: list[Any] = []

    def shared(common: Any, offers: Any, order: Any, shares: Any, **more: Any) -> Any:
        made.append(order.tolist())
        return Kept(f"made {len(made)}", "hours", "degrees", "source_hours", "per_heat")

    monkeypatch.setattr(side_by_side, "shared_by_homes", shared)
    ready = SimpleNamespace(order=np.array([[0, 1, 0], [1, 0, 1]]), shared=Kept("study", "h", "d", "s", "p"), option=None, offers=(), shares=None)  # fmt: skip
    moments = SimpleNamespace(of=np.array([0, 1, 0]))
    recipe: Any = SimpleNamespace(options=[ready], moments=moments, orders={}, common=None, even=True, own_use=False)

    def of(*order: list[int]) -> Any:
        return side_by_side._shared(recipe, 0, np.array(order, dtype=np.int8))

    assert of([0, 1], [1, 0]) is ready.shared  # the study's own order
    turned = of([1, 0], [0, 1])
    # hourly rows are the study's own, whatever the order
    assert turned == Kept("made 1", "h", "d", "s", "p")
    assert of([1, 0], [0, 1]) is turned
    assert made == [[[1, 0, 1], [0, 1, 0]]]
    assert (of([0, 0], [1, 1]).name, of([0, 0], [1, 1]).name) == ("made 2", "made 3")  # no more are kept
    assert len(recipe.orders) == 2


@dataclass(frozen=True)
class Kept:
    """What homes share, of which only this is told."""

    name: str
    hours: str
    degrees: str
    source_hours: str
    per_heat: str


def test_homes_are_run_in_groups_that_call_their_sources_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four homes of which the first and the third call the pump first: groups are run apart and put back in order."""
    order = np.zeros((2, 1, 4), dtype=np.int8)
    order[0, 0], order[1, 0] = [0, 1, 0, 1], [1, 0, 1, 0]
    monkeypatch.setattr(side_by_side, "_order_at_moments", lambda recipe, ready, table, lowered: order)
    monkeypatch.setattr(side_by_side, "_shared", lambda recipe, at, one: one.tolist())
    ready = SimpleNamespace(option=SimpleNamespace(rule="cheapest_now"), fixed=(True, False), shared="study")
    recipe: Any = SimpleNamespace(options=[ready])
    table: Any = Homes(4, {})
    groups, shared = side_by_side._orders(recipe, 0, table, None)  # type: ignore[arg-type]
    assert (groups.tolist(), shared) == ([0, 1, 0, 1], [[[0], [1]], [[1], [0]]])
    names = AnnualTotals.__slots__

    def run(recipe: Any, at: int, table: Any, lowered: Any, same: Any, own: Any, one: Any, power: Any) -> Any:
        assert own == same.tolist()
        return AnnualTotals(*[same + 10.0 * at + 100.0 * one[0][0] for at in range(len(names))])

    monkeypatch.setattr(side_by_side, "_run", run)
    lowered: Any = SimpleNamespace(own=SimpleNamespace(pick=lambda same: same.tolist()))
    found = side_by_side._years(recipe, 0, table, lowered, None)  # type: ignore[arg-type]
    assert getattr(found, names[0]).tolist() == [0.0, 101.0, 2.0, 103.0]
    assert getattr(found, names[1]).tolist() == [10.0, 111.0, 12.0, 113.0]
    for rule, fixed in (("fixed", (False, False)), ("cheapest_now", (True, True))):
        ready.option.rule, ready.fixed = rule, fixed
        groups, shared = side_by_side._orders(recipe, 0, table, None)  # type: ignore[arg-type]
        assert (groups.tolist(), shared) == ([0] * 4, ["study"])


# runs


def test_a_run_goes_by_blocks_of_4096_and_overwrites_nothing_unless_asked(
    plan: PortfolioPlan, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    seen: list[Any] = []
    monkeypatch.setattr(run, "prepare", lambda case, weather, layout: plan)
    monkeypatch.setattr(run, "_facts", lambda case, weather, table, block: {"block": block})
    monkeypatch.setattr(run, "on_this_machine", lambda threads=None: threads)
    monkeypatch.setattr(run, "_into", lambda *given: seen.append(given) or {})
    (tmp_path / "homes.csv").write_text("home,house.gains [W]\na,5\n", encoding="utf-8")
    run.run_portfolio(CASE, WEATHER, tmp_path / "homes.csv", tmp_path / "a" / "b")
    _, _, facts, asked, progress, compute_by = seen[0]
    assert (facts, progress, compute_by) == ({"block": 4096}, None, None)
    assert (asked.system, asked.by, asked.overwrite) == ("si", "", False)
    assert asked.peak.text.startswith("17:00-20:00, Mon-Fri")
    assert (run.BLOCK, run.MOST_BLOCK, run.FIRST_REASONS) == (4096, 1_000_000, 3)


def test_threads_are_those_asked_for_or_one_for_each_processor(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    class Pool:
        """Threads that only count."""

        def __init__(self, count: int | None) -> None:
            asked.append(count)

        def __enter__(self) -> Any:
            return SimpleNamespace(map=lambda work, jobs: [])

        def __exit__(self, *_: object) -> None:
            """Nothing is left."""

    monkeypatch.setattr(compute, "ThreadPoolExecutor", Pool)
    monkeypatch.setattr(compute, "blank_groups", lambda recipe, block: [])
    monkeypatch.setattr(compute, "_no_homes", lambda recipe, block: {})
    monkeypatch.setattr(compute, "_joined", lambda recipe, block, parts, aside: parts)
    monkeypatch.setattr(compute.os, "cpu_count", lambda: 7)
    for threads in (3, None):
        assert compute.run_block(None, None, threads) == []  # type: ignore[arg-type]
    assert asked == [3, 7]


def test_homes_that_may_take_more_than_whole_steps_hold_are_told_one_by_one() -> None:
    """900 W at 0.9 take 1 kW, and pumps 24 W more: of the option that takes most, times the home's weight, 4 TW are not too much."""
    plain = {"auxiliary_w": 0.0, "auxiliary_share": 0.0, "burn_power_w": 0.0, "degradation": 0.0, "standby_w": 0.0}
    offer = SimpleNamespace(fuel="electricity", capacity_w=np.array([900.0]), heat_per_input=np.array([3.0]), **plain)
    small = SimpleNamespace(numbers=(0,), sources=(SimpleNamespace(offer=offer, most_w=488.0),))
    large = SimpleNamespace(numbers=(1,), sources=(SimpleNamespace(offer=offer, most_w=7.0),))
    own = SimpleNamespace(by_moment={"heat_per_input": np.array([[1.0, 2.0, 1.0], [0.9, 4.0, 0.9]])})
    done: Any = SimpleNamespace(offers={1: own}, point=SimpleNamespace(water=SimpleNamespace(pump_w=24.0)))
    recipe: Any = SimpleNamespace(options=(small, large))
    table: Any = Homes(3, {})
    table.weights = 4e12 / np.array([1024.0, 512.0, 1024.0]) * np.array([1.0, 1.0, 1.0000001])
    assert lowered.too_much(recipe, table, done).tolist() == [False, False, True]
    table.weights[1] *= 1.0000001
    assert lowered.too_much(recipe, table, done).tolist() == [False, True, True]


# folders


def test_a_folder_is_kept_for_one_run_wherever_it_is_to_stand(tmp_path: Path) -> None:
    with alone(tmp_path / "a" / "b"):
        assert (tmp_path / "a" / "b" / ".lock").is_file()
        with pytest.raises(InputError, match="another run is writing into it"), alone(tmp_path / "a" / "b"):
            pass
    with alone(tmp_path / "a" / "b"):
        pass
    assert MOST_PART == 10e9
    store = open_store(tmp_path, {"a": 1}, ["o"], ["c"])
    store.put(a_part(0, [[1, 2]]))
    assert store.has(0)
    assert not open_store(tmp_path / "c", {"a": 1}, ["o"], ["c"]).has(0)
    assert not replace(store, mark="x").has(0)
    (tmp_path / "hours" / "part-00000.parquet").unlink()
    assert not store.has(0)


def test_homes_are_noted_until_enough_are_computed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looks, "MOST_LOOKED", 2)
    recipe: Any = SimpleNamespace(layout=SimpleNamespace(headings=("home", "a"), home=0, columns=((1, None),), uses=()))
    seen = looks.Seen(recipe)
    seen.add(Block(0, 0, (("a", "1"), ("short",), ("b\nc", " 2 ")), (2, 3, 5)))
    seen.computed = 1
    seen.add(Block(1, 3, (("short",),), (6,)))
    seen.add(Block(2, 4, (("d", ""),), (7,)))
    seen.computed = 2
    seen.add(Block(3, 5, (("e", "4"),), (8,)))
    rows, cells = seen.homes({5})
    assert (rows, cells(0), cells(1)) == ([2, 7], ["a", "d"], ["1", ""])
    assert seen.homes(set())[0] == [2, 5]  # no more than that
    assert seen.homes(set())[1](0) == ["a", "b c"]
    assert looks.Seen(recipe).homes(set())[0] == []
    assert looks.Seen(recipe).computed == 0
