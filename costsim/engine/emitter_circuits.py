"""The circuits of a house whose parts have emitters of different kinds: the water of each, and how their returns mix."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from costsim.engine.zone_water import ZoneWater
from costsim.physics.emitters import EMITTERS
from costsim.physics.fluids import FluidProperties
from costsim.study.case import Case
from costsim.study.emitter_parts import emitter_parts, emitter_supply_c, emitters_differ, floor_share
from costsim.units.quantity import HOUR_S

if TYPE_CHECKING:
    from costsim.engine.water import MassSide

USUAL_DROP_K = 10.0
"""Between supply and return at the design load where no loops are described; common practice, no source."""
SAME_K = 0.5
"""Water that is cooler by less than this is the same."""
QUICK_S = 600.0
"""How long water and metal of a radiator or baseboard take to give their heat to the room; common practice, no source."""


@dataclass(frozen=True, slots=True)
class EmitterCircuit:
    """A part of the house on water of its own.

    `emitter` is a kind of `EMITTERS`, or None for the floor that is described; `supply_c` is what it needs at the design load [°C],
    `tank_c` what the tank then has, `drop_k` how much the part cools its own water.
    """

    name: str
    load_share: float
    emitter: str | None
    supply_c: Any
    tank_c: Any
    drop_k: Any

    @property
    def floor(self) -> bool:
        """Whether it is a heated floor."""
        return self.emitter is None or EMITTERS[self.emitter].floor

    @property
    def valved(self) -> bool:
        """Whether a mixing valve must cool its water: a floor's surface has a limit, and a radiator's thermostat does it without."""
        return self.floor and bool(self.supply_c < self.tank_c - SAME_K)


def emitter_circuits(
    case: Case, *, tank_c: Any, floor_supply_c: Any = None, floor_drop_k: Any = USUAL_DROP_K
) -> tuple[EmitterCircuit, ...]:
    """The circuits, the floor or what else heats the rest of the house last; none where the whole house has one kind of emitter.

    Parameters
    ----------
    case : Case
    tank_c : float or array (houses,)
        Water at the design load in the tank: that of the part that needs it hottest [°C].
    floor_supply_c, floor_drop_k : float
        Water that a floor which is described takes at its share of the design load, and how much it cools it.

    Examples
    --------
    Half a house on baseboards at 75 °C and half on a floor at 45 °C, each cooling its water by 10 K: the floor takes 1/40 of its
    share from the mains for each kelvin, the baseboards 1/10, so the mains cool by 1 / (0.5/40 + 0.5/10) = 16 K.

    >>> from types import SimpleNamespace
    >>> from costsim.study.house import House
    >>> up = {"name": "Up", "load": "50 %", "emitter": "baseboard"}
    >>> plain = {"floor_area": "100 m2", "heat_loss_rate": "200 W/K", "indoor_temperature": "20 degC", "gains": "0 W"}
    >>> house = House.model_validate(plain | {"zone": [up]})
    >>> found = emitter_circuits(SimpleNamespace(house=house, floor=None), tank_c=75.0)
    >>> [(float(one.supply_c), one.valved) for one in found], float(mixed_drop_k(found))
    ([(75.0, False), (45.0, True)], 16.0)
    """
    circuits = []
    for part in emitter_parts(case.house, floor=case.floor is not None):
        if part.emitter is None:
            supply, drop = floor_supply_c, floor_drop_k
        else:
            supply = emitter_supply_c(case.house, part.emitter, floor=case.floor is not None)
            drop = USUAL_DROP_K
        circuits.append(EmitterCircuit(part.name, part.load_share, part.emitter, supply, tank_c, drop))
    # what needs the hottest water has that of the tank, which may be typed, and no circuit is hotter
    hottest = max((circuit.supply_c for circuit in circuits if circuit.emitter), default=0.0)
    typed = case.floor is None
    return tuple(
        replace(
            circuit, supply_c=tank_c if typed and circuit.supply_c >= hottest else np.minimum(circuit.supply_c, tank_c)
        )
        for circuit in circuits
    )


def mixed_drop_k(circuits: Sequence[EmitterCircuit]) -> Any:
    """What the mains cool by at design, as the returns of all circuits mix [K].

    A circuit that cools water of `s` by `d` behind a valve takes from mains of `t` what cools by `t - s + d`.
    """
    return 1.0 / sum(circuit.load_share / (circuit.tank_c - circuit.supply_c + circuit.drop_k) for circuit in circuits)


def circuits_of(
    case: Case,
    zones: Sequence[ZoneWater],
    laid_supply_c: float | None,
    *,
    flow_w_k: float,
    load_w: Any,
    tank_c: Any,
) -> tuple[EmitterCircuit, ...]:
    """The circuits of a house as its loops and its water are lowered; see `emitter_circuits`.

    Parameters
    ----------
    case : Case
    zones : sequence of ZoneWater
        What the loops of each zone can give, where a floor is described.
    laid_supply_c : float or None
        Water that a laid-out floor is set to [°C].
    flow_w_k : float
        Heat that the flow of all loops carries for each kelvin by which it cools [W/K].
    load_w, tank_c : float or array (houses,)
        Design load [W] and the water in the tank then [°C].
    """
    if not emitters_differ(case.house):
        return ()
    needs = [
        zone.indoor_temperature_c + min(zone.load_share * load_w, zone.limit_w) / zone.heat_w_k
        for zone in zones
        if zone.groups
    ]
    supply = laid_supply_c if laid_supply_c is not None else max(needs, default=0.0)
    drop = floor_load_w(case, load_w) / flow_w_k if flow_w_k > 0 else USUAL_DROP_K
    return emitter_circuits(case, tank_c=tank_c, floor_supply_c=np.minimum(supply, tank_c), floor_drop_k=drop)


def flow_w_k(loops: Sequence[Any], mixture: FluidProperties) -> float:
    """Heat that the flow of all loops carries for each kelvin by which it cools [W/K]."""
    flow = sum(check.count * check.flow_m3_s for check in loops)
    return float(flow * mixture.density_kg_m3 * mixture.heat_capacity_j_kgk)


def drop_k_w(loops: Sequence[Any], mixture: FluidProperties, design_load_w: Any, resistance_k_w: Any) -> Any:
    """Kelvin by which the floor's water cools for each watt, never more than from tank to floor."""
    flow = flow_w_k(loops, mixture)
    return np.minimum(1.0 / flow if flow > 0 else USUAL_DROP_K / design_load_w, resistance_k_w)


