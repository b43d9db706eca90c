"""The stratified tank against closed forms, a fine one-dimensional store, and what must be true of every tank."""

from __future__ import annotations

import numpy as np
import pytest
from engine.plants import HOURS, plants, run
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.linalg import expm

from costsim.engine import layout as k
from costsim.physics.demand import tank_step

SOME = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
ROOM_C, TOP_C = 20.0, 65.0


def tank(n: int, litres: float = 1000.0, loss: float = 0.0, start: float = 25.0, kept: float = 1.0) -> dict:
    """A tank over a floor that wants 45 °C supply and 35 °C return for 8 kW, and one electric source."""
    scalars, hours = np.zeros(k.SCALARS), np.zeros((k.HOURS, n))
    capacity = litres * 4186.0
    scalars[:4] = tank_step(heat_capacity_j_k=capacity, loss_w_k=loss)
    scalars[k.WATER_RESISTANCE], scalars[k.WATER_DROP], scalars[k.ZONES_KEPT] = 25 / 8000, 10 / 8000, kept
    scalars[k.KEPT_HOT] = 1 / 3
    scalars[k.TANK_TOP], scalars[k.TANK_START] = TOP_C, start
    hours[k.ROOM], hours[k.FLOOR_LIMIT] = ROOM_C, 1e9
    source = np.zeros((1, k.SOURCE_HOURS, n))
    source[:, k.TARGET] = TOP_C
    return {
        "scalars": scalars, "hours": hours, "source_scalars": np.zeros((1, k.BILLED_SCALARS)), "source_hours": source,
        "order": np.zeros((1, n), dtype=np.int64), "capacity_j_k": capacity,
    }  # fmt: skip


def test_charging_fills_from_the_top_with_water_at_the_target() -> None:
    one = tank(4)
    one["source_hours"][0, k.CAPACITY] = 10_000.0
    out = run(one)["out"]
    # 1,000 L hold 46.5 kWh between 25 and 65 °C: 10 kWh an hour fill 0.215 of it
    part = 10_000 * 3600 / (1000 * 4186.0 * 40)
    assert out[k.HOT_PART] == pytest.approx(part * np.arange(1, 5))
    assert out[k.HOT_T] == pytest.approx(np.full(4, TOP_C))
    assert out[k.COLD_T] == pytest.approx(np.full(4, 25.0))


def test_the_top_third_is_kept_hot_for_the_taps_by_what_may_not_store() -> None:
    """1,000 L at 25 °C, 2 kW of taps that want 54 °C and send back 10 °C, a boiler that may not store and no floor.

    Each hour draws 2 kW / 44 K of the hot third and the boiler fills it again, from the cold water under it. In three hours
    with nothing drawn nothing is heated; without a loss the hot third stays.
    """
    one = tank(9)
    one["hours"][k.USE], one["hours"][k.USE_NEED], one["hours"][k.USE_COLD] = 2000.0, 54.0, 10.0
    one["hours"][k.USE, 4:7] = 0.0
    one["source_hours"][0, k.CAPACITY], one["source_hours"][0, k.TARGET] = 30_000.0, -1e3
    found = run(one)
    out, w_k, drawn = found["out"], 1000 * 4186.0 / 3600, 2000.0 / 44.0
    assert out[k.HOT_T] == pytest.approx(np.full(9, 54.0))
    assert out[k.HOT_PART] == pytest.approx(np.full(9, 1 / 3))
    assert out[k.USE_GIVEN] == pytest.approx(one["hours"][k.USE])
    # the cold two thirds at the first hour's end: all but what the taps' 10 °C water brought down
    for t in (1, 2, 3, 7, 8):
        under, cold = w_k * 2 / 3, out[k.COLD_T, t - 1]
        after = (under * cold + drawn * 10.0) / (under + drawn)  # drawn from the top, returned at the bottom
        assert out[k.COLD_T, t] == pytest.approx(after)
        assert found["heat"][0, t] == pytest.approx(drawn * (54.0 - after))
    assert found["heat"][0, 4:7] == pytest.approx(np.zeros(3))


