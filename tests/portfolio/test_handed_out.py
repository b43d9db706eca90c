"""Homes handed out and put together: a cluster of our own making, rows of lanes, prices of blocks, sums that are too large."""

from __future__ import annotations

from concurrent.futures import CancelledError
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from costsim import read_study
from costsim.engine import layout as k
from costsim.errors import Fault, InputError
from costsim.files import MOST_CELL
from costsim.portfolio import cluster, lowered, side_by_side
from costsim.portfolio.compute import Part, _joined
from costsim.portfolio.homes import Block, open_homes
from costsim.portfolio.own_columns import near
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.rows import MOST_DIGITS, RejectedRow, marked_number
from costsim.portfolio.store import Store

CASE = read_study("lantern_cottage")


# a cluster


class Future:
    """A piece of work that is done at once, or fails, or never comes back."""

    def __init__(self, value: Any = None, error: Exception | None = None) -> None:
        self.value, self.error, self.released = value, error, False
        self.status = "error" if error is not None and not isinstance(error, TimeoutError) else "finished"
        self.asked = 0

    def add_done_callback(self, tell: Any) -> None:
        """It is done."""
        tell(self)

    def result(self, timeout: float | None = None) -> Any:
        """What it gave; an answer that is late comes when asked again."""
        self.asked += 1
        if isinstance(self.error, TimeoutError) and self.asked == 1:
            raise self.error
        if self.error is not None and not isinstance(self.error, TimeoutError):
            raise self.error
        return self.value

    def release(self) -> None:
        """Nobody needs it any more."""
        self.released = True

    def done(self) -> bool:
        """It is."""
        return True

    def cancelled(self) -> bool:
        """Never."""
        return False

    def exception(self) -> Exception | None:
        """What went wrong."""
        return self.error


class KilledError(Exception):
    """Workers died on a block again and again."""


DISTRIBUTED = SimpleNamespace(KilledWorker=KilledError)


