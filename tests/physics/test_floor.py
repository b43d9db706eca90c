"""The floor against the standard's table, arithmetic, and what an expert expects of one loop."""

from __future__ import annotations

import math

import numpy as np
import pytest
from physics_names import mixture
from scipy import sparse
from scipy.sparse import linalg

from costsim.physics.floor import (
    BUILD_UPS,
    BuildUp,
    effectiveness,
    loop_heat,
    slab_resistance_mk_w,
    supply_conductance_w_k,
    surface_excess_k,
    surface_flux_w_m2,
    surface_limit_w_m2,
)  # fmt: skip
from costsim.physics.fluids import fluid_properties
from costsim.physics.hydraulics import TUBES, PumpCurve, Tube, operating_point
from costsim.units.quantity import FOOT_M, GALLON_M3

GPM, LOOP_M, FOOT_PA = GALLON_M3 / 60, 300 * FOOT_M, 2989.067
HALF = Tube("1/2 in PEX of the least wall", 0.485 * 0.0254, 0.625 * 0.0254)
"""What the published figures were worked out for."""


def loop(flow_m3_s: float, fluid: str = "water", fraction: float = 0.0, **changed) -> float:
    """Heat of one 300 ft loop for each kelvin of supply over the room [W/K]."""
    mixture = fluid_properties(fluid=fluid, mass_fraction=fraction, temperature_c=40.0)
    settings = {
        "length_m": LOOP_M, "spacing_m": 0.3048, "build_up": BUILD_UPS["concrete_100"], "covering_m2k_w": 0.0, "insulation_m2k_w": 1.8,
        "design_flux_w_m2": 60.0, **changed,
    }  # fmt: skip
    found = loop_heat(flow_m3_s=flow_m3_s, tube=HALF, fluid=mixture, **settings)
    return supply_conductance_w_k(flow_m3_s=flow_m3_s, fluid=mixture, conductance_w_k=found.conductance_w_k)


def test_the_standards_table_all_eight_rows(published) -> None:
    rows = published("floor")
    found = [key for key in rows if key.startswith("en1264_dt")]
    assert len(found) == 8
    for key in found:
        flux = float(surface_flux_w_m2(excess_k=float(key.removeprefix("en1264_dt"))))
        rows[key].check(flux)
        assert round(flux, 1) == rows[key].value
        assert float(surface_excess_k(flux_w_m2=flux)) == pytest.approx(float(key[-1]))


def test_limits_and_the_example(published) -> None:
    rows = published("floor")
    rows["floor_example"].check(100 * float(surface_flux_w_m2(excess_k=3.0)))
    rows["limit_occupied"].check(surface_limit_w_m2(zone="occupied"))
    rows["limit_perimeter"].check(surface_limit_w_m2(zone="perimeter"))
    rows["limit_bathroom"].check(surface_limit_w_m2(zone="bathroom", room_c=24.0))
    rows["limit_occupied_22"].check(surface_limit_w_m2(zone="occupied", room_c=22.0))
    assert surface_limit_w_m2(zone="occupied", room_c=30.0) == 0.0


def test_heat_capacities_come_from_thickness_and_material(published) -> None:
    rows, slab = published("floor"), BUILD_UPS["concrete_100"]
    rows["concrete_100"].check(slab.heat_capacity_j_m2k / 3600)
    rows["slab_hours"].check(slab.heat_capacity_j_m2k / 10.8 / 3600)
    assert BUILD_UPS["concrete_150"].heat_capacity_j_m2k == pytest.approx(1.5 * slab.heat_capacity_j_m2k)


def test_a_tube_in_a_thick_block_is_the_textbooks_buried_cylinder() -> None:
    # one tube far from the next under an even surface: ln(4 z / d) / (2 π λ), a shape factor of any heat transfer book
    settings = {"spacing_m": 10.0, "outside_diameter_m": 0.016, "conductivity_w_mk": 1.7}
    found = slab_resistance_mk_w(above_m=0.058, below_m=20.0, upper_w_m2k=1e9, **settings) + 0.058 / (1.7 * 10.0)
    assert found == pytest.approx(math.log(4 * 0.058 / 0.016) / (2 * math.pi * 1.7), rel=2e-3)