def test_what_a_hot_top_loses_is_given_back_where_it_is_lost() -> None:
    """5 W/K at 20 °C around: the hot third is warmed again from where the hour left it, and no colder water is stirred into it."""
    one = tank(3, loss=5.0)
    one["hours"][k.USE], one["hours"][k.USE_NEED], one["hours"][k.USE_COLD] = 1e-6, 54.0, 10.0
    one["source_hours"][0, k.CAPACITY], one["source_hours"][0, k.TARGET] = [30_000.0, 100.0, 30_000.0], -1e3
    found = run(one)
    out, keep = found["out"], np.exp(-5.0 * 3600 / one["capacity_j_k"])
    assert out[k.HOT_T, 0] == pytest.approx(54.0)
    # 1.1 K under water of 30 to 54 °C are more than a hundred watts give to a third of 1,163 W/K
    per_k = 1 / one["scalars"][k.TANK_RISE] / 3
    lacks = 54.0 - (20.0 + keep * 34.0)
    assert 100.0 > per_k * lacks == pytest.approx(5.0 / 3 * 34.0, rel=0.01)
    assert found["heat"][0, 1:] == pytest.approx(np.full(2, per_k * lacks), rel=1e-3)
    assert out[k.COLD_T] == pytest.approx(20.0 + 5.0 * keep ** np.arange(1, 4))
    assert out[k.HOT_PART] == pytest.approx(np.full(3, 1 / 3), rel=1e-6)


def test_standing_loses_by_zone_and_mixes_by_the_share_that_is_kept() -> None:
    one = tank(25, loss=5.0, kept=0.8 ** (1 / 24))
    one["source_hours"][0, k.CAPACITY, 0] = 20_000.0
    out = run(one)["out"]
    after, day = 5.0 * 3600 / one["capacity_j_k"], np.exp(-5.0 * 24 * 3600 / one["capacity_j_k"])
    assert out[k.TANK, 24] - ROOM_C == pytest.approx(day * (out[k.TANK, 0] - ROOM_C))
    assert out[k.HOT_T, 24] - out[k.COLD_T, 24] == pytest.approx(0.8 * day * (out[k.HOT_T, 0] - out[k.COLD_T, 0]))
    assert out[k.HOT_PART, 24] == pytest.approx(out[k.HOT_PART, 0])
    assert after < 0.01


def test_discharging_gives_the_call_until_the_hot_water_is_gone() -> None:
    one = tank(12, start=TOP_C)
    one["hours"][k.DEMAND] = 4000.0
    out = run(one)["out"]
    # 4 kW want 32.5 °C and send back 27.5 °C: 1,000 L hold 43.6 kWh above that, 10.9 hours
    assert 10 < 1000 * 4186.0 * (TOP_C - 27.5) / 3600 / 4000 < 11
    assert out[k.SHORT, :10] == pytest.approx(np.zeros(10), abs=1e-6)
    assert out[k.HOT_T, :10] == pytest.approx(np.full(10, TOP_C))
    assert (out[k.SHORT] > 1.0).argmax() == 10
    # a mixed tank sinks below what the floor wants after 29 of them
    mixed = tank(12, start=TOP_C, kept=0.0)
    mixed["hours"][k.DEMAND] = 4000.0
    out = run(mixed)["out"]
    assert (out[k.SHORT] > 1.0).argmax() == 9


def test_the_sun_meets_the_cold_water_at_the_bottom() -> None:
    for hot, meets in ((0.0, 25.0), (20_000.0, 25.0)):
        one = tank(2)
        one["source_hours"][0, k.CAPACITY, 0] = hot
        sun = np.zeros((1, k.BILLED_SCALARS))
        sun[0, [k.MUST_RUN, k.SLOPE]] = 1.0, 40.0
        rays = np.zeros((1, k.SOURCE_HOURS, 2))
        rays[0, k.CAPACITY, 1] = 5000.0
        one["source_scalars"], one["source_hours"] = (
            np.vstack([one["source_scalars"], sun]),
            np.vstack([one["source_hours"], rays]),
        )
        one["order"] = np.array([[0, 0], [1, 1]])
        found = run(one)
        cold = (1 - found["out"][k.HOT_PART, 0]) * one["capacity_j_k"] / 3600
        end = (cold * meets + 5000.0) / (cold + 40.0)
        assert found["heat"][1, 1] == pytest.approx(5000.0 - 40.0 * end)


