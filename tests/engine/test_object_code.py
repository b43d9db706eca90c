"""Code that is kept apart from the compiler gives the bits of the compiler's own call, or is not taken."""

from __future__ import annotations

import numpy as np
import pytest

from costsim import load_weather, read_study
from costsim.engine import block, layered, object_code
from costsim.engine.compiling import plain
from costsim.engine.lower import LoweredOption, lower_option, lower_study


@pytest.fixture
def plant() -> LoweredOption:
    case = read_study("valley_row")
    return lower_option(lower_study(case, load_weather(case)), case.options[-1])


def year(plant: LoweredOption) -> tuple[np.ndarray, ...]:
    return plant.year()


def by_numba(patch: pytest.MonkeyPatch) -> None:
    """Nothing kept, in memory or on disk."""
    patch.setattr(block, "_codes", {})
    patch.setattr(block, "_by_numba", set())
    patch.setattr(object_code, "load", lambda _: None)


def test_kept_code_is_called_and_gives_the_same_bits(plant: LoweredOption, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.MonkeyPatch.context() as patch:
        by_numba(patch)
        compiled = year(plant)  # and keeps it
    monkeypatch.setattr(block, "_codes", {})
    monkeypatch.setattr(block, "_by_numba", set())
    monkeypatch.setattr("costsim.engine.kernel.build", lambda *_: pytest.fail("the compiler was asked"))
    for values, others in zip(compiled, year(plant), strict=True):
        assert np.array_equal(values, others)


def test_arguments_of_other_types_go_through_the_compiler(plant: LoweredOption) -> None:
    year(plant)
    block._by_numba.discard(block._ONE)
    code = block._ONE.code()
    if code is None:
        by_numba(patch := pytest.MonkeyPatch())
        year(plant)
        patch.undo()
        code = block._ONE.code()
    assert code is not None
    right = list(block._ONE._arguments(*block._no_lane(block._ONE)))
    assert code(*right)
    locked = np.zeros(3)
    locked.flags.writeable = False
    for at, wrong in (
        (0, np.zeros(3, dtype=np.float32)),
        (0, np.zeros(6)[::2]),
        (0, locked),
        (3, np.zeros(3)),
        (1, 0.5),
    ):
        assert not code(*[*right[:at], wrong, *right[at + 1 :]])
    with pytest.raises(ValueError, match="shorter"):
        code(*right[:-1])


def test_code_that_needs_what_the_compiler_brings_is_not_kept(
    plant: LoweredOption, monkeypatch: pytest.MonkeyPatch
) -> None:
    by_numba(monkeypatch)
    year(plant)
    kernel = block._ONE.kernel()
    assert object_code._taken_from(kernel) is not None
    monkeypatch.setattr(object_code, "_HARMLESS", ("llvm.",))
    assert object_code._taken_from(kernel) is None


def test_whoever_tells_the_compiler_how_to_work_gets_it(monkeypatch: pytest.MonkeyPatch) -> None:
    assert object_code._made_with.__wrapped__()
    monkeypatch.setenv("NUMBA_OPT", "1")
    assert not object_code._made_with.__wrapped__()


def test_drawing_next_to_nothing_from_a_tank_hot_all_through_divides_by_nothing() -> None:
    asks = layered.Asks(241.25, 20.0, 0.0030725, 0.0028930, 325.466, 345.665, 710.96)
    # the hottest source gives what is called, but for the last bit
    heat = plain(layered.serve)(86.9, 86.9, 1.0, asks, (np.nextafter(241.25, 0.0).item(), 643.6), 337.17)
    assert all(np.isfinite(one) for one in heat)
    assert heat[3:] == (86.9, 86.9, 0.0)  # one zone
