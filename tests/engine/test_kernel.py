"""What is true of every plant, and the compiled kernel against plain Python."""

from __future__ import annotations

import numpy as np
import pytest
from engine.plants import HOURS, plants, rows, run
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reference import dispatcher

from costsim.engine import layout as k
from costsim.engine.block import run_lanes
from costsim.engine.lanes import lanes_of
from costsim.engine.one_year import one_year
from costsim.engine.shared import share

MANY = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
STEPS = 2.0**34
FEW = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def reference(plant: dict) -> dict[str, list]:
    """Run the plain-Python dispatcher on the same plant."""
    s, h = plant["scalars"], plant["hours"]
    mass = None
    if s[k.WITH_MASS]:
        mass = dispatcher.Mass(
            slab_slab=s[k.SLAB_SLAB], slab_room=s[k.SLAB_ROOM], room_slab=s[k.ROOM_SLAB], room_room=s[k.ROOM_ROOM],
            slab_heat=s[k.SLAB_HEAT], room_heat=s[k.ROOM_HEAT], slab_gain=s[k.SLAB_GAIN], room_gain=s[k.ROOM_GAIN],
            feedback=s[k.SLAB_FEEDBACK], floor_resistance=s[k.FLOOR_RESISTANCE], room_ceiling=s[k.ROOM_CEILING],
            house_loss=s[k.HOUSE_LOSS],
        )  # fmt: skip
    house = dispatcher.LoweredOption(
        demand=h[k.DEMAND].tolist(), setpoint=h[k.ROOM].tolist(), floor_limit=h[k.FLOOR_LIMIT].tolist(), gains=h[k.GAINS].tolist(),
        slab_weather=h[k.SLAB_WEATHER].tolist(), room_weather=h[k.ROOM_WEATHER].tolist(), precharge=h[k.PRECHARGE].tolist(),
        keep=s[k.TANK_KEEP], rise=s[k.TANK_RISE], loss_state=s[k.LOSS_STATE], loss_net=s[k.LOSS_NET],
        resistance=s[k.WATER_RESISTANCE], top=s[k.TANK_TOP], start=s[k.TANK_START], drop=s[k.WATER_DROP], zones_kept=s[k.ZONES_KEPT], kept_hot=s[k.KEPT_HOT],
        mass=mass, cold_below=h[k.COLD_BELOW].tolist(),
        use=h[k.USE].tolist(), use_need=h[k.USE_NEED].tolist(), use_cold=h[k.USE_COLD].tolist(),
    )  # fmt: skip
    sources = [
        dispatcher.Source(
            capacity=rows[k.CAPACITY].tolist(), target=rows[k.TARGET].tolist(), slope=own[k.SLOPE], must_run=bool(own[k.MUST_RUN]),
            burn_power=own[k.BURN_POWER], least_charge=own[k.LEAST_CHARGE], charge=rows[k.CHARGE].tolist(), ahead=rows[k.AHEAD].tolist(),
            until=rows[k.UNTIL].tolist(),
        )
        for own, rows in zip(plant["source_scalars"], plant["source_hours"], strict=True)
    ]  # fmt: skip
    return dispatcher.run(house, sources, plant["order"].tolist())


def close(a: np.ndarray, b: np.ndarray, scale: float) -> bool:
    """Equal to 1e-9 of the largest heat flow."""
    return bool(np.max(np.abs(np.asarray(a) - np.asarray(b))) <= 1e-9 * scale)


def scale_of(plant: dict, found: dict) -> float:
    """Largest heat flow of the plant; everything is compared with it."""
    return max(1.0, found["heat"].sum(axis=0).max(), found["out"][k.CALL].max(), plant["capacity_j_k"] / 3600.0)


def steady(plant: dict, expected: dict, scale: float) -> bool:
    """Whether rounding stays rounding: a floor that sensitivity between all and nothing makes more of it in every hour."""
    for way in (-1e-14, 1e-14, -1e-13, 1e-13, -1e-12, 1e-12, -1e-11, 1e-11, -1e-10, 1e-10):
        nudged = reference({**plant, "hours": plant["hours"] * (1.0 + way)})
        if not all(close(nudged[name], expected[name], scale) for name in expected):
            return False
    return True


