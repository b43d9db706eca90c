"""Sixteen lanes side by side against one at a time, and both against plain Python."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

import numpy as np
import pytest
from engine.plants import HOURS, plants, rows
from engine.test_kernel import close, reference
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costsim import load_weather, read_study
from costsim.cli.main import main
from costsim.engine import block
from costsim.engine import layout as k
from costsim.engine import shared as shared_rows
from costsim.engine.batch import job_of, run_batch
from costsim.engine.block import FEW, run_lanes
from costsim.engine.lane_inputs import LaneInputs, kinds_of
from costsim.engine.lanes import lanes_of
from costsim.engine.lower import lower_option, lower_study
from costsim.engine.shared import share
from costsim.simulation import run_hours

# each topology is a form of the kernel of its own, which takes seconds to compile the first time
TOPOLOGIES = st.sampled_from(
    [
        (False, ("plain",)),
        (False, ("solar", "store")),
        (True, ("plain", "store")),
        (True, ("store", "wood", "solar")),
        (False, ("wood", "wood", "plain")),
        (False, ("plain", "plain", "store")),
    ]
)
ANY_PLANT = TOPOLOGIES.flatmap(
    lambda one: plants(mass=one[0], just=one[1], zones=one[1][0] == "store", taps=one[1][0] == "wood")
)
MANY = settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
LARGE = 1000
SOME = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


@pytest.fixture(autouse=True)
def wait_for_compilers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every form of the kernel is waited for, so that it is the one that is tested."""
    monkeypatch.setattr(block, "PATIENCE_S", 600.0)
    monkeypatch.setattr(block, "WORTH", 0)
    monkeypatch.setattr(block, "OWN_FORM", LARGE)


def extras(plant: dict, rng: np.random.Generator) -> dict:
    """Billing for a random plant: heat per input, two periods that change by the hour, months, a demand charge."""
    own = plant["source_scalars"]
    count, n = len(own), HOURS
    own[:, k.ELECTRIC] = rng.integers(0, 2, count)
    own[:, k.AUX_W], own[:, k.STANDBY], own[:, k.AUX_SHARE] = rng.uniform(0, 90, count), rng.uniform(0, 20, count), 0.01
    told = (own[:, k.MUST_RUN] == 0) & (own[:, k.BURN_POWER] == 0)
    own[told, k.DEGRADATION], own[told, k.MIN_FIRE] = 0.1, np.where(rng.random(told.sum()) < 0.3, 0.0, 3000.0)
    plant["scalars"][k.PUMP_POWER] = 45.0
    dear = np.where(rng.random((count + 1, n)) < 0.2, rng.random((count + 1, n)), 0.0)
    return {
        "per_input": rng.uniform(0.5, 4.0, (count, n)),
        "shares": np.stack([1.0 - dear, dear], axis=1),
        "months": np.sort(rng.integers(1, 4, n)),
        "degrees": rng.normal(8, 9, n),
        "meters": np.where(rng.random((1, n)) < 0.3, k.OUTSIDE_W, 500.0),
        "payers": rng.integers(0, 2, (1, count + 1)).astype(float),
    }


def made(form: block._Form) -> bool:
    """Whether a form is there, kept or compiled."""
    return form.code() is not None or block._begun[form].is_set()


