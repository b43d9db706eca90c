"""Rows on water, loops, sizes and machines of a report from made-up figures."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from report.bases import basis
from stand_ins import Unit
from views.made import ELECTRIC, GAS, PRESSURE, SOURCE, but

from costsim.analysis.circulators import PumpDuty
from costsim.report import household, sizes, water
from costsim.report.blocks import Table
from costsim.report.reader import LINE
from costsim.views.size_rows import CONFIRM

KW = 1000.0
CHECK = SimpleNamespace(
    name="Bath: 2 × tube",
    count=2,
    flow_m3_s=5e-5,
    reynolds=3456.4,
    regime="between",
    head_pa=2e4,
    heat_w_k=40.0,
    surface_limit_w=2400.0,
)
GROUP = SimpleNamespace(count=2, area_m2=15.0, length_m=90.0, spacing_m=0.15)


def wet(supply_c: float, *, tank: Any = 1, floor: Any = None, loops: Any = ((GROUP, CHECK),)) -> Any:
    """A house of 20 °C whose loops may give 40 W/K each and 1,200 W at most."""
    laid = SimpleNamespace(loops=[group for group, _ in loops]) if floor is None else floor or None
    lowered = SimpleNamespace(
        water=SimpleNamespace(
            hottest_c=60.0,
            freeze_c=-13.0,
            floor=laid,
            loops=[check for _, check in loops],
            limit_w=5e3,
            pump_w=1234.4,
            circuits=(),
        )
    )
    return basis(
        signed=SimpleNamespace(
            supply_c=supply_c, floor_supply_c=supply_c, common=lowered, case=SimpleNamespace(tank=tank, floor=laid), needs=SimpleNamespace(coldest_c=-18.0)
        ),
        case__house=SimpleNamespace(indoor_temperature_c=20.0),
    )  # fmt: skip


def test_a_loop_gives_by_its_water_and_no_more_than_its_surface_may() -> None:
    """800 W at 40 °C on 15 m² are 53 W/m², (53.3/8.92)^(1/1.1) = 5.1 K over the room by EN 1264-2; 1,200 W are 80 W/m², 7.3 K."""
    found = water.loop_table(wet(40.0))
    assert isinstance(found, Table)
    assert found.rows == (("Bath: 2 × tube, 90 m at 150 mm", "3.00", "3,456", "mixed", "20.0", "0.80", "25.1", "27.3"),)
    assert "Each loop with water at 40 °C" in found.note
    hot = water.loop_table(wet(60.0))
    assert hot is not None
    assert hot.rows[0][-3:] == ("1.20", "27.3", "27.3")
    assert water.loop_table(wet(40.0, floor=False)) is None


def test_the_water_of_tank_and_floor_in_facts(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("_antifreeze", "_properties", "_content"):
        monkeypatch.setattr(water, name, lambda *_, name=name: name)
    monkeypatch.setattr(water, "mixture", lambda *_: None)
    monkeypatch.setattr(water, "_build_ups", lambda *_: [("floor", "slab")])
    rows = dict(water.fluid_facts(wet(44.0)))
    assert rows["tank at design"] == "44.0 °C"
    assert rows["tank at most"] == "60.0 °C"
    assert rows["freezing point"] == "-13.0 °C; coldest outside -18.0 °C"
    assert rows["properties at 40 °C"] == "_properties"
    assert rows["floor gives at most"] == "5.0 kW of 9.0 kW needed"
    assert rows["pumps"] == "1,234 W of electricity"
    bare = dict(water.fluid_facts(wet(44.0, tank=None, floor=False)))
    assert bare["supply water at design"] == "44.0 °C"
    assert bare["water at most"] == "60.0 °C"
    assert not {"floor", "pumps", "floor gives at most"} & bare.keys()


def test_sizes_of_the_option_that_is_signed_have_a_line_to_confirm_each() -> None:
    pump, up = PumpDuty("zones", 3, 1e-4, 2e4), PumpDuty("Up, baseboard", 1, 2e-4, None, 10.0, 0.6)
    boiler, fire = PumpDuty("Boiler", 1, 3e-4, None, 10.0), PumpDuty("Stove", 1, None, None)
    sources = (but(SOURCE, electric=ELECTRIC, entered_electric=ELECTRIC), but(SOURCE, name="Stove", entered_gas=GAS))
    chosen = SimpleNamespace(option="A", sources=sources, circuit=PRESSURE, pumps=(boiler, fire))
    other = SimpleNamespace(option="B", sources=(), circuit=PRESSURE)
    found = sizes.sizes_table(basis(selection=SimpleNamespace(options=[other, chosen], pumps=[pump, up])))
    assert [row[0] for row in found.rows] == [
        "Boiler", "Boiler: breaker and wire", "Boiler: load on the service", "Stove", "Stove: gas pipe", "Stove: vent category", "expansion tank",
        "Boiler: relief valve of its own", "Stove: relief valve of its own", "relief valve on the tank", "circulators, zones",
        "circulators, Up, baseboard", "Boiler: circulator, where none is built in", "Stove: circulator, where none is built in",
    ]  # fmt: skip
    assert {row[-1] for row in found.rows} == {LINE}
    zones, base, own, stove = found.rows[-4:]
    assert zones[1:3] == ("3 × 6.00 L/min at 20.0 kPa", "Darcy and Weisbach, by loop")
    assert base[1] == f"1 × 12.00 L/min at {CONFIRM}"
    assert base[2].startswith(
        "its heat at a drop of 10 K (common practice, no source); not known for baseboards or radiators: type"
    )
    assert (own[1], stove[1]) == (CONFIRM, CONFIRM)
    assert own[2].startswith(
        "18.0 L/min, its heat at a drop of 10 K (common practice, no source); head: the unit's pressure drop"
    )
    assert stove[2] == "flow and head by its manual"


def test_machines_are_named_with_their_size_as_quotes_have_it() -> None:
    """12,000 Btu/h are a ton, 3.517 kW: 10.55 kW are three."""

    def machine(**more: Any) -> Any:
        plain = {
            "label": "M",
            "nameplate_w": lambda: 10_550.0,
            "continuous_load": False,
            "feels_cold": False,
            "rated_at": "",
        }
        return Unit(**{**plain, **more})

    assert household.size_of(machine(area_m2=9.0), "si") == "9 m²"
    assert household.size_of(machine(continuous_load=True, efficiency_share=1.0), "us").endswith(" kW")
    assert household.size_of(machine(continuous_load=True), "us") == "36.0 kBtu/h"
    assert household.size_of(machine(feels_cold=True, rated_at="at 47 °F"), "us") == "36.0 kBtu/h, 3.0 tons at 47 °F"
    assert household.size_of(machine(feels_cold=True), "si").endswith(" kW")
    both = SimpleNamespace(
        sources=[machine(label="Plates", area_m2=9.0), machine(label="Pump", area_m2=4.0)],
        tank_of=lambda case: SimpleNamespace(volume_m3=0.3),
    )
    assert household.machines(basis(), both) == "Plates 9 m²; Pump 4 m²; tank 300 L"  # type: ignore[arg-type]
    both.tank_of = lambda case: None
    assert household.machines(basis(), both) == "Plates 9 m²; Pump 4 m²"  # type: ignore[arg-type]