@MANY
@given(plants(zones=None, taps=None))
def test_the_kernel_equals_plain_python(plant: dict) -> None:
    found, expected = run(plant), reference(plant)
    scale = scale_of(plant, found)
    equal = {name: close(found[name].T, expected[name], scale) for name in ("heat", "dumped", "available")}
    named = {
        "delivered": k.DELIVERED,
        "short": k.SHORT,
        "tank": k.TANK,
        "loss": k.TANK_LOSS,
        "call": k.CALL,
        "slab": k.SLAB_T,
        "room": k.ROOM_T,
        "vented": k.VENTED,
        "beyond": k.BEYOND,
        "used": k.USE_GIVEN,
    }
    equal |= {name: close(found["out"][row], expected[name], scale) for name, row in named.items()}
    # where the pumps run a part of the hour, by the heat that this part brings
    clear = np.abs(np.array(expected["delivered"]) - 0.5) > 1e-6 * scale
    duty = (found["out"][k.DUTY] - expected["duty"]) * found["out"][k.DELIVERED]
    equal["duty"] = close(duty[clear], 0.0 * duty[clear], 10 * scale)
    assert all(equal.values()) or not steady(plant, expected, scale), equal


@MANY
@given(plants(zones=None, taps=None))
def test_energy_balances_in_every_hour(plant: dict) -> None:
    found = run(plant)
    out = found["out"]
    before = np.concatenate(([plant["scalars"][k.TANK_START]], out[k.TANK, :-1]))
    change = plant["capacity_j_k"] * (out[k.TANK] - before) / 3600.0
    left = found["heat"].sum(axis=0) - out[k.DELIVERED] - out[k.USE_GIVEN] - out[k.TANK_LOSS] - change
    assert np.max(np.abs(left)) <= 1e-9 * scale_of(plant, found)
    if not plant["scalars"][k.WITH_MASS]:
        assert np.allclose(
            out[k.DELIVERED] + out[k.SHORT], plant["hours"][k.DEMAND], rtol=0, atol=1e-9 * scale_of(plant, found)
        )


@MANY
@given(plants(zones=None, taps=None))
def test_nothing_leaves_its_bounds(plant: dict) -> None:
    found = run(plant)
    scale = scale_of(plant, found)
    assert (found["heat"] >= 0).all()
    assert (found["dumped"] >= 0).all()
    assert (found["heat"] + found["dumped"] <= found["available"] + 1e-9 * scale).all()
    assert (found["out"][k.DELIVERED] >= 0).all()
    assert (found["out"][k.USE_GIVEN] >= 0).all()
    assert (found["out"][k.USE_GIVEN] <= plant["hours"][k.USE] + 1e-9 * scale).all()
    assert (found["out"][k.SHORT] >= -1e-9 * scale).all()
    top = max(plant["scalars"][k.TANK_TOP], plant["scalars"][k.TANK_START])
    assert found["out"][k.TANK].max() <= top + 1e-6
    lowest = min(plant["scalars"][k.TANK_START], plant["hours"][k.ROOM].min(), found["out"][k.SLAB_T].min(), 10.0)
    assert found["out"][k.TANK].min() >= lowest - 1e-6


@MANY
@given(plants(mass=False, kinds=("plain", "solar")))
def test_collectors_meet_the_tank_that_the_hour_ends_with(plant: dict) -> None:
    suns = np.flatnonzero(plant["source_scalars"][:, k.MUST_RUN] > 0.5)
    if len(suns) != 1:
        return
    i, found = suns[0], run(plant)
    capacity, slope = plant["source_hours"][i, k.CAPACITY], plant["source_scalars"][i, k.SLOPE]
    expected = np.where(capacity > 0, np.maximum(0.0, capacity - slope * found["out"][k.TANK]), 0.0)
    whole = found["dumped"][i] == 0
    assert np.max(np.abs(found["available"][i] - expected)[whole], initial=0.0) <= 1e-6 * scale_of(plant, found)


@FEW
@given(plants(mass=False, kinds=("plain", "store", "solar")), st.floats(0.0, 2.0))
def test_more_capacity_is_never_more_shortfall(plant: dict, more: float) -> None:
    plant["order"] = np.repeat(np.arange(len(plant["source_scalars"]))[:, None], HOURS, 1)
    before = run(plant)["out"][k.SHORT].sum()
    plant["source_hours"][-1, k.CAPACITY] *= 1.0 + more
    found = run(plant)
    assert found["out"][k.SHORT].sum() <= before + 1e-6 * scale_of(plant, found)


