"""What comes out: hourly arrays, season totals, and unmet load by cause. Everything here is read-only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from costsim.engine.lower import LoweredStudy
from costsim.physics.demand import ROUNDING_W
from costsim.results.recovery import Recovery
from costsim.results.solar import SolarShare
from costsim.study.heat_loss import Route
from costsim.tariffs.bill import Bill
from costsim.tariffs.own_generation import SelfUse
from costsim.units.arrays import Bools, Floats
from costsim.units.quantity import HOUR_S, KWH_J, Quantity

CAUSES = {
    "capacity": "the sources are too small",
    "floor": "what heats the rooms (floor, radiators, baseboard) cannot give it off",
    "curtailment": "sources are switched off by the utility, the clock or a lockout",
    "fuel": "nobody loads the fire, or the fuel has run out",
}


@dataclass(frozen=True, slots=True)
class Hourly:
    """One option, hour by hour; arrays are (n,) or (sources, n), in watt and degree Celsius.

    In every hour ``sum(heat_w) = delivered_w + use_delivered_w + tank_loss_w + tank_change_w``. `demand_w` is the house's at its set-point,
    whatever heats it. Without thermal mass ``delivered_w + unmet_w = demand_w``; with it slab and room give or take the
    rest, and load is unmet only while the room is more than 1 K too cold. `heat_w` is what the
    sources gave, `dumped_w` what was made or collected and could not be used.
    `tank_c` is the tank's mean; its hot zone, `hot_share` of it, is at `tank_top_c` over a cold one at `tank_bottom_c`, which
    are the mean where the tank is mixed.
    """

    demand_w: Floats
    delivered_w: Floats
    unmet_w: Floats
    unmet_by_cause_w: Mapping[str, Floats]
    tank_c: Floats
    tank_top_c: Floats
    tank_bottom_c: Floats
    hot_share: Floats
    use_w: Floats
    use_delivered_w: Floats
    tank_loss_w: Floats
    tank_change_w: Floats
    slab_c: Floats
    room_c: Floats
    heat_w: Floats
    dumped_w: Floats
    available_w: Floats
    input_w: Floats
    auxiliary_w: Floats
    pump_w: Floats

    def locked(self) -> Hourly:
        """Itself, with arrays that nobody can write to."""
        for name in self.__dataclass_fields__:
            values = getattr(self, name)
            for array in values.values() if isinstance(values, Mapping) else (values,):
                array.flags.writeable = False
        return self

    def imbalance(self) -> float:
        """Largest hourly imbalance, relative to the largest heat flow of the year."""
        left = self.heat_w.sum(axis=0) - self.delivered_w - self.use_delivered_w - self.tank_loss_w - self.tank_change_w
        scale = max(
            1.0, float(np.max(self.heat_w.sum(axis=0), initial=0.0)), float(np.max(self.delivered_w, initial=0.0))
        )
        return float(np.max(np.abs(left), initial=0.0)) / scale


@dataclass(frozen=True, slots=True)
class SourceSeason:
    """One source over the season; energy in joule, money in the study's currency."""

    name: str
    kind: str
    fuel: str
    price_key: str
    heat_j: float
    input_j: float
    auxiliary_j: float
    dumped_j: float
    cost: float
    hours: int
    peak_w: float
    co2_kg: float
    biogenic_co2_kg: float
    rated_w: float
    derates: tuple[tuple[str, float], ...]
    facts: Mapping[str, Any]
    heat_content: Quantity | None = None
    """Heat content of the fuel as typed with its price, in which amounts are shown; the fuel's usual one without it."""
    standby_j: float = 0.0
    """Part of `input_j` that is taken whatever the weather."""


@dataclass(frozen=True, slots=True)
class UnmetLoad:
    """How short, when, for how long and why."""

    energy_j: float
    hours: int
    worst_w: float
    worst_hour: int | None
    longest_run_hours: int
    by_cause_j: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class CoolTank:
    """Hours in which the tank itself is too cool for a use, and the worst of them, `at`.

    The tank there and what the use needs of it, what the tank alone would bring, and what is wanted [°C].
    """

    hours: int
    at: int
    tank_c: float
    needs_c: float
    gives_c: float
    wanted_c: float


@dataclass(frozen=True, slots=True)
class BeyondLoops:
    """Hours in which the floor got more than its loops take from the tank as warm as it was; the most of it, `at`, and what it got [W]."""

    hours: int
    at: int
    over_w: float
    delivered_w: float


