"""The water side of the calculation sheet: what circulates, how it flows, and how warm the floor gets."""

from __future__ import annotations

from costsim.engine.loop_checks import WATER_C, LoopCheck
from costsim.physics.floor import BuildUp, surface_excess_k
from costsim.physics.fluids import FluidProperties, mass_fraction_from_volume
from costsim.report.basis import Basis, contents_m3, mixture
from costsim.report.blocks import Table, table
from costsim.study.fluid import antifreeze_of
from costsim.study.loop_group import Loops
from costsim.study.plant import Floor
from costsim.units.quantity import BTU_J, FOOT_M, HOUR_S, POUND_KG, pretty_unit, show, to_display, unit_for
from costsim.views.emitter_marks import label_of
from costsim.views.text_capacity import REGIMES
from costsim.views.wording import one_system
from costsim.words import tr


def fluid_facts(basis: Basis) -> tuple[tuple[str, str], ...]:
    """What circulates, when it freezes, what tank and tubes hold, and how hot the tank must be."""
    case, system, water = basis.signed.case, basis.system, basis.signed.common.water
    at = mixture(case, WATER_C)
    rows = [
        (
            tr("tank at design") if case.tank else tr("supply water at design"),
            show(basis.signed.supply_c, "temperature", system),
        ),
        (tr("tank at most") if case.tank else tr("water at most"), show(water.hottest_c, "temperature", system)),
        (tr("what circulates"), _antifreeze(basis)),
        (
            tr("freezing point"),
            tr(
                "{freeze}; coldest outside {coldest}",
                freeze=show(water.freeze_c, "temperature", system),
                coldest=show(basis.signed.needs.coldest_c, "temperature", system),
            ),
        ),
        (
            tr("properties at {water}", water=show(WATER_C, "temperature", system, 0)),
            _properties(at, system),
        ),
        (tr("content"), _content(basis)),
    ]
    rows += [
        (
            label_of(circuit),
            tr(
                "water at {water}, {share} of the heat loss",
                water=show(float(circuit.supply_c), "temperature", system),
                share=f"{circuit.load_share:.0%}",
            ),
        )
        for circuit in water.circuits
    ]
    if water.floor is not None:
        all_give = tr("all emitters give at most") if water.circuits else tr("floor gives at most")
        rows += [
            *_build_ups(water.floor, system),
            (
                all_give,
                tr(
                    "{limit} of {load} needed",
                    limit=show(water.limit_w, "power", system),
                    load=show(basis.result.route.load_w, "power", system),
                ),
            ),
            (tr("pumps"), tr("{pump} W of electricity", pump=f"{water.pump_w:,.0f}")),
        ]
    return tuple(rows)


def _build_ups(floor: Floor, system: str) -> list[tuple[str, str]]:
    """A row for each build-up with its insulation; the loops in it are named where there is more than one."""
    build_ups: dict[tuple[BuildUp, float], list[str]] = {}
    for number, group in enumerate(floor.loops, 1):
        name = group.name or tr("group {number}", number=number)
        build_ups.setdefault((floor.build_up_of(group), floor.insulation_of(group)), []).append(name)
    return [
        (
            tr("floor") if len(build_ups) == 1 else tr("floor of {loops}", loops=", ".join(dict.fromkeys(names))),
            tr(
                "{title}; insulation below {insulation_m2k}",
                title=one_system(tr(build_up.title), system),
                insulation_m2k=show(insulation, "r_value", system, 2),
            ),
        )
        for (build_up, insulation), names in build_ups.items()
    ]


def _properties(at: FluidProperties, system: str) -> str:
    """Density, heat capacity, viscosity, conductivity and Prandtl number."""
    si = system == "si"
    density = density_text(at.density_kg_m3, system)
    capacity = f"{at.heat_capacity_j_kgk:,.0f} J/(kg K)"
    conductivity = f"{at.conductivity_w_mk:.3f} W/(m K)"
    if not si:
        capacity = f"{at.heat_capacity_j_kgk * POUND_KG / (1.8 * BTU_J):.3f} Btu/(lb °F)"
        conductivity = f"{at.conductivity_w_mk * FOOT_M * HOUR_S / (1.8 * BTU_J):.3f} Btu/(h ft °F)"
    viscosity = f"{at.viscosity_pa_s * 1e3:.3f} {'mPa s' if si else 'cP'}"
    return tr(
        "{density}, {capacity}, {viscosity}, {conductivity}, Prandtl {prandtl}",
        density=density,
        capacity=capacity,
        viscosity=viscosity,
        conductivity=conductivity,
        prandtl=f"{at.prandtl:.1f}",
    )


