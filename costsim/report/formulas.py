"""The formulas behind the figures, each with this study's numbers and the standard to look it up in."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.report.basis import Basis
from costsim.results.cautions import sources_of
from costsim.units.quantity import KWH_J
from costsim.words import tr

Row = tuple[str, str, str, str]


def formula_rows(basis: Basis) -> list[list[str]]:
    """Rows of what, formula, the study's numbers in SI, and where it stands."""
    parts = (_house(basis), _floor(basis), _sources(basis), _parts(basis))
    return [list(row) for part in parts for row in part]


def _house(basis: Basis) -> Iterator[Row]:
    common, house = basis.common, basis.case.house
    inside, outside, balance = house.indoor_temperature_c, common.design_outdoor_c, float(common.balance_c.mean())
    loss = common.loss_w_k
    yield (
        tr("heat loss per degree"),
        "UA = Q_design / (T_in − T_out)",
        f"{basis.result.route.load_w:,.0f} W / ({inside:.2f} − ({outside:.2f})) K = {loss:,.1f} W/K",
        tr("definition; the design heat loss itself by EN 12831-1 or the local method"),
    )
    yield (
        tr("balance point"),
        "T_bal = T_in − Q_gains / UA",
        tr(
            "{inside} °C − {mean} W / {loss} W/K = {balance} °C (mean of the year)",
            inside=f"{inside:.2f}",
            mean=f"{float(common.gains_w.mean()):,.0f}",
            loss=f"{loss:,.1f}",
            balance=f"{balance:.2f}",
        ),
        tr("ASHRAE Handbook Fundamentals, degree-day method (value from memory)"),
    )
    demand = basis.result.options[0].demand_j / KWH_J
    yield (
        tr("heat needed"),
        "Q = UA Σ max(0, T_bal − T_out)",
        f"{loss:,.1f} W/K × {basis.result.degree_hours_k_h:,.0f} K h = {demand:,.0f} kWh",
        tr("ISO 15927-6 (accumulated temperature differences), hour by hour"),
    )
    yield (
        tr("energy balance"),
        tr("Σ heat of sources = delivered + tank change + tank loss; delivered + unmet = needed"),
        tr(
            "largest error of any hour {imbalance} of the largest flow",
            imbalance=f"{max(option.hourly.imbalance() for option in basis.result.options):.0e}",
        ),
        tr("first law"),
    )


def _floor(basis: Basis) -> Iterator[Row]:
    water, case = basis.signed.common.water, basis.signed.case
    if case.floor is None and case.tank is None:
        return
    load, inside = basis.result.route.load_w, case.house.indoor_temperature_c
    yield (
        tr("tank at design"),
        "T_tank = T_in + Q_design / Σ(ε ṁ c)",
        f"{inside:.2f} °C + {load:,.0f} W × {water.resistance_k_w:.3e} K/W = {basis.signed.supply_c:.1f} °C",
        tr("exchanger of one side at constant temperature, ε = 1 − exp(−K/(ṁ c))"),
    )
    if case.floor is None:
        return
    yield (
        tr("floor to room"),
        "q = 8.92 (T_surface − T_in)^1.1",
        tr(
            "{load} W/m² over {area} m² of loops at design",
            load=f"{load / case.floor.area_m2:,.1f}",
            area=f"{case.floor.area_m2:,.0f}",
        ),
        "EN 1264-2, ISO 11855-2",
    )
    yield (
        tr("pressure drop"),
        tr("Δp = f (L/d) ρ v²/2; f = 64/Re below 2,300, Haaland above 4,000, blended between"),
        tr("by group below"),
        "Darcy and Weisbach; Haaland 1983",
    )
    yield (
        tr("water to tube"),
        tr("Nu = 3.66 below Re 2,300, Gnielinski above 4,000, blended between"),
        tr("by group below"),
        tr("Gnielinski 1976; no multiplier for antifreeze"),
    )


def _sources(basis: Basis) -> Iterator[Row]:
    """What the sources say themselves, each row once."""
    height = basis.common.surroundings.altitude_m
    yield from dict.fromkeys(row for source in sources_of(basis.case) for row in source.formulas(height))


def _parts(basis: Basis) -> Iterator[Row]:
    needs = basis.signed.needs
    yield (
        tr("expansion"),
        "e = ρ(10 °C) / ρ(T_top) − 1",
        tr(
            "{density_kg} kg/m³ at 10 °C, {max_temperature} °C at most: e = {swell_share}",
            density_kg=f"{needs.density_kg_m3:,.1f}",
            max_temperature=f"{needs.max_temperature_c:.1f}",
            swell_share=f"{needs.swell_share:.4f}",
        ),
        tr("CoolProp 8, tabulated"),
    )
    if basis.system == "us":
        yield (
            tr("expansion tank"),
            "V = e V_circuit / (1 − (p_0 + p_a)/(p_e + p_a))",
            tr("p_e 5 psi below the relief valve, p_0 the fill pressure; result among the ratings"),
            tr("ASHRAE Handbook, HVAC Systems and Equipment, closed diaphragm tank"),
        )
        return
    yield (
        tr("expansion tank"),
        "V = (e V_circuit + V_reserve)(p_e + p_a)/(p_e − p_0)",
        tr("p_e 0.5 bar below the relief valve, p_0 the fill pressure; result among the ratings"),
        tr("EN 12828 (value from memory), Boyle's law"),
    )
