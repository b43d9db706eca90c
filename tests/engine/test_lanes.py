"""What a lane has for itself, and every sum that comes out of its year, against plain Python and arithmetic by hand."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from engine.plants import HOURS, plants, rows, run
from engine.test_block import extras
from engine.test_kernel import close, reference, steady
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costsim.engine import block, ledger
from costsim.engine import layout as k
from costsim.engine import shared as shared_rows
from costsim.engine.batch import BatchResult, gather, lane_inputs
from costsim.engine.block import FEW, WORTH, has_fans, run_lanes
from costsim.engine.kernel import ANY
from costsim.engine.lane_inputs import LaneInputs, kinds_of
from costsim.engine.lanes import lanes_of
from costsim.engine.shared import Shared, share

SOME = settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
LANES = 3


def as_the_lane_sees_it(plant: dict, degrees: np.ndarray, lane: dict[str, float]) -> dict:
    """The plant with the demand, floor and set-point of one lane in its hours."""
    own = copy.deepcopy(dict(plant))
    own["hours"][k.DEMAND] = lane["loss_w_k"] * np.maximum(0.0, degrees + lane["shift_k"])
    own["hours"][k.FLOOR_LIMIT] = np.minimum(own["hours"][k.FLOOR_LIMIT], lane["limit_w"])
    own["hours"][k.ROOM] = own["hours"][k.ROOM] + lane["indoor_temperature_c"]
    return own


def by_hand(plant: dict, more: dict, lane: dict[str, float], factor: np.ndarray) -> dict[str, Any]:
    """Hours of one lane in plain Python, with what its sources and pumps draw."""
    seen = as_the_lane_sees_it(plant, more["degrees"], lane)
    expected = reference(seen)
    found = {name: np.array(values) for name, values in expected.items()}
    own, heat, heavy = plant["source_scalars"], found["heat"].T, plant["scalars"][k.WITH_MASS] > 0
    fires, cycles = own[:, k.BURN_POWER] > 0, (own[:, k.DEGRADATION] > 0) & (own[:, k.MIN_FIRE] > 0)
    made = heat + found["dumped"].T * fires[:, None]
    ratio = np.minimum(made / np.where(cycles, own[:, k.MIN_FIRE], 1.0)[:, None], 1.0)
    used = made / (more["per_input"] * factor[:, None]) / (1 - (own[:, k.DEGRADATION] * cycles)[:, None] * (1 - ratio))
    demand = seen["hours"][k.DEMAND]
    short = found["short"]
    # fans run as long as the burner does: below the smallest fire for that part of the hour
    staged = (own[:, k.BURN_POWER] == 0) & (own[:, k.MUST_RUN] == 0) & (own[:, k.MIN_FIRE] > 0)
    running = np.minimum(heat / np.where(staged, own[:, k.MIN_FIRE], 1e-9)[:, None], 1.0)
    fans = (own[:, k.AUX_SHARE][:, None] * heat + own[:, k.AUX_W][:, None] * running * (heat > 0.5)).sum(axis=0)
    return {
        "heat": heat,
        "demand": demand,
        "delivered": found["delivered"],
        "short": np.where(short > 0.5, short, 0.0),
        "raw": short,
        "drawn": used + own[:, k.STANDBY][:, None],
        "besides": fans + 45.0 * found["duty"],
        "duty": found["duty"],
        "lowest": found["room"].min() if heavy else seen["hours"][k.ROOM].min(),
        "compiled": run(seen),
        "steady": steady(seen, expected, max(1.0, float(heat.max()))),
    }


def is_clear(hours: dict[str, Any], scale: float) -> bool:
    """Whether nothing hangs on rounding: a floor that sensitivity, heat or a unmet of just half a watt."""
    compiled = hours["compiled"]["heat"], hours["compiled"]["out"][k.DELIVERED]
    tiny = [np.abs(one - 0.5) < 1e-6 * scale for one in (hours["heat"], hours["delivered"], *compiled)]
    return (
        hours["steady"] and not any(one.any() for one in tiny) and not (np.abs(hours["raw"] - 0.5) < 1e-6 * scale).any()
    )


@pytest.mark.long
@SOME
@given(plants(), st.integers(0, 2**32 - 1))
def test_every_sum_of_a_lane_equals_plain_python(plant: dict, seed: int) -> None:
    rng = np.random.default_rng(seed)
    more, own = extras(plant, rng), plant["source_scalars"]
    count, most = len(own), float(plant["hours"][k.DEMAND].max())
    own[:, k.AUX_SHARE] = rng.uniform(0, 0.05, count)
    more["meters"] = np.where(
        rng.random((1, HOURS)) < 0.3, 0.0, more["meters"]
    )  # nothing else on the meter is no reason to look away
    lanes = {
        "loss_w_k": most / 25 * rng.uniform(0.3, 2, LANES),
        "shift_k": rng.normal(0, 3, LANES),
        "indoor_temperature_c": rng.normal(0, 1, LANES),
        "limit_w": plant["hours"][k.FLOOR_LIMIT, 0] * rng.uniform(0.5, 2, LANES),
    }
    factor, steps = rng.uniform(0.7, 1.2, (count, LANES)), rng.uniform(1, 2.0**10, LANES)
    power = np.zeros(HOURS, dtype=np.int64)
    made = lanes_of(plant["scalars"], own, LANES, **lanes, factor=factor, steps=steps)
    found = run_lanes(share(*rows(plant), **more), made, power=power, alone=True)
    total = np.zeros(HOURS)
    for i in range(LANES):
        hours = by_hand(plant, more, {name: float(values[i]) for name, values in lanes.items()}, factor[:, i])
        scale = max(1.0, hours["heat"].sum(axis=0).max(), hours["demand"].max(), plant["capacity_j_k"] / 3600)
        if not is_clear(hours, scale):
            return
        check_sums(found.sums[i], hours, scale)
        check_bills(found.energy_j[i], found.peaks_w[i], hours, more, scale)
        total += steps[i] * ((own[:, k.ELECTRIC][:, None] * hours["drawn"]).sum(axis=0) + hours["besides"])
    assert np.abs(power - total).max() <= 2 * LANES + 1e-8 * total.max()


def check_sums(sums: np.ndarray, hours: dict[str, Any], scale: float) -> None:
    """Heat, unmet and counts of a year."""
    whole = scale * k.HOUR_S * HOURS
    for row, name in ((k.SUM_DEMAND, "demand"), (k.SUM_DELIVERED, "delivered"), (k.SUM_SHORT, "short")):
        assert close(sums[row], hours[name].sum() * k.HOUR_S, whole), name
    assert sums[k.SHORT_HOURS] == np.count_nonzero(hours["short"])
    assert close(sums[k.WORST_SHORT], hours["short"].max(), scale)
    assert sums[k.LOWEST_ROOM] == pytest.approx(hours["lowest"], abs=1e-6)
    assert close(sums[k.SUMS :], hours["heat"].sum(axis=1) * k.HOUR_S, whole)


def check_bills(energy: np.ndarray, peaks: np.ndarray, hours: dict[str, Any], more: dict, scale: float) -> None:
    """Energy by month and period, and the peaks on the meter of the demand charge."""
    all_drawn = np.vstack([hours["drawn"], hours["besides"]])
    metered = more["meters"][0] + (more["payers"][0][:, None] * all_drawn).sum(axis=0)
    for month in range(12):
        here = more["months"] == month + 1
        billed = (all_drawn[:, None, here] * more["shares"][:, :, here]).sum(axis=-1) * k.HOUR_S
        assert close(energy[:, month], billed, 10 * scale * k.HOUR_S * HOURS)
        seen = metered[here & (more["meters"][0] >= 0)]
        assert close(peaks[0, month], seen.max(initial=0.0), 10 * scale)


def test_a_lane_s_numbers_by_hand() -> None:
    scalars, own = np.zeros(k.SCALARS), np.zeros((2, k.BILLED_SCALARS))
    scalars[[k.TANK_KEEP, k.TANK_RISE, k.LOSS_STATE, k.LOSS_NET]] = 0.9, 0.002, 4.0, 0.05
    scalars[[k.WATER_RESISTANCE, k.TANK_TOP, k.TANK_START, k.PUMP_POWER]] = 0.003, 70.0, 35.0, 45.0
    scalars[k.MASS_SCALARS] = np.arange(12) + 1.0
    own[0, [k.SLOPE, k.MUST_RUN]], own[1, [k.MIN_FIRE, k.DEGRADATION]] = (50.0, 1.0), (4000.0, 0.1)
    found = lanes_of(
        scalars,
        own,
        2,
        loss_w_k=np.array([100.0, 200.0]),
        shift_k=1.0,
        limit_w=8e3,
        factor=0.8,
        indoor_temperature_c=-1.0,
        steps=7.0,
    )
    assert found.shape == (k.LANES, 2)
    assert (found[:, 0] == np.where(np.arange(k.LANES) == k.LOSS, 100.0, found[:, 1])).all()
    rows_by_hand = {
        k.LOSS: 200.0,
        k.SHIFT: 1.0,
        k.LIMIT: 8e3,
        k.KEEP: 0.9,
        k.RISE: 0.002,
        k.PER_RISE: 500.0,
        k.WATER: 0.003,
        k.PER_WATER: 1 / 0.003,
        k.PER_BOTH: 200.0,
        k.TOP: 70.0,
        k.START: 35.0,
        k.PUMP: 45.0,
        k.STEPS: 7.0,
        k.STATE_LOSS: 4.0,
        k.NET_LOSS: 0.05,
        k.INDOOR: -1.0,
        k.PER_SLAB_HEAT: 1 / 5.0,
        **{k.MASS + i: i + 1.0 for i in range(12)},
    }
    assert {row: found[row, 1] for row in rows_by_hand} == pytest.approx(rows_by_hand)
    sun, boiler = (found[k.OWN + i * k.LANE_SCALARS :][: k.LANE_SCALARS, 1] for i in range(2))
    # 50 W/K × 0.002 K/W: damped by 1.1; with the water between by 0.003 × 1.1 + 0.002
    assert sun[: k.BILLED_SCALARS].tolist() == own[0].tolist()
    assert sun[k.BILLED_SCALARS :] == pytest.approx([1 / 1.1, 1 / 0.0053, 1e30, 1 / 0.8])
    assert boiler[k.BILLED_SCALARS :] == pytest.approx([1.0, 200.0, 1 / 4000, 1 / 0.8])
    plain = lanes_of(np.where(np.arange(k.SCALARS) == k.WATER_RESISTANCE, 0.0, scalars), own, 1)
    assert (
        plain[[k.LOSS, k.SHIFT, k.LIMIT, k.PER_WATER, k.PER_BOTH, k.STEPS, k.INDOOR], 0]
        == [0, 0, np.inf, 0, 500.0, 0, 0]
    ).all()
    assert plain[k.OWN + k.FACTOR, 0] == 1.0


def test_kinds_by_what_their_numbers_say() -> None:
    own = np.zeros((7, k.BILLED_SCALARS))
    own[1, k.BURN_POWER] = 1.0
    own[2, k.MUST_RUN] = 1.0
    own[3, [k.DEGRADATION, k.MIN_FIRE]] = 0.1, 0.5
    own[4, k.DEGRADATION] = 0.1
    own[5, k.MIN_FIRE] = 100.0
    own[6, [k.MUST_RUN, k.BURN_POWER]] = 1.0, 5.0
    assert kinds_of(own) == [
        k.DISPATCHABLE,
        k.BATCH_FIRED,
        k.SOLAR,
        k.CYCLING,
        k.DISPATCHABLE,
        k.DISPATCHABLE,
        k.BATCH_FIRED,
    ]
    assert k.BATCH_FIRED < k.SOLAR < k.DISPATCHABLE < k.CYCLING


def test_a_year_is_cut_where_month_price_or_order_change() -> None:
    n = 8
    months = np.array([1, 1, 1, 2, 2, 2, 3, 3])
    shares = np.zeros((3, 2, n))
    shares[:, 0], shares[0, :, 5:] = 1.0, [[0.25], [0.75]]
    order = np.array([[0, 0, 0, 0, 0, 0, 0, 1], [1, 1, 1, 1, 1, 1, 1, 0]])
    found = share(
        np.zeros(k.SCALARS),
        np.zeros((k.HOURS, n)),
        np.zeros((2, k.BILLED_SCALARS)),
        np.zeros((2, k.SOURCE_HOURS, n)),
        order,
        per_input=np.full((2, n), 0.5),
        shares=shares,
        months=months,
    )
    assert found.first.tolist() == [0, 3, 5, 6, 7, 8]
    assert found.month.tolist() == [0, 1, 1, 2, 2]
    assert found.slots.tolist() == [[0, 1, 0]] * 4 + [[1, 0, 0]]
    assert found.kinds == (k.DISPATCHABLE, k.DISPATCHABLE, 0)
    assert found.shares[:, 0].tolist() == [[1.0, 0.0]] * 2 + [[0.25, 0.75]] * 3
    assert (found.per_heat == 2.0).all()
    assert found.mass == 0
    assert (found.degrees == 0).all()
    assert (found.meters.shape, found.payers.shape, found.count) == ((0, n), (0, 3), 2)
    bare = share(
        np.ones(k.SCALARS),
        np.zeros((k.HOURS, n)),
        np.zeros((1, k.BILLED_SCALARS)),
        np.zeros((1, k.SOURCE_HOURS, n)),
        order[:1] * 0,
    )
    assert (bare.first.tolist(), bare.month.tolist(), bare.mass, bare.kinds) == ([0, n], [0], 1, (k.DISPATCHABLE, 0, 0))
    assert bare.shares.shape == (1, 2, 0)
    assert (bare.per_heat == 1.0).all()


def test_fires_come_first_then_the_sun_then_the_others_in_their_order() -> None:
    kinds, slots = shared_rows._slots([k.DISPATCHABLE, k.SOLAR, k.BATCH_FIRED], np.array([[0, 2], [1, 1], [2, 0]]))
    assert kinds == (k.BATCH_FIRED, k.SOLAR, k.DISPATCHABLE)
    assert slots.tolist() == [[2, 1, 0]] * 2
    # where one that cycles and one that does not change places, both slots are asked for losses; where they stay, each keeps its kind
    assert shared_rows._slots([k.CYCLING, k.DISPATCHABLE], np.array([[0, 1], [1, 0]]))[0] == (k.CYCLING, k.CYCLING, 0)
    assert shared_rows._slots([k.CYCLING, k.DISPATCHABLE], np.array([[0, 0], [1, 1]]))[0] == (
        k.CYCLING,
        k.DISPATCHABLE,
        0,
    )
    assert shared_rows._slots([k.BATCH_FIRED], np.array([[0, 0]]))[0] == (k.BATCH_FIRED, 0, 0)


def nothing() -> Shared:
    """Two hours of a plant of which nothing is known."""
    own = np.zeros((1, k.BILLED_SCALARS)), np.zeros((1, k.SOURCE_HOURS, 2)), np.zeros((1, 2), dtype=np.int64)
    return share(np.ones(k.SCALARS), np.zeros((k.HOURS, 2)), *own)


def widths_run(
    monkeypatch: pytest.MonkeyPatch, number: int, *, loss: float = 100.0, ready: bool = True, **more: Any
) -> list[int]:
    """Widths of the forms that run for so many lanes, with none really run."""
    used: list[int] = []
    monkeypatch.setattr(block._Form, "run", lambda self, *_a, **_k: used.append(self.width))
    monkeypatch.setattr(block._Form, "there", lambda self, lanes: ready)
    lanes = lanes_of(np.ones(k.SCALARS), np.zeros((1, k.BILLED_SCALARS)), number, loss_w_k=loss)
    years = run_lanes(nothing(), lanes, **more)
    assert (len(years.sums), len(years.energy_j), len(years.peaks_w)) == (number,) * 3
    return used


def test_a_block_is_worth_it_from_six_lanes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    assert FEW == 6
    assert [widths_run(monkeypatch, number) for number in (1, 5, 6, 16, 17)] == [[1], [1], [16], [16], [16]]
    assert widths_run(monkeypatch, 16, ready=False) == [1]
    assert widths_run(monkeypatch, 16, alone=True) == [1]
    assert widths_run(monkeypatch, 16, loss=0.0) == [1]  # the demand of the hours


def test_a_compiler_is_started_for_256_lanes_or_where_it_was_already(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Any] = []

    class Done:
        def is_set(self) -> bool:
            return True

    monkeypatch.setattr(block, "_begin", lambda form: started.append(form) or Done())
    monkeypatch.setattr(block, "WORTH", WORTH)  # as it is where no test of the fast suite has put it out of reach
    form = block._Form((k.DISPATCHABLE, k.SOLAR, k.BATCH_FIRED), 1, True, True, False)
    assert not form.there(255)
    assert started == []
    assert form.there(256)
    assert started == [form]
    monkeypatch.setitem(block._begun, form, None)
    assert form.there(1)
    assert form.width == 16
    assert (block._ONE.width, block._ONE.own, block._ONE_WITH_ROWS.own) == (1, False, True)
    for one in (block._ONE, block._ONE_WITH_ROWS):
        assert (one.kinds, one.hourly, one.fans) == ((ANY,) * 3, True, True)


def test_the_last_lanes_of_a_block_that_is_not_full_add_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    packed: list[np.ndarray] = []
    monkeypatch.setattr(block._Form, "run", lambda _self, _shared, lanes, *_a, **_k: packed.append(lanes))
    monkeypatch.setattr(block._Form, "there", lambda _self, _lanes: True)
    lanes = lanes_of(np.ones(k.SCALARS), np.zeros((1, k.BILLED_SCALARS)), 18, loss_w_k=np.arange(18) + 1.0, steps=3.0)
    run_lanes(nothing(), lanes)
    (lanes,) = packed
    assert lanes.shape == (2, k.LANES, 16)
    assert lanes[:, k.LOSS].ravel().tolist() == [*range(1, 19), *[18.0] * 14]
    assert lanes[:, k.STEPS].ravel().tolist() == [3.0] * 18 + [0.0] * 14


def test_fans_are_looked_for_in_every_source() -> None:
    for i, row, found in ((0, k.AUX_W, True), (1, k.AUX_SHARE, True), (1, k.STANDBY, False), (0, k.SLOPE, False)):
        own = np.zeros((2, k.BILLED_SCALARS))
        own[i, row] = 5.0
        assert has_fans(lanes_of(np.ones(k.SCALARS), own, 2), 2) == found


def test_rows_of_lanes_stand_where_they_say() -> None:
    rows_of = {
        k.GAINS: [np.array([1.0, 2.0]), np.array([3.0, 4.0])],
        k.ROOM: [np.array([5.0, 6.0]), np.array([7.0, 8.0])],
    }
    found = lane_inputs(rows_of, 2)
    assert isinstance(found, LaneInputs)
    assert found.at.tolist() == [-1, 1, -1, 0, *[-1] * (k.SOURCES - 4 + 2 * k.SOURCE_ROWS)]
    assert found.entries.tolist() == [[0, 1], [2, 3]]
    assert found.values.tolist() == [[1.0, 3.0], [5.0, 7.0], [2.0, 4.0], [6.0, 8.0]]
    assert lane_inputs({}, 2) is None


def test_scenarios_run_apart_come_back_in_their_places() -> None:
    def some(values: list[float]) -> BatchResult:
        return BatchResult(
            ("a",), np.array(values)[:, None], np.array(values)[:, None, None, None], np.array(values)[:, None, None]
        )

    parts = [(np.array([3, 0]), some([30.0, 0.0])), (np.array([2, 1, 4]), some([20.0, 10.0, 40.0]))]
    found = gather(parts)
    for values in (found.sums, found.energy_j, found.peaks_w):
        assert values.ravel().tolist() == [0.0, 10.0, 20.0, 30.0, 40.0]
    assert gather(parts[:1]) is parts[0][1]


@pytest.mark.parametrize(
    "value",
    [0.0, 0.49999999999999994, 0.5, 1.5, 2.5, 3.4999999999999996, 2.0**51 + 0.5, 2.0**52 - 0.5, 2.0**52, 2.0**60],
)
def test_steps_are_rounded_as_numpy_rounds_them(value: float) -> None:
    assert ledger.rounded.py_func(value) == np.rint(value)
    assert ledger.rounded.py_func(3.0 * value) == np.rint(3.0 * value)


def test_an_hour_calls_no_function_of_numpy_since_a_device_lacks_some() -> None:
    folder = Path(block.__file__).parent
    for name in ("kernel", "balance", "layered", "ledger", "access"):
        used = set(re.findall(r"\bnp\.(\w+)", (folder / f"{name}.py").read_text(encoding="utf-8")))
        assert used <= {"int64", "float64"}, name