@dataclass(frozen=True, slots=True)
class UseSeason:
    """One use of the tank over the season: heat wanted and unmet [J], hours in which some was missing, before or after the house.

    `cool` tells of hours in which it was served by what ran just then, from a tank too cool for it; None where there are none.
    `lacking` are the hours in which some was missing (n,), and `too_cool_hours` those with the ones of a cool tank, where there are any.
    """

    name: str
    kind: str
    heat_j: float
    unmet_j: float
    unmet_hours: int
    priority: str = "before_house"
    cool: CoolTank | None = None
    lacking: Bools | None = field(default=None, repr=False, compare=False)
    too_cool_hours: int | None = None

    def as_dict(self) -> dict[str, Any]:
        """For JSON: energy in kWh."""
        kwh = {"heat_kwh": self.heat_j / KWH_J, "unmet_kwh": self.unmet_j / KWH_J}
        return {
            "name": self.name,
            "kind": self.kind,
            **kwh,
            "unmet_hours": self.unmet_hours,
            "too_cool_hours": self.unmet_hours if self.too_cool_hours is None else self.too_cool_hours,
            "priority": self.priority,
            "cool_tank_hours": self.cool.hours if self.cool else 0,
            "cool_tank_gives_c": self.cool.gives_c if self.cool else None,
        }


@dataclass(frozen=True, slots=True)
class ZoneSeason:
    """One zone of the house over the season.

    `loops_give_w` is what its loops give with water at `supply_c`, the water at the design load; heat and unmet load in joule,
    `loops_short_j` the part of it that its own loops do not let through, whatever the sources do.
    """

    name: str
    load_share: float
    indoor_temperature_c: float
    design_load_w: float
    loops: int | None
    supply_c: float | None
    loops_give_w: float | None
    heat_j: float
    unmet_j: float
    unmet_hours: int
    loops_short_j: float
    loops_short_hours: int
    recovery: Recovery | None
    coldest_c: float | None = None
    """Lowest temperature of its rooms, with thermal mass only [°C]."""

    def as_dict(self) -> dict[str, Any]:
        """For JSON: energy in kWh, power in kW."""
        return {
            "name": self.name,
            "load_share": self.load_share,
            "indoor_temperature_c": self.indoor_temperature_c,
            "design_load_kw": self.design_load_w / 1e3,
            "loops": self.loops,
            "supply_c": self.supply_c,
            "loops_give_kw": None if self.loops_give_w is None else self.loops_give_w / 1e3,
            "heat_kwh": self.heat_j / KWH_J,
            "unmet_kwh": self.unmet_j / KWH_J,
            "unmet_hours": self.unmet_hours,
            "loops_short_kwh": self.loops_short_j / KWH_J,
            "loops_short_hours": self.loops_short_hours,
            "recovery": None if self.recovery is None else self.recovery.as_dict(),
            "coldest_c": self.coldest_c,
        }


@dataclass(frozen=True, slots=True)
class OptionResult:
    """One option: its hours, its season, its bills."""

    name: str
    rule: str
    hourly: Hourly
    sources: tuple[SourceSeason, ...]
    uses: tuple[UseSeason, ...]
    recovery: Recovery | None
    unmet: UnmetLoad
    bills: Mapping[str, Bill]
    cost_total: float
    cost_fixed: float
    cost_energy: float
    co2_kg: float
    biogenic_co2_kg: float
    pump_j: float
    warnings: tuple[str, ...]
    max_unmet_hours: int
    self_use: SelfUse | None = None
    solar: SolarShare | None = None
    zones: tuple[ZoneSeason, ...] = ()
    beyond_loops: BeyondLoops | None = None

    @property
    def coldest_zone(self) -> ZoneSeason | None:
        """The zone that is too cold in most hours, None where none is, or two are alike."""
        cold = sorted((zone for zone in self.zones or () if zone.unmet_hours), key=lambda zone: -zone.unmet_hours)
        alike = len(cold) > 1 and cold[1].unmet_hours == cold[0].unmet_hours
        return cold[0] if cold and not alike else None

    @property
    def keeps_warm(self) -> bool:
        """Whether it leaves no more unmet hours than the study allows."""
        return self.unmet.hours <= self.max_unmet_hours

    @property
    def lacking_hours(self) -> int:
        """Most hours in which the house, or a use that comes before it such as hot water, lacked heat."""
        first = [use.unmet_hours for use in self.uses if use.priority == "before_house"]
        return max([self.unmet.hours, *first])

    @property
    def demand_j(self) -> float:
        """Heat wanted over the year [J]."""
        return float(self.hourly.demand_w.sum()) * HOUR_S

    @property
    def delivered_j(self) -> float:
        """Heat given to the house over the year [J]."""
        return float(self.hourly.delivered_w.sum()) * HOUR_S

    @property
    def running_j(self) -> float:
        """Electricity of pumps and of the sources' own fans and controls over the year [J]."""
        return self.pump_j + sum(source.auxiliary_j for source in self.sources)


