"""What if a source, or the power, fails in the coldest week: how the house cools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costsim.engine import layout as k
from costsim.engine.lower import LoweredStudy, option_study, plant_of
from costsim.engine.mass_rows import lowest_before, reheating_h
from costsim.engine.water import MassSide, slab_side
from costsim.physics.thermal_mass import hours_to
from costsim.sources import Offer
from costsim.study.case import Option
from costsim.study.rules import RULES
from costsim.units.arrays import Floats, Ints
from costsim.words import tr

WEEK_H = 168
LEVELS_C = (140 / 9, 10.0, 40 / 9)
"""60, 50 and 40 °F; near the last one water in outer pipes is at risk."""
LIGHT_ROOM_J_M2K, LIGHT_FLOOR_J_M2K, LIGHT_FLOOR_W_M2K = 50e3, 60e3, 10.0
"""House without a described mass: air, furniture and inner walls, and a thin floor; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Failure:
    """A week without one source, or without power: room temperature [°C] hour by hour and hours to each level."""

    what: str
    first_hour: int
    outdoor_c: Floats
    room_c: Floats
    hours_to_level: dict[float, int | None]

    @property
    def lowest_c(self) -> float:
        """Lowest room temperature of the week [°C]."""
        return float(self.room_c.min())


def coldest_week(outdoor_c: Floats) -> int:
    """First hour of the 168 hours with the lowest mean temperature.

    Examples
    --------
    >>> coldest_week(np.r_[np.zeros(200), np.full(168, -5.0), np.zeros(100)])
    200
    """
    if len(outdoor_c) <= WEEK_H:
        return 0
    sums = np.concatenate(([0.0], np.cumsum(outdoor_c)))
    return int(np.argmin(sums[WEEK_H:] - sums[:-WEEK_H]))


def failures(common: LoweredStudy, option: Option) -> tuple[Failure, ...]:
    """Let each source in turn, and then the power, fail in the coldest week.

    Parameters
    ----------
    common : LoweredStudy
    option : Option

    Returns
    -------
    tuple of Failure
        The sources that are left go on by the option's rule. Slab and room are the study's own where it describes
        them, else those of a light house.
    """
    common = option_study(common, option)
    offers = [source.offer(common.surroundings) for source in option.sources]
    first = coldest_week(common.weather.outdoor_c)
    order = RULES[option.rule](offers)
    heavy = _with_mass(common)
    outages = []
    for i, offer in enumerate(offers):
        left = [_silent(other, first) if j == i else other for j, other in enumerate(offers)]
        outages.append(_week(heavy, left, order, offer.name, first))
    dark = [_silent(offer, first) if offer.needs_power else offer for offer in offers]
    outages.append(_week(heavy, dark, order, tr("the power"), first, pumps_stop=True))
    return tuple(outages)


def coldest_room(common: LoweredStudy, option: Option) -> tuple[float, float]:
    """Room temperature with slab and room storing heat where it is furthest below its own set-point [°C], and how far [K].

    The set-point of an hour is the lowest of the last twelve, so that reheating after a set-back is no cold.
    """
    common = option_study(common, option)
    offers = [source.offer(common.surroundings) for source in option.sources]
    heavy = _with_mass(common)
    plant = plant_of(heavy, offers, RULES[option.rule](offers))
    out, *_ = plant.year()
    below = lowest_before(common.setpoint_c, reheating_h(common.setpoint_c)) - out[k.ROOM_T]
    at = int(below.argmax())
    return float(out[k.ROOM_T, at]), float(below[at])


def _silent(offer: Offer, first: int) -> Offer:
    """The same source, giving nothing in the week."""
    gone = np.ones(len(offer.capacity_w))
    gone[first : first + WEEK_H] = 0.0
    charge = None if offer.charge_j is None else offer.charge_j * gone
    return replace(offer, capacity_w=offer.capacity_w * gone, charge_j=charge)


def _with_mass(common: LoweredStudy) -> LoweredStudy:
    """The same house with slab and room that store heat: the study's own, its floor's, or those of a light house."""
    if common.water.mass:
        return common
    mass = slab_side(common.case, common.route.load_w, common.surroundings.altitude_m) or _light_mass(common)
    return replace(common, water=replace(common.water, mass=mass))


def _light_mass(common: LoweredStudy) -> MassSide:
    area = common.case.house.floor_area_m2
    return MassSide(
        slab_j_k=area * LIGHT_FLOOR_J_M2K,
        room_j_k=area * LIGHT_ROOM_J_M2K,
        floor_room_w_k=area * LIGHT_FLOOR_W_M2K,
        water_resistance_k_w=max(0.0, common.water.resistance_k_w - 1.0 / (area * LIGHT_FLOOR_W_M2K)),
        ground_w_k=0.0,
        ground_c=10.0,
        feedback=1.0,
        room_ceiling_k=3.0,
        precharge_k=0.0,
        precharge_windows=(),
    )


def _week(
    common: LoweredStudy,
    offers: Sequence[Offer],
    order: Ints,
    what: str,
    first: int,
    *,
    pumps_stop: bool = False,
) -> Failure:
    plant = plant_of(common, offers, order)
    if pumps_stop:  # a warm tank is no help where nothing moves its water
        plant = replace(plant, hours=plant.hours.copy())
        plant.hours[k.FLOOR_LIMIT, first : first + WEEK_H] = 0.0
    out, *_ = plant.year()
    week = slice(first, first + WEEK_H)
    room = out[k.ROOM_T, week].copy()
    return Failure(
        what, first, common.weather.outdoor_c[week], room, {level: hours_to(room, level) for level in LEVELS_C}
    )