@FEW
@given(plants(mass=False, kinds=("plain", "store", "solar")))
def test_one_more_source_never_raises_shortfall(plant: dict) -> None:
    count = len(plant["source_scalars"])
    plant["order"] = np.repeat(np.arange(count)[:, None], HOURS, 1)
    whole = run(plant)["out"][k.SHORT].sum()
    fewer = dict(plant)
    for key in ("source_scalars", "source_hours", "order"):
        fewer[key] = np.ascontiguousarray(plant[key][: count - 1])
    if count > 1:
        found = run(fewer)
        assert whole <= found["out"][k.SHORT].sum() + 1e-6 * scale_of(plant, found)


def test_a_tank_without_heat_cools_in_closed_form() -> None:
    # 300 L at 983 kg/m³ and 4185 J/(kg K) losing 5 W/K from 60 °C to a room at 20 °C: 48.19 °C after a day,
    # computed from exp(−UA t / C).
    from costsim.physics.demand import tank_step

    scalars, hours = np.zeros(k.SCALARS), np.zeros((k.HOURS, 24))
    scalars[:4] = tank_step(heat_capacity_j_k=0.3 * 983 * 4185, loss_w_k=5.0)
    scalars[k.TANK_TOP], scalars[k.TANK_START] = 90.0, 60.0
    hours[k.ROOM] = 20.0
    source_hours = np.zeros((1, k.SOURCE_HOURS, 24))
    source_hours[:, k.TARGET] = -1e3
    order = np.zeros((1, 24), dtype=np.int64)
    out, *_ = one_year(scalars, hours, np.zeros((1, k.BILLED_SCALARS)), source_hours, order)
    assert abs(out[k.TANK, -1] - 48.19) < 0.005


@pytest.mark.long
@FEW
@given(plants(zones=None, taps=None), st.integers(0, 2**32 - 1))
def test_heat_by_source_and_electric_hours_of_a_batch_equal_plain_python(plant: dict, seed: int) -> None:
    rng = np.random.default_rng(seed)
    count, n = len(plant["source_scalars"]), plant["hours"].shape[1]
    own = plant["source_scalars"]
    own[:, k.ELECTRIC] = rng.integers(0, 2, count)
    own[:, k.AUX_W], own[:, k.STANDBY] = rng.uniform(0, 90, count), rng.uniform(0, 20, count)
    plant["scalars"][k.PUMP_POWER] = 45.0
    per_input = rng.uniform(0.5, 4.0, (count, n))
    shared = share(*rows(plant), per_input=per_input, shares=np.ones((count + 1, 1, n)))
    power = np.zeros(n, dtype=np.int64)
    sums = run_lanes(shared, lanes_of(plant["scalars"], own, 2, steps=STEPS), power=power).sums
    expected = reference(plant)
    heat, dumped = np.array(expected["heat"]).T, np.array(expected["dumped"]).T
    scale = max(1.0, heat.sum(axis=0).max())
    if not steady(plant, expected, scale):
        return
    assert close(sums[0, k.SUMS :], heat.sum(axis=1) * k.HOUR_S, scale * k.HOUR_S * n)
    assert np.array_equal(sums[0], sums[1])
    made = heat + dumped * (own[:, k.BURN_POWER] > 0)[:, None]
    electric = (own[:, k.ELECTRIC][:, None] * (made / per_input + own[:, k.STANDBY][:, None])).sum(axis=0)
    # fans and pumps follow whether there is half a watt, which rounding may decide: leave those hours out
    clear = np.abs(np.array(expected["delivered"]) - 0.5) > 1e-6 * scale
    for one in (heat, run(plant)["heat"]):
        clear &= (np.abs(one - 0.5) > 1e-6 * scale).all(axis=0)
    fans = (own[:, k.AUX_W][:, None] * (heat > 0.5)).sum(axis=0) + 45.0 * np.array(expected["duty"])
    assert close(power[clear] / STEPS, 2 * (electric + fans)[clear], 10 * scale)