@SOME
@given(plants(zones=True))
def test_the_zones_add_up_and_the_hot_one_lies_on_top(plant: dict) -> None:
    found = run(plant)
    out = found["out"]
    mean = out[k.HOT_PART] * out[k.HOT_T] + (1 - out[k.HOT_PART]) * out[k.COLD_T]
    assert np.allclose(mean, out[k.TANK], rtol=0, atol=1e-9 * max(100.0, np.abs(mean).max()))
    assert out[k.HOT_PART].min() >= 0
    assert out[k.HOT_PART].max() <= 1 + 1e-12
    hot = (out[k.HOT_PART] > 1e-9) & (out[k.HOT_PART] < 1 - 1e-9)
    assert (out[k.HOT_T] >= out[k.COLD_T] - 1e-6)[hot].all()


def test_what_is_charged_in_an_hour_serves_in_it() -> None:
    # 300 L hold 10.5 kWh over the return of 35 °C; the source lacks half a kilowatt of the call, so they last 21 hours
    one = tank(30, litres=300.0, start=TOP_C)
    one["hours"][k.DEMAND], one["source_hours"][0, k.CAPACITY] = 8000.0, 7500.0
    found = run(one)
    assert pytest.approx(20.9, abs=0.1) == 300 * 4186.0 * (TOP_C - 35) / 3600 / 500
    assert found["out"][k.SHORT, :20].max() < 1e-6 < found["out"][k.SHORT, 21]
    assert found["heat"][0] == pytest.approx(np.full(30, 7500.0))


@pytest.mark.parametrize("litres", [1000.0, 5000.0])
def test_a_mixed_tank_is_the_limit_of_one_layer(litres: float) -> None:
    night = (np.arange(240) % 24 < 7) | (np.arange(240) % 24 >= 23)
    found = []
    for kept in (0.0, 1e-12):
        one = tank(240, litres=litres, loss=4.0, start=50.0, kept=kept)
        one["hours"][k.DEMAND] = 3500.0 + 2500.0 * np.cos(2 * np.pi * (np.arange(240) - 6) / 24)
        one["source_hours"][0, k.CAPACITY] = np.where(night, 12_000.0, 0.0)
        one["source_hours"][0, k.TARGET] = np.where(night, TOP_C, -1e3)
        found.append(run(one)["out"])
    mixed, layers = found
    assert np.abs(layers[k.TANK] - mixed[k.TANK]).max() < 1.5e3 / litres
    # an hour is served from the tank as it begins, so that what a cooling tank still gives differs by less than an hour of it
    assert layers[k.DELIVERED].sum() == pytest.approx(mixed[k.DELIVERED].sum(), rel=15.0 / litres)
    assert (layers[k.HOT_T] - layers[k.COLD_T]).max() < 1e-9


def always_storing(plant: dict, wave: float) -> dict:
    """The plant with its tank full, all sources allowed to store to its top, in weather that is smooth."""
    count, most, t = len(plant["source_scalars"]), plant["hours"][k.DEMAND].max(), np.arange(HOURS)
    plant["order"] = np.repeat(np.arange(count)[:, None], HOURS, 1)
    plant["source_hours"][:, k.TARGET] = plant["scalars"][k.TANK_TOP]
    plant["hours"][k.ROOM], plant["scalars"][k.TANK_START] = ROOM_C, plant["scalars"][k.TANK_TOP]
    plant["hours"][k.DEMAND] = most * (0.5 + 0.3 * np.sin(2 * np.pi * t / 24 + wave) + 0.2 * np.sin(t / 30))
    return plant


def worse(plant: dict, **better: np.ndarray | float) -> tuple[float, int]:
    """What a better tank adds to unmet load, as a share of what is wanted, and to unmet hours."""
    other = {**plant, "scalars": plant["scalars"].copy()}
    other["scalars"][:4] = better.get("step", plant["scalars"][:4])
    other["scalars"][k.ZONES_KEPT] = better.get("kept", plant["scalars"][k.ZONES_KEPT])
    before, after = run(plant)["out"][k.SHORT], run(other)["out"][k.SHORT]
    more_hours = int(np.count_nonzero(after > 1.0)) - int(np.count_nonzero(before > 1.0 - 1e-6))
    return float(after.sum() - before.sum()) / float(plant["hours"][k.DEMAND].sum()), more_hours