def a_client(threads: dict[str, int] | None = None) -> Any:
    """A client of workers with so many threads."""
    client = SimpleNamespace(status="running", loop=SimpleNamespace(asyncio_loop=None), submitted=[])
    client.scheduler = SimpleNamespace(ncores=lambda: threads if threads is not None else {"one": 2, "two": 1})

    def submit(function: Any, *arguments: Any, pure: bool) -> Future:
        assert not pure
        client.submitted.append(arguments)
        return Future(arguments[-1])

    client.submit = submit
    return client


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The time, and a scheduler that answers at once."""
    now = [0.0]
    monkeypatch.setattr(cluster.time, "monotonic", lambda: now[0])
    monkeypatch.setattr(cluster.asyncio, "run_coroutine_threadsafe", lambda answer, loop: Future(answer))
    return now


@pytest.mark.parametrize(("threads", "ahead"), [({"a": 2, "b": 1}, 6), ({}, 2), ({"a": 1}, 2)])
def test_two_blocks_wait_for_each_thread_and_one_more_for_each_that_is_done(
    clock: list[float], threads: dict[str, int], ahead: int
) -> None:
    client = a_client(threads)
    recipe: Any = SimpleNamespace(case="case", weather="weather", layout="layout")
    parts = cluster._run(DISTRIBUTED, client, recipe, iter(range(9)))  # type: ignore[arg-type]
    done = [next(parts)]
    assert client.submitted[0] == ("case", "weather", "layout")
    assert len(client.submitted) == 1 + ahead
    done.append(next(parts))
    assert len(client.submitted) == 1 + ahead + 1
    assert sorted([*done, *parts]) == list(range(9))
    assert len(client.submitted) == 1 + 9


def test_whoever_is_gone_for_ten_seconds_is_lost(clock: list[float]) -> None:
    client = a_client()
    watch = cluster._Watch(client)
    assert watch.threads() == 3
    clock[0] = 5.0
    watch.look()
    # no worker answers from here on: ten seconds are borne
    client.scheduler.ncores = dict
    clock[0] = 6.0
    watch.look()  # the answer that was asked for before
    clock[0] = 16.0
    watch.look()
    clock[0] = 16.5
    with pytest.raises(InputError, match="all workers were lost"):
        watch.look()
    silent = cluster._Watch(a_client())
    silent._asked = SimpleNamespace(done=lambda: False)
    silent._known = {"a": 1}
    clock[0] = 26.5
    silent.look()
    clock[0] = 26.6
    with pytest.raises(InputError, match="the scheduler was lost"):
        silent.look()
    for change in ({"status": "closing"}, {"scheduler": None}):
        gone = a_client()
        watch = cluster._Watch(gone)
        vars(gone).update(change)
        with pytest.raises(InputError, match="the scheduler was lost"):
            watch.look()
    failed = cluster._Watch(a_client())
    failed._asked = Future(error=OSError("gone"))
    for ask in (failed.look, failed.threads):
        with pytest.raises(InputError, match="the scheduler was lost"):
            ask()


def test_what_a_block_gave_or_why_it_did_not(clock: list[float]) -> None:
    watch: Any = SimpleNamespace(look=lambda: clock.append(1.0))
    late = Future("part", TimeoutError())
    assert cluster._part(DISTRIBUTED, watch, late) == "part"
    assert len(clock) == 2  # looked after scheduler and workers meanwhile
    assert late.released
    own = InputError(Fault("x", "y", "z"))
    for error, told in (
        (KilledError(), "workers died again and again on one block"), (ValueError("no"), "a worker failed"), (own, "y; z"),
    ):  # fmt: skip
        future = Future(error=error)
        with pytest.raises(InputError, match=told):
            cluster._part(DISTRIBUTED, watch, future)
        assert future.released
    with pytest.raises(CancelledError):
        cluster._part(DISTRIBUTED, watch, Future(error=CancelledError()))
    its_own = Future(error=TimeoutError())
    its_own.status = "error"
    with pytest.raises(InputError, match="a worker failed"):
        cluster._part(DISTRIBUTED, watch, its_own)


# parts and stores


def part(number: int, rows: Any, power: Any, aside: Any = ()) -> Part:
    """Homes of a block, their row for a weight."""
    numbers = np.array(rows, dtype=np.int64)
    return Part(
        number,
        numbers,
        tuple(f"h{row}" for row in rows),
        numbers * 1.0,
        numbers[:, None] * 10.0,
        np.array(power, dtype=np.int64),
        aside,
    )


def test_homes_come_back_in_the_order_of_the_table() -> None:
    recipe: Any = SimpleNamespace(
        options=["o"],
        columns=("c",),
        weather=SimpleNamespace(n_hours=2),
        layout=SimpleNamespace(kept=((1, "Utility"),)),
    )
    block = Block(3, 10, (("a", " x "), ("b", "y"), ("c", "z"), ("d", "w")))
    late, early = RejectedRow(13, "", "", "", "bad"), RejectedRow(11, "", "", "", "bad")
    found = _joined(recipe, block, [part(3, [14, 12], [[1, 2]], (late,)), part(3, [11], [[10, 20]], (early,))])
    assert (found.rows.tolist(), found.homes, found.weights.tolist()) == (
        [11, 12, 14],
        ("h11", "h12", "h14"),
        [11.0, 12.0, 14.0],
    )
    assert (found.values.tolist(), found.power.tolist()) == ([[110.0], [120.0], [140.0]], [[11, 22]])
    assert [one.row for one in found.aside] == [11, 13]
    assert found.kept == (("x", "y", "w"),)
    none = _joined(recipe, block, [])
    assert (len(none.rows), none.power.tolist(), none.kept) == (0, [[0, 0]], ((),))


def test_sums_beyond_what_whole_steps_hold_are_refused(tmp_path: Path) -> None:
    store = Store(tmp_path, "m", ("o",), ("c",))
    for name in ("homes", "hours", "sums"):
        (tmp_path / name).mkdir()
    half = 2**61
    for number in range(3):
        store.put(part(number, [number + 1], [[half, 1]]))
    assert store.power_w([0, 1], 2).tolist() == [[2.0**62 / 2**20, 2 / 2**20]]
    with pytest.raises(InputError, match="more than 4,000 GW"):
        store.power_w([0, 1, 2], 2)
    assert [*store.numbers()] == [0, 1, 2]
    store.drop([1])
    assert [*store.numbers()] == [0, 2]
    assert not store.has(1)


def test_a_cell_may_be_as_long_as_a_name(tmp_path: Path) -> None:
    for length, fine in ((MOST_CELL, True), (MOST_CELL + 1, False)):
        path = tmp_path / f"{length}.parquet"
        pq.write_table(
            pa.Table.from_pandas(pd.DataFrame({"home": ["a" * length] * 2, "house.gains [W]": [5.0, 6.0]})), path
        )
        if fine:
            [block] = open_homes(path, CASE).blocks(10)
            assert [len(row[0]) for row in block.rows] == [length] * 2
            continue
        with pytest.raises(InputError, match="a cell has more than"):
            list(open_homes(path, CASE).blocks(10))


# headings, numbers, prices


@pytest.mark.parametrize(
    ("heading", "meant"),
    [
        ("Heatng load [kW]", "Heat loss [kW]"), ("Electricty price [$/kWh]", "Electricity price [$/kWh]"), ("Flor area", "Floor area [ft²]"),
        ("Electricity $/kWh", "Electricity price [$/kWh]"), ("Utility", ""), ("County", ""), ("Natural gas [kWh]", ""), ("Addres", "Home"),
    ],
)  # fmt: skip
def test_a_heading_that_is_nearly_known_is_named(heading: str, meant: str) -> None:
    found = near(heading, CASE)
    assert found == meant or (meant.endswith("[ft²]") and found.startswith("Floor area ["))


def test_a_number_has_sixty_letters_at_most() -> None:
    long = "-100" + ",000" * 14
    assert len(long) == MOST_DIGITS == 60
    assert marked_number(long, CASE) == [long.replace(",", "")]
    assert marked_number("-100" + ",000" * 15, CASE) == []


def test_prices_differ_by_home_through_a_column_or_a_block_that_is_reached() -> None:
    def own(keys: tuple[str, ...], blocks: tuple[Any, ...], known: bool = True) -> bool:
        tariffs = {"electricity": SimpleNamespace(blocks=blocks)} if known else {}
        given = SimpleNamespace(layout=SimpleNamespace(keys=keys), common=SimpleNamespace(tariffs=tariffs))
        return bool(PortfolioPlan.own_prices.fget(given))  # type: ignore[attr-defined]

    other = "house.other_electricity"
    assert own(("prices.wood.energy",), ())
    assert own((other,), (1,))
    assert not own((other,), ())
    assert not own(("house.gains",), (1,))
    assert not own((other,), (1,), known=False)


def test_each_home_s_use_reaches_its_block(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(side_by_side, "blocks_reached", lambda tariff, clock, joules: (int(joules),) * 12)
    monkeypatch.setattr(side_by_side, "house_profile_j", lambda year, clock: year)

    def reached(years: Any, known: bool, blocks: Any = (1,)) -> Any:
        case = SimpleNamespace(other_electricity_known=known, other_electricity_j=lambda clock: 7)
        recipe: Any = SimpleNamespace(common=SimpleNamespace(calendar=None), case=case)
        table: Any = _Table(2, {} if years is None else {"other_electricity_j_year": np.array(years)})
        tariff: Any = None if blocks is None else SimpleNamespace(blocks=blocks)
        return side_by_side._reached(recipe, tariff, table)

    assert reached([1, 2], False) == [(1,) * 12, (2,) * 12]
    assert reached(None, True) == [(7,) * 12] * 2
    assert reached(None, False) is None
    assert reached([1, 2], True, blocks=()) is None
    assert reached([1, 2], True, blocks=None) is None


class _Table:
    """A table of homes."""

    def __init__(self, homes: int, house: dict[str, Any]) -> None:
        self.homes, self.house = homes, house

    def __len__(self) -> int:
        return self.homes


def test_hours_of_one_moment_share_an_entry() -> None:
    """Three hours of two moments: a row that differs, one that is alike in all hours, and a source's by moment and by hour."""
    moments, house = SimpleNamespace(of=np.array([0, 1, 0])), (k.ROOM, k.DEGREES, k.COLD_BELOW)
    recipe: Any = SimpleNamespace(moments=moments, house=house, own=((4, k.PER_HEAT), (5, k.CHARGE)))
    none = np.zeros(3, dtype=np.int64)
    found: Any = SimpleNamespace(
        rows={
            k.ROOM: (np.array([[20.0, 21.0], [16.0, 17.0]]), moments.of),
            k.DEGREES: (np.array([[5.0, 6.0]]), none),
            k.COLD_BELOW: (np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([0, 0, 1])),
        }
    )
    by_hour = SimpleNamespace(values={"charge": np.array([[7.0, 8.0]])}, hours=np.array([2]))
    offers: Any = {
        4: SimpleNamespace(by_moment={"heat_per_input": np.array([[2.0, 4.0], [5.0, 8.0]])}, by_hour=None),
        5: SimpleNamespace(by_moment={}, by_hour=by_hour),
    }
    rows = lowered._own(recipe, found, offers, 2)
    seen = rows.values[rows.entries]  # (hours, rows, homes)
    assert seen[:, 0].tolist() == [[20.0, 21.0], [16.0, 17.0], [20.0, 21.0]]
    assert seen[:, 1].tolist() == [[5.0, 6.0]] * 3
    assert seen[:, 2].tolist() == [[1.0, 2.0], [1.0, 2.0], [3.0, 4.0]]
    assert seen[:, 3].tolist() == [[0.5, 0.25], [0.2, 0.125], [0.5, 0.25]]
    assert seen[:, 4].tolist() == [[0.0, 0.0], [0.0, 0.0], [7.0, 8.0]]
