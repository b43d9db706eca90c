"""Random plants for the property tests: any tank, any floor, up to three sources, with or without mass."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from costsim.engine import layout as k
from costsim.engine.one_year import one_year
from costsim.physics.demand import tank_step

HOURS = 72


class Drawn(dict):
    """A drawn plant that prints short."""

    def __repr__(self) -> str:
        """Name the size only."""
        return f"Drawn({len(self['source_scalars'])} sources, mass {bool(self['scalars'][k.WITH_MASS])})"


NEVER = -1e3


def rows(plant: dict) -> tuple:
    """Arrays for the kernel."""
    return plant["scalars"], plant["hours"], plant["source_scalars"], plant["source_hours"], plant["order"]


@st.composite
def plants(
    draw: st.DrawFn,
    *,
    mass: bool | None = None,
    zones: bool | None = False,
    taps: bool | None = False,
    kinds: tuple[str, ...] = ("plain", "plain", "store", "solar", "wood"),
    just: tuple[str, ...] = (),
) -> dict:
    """Draw one plant over three days, with any of some kinds of source or with just these."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    count = len(just) or draw(st.integers(1, 3))
    with_mass = draw(st.booleans()) if mass is None else mass
    scalars, hours = np.zeros(k.SCALARS), np.zeros((k.HOURS, HOURS))
    capacity_j_k = 10 ** rng.uniform(3.6, 7.5)
    loss = float(rng.choice([0.0, rng.uniform(0, 1e-4), rng.uniform(0.5, 30.0)]))
    scalars[:4] = tank_step(heat_capacity_j_k=capacity_j_k, loss_w_k=loss)
    scalars[k.WATER_RESISTANCE] = float(rng.choice([0.0, rng.uniform(1e-4, 5e-3)]))
    scalars[k.TANK_TOP] = rng.uniform(55, 90)
    if draw(st.booleans()) if zones is None else zones:
        scalars[k.WATER_RESISTANCE] = rng.uniform(1e-4, 5e-3)
        scalars[k.ZONES_KEPT] = float(rng.choice([1.0, rng.uniform(0.5, 1.0)]))
        scalars[k.KEPT_HOT] = float(rng.choice([0.0, 1 / 3, rng.uniform(0.0, 1.0)]))
    scalars[k.WATER_DROP] = scalars[k.WATER_RESISTANCE] * float(rng.choice([1.0, rng.uniform(0.1, 1.0)]))
    hours[k.ROOM] = np.where(rng.random(HOURS) < 0.2, 16.0, 20.0) if rng.random() < 0.5 else 20.0
    most = 10 ** rng.uniform(2.5, 4.5)
    hours[k.DEMAND] = most * np.maximum(0, rng.normal(0.5, 0.4, HOURS))
    headroom = scalars[k.TANK_TOP] - 20.0
    limit = headroom / scalars[k.WATER_RESISTANCE] if scalars[k.WATER_RESISTANCE] > 0 else 1e9
    hours[k.DEMAND] = np.minimum(hours[k.DEMAND], limit)
    hours[k.FLOOR_LIMIT] = most * rng.uniform(0.3, 3)
    scalars[k.TANK_START] = rng.uniform(18, 50)
    if draw(st.booleans()) if taps is None else taps:
        hours[k.USE] = most * np.maximum(0.0, rng.normal(0.1, 0.3, HOURS))
        hours[k.USE_NEED], hours[k.USE_COLD] = rng.uniform(40, 54, HOURS), rng.uniform(10, 20, HOURS)
    if with_mass:
        put_mass(rng, scalars, hours, most)
    source_scalars, source_hours = np.zeros((count, k.BILLED_SCALARS)), np.zeros((count, k.SOURCE_HOURS, HOURS))
    source_hours[:, k.TARGET] = NEVER
    for i in range(count):
        put_source(
            rng,
            just[i] if just else draw(st.sampled_from(kinds)),
            source_scalars[i],
            source_hours[i],
            hours[k.DEMAND],
            most,
            scalars[k.TANK_TOP],
        )
    order = (
        np.array([rng.permutation(count) for _ in range(HOURS)]).T
        if rng.random() < 0.5
        else np.repeat(np.arange(count)[:, None], HOURS, 1)
    )
    return Drawn({
        "scalars": scalars, "hours": hours, "source_scalars": source_scalars, "source_hours": source_hours,
        "order": np.ascontiguousarray(order.astype(np.int64)), "capacity_j_k": capacity_j_k, "loss_w_k": loss,
    })  # fmt: skip