@SOME
@given(plants(mass=False, zones=None, kinds=("plain", "store")), st.floats(1.0, 4.0), st.floats(0.0, 1.0))
def test_a_better_tank_never_leaves_more_unmet(plant: dict, bigger: float, tighter: float) -> None:
    """Volume, insulation and stratification never add to unmet load: where that is so, and why not elsewhere.

    *Volume*, for the same loss: in energy, with any stratification, for a tank that starts full and sources that all may store
    to its top. In hours too where water is kept apart and returns as cold as the room, as then the hot water is all there is to
    know of the tank, and more of it stays more. Elsewhere physics is against it: a large tank that starts cold, or that a short
    window does not fill, is not as warm as a small one, and a mixed one is slower to be hot again.

    *Insulation*, for a tank no colder than its room: in energy and hours for a mixed tank and any sources, since each hour maps
    a warmer tank to one at least as warm that gives at least as much. In layers the loss may turn two lukewarm bodies into one,
    which sources preheat from more evenly: 0.0015 % of the need was found by search in 600.

    *Stratification*: heat that a mixed tank is too cool to give at the peak is still there when it is milder, so that hours and
    even energy may go the other way; 0.6 % of the need was found by search in 600. Sources that may not store wait while the store
    serves, so a better store is used up sooner: a rule of control, not of the tank, and no such source is here.
    """
    capacity, loss, mixed = plant["capacity_j_k"], plant["loss_w_k"], plant["scalars"][k.ZONES_KEPT] == 0
    tight = tank_step(heat_capacity_j_k=capacity, loss_w_k=loss * tighter)
    large = tank_step(heat_capacity_j_k=capacity * bigger, loss_w_k=loss)
    if mixed:
        plant["hours"][k.ROOM] = ROOM_C
        plant["scalars"][k.TANK_START] = max(ROOM_C, plant["scalars"][k.TANK_START])
        energy, hours = worse(plant, step=tight)
        assert energy <= 1e-9
        assert hours <= 0
    plant = always_storing(plant, bigger)
    assert worse(plant, step=large)[0] <= 1e-9
    assert worse(plant, step=tight)[0] <= (1e-9 if mixed else 1e-3)
    if not mixed:
        assert worse(plant, kept=1.0)[0] <= 0.01
        plant["scalars"][k.ZONES_KEPT], plant["scalars"][k.WATER_DROP] = 1.0, plant["scalars"][k.WATER_RESISTANCE]
        energy, hours = worse(plant, step=large)
        assert energy <= 1e-9
        assert hours <= 0


def test_rounding_above_the_goal_keeps_no_source_from_charging() -> None:
    """A tank that is full but for the last bit: what a storing source gives does not hang on that bit."""
    short = []
    for start in (TOP_C - 1e-12, TOP_C, TOP_C + 1e-12):
        one = tank(3, litres=50.0, start=start)
        one["hours"][k.DEMAND], one["source_hours"][0, k.CAPACITY] = 6000.0, 4000.0
        short.append(run(one)["out"][k.SHORT])
    # 6 kW send back 31.25 °C: 50 L hold 1.96 kWh above that, and the source gives 4 kW beside it
    assert short[0][0] == pytest.approx(6000.0 - 4000.0 - 50 * 4186.0 * (TOP_C - 31.25) / 3600, abs=50)
    np.testing.assert_allclose(short, [short[0]] * 3, atol=1e-6)


def test_insulation_keeps_out_the_heat_of_a_room_that_is_warmer_than_the_tank() -> None:
    found = []
    for loss in (5.0, 0.0):
        one = tank(6, loss=loss, start=16.0)
        one["hours"][k.DEMAND] = 4000.0
        found.append(run(one)["out"])
    assert found[0][k.TANK, 0] == pytest.approx(ROOM_C - 4.0 * np.exp(-5.0 * 3600 / (1000 * 4186.0)))
    assert found[0][k.TANK, -1] > found[1][k.TANK, -1] == pytest.approx(16.0)


