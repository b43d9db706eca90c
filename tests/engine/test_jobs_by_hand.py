"""Which form of the kernel a job gets, when forms are made, and what is remembered of a house's other bills."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from costsim.engine import batch, block
from costsim.engine import layout as k


def some(**more: Any) -> Any:
    return SimpleNamespace(**more)


FORM = block._Form((k.CYCLING, 0, 0), 0, False, True, True, 0, 0)


def test_blocks_are_run_where_there_are_enough_lanes_of_a_known_loss(monkeypatch: pytest.MonkeyPatch) -> None:
    ready = [True]
    monkeypatch.setattr(block._Form, "code", lambda form: None)
    monkeypatch.setattr(block._Form, "for_job", lambda form, lanes: form)
    monkeypatch.setattr(block._Form, "there", lambda form, lanes: ready[0])
    shared: Any = some(kinds=(k.CYCLING, 0, 0), mass=0, meters=(), free=(), count=1, zones=1, uses=0)

    def blocks(lanes: int, loss: float = 100.0) -> bool:
        given = np.zeros((k.LANES, lanes))
        given[k.LOSS] = 100.0
        given[k.LOSS, -1] = loss
        return block.in_blocks(shared, given, 10_000)

    assert (blocks(block.FEW - 1), blocks(block.FEW)) == (False, True)
    assert (blocks(16, 0.5), blocks(16, 0.0), blocks(16, -1.0)) == (
        True,
        False,
        False,
    )  # of no loss: the demand of the hours
    ready[0] = False
    assert not blocks(16)
    one = block.form_of_one(shared, True)
    assert (one.own, one.zones, one.uses, one.width, one.hourly, one.fans) == (True, 1, 0, 1, True, True)


def test_kept_code_of_its_own_is_looked_for_in_jobs_of_more_than_257_lanes(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    known: list[Any] = [object()]
    monkeypatch.setattr(block._Form, "code", lambda form: asked.append("code") or known[0])
    monkeypatch.setattr(block._Form, "for_job", lambda form, lanes: asked.append("job") or form)
    monkeypatch.setattr(block._Form, "there", lambda form, lanes: True)
    shared: Any = some(kinds=(k.CYCLING, 0, 0), mass=0, meters=(), free=(), count=1, zones=0, uses=0)
    lanes = np.ones((k.LANES, 16))

    def looked(job: int) -> list[str]:
        asked.clear()
        block._form_for(shared, lanes, False, False, job)
        return list(asked)

    assert looked(block.WORTH) == ["job"]
    assert looked(block.WORTH + 1) == ["code"]
    known[0] = None
    assert looked(block.WORTH + 1) == ["code", "job"]
    monkeypatch.setattr(block, "OWN_WHERE_KEPT", False)
    assert looked(block.WORTH + 1) == ["job"]


def test_a_form_begins_once_and_rubbish_is_looked_for_again_after_it(monkeypatch: pytest.MonkeyPatch) -> None:
    looking: list[bool] = []
    monkeypatch.setattr(block, "_begun", {})
    monkeypatch.setattr(block._Form, "run", lambda *_: looking.append(block.gc.isenabled()))
    event = block._begin(FORM)
    assert block._begin(FORM) is event
    assert event.wait(10)
    assert looking == [False]
    assert block.gc.isenabled()
    block.gc.disable()
    try:
        block._warm(FORM)
        assert not block.gc.isenabled()  # whoever did without goes on without
    finally:
        block.gc.enable()

    def fails(*_: Any) -> None:
        raise OSError("lost")

    monkeypatch.setattr(block._Form, "run", fails)
    event.clear()
    with pytest.raises(OSError, match="lost"):
        block._warm(FORM)
    assert event.is_set()  # nobody waits for it
    assert block.gc.isenabled()


def test_forms_that_would_have_helped_are_made_once_the_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Any] = []
    monkeypatch.setattr(block, "_later", {FORM, block._ONE})
    monkeypatch.setattr(block._Form, "lies_ready", lambda form: made.append(form))
    block.make_later()
    assert set(made) == {FORM, block._ONE}
    assert block._later == set()
    block.warm_up()
    assert made[2:] == [block._ONE]


def test_bills_of_the_rest_of_a_house_are_reckoned_once_until_there_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    priced: list[float] = []
    monkeypatch.setattr(batch, "_ALONE", {})
    monkeypatch.setattr(batch, "MOST_ALONE", 2)
    monkeypatch.setattr(batch, "monthly_energy_j", lambda tariff, clock, joule: joule[:, None])
    monkeypatch.setattr(batch, "monthly_peaks_w", lambda tariff, clock, joule: joule)

    def price(tariff: Any, house: Any, peaks: Any, *, price_factor: Any, calendar: Any) -> Any:
        priced.append(float(price_factor))
        return house.sum() * price_factor

    other = np.array([1.0, 2.0])

    def alone(factor: float, joule: Any = other) -> float:
        return float(batch._house_alone("t", "c", joule, np.asarray(factor), price)[1])  # type: ignore[arg-type]

    assert (alone(1.0), alone(1.0), alone(2.0), alone(1.0)) == (3.0, 3.0, 6.0, 3.0)
    assert priced == [1.0, 2.0]
    assert alone(3.0) == 9.0  # one too many: all are forgotten
    assert len(batch._ALONE) == 1
    assert alone(1.0) == 3.0
    assert priced == [1.0, 2.0, 3.0, 1.0]