def density_text(density_kg_m3: float, system: str) -> str:
    """A density in the reader's units."""
    return f"{density_kg_m3 * FOOT_M**3 / POUND_KG:,.2f} lb/ft³" if system == "us" else f"{density_kg_m3:,.1f} kg/m³"


def _antifreeze(basis: Basis) -> str:
    fluid, share = antifreeze_of(basis.signed.case)
    if fluid == "none":
        return tr("water")
    mass = mass_fraction_from_volume(fluid=fluid, volume_fraction=share)
    return tr(
        "{antifreeze}, {share} % by volume, {mass} % by mass",
        antifreeze=fluid.replace("_", " "),
        share=f"{share * 100:.0f}",
        mass=f"{mass * 100:.1f}",
    )


def _content(basis: Basis) -> str:
    case, system = basis.signed.case, basis.system
    parts = [f"{tr(part)} {show(volume, 'volume', system)}" for part, volume in contents_m3(case).items()]
    total = show(sum(contents_m3(case).values()), "volume", system, 0)
    return f"{total}: {', '.join(parts)}" if parts else tr("no tank and no floor described")


def loop_table(basis: Basis) -> Table | None:
    """Flow, Reynolds number, pressure drop, heat and surface of every group of loops; None without a floor."""
    water, system = basis.signed.common.water, basis.system
    floor = water.floor
    if floor is None:
        return None
    flow, head, power, warm = (pretty_unit(unit_for(name, system)) for name in ("flow", "head", "power", "temperature"))
    rows = [_loop_row(basis, group, check) for group, check in zip(floor.loops, water.loops, strict=True)]
    headings = [
        tr("loops"),
        tr("flow each {flow}", flow=flow),
        tr("Reynolds"),
        tr("flow is"),
        tr("head {head}", head=head.removesuffix(" of head")),
        tr("could give, each {power}", power=power),
        tr("surface {warm}", warm=warm),
        tr("limit {warm}", warm=warm),
    ]
    note = tr(
        "Each loop with water at {supply}, no warmer than its surface may be; its thermostat stops it where its room asks for"
        " less. Surface: mean, EN 1264-2. Head with pump and further resistance where they are given.",
        supply=show(basis.signed.floor_supply_c, "temperature", system, 0),
    )
    return table("", headings, rows, "wrrlrrrr", note)


def surface_c(*, heat_w: float, area_m2: float, room_c: float) -> float:
    """Mean surface temperature of a floor that gives off a heat [°C]."""
    return room_c + float(surface_excess_k(flux_w_m2=heat_w / area_m2))


def _loop_row(basis: Basis, group: Loops, check: LoopCheck) -> list[str]:
    system, indoor = basis.system, basis.case.house.indoor_temperature_c
    heat_w = min(check.heat_w_k * (basis.signed.floor_supply_c - indoor), check.surface_limit_w / check.count)
    warm = surface_c(heat_w=heat_w, area_m2=group.area_m2, room_c=indoor)
    limit = surface_c(heat_w=check.surface_limit_w / group.count, area_m2=group.area_m2, room_c=indoor)
    return [
        tr(
            "{name}, {length} at {spacing}",
            name=check.name,
            length=show(group.length_m, "length", system, 0),
            spacing=show(group.spacing_m, "small_length", system, 0),
        ),
        f"{to_display(check.flow_m3_s, 'flow', system):.2f}",
        f"{check.reynolds:,.0f}",
        tr(REGIMES.get(check.regime, check.regime)),
        f"{to_display(check.head_pa, 'head', system):.1f}",
        f"{to_display(heat_w, 'power', system):.2f}",
        f"{to_display(warm, 'temperature', system):.1f}",
        f"{to_display(limit, 'temperature', system):.1f}",
    ]
