"""Two nodes of a house left without heat, hour by hour."""

from __future__ import annotations

import numpy as np

from costsim.physics.thermal_mass import TwoNode, discretise


def cooling_curve(
    house: TwoNode, *, slab_c: float, room_c: float, outdoor_c: np.ndarray, ground_c: float
) -> tuple[np.ndarray, np.ndarray]:
    """Temperatures of slab and room at the end of each hour [°C]."""
    keep, drive = discretise(house)
    state, path = np.array([slab_c, room_c]), []
    for outdoor in outdoor_c:
        state = keep @ state + drive @ np.array([0.0, 0.0, outdoor, ground_c])
        path.append(state)
    slab, room = np.array(path).T
    return slab, room