def plate_by_differences(
    *, spacing_m: float, above_m: float, below_m: float, radius_m: float, conductivity_w_mk: float, upper_w_m2k: float,
    step_m: float = 5e-4,
) -> float:  # fmt: skip
    """Resistance from tube to room in a plate warm at the tube and insulated below, by finite differences on half a spacing."""
    across, down = round(spacing_m / 2 / step_m) + 1, round((above_m + below_m) / step_m) + 1
    x, y = np.meshgrid(np.arange(across) * step_m, np.arange(down) * step_m, indexing="ij")
    tube = (x**2 + (y - above_m) ** 2 <= radius_m**2 * (1 + 1e-9)).ravel()
    side, depth = np.ones(across), np.ones(down)
    side[[0, -1]] = depth[[0, -1]] = 0.5
    number = np.arange(across * down).reshape(across, down)
    pairs = [(number[:-1], number[1:], np.ones((across - 1, 1)) * depth), (number[:, :-1], number[:, 1:], side[:, None] * np.ones(down - 1))]  # fmt: skip
    one, other, link = (np.concatenate([pair[i].ravel() for pair in pairs]) for i in range(3))
    links = sparse.coo_matrix((conductivity_w_mk * link, (one, other)), shape=(x.size, x.size))
    links = links + links.T
    to_room = np.zeros(x.size)
    to_room[number[:, 0]] = upper_w_m2k * step_m * side
    balance = (sparse.diags(np.asarray(links.sum(axis=1)).ravel() + to_room) - links).tocsr()
    warm = tube.astype(float)
    warm[~tube] = linalg.spsolve(balance[~tube][:, ~tube].tocsc(), -balance[~tube][:, tube] @ warm[tube])
    return 1.0 / (2.0 * float(to_room @ warm))


@pytest.mark.parametrize("spacing", [0.15, 0.3])
@pytest.mark.parametrize(("build_up", "upper"), [("concrete_100", 10.8), ("gypsum_38", 10.8), ("plates", 10.8), ("gypsum_38", 4.0)])  # fmt: skip
def test_thin_and_thick_floors_are_what_finite_differences_give(spacing: float, build_up: str, upper: float) -> None:
    layer = BUILD_UPS[build_up]
    above, below = layer.depths_m(0.016)
    same = {"spacing_m": spacing, "above_m": above, "below_m": below, "conductivity_w_mk": layer.conductivity_w_mk, "upper_w_m2k": upper}  # fmt: skip
    method = slab_resistance_mk_w(outside_diameter_m=0.016, **same)
    method += (above / layer.conductivity_w_mk + 1 / upper) / spacing
    # a line source stands for the tube: exact far from the faces, on the safe side where the tube lies 2 mm from one
    numeric = plate_by_differences(radius_m=0.008, **same)
    assert method == pytest.approx(numeric, rel=0.005 if build_up == "concrete_100" else 0.025)


def test_the_standards_characteristic_field(published) -> None:
    rows = {key: row for key, row in published("floor").items() if key.startswith("en1264_field_")}
    assert len(rows) == 8
    tube = TUBES["20x2"]
    water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)
    for key, row in rows.items():
        spacing, covering = int(key.split("_t")[1][:3]) / 1e3, int(key[-2:]) / 100
        found = loop_heat(
            flow_m3_s=5e-5, tube=tube, fluid=water, length_m=1.0, spacing_m=spacing, build_up=BuildUp("test", "", 0.075, 0.045, 1.2, 2e6),
            covering_m2k_w=covering, insulation_m2k_w=5.0, design_flux_w_m2=75.0,
        )  # fmt: skip
        row.check(found.conductance_w_k / spacing)


