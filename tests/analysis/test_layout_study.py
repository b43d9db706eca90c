"""Loops of a layout as they are written into a study: each key, and none for what is as usual."""

from __future__ import annotations

import tomllib
from types import SimpleNamespace
from typing import Any

from costsim.analysis.layout_study import laid_out

PLAIN = {
    "thermostat": "hall", "name": "Hall", "level": "Ground", "length_m": 60.0, "leads_m": 6.0, "spacing_m": 0.15, "covering_m2k_w": 0.0,
    "build_up": None, "insulation_m2k_w": None, "zone": "occupied",
}  # fmt: skip


def written(system: str = "si", lift_pa: float = 0.0, before: str = "[floor]\n", **more: Any) -> dict[str, Any]:
    """The floor of a study with one group of loops."""
    circuit = SimpleNamespace(**{**PLAIN, **more})
    fed = SimpleNamespace(count=3, loops_per_pump=2, speed_share=0.6)
    found: Any = SimpleNamespace(
        loops=[SimpleNamespace(circuit=circuit, fed=fed, design=SimpleNamespace(load_w=500.0))],
        design_load_w=6000.0,
        tube="16x2",
        lift_pa={"Ground": lift_pa},
    )
    text = laid_out(before, found, system)
    assert "# thermostat hall" in text
    return tomllib.loads(text)["floor"]


def test_a_usual_loop_has_no_more_keys_than_it_takes() -> None:
    """Three loops of 500 W are a quarter of 6 kW."""
    floor = written()
    assert floor["loops"] == [
        {
            "name": "Hall", "count": 3, "length": "60 m", "leads": "6 m", "tube": "16x2", "spacing": "150 mm",
            "loops_per_pump": 2, "pump_speed": "60 %", "load": "25 %",
        }
    ]  # fmt: skip
    assert set(floor["pump"]) == {"flows", "heads"}


def test_what_is_not_usual_is_written_in_the_reader_s_units() -> None:
    """0.1 m² K/W are 0.568 h ft² °F/Btu (1 to 5.678263), 0.3048 m a foot, 25.4 mm an inch, 2,989.07 Pa a foot of water."""
    more: dict[str, Any] = {
        "covering_m2k_w": 0.1, "insulation_m2k_w": 2.0, "build_up": "joists", "zone": "peripheral", "length_m": 60.96, "leads_m": 3.048,
        "spacing_m": 0.2032,
    }  # fmt: skip
    [us] = written("us", 2989.07, **more)["loops"]
    assert us == {
        "name": "Hall", "count": 3, "length": "200 ft", "leads": "10 ft", "tube": "16x2", "spacing": "8 in",
        "covering": "0.56783 h ft2 degF/Btu", "build_up": "joists", "insulation": "11.35653 h ft2 degF/Btu", "zone": "peripheral",
        "loops_per_pump": 2, "pump_speed": "60 %", "lift": "1 ftH2O", "load": "25 %",
    }  # fmt: skip
    [si] = written("si", 5000.0, **more)["loops"]
    assert (si["covering"], si["insulation"], si["zone"], si["spacing"], si["length"]) == (
        "0.1 m2 K/W", "2 m2 K/W", "peripheral", "203.2 mm", "60.96 m",
    )  # fmt: skip
    assert si["lift"] == "5 kPa"
    # a length keeps four digits behind its point
    assert written("si", length_m=60.123456)["loops"][0]["length"] == "60.1235 m"


def test_the_pump_that_is_there_stays_without_what_its_loops_say_now() -> None:
    before = '[floor]\n[floor.pump]\nflows = ["0 L/min"]\nspeed = "80 %"\nloops_per_pump = 2\nlift = "1 kPa"\n[[floor.loops]]\nname = "old"\n'
    floor = written(before=before)
    assert floor["pump"] == {"flows": ["0 L/min"]}
    assert [one["name"] for one in floor["loops"]] == ["Hall"]