@dataclass(frozen=True, slots=True)
class Assumption:
    """One thing the answer rests on: what, its value, where it comes from, and the key that changes it."""

    what: str
    value: str
    source: str
    key: str


@dataclass(frozen=True, slots=True)
class Result:
    """A whole study, computed. `loss_w_k` and `design_outdoor_c` are what all options share, `route` the load in use.

    `lowered` is the study as the engine took it, for whoever asks further; `told` holds what was asked of this result once already.
    """

    title: str
    currency: str
    options: tuple[OptionResult, ...]
    loss_w_k: float
    route: Route
    load_routes: tuple[Route, ...]
    design_outdoor_c: float
    design_outdoor_source: str
    degree_hours_k_h: float
    clock: tuple[str, ...]
    months: NDArray[np.int8]
    weather_facts: Mapping[str, Any]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[str, ...]
    lowered: LoweredStudy = field(repr=False)
    told: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    def option(self, name: str) -> OptionResult:
        """Find an option by name."""
        return next(option for option in self.options if option.name == name)


def unmet_load_of(unmet_w: Floats, by_cause_w: Mapping[str, Floats]) -> UnmetLoad:
    """Sum up hourly unmet load.

    Parameters
    ----------
    unmet_w : array (n,)
        Heat wanted and not delivered [W].
    by_cause_w : mapping of arrays (n,)
        The same, split.

    Examples
    --------
    >>> short = np.array([0.0, 200.0, 300.0, 0.0])
    >>> found = unmet_load_of(short, {"capacity": short})
    >>> found.hours, found.worst_hour, found.longest_run_hours
    (2, 2, 2)
    """
    real = np.where(unmet_w > ROUNDING_W, unmet_w, 0.0)
    hours = int(np.count_nonzero(real))
    return UnmetLoad(
        energy_j=float(real.sum()) * HOUR_S,
        hours=hours,
        worst_w=float(real.max(initial=0.0)),
        worst_hour=int(real.argmax()) if hours else None,
        longest_run_hours=longest_run(real > 0),
        by_cause_j={cause: float(np.where(real > 0, watts, 0.0).sum()) * HOUR_S for cause, watts in by_cause_w.items()},
    )


def longest_run(mask: Bools) -> int:
    """Length of the longest run of true values.

    Examples
    --------
    >>> longest_run(np.array([True, False, True, True]))
    2
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def split_by_cause(
    *, unmet_w: Floats, beyond_floor_w: Floats, curtailed_w: Floats, fuel_limited_w: Floats
) -> dict[str, Floats]:
    """Split unmet load by cause: first what the floor cannot give, then what control withheld, then fuel, then capacity.

    Parameters
    ----------
    unmet_w, beyond_floor_w, curtailed_w, fuel_limited_w : array (n,)
        UnmetLoad, demand beyond the floor's limit, and capacity withheld [W].

    Returns
    -------
    dict of arrays (n,)
        One entry for each of `CAUSES`; they add up to `unmet_w`.

    Examples
    --------
    >>> parts = split_by_cause(unmet_w=np.array([5.0]), beyond_floor_w=np.array([1.0]),
    ...                        curtailed_w=np.array([3.0]), fuel_limited_w=np.array([0.0]))
    >>> {cause: float(watts[0]) for cause, watts in parts.items()}
    {'floor': 1.0, 'curtailment': 3.0, 'fuel': 0.0, 'capacity': 1.0}
    """
    rest, parts = unmet_w, {}
    for cause, most in (("floor", beyond_floor_w), ("curtailment", curtailed_w), ("fuel", fuel_limited_w)):
        parts[cause] = np.minimum(rest, most)
        rest = rest - parts[cause]
    parts["capacity"] = rest
    return parts
