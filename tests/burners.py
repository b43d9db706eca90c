"""Made-up units that burn, for tests of what is said of fires and flues."""

from __future__ import annotations

from typing import Any

WOOD: dict[str, Any] = {
    "kind": "wood", "charge": "20 kg", "load_times": ["18:00"], "moisture": "20 %", "efficiency": "60 %", "burn_time": "4 h",
}  # fmt: skip
PELLETS: dict[str, Any] = {"kind": "pellet", "output": "12 kW", "efficiency": "80 %"}
GAS: dict[str, Any] = {"kind": "gas", "fuel": "natural_gas", "output": "12 kW", "efficiency": "92 %"}
PROPANE: dict[str, Any] = {**GAS, "fuel": "propane"}
OIL: dict[str, Any] = {"kind": "oil", "output": "20 kW", "efficiency": "85 %"}
