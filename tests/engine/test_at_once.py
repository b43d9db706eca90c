"""What is run before anything is compiled: the Python that the kernel is made from, bit for bit, while a process apart compiles."""

from __future__ import annotations

import io
import os
import subprocess
import time
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from engine.plants import plants, run
from hypothesis import HealthCheck, given, settings

from costsim import load_weather, read_study, simulate
from costsim.engine import ahead, block
from costsim.engine.batch import run_once
from costsim.engine.lower import lower_study
from costsim.views.headline import LATER, headline


def nothing_compiled(patch: pytest.MonkeyPatch) -> None:
    """Let no form be compiled, here or on disk."""
    kernel = block._Form.kernel
    patch.setattr(block, "AT_ONCE", 8)
    patch.setattr(block._Form, "lies_ready", lambda _: False)
    patch.setattr(block._Form, "is_made", lambda _: False)
    patch.setattr(block._Form, "kernel", lambda form: SimpleNamespace(signatures=(), py_func=kernel(form).py_func))


def as_python(plant: dict) -> dict[str, np.ndarray]:
    """Run the plant in Python, whether or not the kernel is compiled."""
    with pytest.MonkeyPatch.context() as patch:
        nothing_compiled(patch)
        return run(plant)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(plants(zones=None, taps=None))
def test_python_and_what_is_compiled_from_it_give_the_same_bits(plant: dict) -> None:
    compiled, python = run(plant), as_python(plant)
    for name, values in compiled.items():
        assert np.array_equal(values, python[name]), name


@pytest.mark.parametrize("name", ["net_loft", "valley_row"])
def test_a_year_s_sums_and_bills_are_the_same_bits_too(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    case = read_study(name)
    common = lower_study(case, load_weather(case))
    compiled = run_once(common, case.options[-1])
    nothing_compiled(monkeypatch)
    python = run_once(common, case.options[-1])
    assert np.array_equal(compiled.sums, python.sums)
    assert np.array_equal(compiled.energy_j, python.energy_j)


def test_the_first_answer_says_what_it_leaves_out(monkeypatch: pytest.MonkeyPatch) -> None:
    case = read_study("lantern_cottage")
    weather = load_weather(case)
    result = simulate(case, weather)
    monkeypatch.setattr(block, "AT_ONCE", 8)
    monkeypatch.setattr(block._Form, "lies_ready", lambda _: False)
    first = headline(case, weather, result, "us", at_once=True)
    assert LATER in first
    assert "plausible" not in first
    monkeypatch.setattr(block, "AT_ONCE", 0)
    assert "plausible" in headline(case, weather, result, "us", at_once=True)


def test_one_process_compiles_and_a_lost_one_is_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[list[str]] = []

    def process(command: list[str], **_: object) -> SimpleNamespace:
        started.append(command)
        return SimpleNamespace(wait=lambda: 0, poll=lambda: 0, stdin=io.BytesIO())

    monkeypatch.setattr(subprocess, "Popen", process)
    monkeypatch.setattr(ahead, "_at_work", None)
    kernel = SimpleNamespace(signatures=(), _cache=SimpleNamespace(cache_path=str(tmp_path / "cache")))
    form = block._ONE.spec()
    for _ in range(3):
        ahead.begin(kernel, form)
    assert len(started) == 1
    lock = Path(started[0][-1])
    assert lock.exists()
    long_ago = time.time() - 2 * ahead.STALE_S
    os.utime(lock, (long_ago, long_ago))
    ahead.begin(kernel, form)
    assert len(started) == 2
    # nowhere to keep it, or compiled already: nothing to do
    ahead.begin(SimpleNamespace(signatures=()), form)
    ahead.begin(SimpleNamespace(signatures=(1,), _cache=kernel._cache), "other")
    (tmp_path / "file").write_text("")
    ahead.begin(SimpleNamespace(signatures=(), _cache=SimpleNamespace(cache_path=str(tmp_path / "file" / "x"))), form)
    assert len(started) == 2


def test_the_process_compiles_what_it_is_told_and_takes_its_lock_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[block._Form] = []
    monkeypatch.setattr(block, "_warm", made.append)
    forms = [block._ONE, block._Form((1, 2, 3), 0, True, False, True, 1, 0)]
    for form in forms:
        (tmp_path / "lock").write_text("")
        monkeypatch.setattr(os, "nice", lambda _: 0)
        ahead.main([form.spec(), str(tmp_path / "lock")])
        assert not (tmp_path / "lock").exists()
    assert made == forms
    assert made[0].width == 1
    assert made[1].width == 16


def test_a_process_at_work_takes_further_forms_until_it_stops_listening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    inbox, outbox = os.pipe()
    started: list[list[str]] = []

    def process(command: list[str], **_: object) -> SimpleNamespace:
        started.append(command)
        return SimpleNamespace(wait=lambda: 0, poll=lambda: None, stdin=os.fdopen(outbox, "wb", buffering=0))

    monkeypatch.setattr(subprocess, "Popen", process)
    monkeypatch.setattr(ahead, "_at_work", None)
    monkeypatch.setattr(ahead, "WAITS_S", 0.01)
    kernel = SimpleNamespace(signatures=(), _cache=SimpleNamespace(cache_path=str(tmp_path)))
    forms = [block._ONE, block._Form((1, 2, 3), 0, True, False, True, 1, 0), block._Form((3, 0, 0), 0, False, False, False, 0, 0)]  # fmt: skip
    for form in forms:
        ahead.begin(kernel, form.spec())
    assert len(started) == 1
    assert len(list(tmp_path.glob("*.lock"))) == 3
    made: list[block._Form] = []
    monkeypatch.setattr(block, "_warm", made.append)
    monkeypatch.setattr(os, "nice", lambda _: 0)
    ahead.main(started[0][-2:], inbox)
    assert made == forms
    assert not list(tmp_path.glob("*.lock"))
    # nobody reads any more: the next form has a process of its own
    monkeypatch.setattr(subprocess, "Popen", lambda command, **_: started.append(command) or SimpleNamespace(wait=int))
    ahead.begin(kernel, forms[1].spec())
    assert len(started) == 2
