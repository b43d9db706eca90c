"""Flow in tubes: Reynolds number, friction, heat transfer at the wall, and where a pump meets its loops."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from costsim.physics.fluids import FluidProperties
from costsim.units.quantity import INCH_M

LAMINAR, TURBULENT = 2300.0, 4000.0
"""Reynolds numbers below and above which heat transfer is taken as laminar and turbulent; between them the two are blended."""
ROUGHNESS_M = 1.5e-6
LAMINAR_NUSSELT = 3.66


@dataclass(frozen=True, slots=True)
class Tube:
    """One tube."""

    name: str
    inside_diameter_m: float
    outside_diameter_m: float
    conductivity_w_mk: float = 0.38

    @property
    def area_m2(self) -> float:
        """Cross-section of the bore [m²]."""
        return math.pi / 4 * self.inside_diameter_m**2


def _pex(name: str, outside_in: float, least_wall_in: float, allowed_in: float = 0.010) -> Tube:
    """A tube with the mean of the walls that the standard lets through."""
    wall_in = least_wall_in + allowed_in / 2
    return Tube(name, (outside_in - 2 * wall_in) * INCH_M, outside_in * INCH_M)


def _metric(name: str, outside_mm: float, wall_mm: float) -> Tube:
    return Tube(name, (outside_mm - 2 * wall_mm) / 1e3, outside_mm / 1e3)


# Inch sizes: PEX SDR-9, least wall and how much more is allowed by ASTM F876, from memory; the mean bores that follow (0.350, 0.475,
# 0.574, 0.671, 0.862 in) are those of makers' and dealers' charts. Metric sizes are their own dimensions.
TUBES: dict[str, Tube] = {
    tube.name: tube
    for tube in (
        _pex("3/8 in PEX", 0.500, 0.070),
        _pex("1/2 in PEX", 0.625, 0.070),
        _pex("5/8 in PEX", 0.750, 0.083),
        _pex("3/4 in PEX", 0.875, 0.097),
        _pex("1 in PEX", 1.125, 0.125, 0.013),
        _metric("16x2", 16, 2),
        _metric("17x2", 17, 2),
        _metric("20x2", 20, 2),
    )
}

# Copper type M: outside and wall of ASTM B88, from memory; the bores hold 0.0132, 0.0269, 0.0454 and 0.0680 gal/ft, as a trade
# column's table has it (pmengineer.com, sizing diaphragm-type expansion tanks), read.
COPPER: dict[str, Tube] = {
    name: Tube(name, (outside - 2 * wall) * INCH_M, outside * INCH_M, 390.0)
    for name, outside, wall in (
        ("1/2 in copper", 0.625, 0.028),
        ("3/4 in copper", 0.875, 0.032),
        ("1 in copper", 1.125, 0.035),
        ("1 1/4 in copper", 1.375, 0.042),
    )
}
PIPES: dict[str, Tube] = {**COPPER, **TUBES}
"""What feeds baseboards and radiators."""


def reynolds_number(*, flow_m3_s: float, tube: Tube, fluid: FluidProperties) -> float:
    """Reynolds number of a flow in a tube.

    Examples
    --------
    >>> from costsim.physics.fluids import fluid_properties
    >>> water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    >>> round(reynolds_number(flow_m3_s=3.785411784e-5, tube=TUBES["1/2 in PEX"], fluid=water), -1)
    6070.0
    """
    speed = flow_m3_s / tube.area_m2
    return fluid.density_kg_m3 * speed * tube.inside_diameter_m / fluid.viscosity_pa_s


def at_the_turn(reynolds: float) -> bool:
    """Whether a flow rests where laminar turns turbulent: friction jumps there, so a pump stays on it over a range of pipes."""
    return abs(reynolds / LAMINAR - 1.0) < 1e-3


def flow_regime(reynolds: float) -> str:
    """Laminar, turbulent, or "between", where figures are uncertain.

    Examples
    --------
    >>> flow_regime(1200.0), flow_regime(2300.0), flow_regime(3000.0), flow_regime(6000.0)
    ('laminar', 'between', 'between', 'turbulent')
    """
    if reynolds >= TURBULENT:
        return "turbulent"
    return "laminar" if reynolds < LAMINAR and not at_the_turn(reynolds) else "between"


def _blend(reynolds: float, laminar: float, turbulent: float) -> float:
    """Value at a Reynolds number, linear between the two regimes."""
    share = min(max((reynolds - LAMINAR) / (TURBULENT - LAMINAR), 0.0), 1.0)
    return laminar * (1.0 - share) + turbulent * share


def _haaland(reynolds: float, relative_roughness: float) -> float:
    inner = (relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds
    return float((-1.8 * math.log10(inner)) ** -2)


def friction_factor(*, reynolds: float, relative_roughness: float = 0.0) -> float:
    """Darcy friction factor.

    Parameters
    ----------
    reynolds : float
        Above zero.
    relative_roughness : float
        Roughness over diameter.

    Returns
    -------
    float

    Notes
    -----
    ``64/Re`` to a Reynolds number of 2300 and Haaland (1983) above it. Between 2300 and 4000 a flow may fall back to
    laminar; the higher value is taken, so that heads are never promised too low.

    Examples
    --------
    >>> round(friction_factor(reynolds=1000.0), 3)
    0.064
    """
    return 64.0 / reynolds if reynolds <= LAMINAR else _haaland(reynolds, relative_roughness)


def pressure_drop_pa(*, flow_m3_s: float, tube: Tube, length_m: float, fluid: FluidProperties) -> float:
    """Pressure drop of a loop [Pa] by Darcy and Weisbach."""
    if flow_m3_s <= 0.0:
        return 0.0
    factor = friction_factor(
        reynolds=reynolds_number(flow_m3_s=flow_m3_s, tube=tube, fluid=fluid),
        relative_roughness=ROUGHNESS_M / tube.inside_diameter_m,
    )
    speed = flow_m3_s / tube.area_m2
    return factor * length_m / tube.inside_diameter_m * fluid.density_kg_m3 * speed**2 / 2.0


def nusselt_number(*, reynolds: float, prandtl: float) -> float:
    """Nusselt number of developed flow in a round tube.

    Notes
    -----
    3.66 to a Reynolds number of 2300, Gnielinski with the smooth-tube friction from 4000, linear between.

    References
    ----------
    Gnielinski (1976); the linear blend after VDI Heat Atlas (value from memory).

    Examples
    --------
    >>> nusselt_number(reynolds=1500.0, prandtl=20.0)
    3.66
    """
    if reynolds <= LAMINAR:
        return LAMINAR_NUSSELT
    at = max(reynolds, TURBULENT)
    friction = _haaland(at, 0.0) / 8.0
    turbulent = friction * (at - 1000.0) * prandtl / (1.0 + 12.7 * math.sqrt(friction) * (prandtl ** (2 / 3) - 1.0))
    return _blend(reynolds, LAMINAR_NUSSELT, turbulent)


def film_coefficient_w_m2k(*, flow_m3_s: float, tube: Tube, fluid: FluidProperties) -> float:
    """Heat transfer between water and tube wall [W/(m² K)]."""
    reynolds = reynolds_number(flow_m3_s=flow_m3_s, tube=tube, fluid=fluid)
    return nusselt_number(reynolds=reynolds, prandtl=fluid.prandtl) * fluid.conductivity_w_mk / tube.inside_diameter_m


@dataclass(frozen=True, slots=True)
class PumpCurve:
    """Head over flow at full speed, falling; other speeds by the affinity laws."""

    flows_m3_s: tuple[float, ...]
    heads_pa: tuple[float, ...]

    def head_pa(self, flow_m3_s: float, speed: float = 1.0) -> float:
        """Head at a flow [Pa]: flow goes with the speed, head with its square; zero beyond the curve's end."""
        at = flow_m3_s / speed
        if at > self.flows_m3_s[-1]:
            slope = (self.heads_pa[-1] - self.heads_pa[-2]) / (self.flows_m3_s[-1] - self.flows_m3_s[-2])
            return max(0.0, self.heads_pa[-1] + slope * (at - self.flows_m3_s[-1])) * speed**2
        return float(np.interp(at, self.flows_m3_s, self.heads_pa)) * speed**2


