"""Wood against printed cord tables, the EN 303-5 example and energy balances."""

from __future__ import annotations

import numpy as np
import pytest

from costsim.physics.wood import (
    BUFFER_FREE_M3,
    SPECIES,
    buffer_volume_m3,
    burn_time_s,
    charge_mass_kg,
    higher_heating_value_j_kg,
)
from costsim.units.quantity import BTU_J, CORD_M3, POUND_KG

MILLION_PER_CORD = 1e6 * BTU_J / CORD_M3


def test_dry_wood_holds_what_is_printed_and_moist_wood_its_dry_part(published) -> None:
    rows = published("wood")
    low, high = rows["hhv_wood_low"].value, rows["hhv_wood_high"].value
    assert low - 5 < float(higher_heating_value_j_kg(moisture=0.0)) * POUND_KG / BTU_J < high
    assert higher_heating_value_j_kg(moisture=[0.2, 0.5]) == pytest.approx([16e6, 10e6])


def test_printed_species_lie_inside_the_table_s_spread(published) -> None:
    seen = 0
    for key, row in published("wood").items():
        if key.startswith("uky_") or key.startswith("rodale_") or key.startswith("fpl_"):
            kind = SPECIES[key.split("_", 1)[1]]
            assert kind.low_j_m3 / MILLION_PER_CORD <= row.value + 1e-9, key
            assert kind.high_j_m3 / MILLION_PER_CORD >= row.value - 1e-9, key
            seen += 1
    assert seen == 27
    for name, kind in SPECIES.items():
        assert kind.name == name
        assert kind.low_j_m3 < kind.middle_j_m3 < kind.high_j_m3
        assert kind.high_j_m3 < 1.5 * kind.low_j_m3


def test_a_charge_warms_the_tank_by_what_the_house_leaves() -> None:
    charge_kg = charge_mass_kg(output_w=30e3, burn_s=12288.0, moisture=0.2, efficiency=0.72)
    assert charge_kg == pytest.approx(32.0)
    burn_s = burn_time_s(charge_j=charge_kg * 16e6, efficiency=0.72, output_w=30e3)
    assert burn_s == pytest.approx(12288.0)
    # 32 kg of wood at 16 MJ/kg and 72 % warm 1000 L by about 70 K besides a house of 6 kW
    assert (30e3 - 6e3) * burn_s / (1000 * 4180) == pytest.approx(70.5, abs=0.5)


def test_buffer_of_the_worked_example(published) -> None:
    rows = published("wood")
    rows["en303_buffer"].check(1e3 * buffer_volume_m3(burn_s=2 * 3600.0, nominal_w=32e3, load_w=25e3, minimum_w=32e3))
    assert buffer_volume_m3(burn_s=7200.0, nominal_w=32e3, load_w=120e3, minimum_w=32e3) == 0.0
    assert BUFFER_FREE_M3 == 0.3


def test_wrong_inputs_are_refused() -> None:
    for wrong in (20.0, -0.1, 1.0, np.array([0.2, 1.2])):
        with pytest.raises(ValueError, match="wet basis"):
            higher_heating_value_j_kg(moisture=wrong)
    with pytest.raises(ValueError, match="above zero"):
        buffer_volume_m3(burn_s=3600.0, nominal_w=1e4, load_w=1e4, minimum_w=0.0)
    with pytest.raises(ValueError, match="above zero"):
        burn_time_s(charge_j=1e8, efficiency=0.7, output_w=0.0)


def test_the_ends_of_a_band_are_printed_somewhere(published) -> None:
    # bands whose other values stand in publications that are not among the recorded ones are left out
    printed: dict[str, list[float]] = {}
    for key, row in published("wood").items():
        for family in ("uky_", "rodale_", "fpl_"):
            if key.startswith(family):
                printed.setdefault(key.removeprefix(family), []).append(row.value * 1e6 * BTU_J / CORD_M3)
    lowest = (
        "white_oak",
        "red_oak",
        "sugar_maple",
        "red_maple",
        "white_ash",
        "white_birch",
        "aspen",
        "cottonwood",
        "white_pine",
    )
    highest = (
        "apple",
        "hickory",
        "white_oak",
        "red_oak",
        "sugar_maple",
        "black_locust",
        "white_birch",
        "yellow_birch",
        "black_cherry",
        "hemlock",
        "white_pine",
    )
    for name in lowest:
        assert SPECIES[name].low_j_m3 == pytest.approx(min(printed[name]), rel=1e-9), name
    for name in highest:
        assert SPECIES[name].high_j_m3 == pytest.approx(max(printed[name]), rel=1e-9), name