class FineStore:
    """A hundred layers in steps of a minute: plug flow, conduction along the height, loss by layer."""

    LAYERS, STEPS = 100, 60

    def __init__(self, litres: float, loss: float, start: float, height_m: float = 1.8) -> None:
        self.c = litres * 4186.0 / self.LAYERS
        self.at = np.full(self.LAYERS, start)
        area, step = litres / 1000 / height_m, height_m / self.LAYERS
        link = 0.63 * area / step  # W/K between layers: still water
        matrix = np.diag(np.full(self.LAYERS, -loss / self.LAYERS))
        for i in range(self.LAYERS - 1):
            matrix[[i, i + 1], [i, i + 1]] -= link
            matrix[[i, i + 1], [i + 1, i]] += link
        self.move = expm(matrix / self.c * 60.0)

    def minute(self, demand: float, capacity: float, target: float) -> tuple[float, float]:
        """One minute: draw for the floor from the top, then charge; heat delivered and made [W]."""
        self.at = ROOM_C + self.move @ (self.at - ROOM_C)
        need, back = ROOM_C + demand * 25 / 8000, ROOM_C + demand * 15 / 8000
        lift = min(capacity, demand, max(0.0, (need - self.at[0]) * 800)) if demand else 0.0
        served = min(demand, max(lift, (self.at[0] - ROOM_C) * 320 + 0.4 * lift))
        back = ROOM_C + served * 15 / 8000
        drawn = self._shift((served - lift) / (self.at[0] - back), back, top=False) if served > lift else 0.0
        spare = capacity - lift
        room = np.maximum(0.0, target - self.at).sum() * self.c / 60
        made = min(spare, room) if target > 0 else 0.0
        if made > 0:
            made = -self._shift(made / max(target - self.at[-1], 1e-6), target, top=True)
        return lift + drawn, lift + made

    def _shift(self, flow_w_k: float, enters_c: float, *, top: bool) -> float:
        """Move water through the store, no more than a layer at a time, and give the heat that left it [W]."""
        left, before = flow_w_k * 60.0 / self.c, self.at.sum()
        while left > 0:
            part = min(1.0, left)
            if top:
                self.at = self.at + part * (np.concatenate(([enters_c], self.at[:-1])) - self.at)
            else:
                self.at = self.at + part * (np.concatenate((self.at[1:], [enters_c])) - self.at)
            left -= part
        return float(before - self.at.sum()) * self.c / 60.0


@pytest.mark.parametrize(("litres", "capacity"), [(800.0, 14_000.0), (2500.0, 22_000.0), (250.0, 14_000.0)])
def test_an_off_peak_week_as_in_a_fine_store(litres: float, capacity: float) -> None:
    n = 6 * 24
    hour = np.arange(n)
    demand = 3500.0 + 2500.0 * np.cos(2 * np.pi * (hour - 6) / 24) + 800.0 * np.sin(hour / 20)
    night = (hour % 24 < 7) | (hour % 24 >= 23)
    one = tank(n, litres=litres, loss=4.0, start=30.0, kept=0.8 ** (1 / 24))
    one["hours"][k.DEMAND] = demand
    one["source_hours"][0, k.CAPACITY] = np.where(night, capacity, 0.0)
    one["source_hours"][0, k.TARGET] = np.where(night, TOP_C, -1e3)
    found = run(one)
    fine, delivered, made = FineStore(litres, 4.0, 30.0), np.zeros(n), np.zeros(n)
    for t in range(n):
        for _ in range(FineStore.STEPS):
            a, b = fine.minute(demand[t], capacity * night[t], TOP_C if night[t] else -1e3)
            delivered[t] += a / 60
            made[t] += b / 60
    out = found["out"]
    assert out[k.DELIVERED].sum() == pytest.approx(delivered.sum(), rel=0.02)
    assert found["heat"].sum() == pytest.approx(made.sum(), rel=0.02)
    unmet = demand - delivered
    assert out[k.SHORT].sum() == pytest.approx(unmet.sum(), abs=0.02 * demand.sum())
    # a mixed tank of the same size is further off
    mixed = {**one, "scalars": one["scalars"].copy()}
    mixed["scalars"][k.ZONES_KEPT] = 0.0
    plain = run(mixed)["out"]
    if litres == 800:
        assert abs(plain[k.SHORT].sum() - unmet.sum()) > abs(out[k.SHORT].sum() - unmet.sum())


def test_a_study_with_a_stratified_tank_is_served_longer_by_the_night() -> None:
    from cases import constant_weather, study

    from costsim import simulate

    night = {"kind": "electric", "output": "24 kW", "store": True, "windows": ["22:00-06:00"]}
    unmet = []
    for share in ("0 %", "80 %", "100 %"):
        tank = {
            "tank__volume": "2000 L",
            "tank__max_temperature": "70 degC",
            "tank__design_supply_temperature": "45 degC",
        }
        found = simulate(study(night, tank__stratification=share, tank__loss="3 W/K", **tank), constant_weather(-5.0))
        option = found.options[0]
        assert option.hourly.imbalance() < 1e-9
        unmet.append(option.unmet.hours)
        assert any(one.key == "tank.stratification" for one in found.assumptions)
    assert unmet[0] > unmet[1] >= unmet[2]
