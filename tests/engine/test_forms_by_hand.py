"""When a compiled form of the kernel is at hand, and what the kernel in Python is given instead."""

from __future__ import annotations

import functools
import inspect
import threading
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from engine.plants import plants, run
from engine.test_small_by_hand import tank_of_an_hour
from hypothesis import HealthCheck, given, settings

from costsim.engine import ahead, block, compiling, ledger
from costsim.engine import layout as k
from costsim.engine.lanes import lanes_of
from costsim.engine.shared import share

FORM = block._Form((k.CYCLING, 0, 0), 0, False, True, True, 0, 0)


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(plants(zones=None, taps=None))
def test_uses_left_to_the_call_give_the_bits_of_a_kernel_built_for_them(plant: dict[str, Any]) -> None:
    built = run(plant)
    with pytest.MonkeyPatch.context() as patch:
        kernel = block._Form.kernel
        patch.setattr(block, "AT_ONCE", 8)
        patch.setattr(block._Form, "lies_ready", lambda _: False)
        patch.setattr(block._Form, "is_made", lambda _: False)
        patch.setattr(block._Form, "kernel", lambda form: SimpleNamespace(py_func=kernel(form).py_func))
        open_to_all = functools.partial(block._Form, (k.ANY,) * 3, k.ANY, hourly=True, fans=True)
        patch.setattr(block, "_form_of_one", lambda own, zones, uses: open_to_all(own=own, zones=zones))
        for name, values in run(plant).items():
            assert np.array_equal(values, built[name]), name


def test_the_kernel_in_python_looks_into_views_and_lists_by_the_hour() -> None:
    """What it indexes each hour is a view or a list, which Python reads faster; what it sums into stays an array."""
    names = [*inspect.signature(FORM.kernel().py_func).parameters]
    given = tuple(np.arange(3.0) for _ in names)
    found = dict(zip(names, block._as_python(given), strict=True))
    views = {name for name, one in found.items() if isinstance(one, memoryview)}
    lists = {name for name, one in found.items() if isinstance(one, list)}
    assert views == {
        "w", "hours", "degrees", "source_hours", "per_heat", "own_values", "own_entries", "out", "kept",
    }  # fmt: skip
    assert lists == {"any_kinds", "first", "month", "own_at"}
    assert all(found[name] is given[0] or isinstance(found[name], np.ndarray) for name in set(names) - views - lists)


def test_a_form_is_waited_for_where_the_job_is_worth_it(monkeypatch: pytest.MonkeyPatch) -> None:
    code: list[Any] = [None]
    on_disk = [False]
    begun: list[Any] = []
    event = threading.Event()
    monkeypatch.setattr(block._Form, "code", lambda form: code[0])
    monkeypatch.setattr(block._Form, "kernel", lambda form: SimpleNamespace(signatures=()))
    monkeypatch.setattr(block._Form, "_arguments", lambda form, *rest: ())
    monkeypatch.setattr(compiling, "on_disk", lambda kernel, arguments: on_disk[0])
    monkeypatch.setattr(ahead, "begin", lambda kernel, spec: begun.append(spec))
    monkeypatch.setattr(block, "_begin", lambda form: event)
    monkeypatch.setattr(block, "_begun", {})
    monkeypatch.setattr(block, "PATIENCE_S", 0.0)
    monkeypatch.setattr(block, "AT_ONCE", 8)
    assert not FORM.there(block.WORTH - 1)  # too few lanes to begin for
    assert begun == []
    assert not FORM.there(block.WORTH)  # a process apart begins, and nobody waits for it
    assert begun == [FORM.spec()]
    on_disk[0] = True
    assert not FORM.there(block.WORTH)  # being loaded
    event.set()
    assert FORM.there(block.WORTH)
    assert begun == [FORM.spec()]
    code[0] = object()
    assert FORM.there(1)
    assert FORM.lies_ready()


def test_small_jobs_share_forms_and_large_ones_have_their_own(monkeypatch: pytest.MonkeyPatch) -> None:
    own = block._Form((k.DISPATCHABLE, k.SOLAR, 0), 0, False, False, False, 0, 1, False)
    shared = block._Form((k.CYCLING, k.SOLAR, 0), 0, False, False, True, 0, 1)
    later: set[Any] = set()
    monkeypatch.setattr(block, "_later", later)
    for at_once, lanes, form, wanted in (
        (8, 4_095, shared, False), (8, 4_096, shared, True), (0, 4_096, shared, False), (8, 65_535, shared, True), (8, 65_536, own, False),
    ):  # fmt: skip
        later.clear()
        monkeypatch.setattr(block, "AT_ONCE", at_once)
        assert own.for_job(lanes) == form
        assert (own in later) == wanted
    assert (own.width, block._ONE.width) == (16, 1)
    assert block._ONE.pumps