def test_one_loop_gives_what_an_expert_expects() -> None:
    # 300 ft of half-inch tube at 12 in spacing, 0.6 gpm, supply 110 °F into a 70 °F room: 1.5 to 2.5 kW, common practice, no source
    heat = loop(0.6 * GPM) * (110 - 70) / 1.8
    assert 1500 < heat < 2500
    assert heat <= 0.6 * GPM * 992 * 4179 * (110 - 70) / 1.8


def test_half_antifreeze_takes_heat_and_a_speed_step_gives_some_back(published) -> None:
    # whole-floor derates computed for the project at equal mean water temperature: 50 % propylene glycol 0.75 to 0.81
    pump = PumpCurve((0.0, 2.0 * GPM, 4.0 * GPM), (9 * FOOT_PA, 7 * FOOT_PA, 3 * FOOT_PA))
    heats = {}
    for name, fraction, speed in (("water", 0.0, 0.7), ("half", 0.5, 0.7), ("faster", 0.5, 1.0)):
        mixture = fluid_properties(fluid="propylene_glycol", mass_fraction=fraction, temperature_c=40.0)
        point = operating_point(curve=pump, speed=speed, tube=HALF, lengths_m=[LOOP_M], fluid=mixture)
        heats[name] = loop(point.flows_m3_s[0], "propylene_glycol", fraction)
    assert 0.65 < heats["half"] / heats["water"] < 0.92
    assert heats["half"] < heats["faster"] < heats["water"]


def test_at_equal_mean_temperature_glycol_acts_through_the_film(published) -> None:
    rows = {key: row for key, row in published("floor").items() if key.startswith("derate_")}
    assert len(rows) == 8

    def inside(short: str) -> float:
        name, fraction = mixture(short)
        fluid = fluid_properties(fluid=name, mass_fraction=fraction, temperature_c=40.0)
        found = loop_heat(
            flow_m3_s=0.6 * GPM, tube=HALF, fluid=fluid, length_m=LOOP_M, spacing_m=0.3048, build_up=BUILD_UPS["concrete_100"],
            covering_m2k_w=0.0, insulation_m2k_w=1.8, design_flux_w_m2=50.0,
        )  # fmt: skip
        whole = LOOP_M / found.conductance_w_k
        assert whole == pytest.approx(found.film_mk_w + found.wall_mk_w + found.slab_mk_w + found.surface_mk_w)
        return found.film_mk_w + found.wall_mk_w

    for key, row in rows.items():
        _, short, beyond = key.split("_")
        rest = 1 / (int(beyond) * 0.3048)
        row.check((inside("water") + rest) / (inside(short) + rest))


@pytest.mark.parametrize("build_up", sorted(BUILD_UPS))
def test_insulation_sends_the_heat_up(build_up: str) -> None:
    water = fluid_properties(fluid="water", mass_fraction=0.0, temperature_c=40.0)

    def upward(covering: float, insulation: float) -> float:
        return loop_heat(
            flow_m3_s=0.6 * GPM, tube=HALF, fluid=water, length_m=LOOP_M, spacing_m=0.3, build_up=BUILD_UPS[build_up],
            covering_m2k_w=covering, insulation_m2k_w=insulation, design_flux_w_m2=50.0,
        ).upward_share  # fmt: skip

    assert 0.5 < upward(0.0, 0.5) < upward(0.0, 2.0) < upward(0.0, 1e6) <= 1.0
    assert upward(0.15, 2.0) < upward(0.0, 2.0)
    assert upward(0.0, 1e6) == pytest.approx(1.0, abs=1e-5)


def test_effectiveness_has_its_limits() -> None:
    assert effectiveness(conductance_w_k=1.0, capacity_flow_w_k=0.0) == 0.0
    assert effectiveness(conductance_w_k=1e9, capacity_flow_w_k=1.0) == pytest.approx(1.0)
    assert effectiveness(conductance_w_k=1e-6, capacity_flow_w_k=1.0) == pytest.approx(1e-6)