def part_of_slab(mass: MassSide, share: float) -> MassSide:
    """A slab under a share of the house, as the heat of the whole house sees it.

    The slab keeps its heat capacity and its loss to the ground. At a load of the whole house it is as warm as at its own share
    of that load, so that it holds as much heat, and what reaches the rooms is late by the slab's own delay times its share:
    the mean of what comes through the slab and of what comes at once from the other emitters.
    """
    if share == 1.0:
        return mass
    return replace(
        mass,
        floor_room_w_k=mass.floor_room_w_k / share,
        water_resistance_k_w=mass.water_resistance_k_w * share,
    )


def quick_mass(mass: MassSide, zone: ZoneWater) -> MassSide:
    """Rooms of a zone on an emitter without a slab, whose heat is in the room within minutes.

    Half of the resistance from water to room lies on each side of the emitter's metal; its thermostat asks in each hour for what
    brings the room back within it.
    """
    conductance = 2.0 * zone.heat_w_k
    return replace(
        mass,
        slab_j_k=QUICK_S * conductance,
        floor_room_w_k=conductance,
        water_resistance_k_w=1.0 / conductance,
        ground_w_k=0.0,
        precharge_k=0.0,
        feedback=max(mass.feedback, mass.room_j_k / (conductance * HOUR_S)),
    )


def floor_load_w(case: Case, design_load_w: Any) -> Any:
    """What of the design load a floor that is described has [W]."""
    return floor_share(case.house) * design_load_w