@dataclass(frozen=True, slots=True)
class PumpPoint:
    """Where a pump and its loops agree."""

    flows_m3_s: tuple[float, ...]
    head_pa: float


def flow_at_head_m3_s(*, head_pa: float, tube: Tube, length_m: float, fluid: FluidProperties) -> float:
    """Flow that a head drives through a loop [m³/s], by bisection."""
    low, high = 0.0, 1e-2
    for _ in range(60):
        middle = (low + high) / 2
        drop = pressure_drop_pa(flow_m3_s=middle, tube=tube, length_m=length_m, fluid=fluid)
        low, high = (middle, high) if drop < head_pa else (low, middle)
    return (low + high) / 2


def operating_point(
    *,
    curve: PumpCurve,
    speed: float,
    tube: Tube,
    lengths_m: Sequence[float],
    fluid: FluidProperties,
    lift_pa: float = 0.0,
) -> PumpPoint:
    """Find the flow of each of several loops in parallel on one pump.

    Parameters
    ----------
    curve : PumpCurve
    speed : float
        Share of full speed.
    tube, lengths_m, fluid
        The loops.
    lift_pa : float
        Resistance of valves that all flow passes [Pa].

    Returns
    -------
    PumpPoint
        All loops see the same head; each takes the flow its own resistance says.

    Examples
    --------
    >>> from costsim.physics.fluids import fluid_properties
    >>> water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    >>> pump = PumpCurve((0.0, 2.5e-4), (30e3, 5e3))
    >>> point = operating_point(curve=pump, speed=1.0, tube=TUBES["1/2 in PEX"], lengths_m=[60.0, 90.0], fluid=water)
    >>> point.flows_m3_s[0] > point.flows_m3_s[1]
    True
    """

    def flows_at(head_pa: float) -> list[float]:
        through = max(0.0, head_pa - lift_pa)
        return [flow_at_head_m3_s(head_pa=through, tube=tube, length_m=length_m, fluid=fluid) for length_m in lengths_m]

    low, high = 0.0, curve.head_pa(0.0, speed)
    for _ in range(50):
        head = (low + high) / 2
        low, high = (head, high) if curve.head_pa(sum(flows_at(head)), speed) > head else (low, head)
    return PumpPoint(tuple(flows_at(low)), low)


def pump_electric_w(*, flow_m3_s: float, head_pa: float, efficiency: float) -> float:
    """Electric power of a pump: hydraulic power over wire-to-water efficiency [W].

    Examples
    --------
    >>> from costsim.units.quantity import GALLON_M3
    >>> round(pump_electric_w(flow_m3_s=2.4 * GALLON_M3 / 60, head_pa=5 * 2989.067, efficiency=0.2), 1)
    11.3
    """
    return flow_m3_s * head_pa / efficiency
