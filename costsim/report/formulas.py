"""The formulas behind the figures, each with this study's numbers and the standard to look it up in."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.report.basis import Basis
from costsim.results.cautions import sources_of
from costsim.units.quantity import KWH_J

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
        "heat loss per degree",
        "UA = Q_design / (T_in − T_out)",
        f"{basis.result.route.load_w:,.0f} W / ({inside:.2f} − ({outside:.2f})) K = {loss:,.1f} W/K",
        "definition; the design heat loss itself by EN 12831-1 or the local method",
    )
    yield (
        "balance point",
        "T_bal = T_in − gains / UA",
        f"{inside:.2f} °C − {float(common.gains_w.mean()):,.0f} W / {loss:,.1f} W/K = {balance:.2f} °C (mean of the year)",
        "ASHRAE Handbook Fundamentals, degree-day method (value from memory)",
    )
    demand = basis.result.options[0].demand_j / KWH_J
    yield (
        "heat wanted",
        "Q = UA Σ max(0, T_bal − T_out) over the hours",
        f"{loss:,.1f} W/K × {basis.result.degree_hours_k_h:,.0f} K h = {demand:,.0f} kWh",
        "ISO 15927-6 (accumulated temperature differences), hour by hour",
    )
    yield (
        "energy balance",
        "Σ heat of sources = delivered + tank change + tank loss; delivered + short = wanted",
        f"largest error of any hour {max(option.hourly.imbalance() for option in basis.result.options):.0e} of the largest flow",
        "first law",
    )


def _floor(basis: Basis) -> Iterator[Row]:
    water, case = basis.common.water, basis.case
    if case.floor is None and case.tank is None:
        return
    load, inside = basis.result.route.load_w, case.house.indoor_temperature_c
    yield (
        "tank at design",
        "T_tank = T_in + Q_design / Σ(ε ṁ c)",
        f"{inside:.2f} °C + {load:,.0f} W × {water.resistance_k_w:.3e} K/W = {basis.closer.design_supply_temperature_c:.1f} °C",
        "exchanger of one side at constant temperature, ε = 1 − exp(−K/(ṁ c))",
    )
    if case.floor is None:
        return
    yield (
        "floor to room",
        "q = 8.92 (T_surface − T_in)^1.1",
        f"{load / case.floor.area_m2:,.1f} W/m² over {case.floor.area_m2:,.0f} m² of loops at design",
        "EN 1264-2, ISO 11855-2",
    )
    yield (
        "pressure drop",
        "Δp = f (L/d) ρ v²/2; f = 64/Re below 2,300, Haaland above 4,000, blended between",
        "by group below",
        "Darcy and Weisbach; Haaland 1983",
    )
    yield (
        "water to tube",
        "Nu = 3.66 below Re 2,300, Gnielinski above 4,000, blended between",
        "by group below",
        "Gnielinski 1976; no multiplier for antifreeze",
    )


def _sources(basis: Basis) -> Iterator[Row]:
    """What the sources say themselves, each row once."""
    height = basis.common.surroundings.altitude_m
    yield from dict.fromkeys(row for source in sources_of(basis.case) for row in source.formulas(height))


def _parts(basis: Basis) -> Iterator[Row]:
    needs = basis.needs
    yield (
        "expansion",
        "e = ρ(10 °C) / ρ(T_top) − 1",
        f"{needs.density_kg_m3:,.1f} kg/m³ at 10 °C, {needs.max_temperature_c:.1f} °C at most: e = {needs.swell_share:.4f}",
        "CoolProp 8, tabulated",
    )
    yield (
        "expansion vessel",
        "V = (e V_circuit + V_reserve)(p_e + p_a)/(p_e − p_0)",
        "p_e 0.5 bar below the relief valve, p_0 the fill pressure; result among the ratings",
        "EN 12828 (value from memory), Boyle's law",
    )