def put_mass(rng: np.random.Generator, scalars: np.ndarray, hours: np.ndarray, most: float) -> None:
    """Give the plant a slab and a room, solved exactly over the hour."""
    from scipy.linalg import expm

    slab, room, link, out = (
        10 ** rng.uniform(6.3, 7.6),
        10 ** rng.uniform(6.0, 7.2),
        10 ** rng.uniform(2.5, 3.3),
        most / 30,
    )
    step = np.zeros((5, 5))
    step[0, :4] = np.array([-link, link, 1, 0]) / slab
    step[1, :4] = np.array([link, -link - out, 0, 1]) / room
    moved = expm(step * 3600.0)
    scalars[k.WITH_MASS] = 1.0
    (scalars[k.SLAB_SLAB], scalars[k.SLAB_ROOM]), (scalars[k.ROOM_SLAB], scalars[k.ROOM_ROOM]) = moved[:2, :2]
    scalars[k.SLAB_HEAT], scalars[k.ROOM_HEAT] = moved[:2, 2]
    scalars[k.SLAB_GAIN], scalars[k.ROOM_GAIN] = moved[:2, 3]
    scalars[k.HOUSE_LOSS] = out
    scalars[k.SLAB_FEEDBACK], scalars[k.FLOOR_RESISTANCE], scalars[k.ROOM_CEILING] = rng.uniform(0, 3), 1 / link, 24.0
    hours[k.COLD_BELOW] = hours[k.ROOM] - 1.0
    hours[k.GAINS] = rng.uniform(0, most / 4, HOURS)
    outdoor = rng.uniform(-20, 12, HOURS)
    hours[k.SLAB_WEATHER], hours[k.ROOM_WEATHER] = moved[0, 3] * out * outdoor, moved[1, 3] * out * outdoor
    hours[k.PRECHARGE] = np.where(rng.random(HOURS) < 0.2, 2.0, 0.0)


def put_source(
    rng: np.random.Generator,
    kind: str,
    scalars: np.ndarray,
    hours: np.ndarray,
    demand: np.ndarray,
    most: float,
    top: float,
) -> None:
    """Give the plant a source of one kind."""
    size = most * rng.uniform(0.1, 1.5)
    if kind == "solar":
        scalars[k.MUST_RUN], scalars[k.SLOPE] = 1.0, rng.uniform(0, 60)
        hours[k.CAPACITY] = np.maximum(0, rng.normal(0, 1, HOURS)) * size + scalars[k.SLOPE] * 10
    elif kind == "wood":
        burn = int(rng.integers(2, 9))
        scalars[k.MUST_RUN], scalars[k.BURN_POWER], scalars[k.LEAST_CHARGE] = (
            1.0,
            size,
            rng.choice([0.0, 0.3, 0.5, 1.0]),
        )
        hours[k.CAPACITY] = size  # what the offer says of itself; the fire follows its charges alone
        hours[k.CHARGE] = np.where(rng.random(HOURS) < 0.2, size * burn * 3600.0, 0.0)
        hours[k.AHEAD] = np.convolve(demand, np.ones(burn))[burn - 1 :] * 3600.0
        hours[k.UNTIL] = hours[k.AHEAD] * rng.choice([0.0, 1.0, 4.0])
    else:
        hours[k.CAPACITY] = size * (rng.random(HOURS) > 0.2)
        if kind == "store":
            hours[k.TARGET] = np.where(rng.random(HOURS) < 0.4, rng.uniform(40, top), NEVER)


def run(plant: dict) -> dict[str, np.ndarray]:
    """Run the compiled kernel."""
    out, heat, dumped, available = one_year(*rows(plant))
    return {"out": out, "heat": heat, "dumped": dumped, "available": available}
