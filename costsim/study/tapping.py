"""Load profiles of hot water: which heat is drawn at which time of a day, as European law tests water heaters with them."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np

from costsim.units.arrays import Floats

SOURCE = "Commission Regulation (EU) No 814/2013, Annex III, Table 1"
COLD_C = 10.0
"""Cold water of the tests, from which their volumes follow; EN 16147, value from memory."""
SMALL_KWH = 0.105

# times of the small draws of 0.105 kWh, and the larger draws with their heat in kWh
_DRAWS: dict[str, tuple[str, str]] = {
    "S": ("07:00 07:30 08:30 09:30 11:30 11:45 18:00 18:15", "12:45=0.315 20:30=0.42 21:30=0.525"),
    "M": (
        "07:00 07:30 08:01 08:15 08:30 08:45 09:00 09:30 10:30 11:30 11:45 14:30 15:30 16:30 18:00 18:15 18:30 19:00 21:15",
        "07:05=1.4 12:45=0.315 20:30=0.735 21:30=1.4",
    ),
    "L": (
        "07:00 07:30 07:45 08:25 08:30 08:45 09:00 09:30 10:30 11:30 11:45 14:30 15:30 16:30 18:00 18:15 18:30 19:00 21:30",
        "07:05=1.4 08:05=3.605 12:45=0.315 20:30=0.735 21:00=3.605",
    ),
    "XL": (
        "07:00 07:26 08:01 08:15 08:30 08:45 09:00 09:30 10:00 10:30 11:00 11:30 11:45 14:30 15:00 15:30 16:00 16:30 17:00"
        " 18:00 18:15 18:30 19:00 21:15",
        "07:15=1.82 07:45=4.42 12:45=0.735 20:30=0.735 20:46=4.42 21:30=4.42",
    ),
    "XXL": (
        "07:00 07:26 08:01 08:15 08:30 08:45 09:00 09:30 10:00 10:30 11:00 11:30 11:45 14:30 15:00 15:30 16:00 16:30 17:00"
        " 18:00 18:15 18:30 19:00 21:15",
        "07:15=1.82 07:45=6.24 12:45=0.735 20:30=0.735 20:46=6.24 21:30=6.24",
    ),
}  # fmt: skip
_DRAW = re.compile(r"(\d\d):(\d\d)=([\d.]+)")


def _by_hour(small: str, large: str) -> Floats:
    """Heat of each clock hour (24,) [kWh]; a draw counts in the hour it begins in."""
    hours = np.zeros(24)
    for time in small.split():
        hours[int(time[:2])] += SMALL_KWH
    for hour, _, heat in _DRAW.findall(large):
        hours[int(hour)] += float(heat)
    hours.flags.writeable = False
    return hours


LOAD_PROFILES: Mapping[str, Floats] = {name: _by_hour(*draws) for name, draws in _DRAWS.items()}
"""Heat of each clock hour of a day (24,) [kWh], by the name of the profile."""