@contextlib.contextmanager
def by_shared_forms() -> Iterator[None]:
    """No code is kept: a small job takes the form that topologies share, not its own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(block._Form, "code", lambda _: None)
        yield


def one_by_one(shared, lanes, own=None, power=None):  # type: ignore[no-untyped-def]
    """Every lane by itself."""
    parts = []
    for i in range(lanes.shape[1]):
        mine = None if own is None else own.pick(np.array([i]))
        parts.append(run_lanes(shared, lanes[:, i : i + 1], own=mine, power=power, alone=True))
    return [np.concatenate([getattr(part, name) for part in parts]) for name in ("sums", "energy_j", "peaks_w")]


@pytest.mark.long
@MANY
@given(ANY_PLANT, st.integers(0, 2**32 - 1), st.integers(FEW, 20))
def test_lanes_side_by_side_give_the_bits_of_one_alone(plant: dict, seed: int, number: int) -> None:
    rng = np.random.default_rng(seed)
    more = extras(plant, rng)
    plant["scalars"][k.PUMP_POWER] *= rng.integers(0, 2)
    shared = share(*rows(plant), **more)
    lanes = lanes_of(
        plant["scalars"], plant["source_scalars"], number,
        loss_w_k=plant["hours"][k.DEMAND].max() / 25 * rng.uniform(0.3, 2, number),
        shift_k=rng.normal(0, 3, number), limit_w=plant["hours"][k.FLOOR_LIMIT, 0] * rng.uniform(0.5, 2, number),
        factor=rng.uniform(0.7, 1.2, (len(plant["source_scalars"]), number)), steps=rng.uniform(0, 2.0**20, number),
    )  # fmt: skip
    alone = np.zeros(HOURS, dtype=np.int64)
    expected = one_by_one(shared, lanes, power=alone)
    pumps = bool(plant["scalars"][k.PUMP_POWER])
    exact = block._Form(shared.kinds, shared.mass, False, True, True, shared.zones, shared.uses, pumps)
    for job, form in ((LARGE, exact), (number, exact.for_job(number))):
        power = np.zeros(HOURS, dtype=np.int64)
        with by_shared_forms() if form != exact else contextlib.nullcontext():
            found = run_lanes(shared, lanes, power=power, all_of=job)
            assert made(form)
        for values, others in zip((found.sums, found.energy_j, found.peaks_w), expected, strict=True):
            assert np.array_equal(values, others)
        assert np.array_equal(power, alone)


@pytest.mark.long
@SOME
@given(ANY_PLANT, st.integers(0, 2**32 - 1))
def test_the_sums_and_bills_of_a_block_equal_plain_python(plant: dict, seed: int) -> None:
    rng = np.random.default_rng(seed)
    more = extras(plant, rng)
    own, count = plant["source_scalars"], len(plant["source_scalars"])
    factor = rng.uniform(0.7, 1.2, count)
    # the demand of the hours as degree-hours of a house that loses 1 W/K, on a floor that takes it all
    more["degrees"] = plant["hours"][k.DEMAND]
    plant["hours"][k.FLOOR_LIMIT] = 1e9
    lanes = lanes_of(plant["scalars"], own, 8, loss_w_k=1.0, factor=factor[:, None])
    found = run_lanes(share(*rows(plant), **more), lanes, dumped=True)
    expected = {name: np.array(values) for name, values in reference(plant).items()}
    heat, scale = expected["heat"].T, max(1.0, expected["heat"].sum(axis=1).max())
    made = heat + expected["dumped"].T * (own[:, k.BURN_POWER] > 0)[:, None]
    cycles = (own[:, k.DEGRADATION] > 0) & (own[:, k.MIN_FIRE] > 0)
    ratio = np.minimum(made / np.where(cycles, own[:, k.MIN_FIRE], 1.0)[:, None], 1.0)
    used = made / (more["per_input"] * factor[:, None]) / (1 - (own[:, k.DEGRADATION] * cycles)[:, None] * (1 - ratio))
    used = used + own[:, k.STANDBY][:, None]
    for month in range(1, 4):
        here = more["months"] == month
        billed = (used[:, None, here] * more["shares"][:-1][:, :, here]).sum(axis=-1) * k.HOUR_S
        assert close(found.energy_j[3, :-1, month - 1], billed, scale * k.HOUR_S * HOURS)
    assert close(found.sums[3, k.SUM_DEMAND], plant["hours"][k.DEMAND].sum() * k.HOUR_S, scale * k.HOUR_S * HOURS)
    assert close(found.sums[3, k.SUM_DELIVERED], expected["delivered"].sum() * k.HOUR_S, scale * k.HOUR_S * HOURS)
    assert close(found.sums[3, k.SUMS + count :], expected["dumped"].sum(axis=0) * k.HOUR_S, scale * k.HOUR_S * HOURS)
    short = expected["short"][expected["short"] > k.ROUNDING_W]
    if not (np.abs(expected["short"] - k.ROUNDING_W) < 1e-6).any():
        assert found.sums[3, k.SHORT_HOURS] == len(short)
        assert close(found.sums[3, k.WORST_SHORT], short.max(initial=0.0), scale)


@pytest.mark.long
@SOME
@given(plants(mass=True, just=("store", "wood", "solar")), st.integers(0, 2**32 - 1))
def test_rows_of_its_own_give_a_lane_the_bits_of_a_plant_with_those_rows(plant: dict, seed: int) -> None:
    rng = np.random.default_rng(seed)
    more, count, number = extras(plant, rng), len(plant["source_scalars"]), 9
    loss = plant["hours"][k.DEMAND].max() / 25
    at = np.full(k.SOURCES + count * k.SOURCE_ROWS, -1, dtype=np.int64)
    picked = [
        row
        for row in (
            k.ROOM,
            k.GAINS,
            k.SLAB_WEATHER,
            k.ROOM_WEATHER,
            k.PRECHARGE,
            k.COLD_BELOW,
            *range(k.DEGREES, len(at)),
        )
        if rng.random() < 0.6
    ]
    at[picked] = np.arange(len(picked))
    each = rng.uniform(0.9, 1.1, (number, len(picked), HOURS))
    for place, row in enumerate(picked):
        each[:, place] *= _row(plant, more, row)
    own = LaneInputs.of_hours(each, at)
    lanes = lanes_of(plant["scalars"], plant["source_scalars"], number, loss_w_k=loss, shift_k=rng.normal(0, 2, number))
    found = run_lanes(share(*rows(plant), **more), lanes, own=own)
    for i in (0, 5, 8):
        alone = {name: plant[name].copy() for name in ("scalars", "hours", "source_scalars", "source_hours", "order")}
        other = {**more, "per_input": more["per_input"].copy(), "degrees": more["degrees"].copy()}
        for place, row in enumerate(picked):
            mine = _row(alone, other, row)
            # what the sun gives is added to a lane's own, and never less than nothing
            if _is_collectors(plant, row):
                mine[:] = np.maximum(each[i, place] + mine, 0.0)
            else:
                mine[:] = 1.0 / each[i, place] if _is_input(row) else each[i, place]
        one = run_lanes(share(*rows(alone), **other), lanes[:, i : i + 1])
        assert np.allclose(found.sums[i], one.sums[0], rtol=1e-9, atol=1e-6)
        assert np.allclose(found.energy_j[i], one.energy_j[0], rtol=1e-9, atol=1e-6 * k.HOUR_S)


def _is_collectors(plant: dict, row: int) -> bool:
    i, one = divmod(row - k.SOURCES, k.SOURCE_ROWS)
    return row >= k.SOURCES and one == k.CAPACITY and kinds_of(plant["source_scalars"])[i] == k.SOLAR


def _is_input(row: int) -> bool:
    return row >= k.SOURCES and (row - k.SOURCES) % k.SOURCE_ROWS == k.PER_HEAT


def _row(plant: dict, more: dict, row: int) -> np.ndarray:
    """The shared row in a place of `LaneInputs.at`, to be written; heat per input stands upside down in it."""
    if row == k.DEGREES:
        return more["degrees"]
    if row < k.DEGREES:
        return plant["hours"][row]
    i, one = divmod(row - k.SOURCES, k.SOURCE_ROWS)
    return more["per_input"][i] if one == k.PER_HEAT else plant["source_hours"][i, one]


def test_a_source_that_cycles_keeps_its_losses_where_the_order_changes() -> None:
    kinds, slots = shared_rows._slots([k.DISPATCHABLE, k.SOLAR, k.CYCLING], np.array([[1, 1], [0, 2], [2, 0]]))
    assert kinds == (k.SOLAR, k.CYCLING, k.CYCLING)
    assert slots.tolist() == [[1, 0, 2], [1, 2, 0]]


def test_a_small_job_does_not_wait_for_a_compiler(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(block, "WORTH", 1000)
    form = block._Form((k.DISPATCHABLE, k.DISPATCHABLE, k.DISPATCHABLE), 1, True, True, True)
    assert not form.there(20)
    assert form not in block._begun


def test_topologies_share_forms_until_a_job_is_large() -> None:
    told, cycles = k.DISPATCHABLE, k.CYCLING
    exact = [
        block._Form((told, 0, 0), 0, False, False, False, 0, 0),
        block._Form((cycles, 0, 0), 0, False, False, True, 0, 0),
    ]
    assert [form.for_job(LARGE) for form in exact] == exact
    assert {form.for_job(LARGE - 1) for form in exact} == {block._Form((cycles, 0, 0), 0, False, False, True, 0, 0)}
    still = block._Form((told, 0, 0), 0, False, False, False, 0, 0, False)
    assert still.for_job(LARGE - 1) == block._Form((cycles, 0, 0), 0, False, False, True, 0, 0, False)
    sunny = block._Form((k.BATCH_FIRED, k.SOLAR, told), 1, True, True, False, 1, 1, False)
    assert sunny.for_job(LARGE - 1) == block._Form((k.BATCH_FIRED, k.SOLAR, cycles), 1, True, True, True, 1, 1)


def test_the_demos_ask_for_few_forms(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = set()
    monkeypatch.setattr(block, "OWN_WHERE_KEPT", False)  # on a machine where nothing is kept yet
    monkeypatch.setattr(block._Form, "there", lambda form, _lanes: asked.add(form))
    monkeypatch.setattr(block._Form, "run", lambda *_a, **_k: None)
    for name in ("lantern_cottage", "net_loft", "valley_row"):
        case = read_study(name)
        common = lower_study(case, load_weather(case))
        ones = np.ones(20)
        for option in case.options:
            plant = lower_option(common, option)
            run_batch(common, plant, loss_w_k=ones, shift_k=ones, efficiency=np.ones((20, len(plant.offers))))
    assert len(asked) == 5


@pytest.mark.parametrize("loss", [0.0, 0.12])
def test_a_shared_form_gives_the_bits_of_one_alone(loss: float) -> None:
    case = read_study("lantern_cottage")
    common = lower_study(case, load_weather(case))
    plant = lower_option(common, case.options[2])
    plant.source_scalars[0, k.DEGRADATION] = loss
    lanes = lanes_of(plant.scalars, plant.source_scalars, 7, loss_w_k=common.loss_w_k * np.linspace(0.4, 2.0, 7))
    shared = job_of(common, plant)
    form = block._Form((k.CYCLING, 0, 0), 0, False, False, True, 0, 0, False)
    with by_shared_forms():
        found = run_lanes(shared, lanes)
        assert made(form)
    for values, others in zip((found.sums, found.energy_j, found.peaks_w), one_by_one(shared, lanes), strict=True):
        assert np.array_equal(values, others)


def test_whatever_calls_it_each_form_is_compiled_once() -> None:
    case = read_study("valley_row")
    common = lower_study(case, load_weather(case))
    block.warm_up()
    for option in case.options:
        plant = lower_option(common, option)
        run_hours(common, plant)
        ones = np.ones(20)
        run_batch(
            common,
            plant,
            loss_w_k=common.loss_w_k * ones,
            shift_k=0.0 * ones,
            efficiency=np.ones((20, len(plant.offers))),
        )
    used = [
        form for form in (block._ONE, block._ONE_WITH_ROWS, *block._begun) if form.code() or form in block._by_numba
    ]
    assert block._ONE in used
    assert all(len(form.kernel().signatures) <= 1 for form in used)  # what was kept needs no compiler


@pytest.mark.parametrize("name", ["lantern_cottage", "net_loft", "valley_row"])
def test_a_lane_with_the_load_of_the_study_is_the_study(name: str) -> None:
    case = read_study(name)
    common = lower_study(case, load_weather(case))
    for option in case.options:
        plant, ones = lower_option(common, option), np.ones(FEW)
        found = run_batch(
            common,
            plant,
            loss_w_k=common.loss_w_k * ones,
            shift_k=0.0 * ones,
            efficiency=np.ones((FEW, len(plant.offers))),
        )
        hours = run_hours(common, plant)
        assert np.allclose(found.sums[:, k.SUMS :], hours.heat_w.sum(axis=1) * k.HOUR_S, rtol=1e-9, atol=1e-3)
        inputs = found.energy_j[:, :-1].sum(axis=(2, 3))
        assert np.allclose(inputs, hours.input_w.sum(axis=1) * k.HOUR_S, rtol=1e-9, atol=1e-3)
        pumps = (hours.auxiliary_w.sum(axis=0) + hours.pump_w).sum() * k.HOUR_S
        assert np.allclose(found.energy_j[:, -1].sum(axis=(1, 2)), pumps, rtol=1e-9, atol=1e-3)


def test_a_small_job_takes_its_own_form_where_that_is_kept_and_has_it_made_after_the_answer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    used: list[block._Form] = []
    kept: list[block._Form] = []
    monkeypatch.setattr(block._Form, "run", lambda form, *_a, **_k: used.append(form))
    monkeypatch.setattr(block._Form, "there", lambda *_: True)
    monkeypatch.setattr(block._Form, "code", lambda form: form if form in kept else None)
    monkeypatch.setattr(block, "_later", later := set())
    monkeypatch.setattr(block, "AT_ONCE", 8)
    monkeypatch.setattr(block, "OWN_FORM", 65_536)
    case = read_study("lantern_cottage")
    common = lower_study(case, load_weather(case))
    plant = lower_option(common, case.options[2])
    lanes = lanes_of(plant.scalars, plant.source_scalars, 7, loss_w_k=common.loss_w_k)
    for all_of in (7, block.OWN_LATER - 1, block.OWN_LATER, block.OWN_LATER):
        run_lanes(job_of(common, plant), lanes, all_of=all_of)
    (shared,) = set(used)
    (own,) = later
    assert (shared.fans, shared.pumps, own == shared) == (True, False, False)
    kept.append(own)
    run_lanes(job_of(common, plant), lanes)
    assert used[-1] == own
    made: list[block._Form] = []
    monkeypatch.setattr(block._Form, "lies_ready", lambda form: made.append(form))
    assert main(["completion", "bash"]) == 0  # any command, once it has told its answer
    assert (made, later) == ([own], set())