def test_what_collectors_lose_in_each_house_is_taken_from_what_the_sun_gives_and_never_more() -> None:
    """Of 500 W one house's collectors lose 200 W and another's 900 W; at night both have nothing."""
    w = np.full(k.WORK * k.WIDTH, np.nan)
    at = np.full(k.SOURCES + k.SOURCE_ROWS, -1)
    at[k.SOURCES + k.CAPACITY] = 0
    own = np.array([[[-200.0, -900.0]]]), at, np.zeros((2, 1), dtype=np.int32)
    place = (k.HOUR + k.SOURCES + k.SOURCE_ROWS + k.CAPACITY) * k.WIDTH  # in the second slot
    fill = compiling.plain(ledger.fill_source)
    for hour, sun_w, wanted in ((0, 500.0, [300.0, 0.0]), (1, 0.0, [0.0, 0.0])):
        fill(w, 2, k.SECOND, k.SOLAR, SimpleNamespace(capacity=sun_w, per_heat=1.0), own, 0, 0, hour)
        assert w[place : place + 2].tolist() == wanted
    # a boiler's own capacity stands for itself
    fill(w, 2, k.SECOND, k.CYCLING, SimpleNamespace(capacity=500.0, per_heat=1.0, target=60.0), own, 0, 0, 0)
    assert w[place : place + 2].tolist() == [-200.0, -900.0]


def test_a_job_asks_for_the_form_that_adds_up_what_it_wants(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hours are added up for a power, a demand charge or own generation; fans and pumps where a lane has any."""
    asked: list[Any] = []

    def ask(form: Any, lanes: int) -> Any:
        asked.append((form, lanes))
        return form

    monkeypatch.setattr(block._Form, "code", lambda form: None)
    monkeypatch.setattr(block._Form, "for_job", ask)
    monkeypatch.setattr(block._Form, "there", lambda form, lanes: False)
    monkeypatch.setattr(block._Form, "run", lambda *_: None)
    plant = tank_of_an_hour(4)
    plant["source_scalars"][:] = 0.0

    def flags(
        *, power: Any = None, pump_w: float = 0.0, fan_w: float = 0.0, all_of: int | None = None, **more: Any
    ) -> tuple[Any, ...]:
        given = lanes_of(plant["scalars"], plant["source_scalars"], 2, loss_w_k=100.0)
        given[k.PUMP, 1], given[k.OWN + k.AUX_W, 1] = pump_w, fan_w
        block.run_lanes(share(**plant, **more), given, power=power, all_of=all_of)
        form, lanes = asked.pop()
        assert asked == []
        return form.hourly, form.fans, form.pumps, form.own, lanes

    assert flags() == (False, False, False, False, 2)
    assert flags(power=np.zeros(4, dtype=np.int64))[0]
    assert flags(meters=np.zeros((1, 4)), payers=np.ones((1, 2)))[0]
    assert flags(free=np.zeros(4), takers=np.ones(2))[0]
    assert flags(fan_w=0.5) == (False, True, False, False, 2)
    assert flags(pump_w=0.5, all_of=900) == (False, False, True, False, 900)


def test_a_few_years_are_run_in_python_where_nothing_is_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    """At most eight of the form for one; more wait for the compiler, and so does what only compiles."""
    ran: list[str] = []
    made = [False]
    monkeypatch.setattr(compiling, "plain", lambda kernel: lambda *_: ran.append("plain"))
    monkeypatch.setattr(block, "_as_python", lambda arguments: arguments)
    monkeypatch.setattr(block, "_later", set())
    monkeypatch.setattr(block, "_ran_plain", block.Counter())
    monkeypatch.setattr(block, "_by_numba", set())
    monkeypatch.setattr(block, "AT_ONCE", 8)
    monkeypatch.setattr(block._Form, "_arguments", lambda form, *rest: ())
    monkeypatch.setattr(block._Form, "is_made", lambda form: made[0])
    monkeypatch.setattr(block._Form, "code", lambda form: None)
    monkeypatch.setattr(block._Form, "kernel", lambda form: lambda *_: ran.append("compiled"))
    monkeypatch.setattr(block._Form, "lies_ready", lambda form: ran.append("begun"))
    monkeypatch.setattr(block.object_code, "keep", lambda spec, kernel: ran.append("kept"))

    def run(years: int, form: Any = block._ONE) -> list[str]:
        ran.clear()
        form.run(None, np.zeros((years, 1, 1)), None, None)
        return list(ran)

    assert run(0) == ["compiled", "kept"]
    assert run(1) == ["plain"]
    assert {*block._later} == {block._ONE}
    assert run(7) == ["plain"]
    assert run(1) == ["plain", "begun"]  # the ninth
    block._ran_plain.clear()
    assert run(8) == ["plain"]
    assert run(9) == ["compiled"]  # kept before
    assert run(8, FORM) == ["compiled", "kept"]  # of sixteen lanes
    made[0] = True
    assert run(1) == ["compiled"]
