"""What a source sees of its hours, and the numbers it is lowered to for the kernel, which never learns its kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np

from costsim.physics.demand import ROUNDING_W
from costsim.sources.hottest_water import Layers
from costsim.tariffs.calendar import HourCalendar
from costsim.units.arrays import Floats
from costsim.weather import Weather
from costsim.words import tr

NOT_STORING = -1e3  # °C: a target no tank is ever below


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a source can know of its hour: weather, clock, water and prices; arrays are (n,).

    `water_c` is the tank temperature the floor needs in the hour; `drop_k` is how much cooler it returns to a source without a
    tank (a boiler draws a tank's mixed water as it is); `store_c` is how far storing sources charge the tank, `NOT_STORING` where
    there is none. Of a stratified tank `water_c` is the mean by heat, and `layers` are what it is the mean of.
    """

    weather: Weather
    calendar: HourCalendar
    demand_w: Floats
    room_c: Floats
    water_c: Floats
    max_temperature_c: float
    store_c: float
    density_kg_m3: float
    heat_capacity_j_kgk: float
    altitude_m: float
    price_per_j: Mapping[str, Floats]
    co2_kg_per_j: Mapping[str, float]
    tank_j_k: float
    tank_m3: float = 0.0
    design_load_w: float = 0.0
    layers: Layers | None = None
    drop_k: Floats | float = 0.0

    @property
    def n_hours(self) -> int:
        """Number of hours."""
        return len(self.demand_w)


@dataclass(frozen=True, slots=True)
class Offer:
    """A source in numbers; arrays are (n,), everything in SI.

    `curtailed_w` is capacity that exists but may not be used in the hour (utility control, clock or lockout);
    `fuel_limited_w` is capacity that lacks fuel (nobody to load wood, an empty tank).
    `tally` turns heat made [J], heat not used [J] and hours of not using it into facts of the season, such as loads of wood.
    `charge_j` is what may be loaded in the hour, `ahead_j` the demand while a full charge burns, `until_j` that until the next may be loaded.
    `least_charge_share` is the smallest charge of a fire as a share of the full one (half: common practice, no source).
    `derates` names what stands between the nameplate and the capacity in the hour of highest demand, each with its watts.
    """

    name: str
    kind: str
    fuel: str
    price_key: str
    rated_w: float
    capacity_w: Floats
    heat_per_input: Floats
    price_per_j: Floats
    curtailed_w: Floats
    fuel_limited_w: Floats
    target_c: Floats
    rank: int = 0
    derates: tuple[tuple[str, float], ...] = ()
    slope_w_k: float = 0.0
    must_run: bool = False
    burn_power_w: float = 0.0
    charge_j: Floats | None = None
    ahead_j: Floats | None = None
    until_j: Floats | None = None
    least_charge_share: float = 0.5
    min_fire_w: float = 0.0
    degradation: float = 0.0
    standby_w: float = 0.0
    auxiliary_share: float = 0.0
    auxiliary_w: float = 0.0
    co2_kg_per_j: float = 0.0
    biogenic: bool = False
    needs_power: bool = True
    facts: Mapping[str, Any] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    tally: Callable[[float, float, int], Mapping[str, Any]] | None = None

    @property
    def price_per_heat_j(self) -> Floats:
        """Money for each joule of heat (n,)."""
        return self.price_per_j / self.heat_per_input

    def input_w(self, heat_w: Floats) -> Floats:
        """Fuel or electricity that goes in to give `heat_w` [W], with cycling below the smallest fire and standby."""
        useful = heat_w / self.heat_per_input
        if self.min_fire_w > 0:
            ratio = np.minimum(heat_w / self.min_fire_w, 1.0)
            useful = useful / (1.0 - self.degradation * (1.0 - ratio))
        return useful + self.standby_w if self.standby_w else useful

    def auxiliary_electric_w(self, heat_w: Floats) -> Floats:
        """Electricity for pumps, fans and controls of the source itself [W], in the part of the hour in which it runs."""
        running = np.minimum(heat_w / self.min_fire_w, 1.0) if self.min_fire_w > 0 else 1.0
        return self.auxiliary_share * heat_w + self.auxiliary_w * running * (heat_w > ROUNDING_W)


def lost_by_steps(steps_w: list[float]) -> tuple[tuple[str, float], ...]:
    """Name what each step takes off the one before."""
    names = ("altitude", "flow", tr("water temperature"), "antifreeze")
    steps = zip(names, pairwise(steps_w), strict=False)
    return tuple((name, before - after) for name, (before, after) in steps if abs(before - after) > 0.5)
