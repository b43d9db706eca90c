"""What tubes may lie in or under: the layers of `physics.floor`, and plates between the joists of a wooden floor."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.physics import floor
from costsim.physics.floor import BuildUp

SUBFLOOR_M2K_W = 0.16
"""Boards or plywood of 19 mm (3/4 in) at 0.12 W/(m K); conductivity of softwood plywood, value from memory."""


@dataclass(frozen=True, slots=True)
class JoistBuildUp(BuildUp):
    """Tubes in plates under a wooden subfloor, which heat passes on its way up like one covering more."""

    subfloor_m2k_w: float


# Aluminum plates 0.4 mm thick at 200 W/(m K) under seven tenths of the floor, counted as a layer that spreads heat as well:
# 0.02 m × 2.8 W/(m K); with the subfloor's 19 mm × 600 kg/m³ × 1,600 J/(kg K) for capacity: values from memory. Held to a
# fin of the textbooks.
_JOISTS = JoistBuildUp(
    "joists", "aluminum plates under a wooden subfloor, between joists (staple-up)", 0.020, 0.002, 2.8, 0.91e6,
    SUBFLOOR_M2K_W,
)  # fmt: skip
BUILD_UPS: dict[str, BuildUp] = {**floor.BUILD_UPS, _JOISTS.name: _JOISTS}


def covered_m2k_w(build_up: BuildUp, covering_m2k_w: float) -> float:
    """All that lies over the layer of the tubes: the covering, and a subfloor where there is one [m² K/W]."""
    return covering_m2k_w + (build_up.subfloor_m2k_w if isinstance(build_up, JoistBuildUp) else 0.0)


def may_lie_on_ground(build_up: BuildUp) -> bool:
    """Whether it can be a slab on the ground; what hangs between joists cannot."""
    return not isinstance(build_up, JoistBuildUp)
