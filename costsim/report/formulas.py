"""The formulas behind the figures, each with this study's numbers and the standard to look it up in."""

from __future__ import annotations

from collections.abc import Iterator

from costsim.physics.fluids import FILL_C
from costsim.report.basis import Basis
from costsim.report.water import density_text
from costsim.results.cautions import sources_with
from costsim.study.emitter_parts import floor_share
from costsim.study.zone_loops import mean_kept_c
from costsim.units.quantity import BTU_J, HOUR_S, show
from costsim.views.emitter_marks import label_of
from costsim.words import tr

Row = tuple[str, str, str, str]


def formula_rows(basis: Basis) -> list[list[str]]:
    """Rows of what, formula, the study's numbers in the reader's units, and where it stands."""
    parts = (_house(basis), _floor(basis), _sources(basis), _parts(basis))
    return [list(row) for part in parts for row in part]


def _house(basis: Basis) -> Iterator[Row]:
    common, house = basis.common, basis.case.house
    inside, outside, balance = house.indoor_temperature_c, common.design_outdoor_c, float(common.balance_c.mean())
    loss, system = show(common.loss_w_k, "heat_loss_rate", basis.system, 1), basis.system
    yield (
        tr("heat loss per degree"),
        "UA = Q_design / (T_in − T_out)",
        f"{_power(basis.result.route.load_w, system)} / ({_warm(inside, system)} − ({_warm(outside, system)})) = {loss}",
        tr("definition; the design heat loss itself by EN 12831-1 or the local method"),
    )
    yield (
        tr("balance point"),
        "T_bal = T_in − Q_gains / UA",
        tr(
            "{inside} − {mean} / {loss} = {balance} (mean of the year)",
            inside=_warm(inside, system),
            mean=_power(float(common.gains_w.mean()), system),
            loss=loss,
            balance=_warm(balance, system),
        ),
        tr("each hour has its own, with its sun; ASHRAE Handbook Fundamentals, degree-day method (value from memory)")
        if house.solar_aperture_m2 > 0
        else tr("ASHRAE Handbook Fundamentals, degree-day method (value from memory)"),
    )
    demand = show(basis.result.options[0].demand_j, "heat", system, 1)
    hours = basis.result.degree_hours_k_h * (1.8 if system == "us" else 1.0)
    yield (
        tr("heat needed"),
        "Q = UA Σ max(0, T_bal − T_out)",
        f"{loss} × {hours:,.0f} {'°F h' if system == 'us' else 'K h'} = {demand}",
        tr("ISO 15927-6 (accumulated temperature differences), hour by hour, each with its own T_bal")
        if house.solar_aperture_m2 > 0
        else tr("ISO 15927-6 (accumulated temperature differences), hour by hour"),
    )
    yield (
        tr("energy balance"),
        tr("Σ heat of sources = delivered + tank change + tank loss; delivered + unmet = needed"),
        _balance(max(option.hourly.imbalance() for option in basis.result.options)),
        tr("first law"),
    )


def _balance(imbalance: float) -> str:
    """How well the hours balance: that of rounding in words, a larger one as it is."""
    if imbalance < 1e-9:
        return tr("every hour balances, but for the computer's rounding")
    return tr(
        "largest error of any hour: {parts} of a million parts of the largest flow", parts=f"{imbalance * 1e6:.3g}"
    )


def _tank_by_loops(basis: Basis) -> Row:
    water, load = basis.signed.common.water, basis.result.route.load_w
    inside = mean_kept_c(basis.signed.case.house)
    return (
        tr("tank at design"),
        "T_tank = T_in + Q_design / Σ(ε ṁ c)",
        f"{_warm(inside, basis.system)} + {_power(load, basis.system)} × {_resistance(water.resistance_k_w, basis.system)}"
        f" = {_warm(basis.signed.supply_c, basis.system)}",
        tr("exchanger of one side at constant temperature, ε = 1 − exp(−K/(ṁ c))"),
    )


def _floor(basis: Basis) -> Iterator[Row]:
    water, case = basis.signed.common.water, basis.signed.case
    if case.floor is None and case.tank is None:
        return
    load = basis.result.route.load_w
    hottest = max(water.circuits, key=lambda circuit: circuit.supply_c, default=None)
    if hottest is not None and hottest.emitter is not None:
        yield (
            tr("tank at design"),
            tr("T_tank = the hottest of the circuits"),
            f"{label_of(hottest)}: {_warm(basis.signed.supply_c, basis.system)}",
            tr("one tank serves all emitters; cooler floors through mixing valves"),
        )
    else:
        yield _tank_by_loops(basis)
    if case.floor is None:
        return
    yield (
        tr("floor to room"),
        tr("q = 8.92 (T_surface − T_in)^1.1, q in W/m², T in °C"),
        tr(
            "{load} over {area} of loops at design",
            load=show(load * floor_share(case.house) / case.floor.area_m2, "power_per_area", basis.system),
            area=show(case.floor.area_m2, "area", basis.system, 0),
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


def _warm(value_c: float, system: str) -> str:
    return show(value_c, "temperature", system, 1)


def _power(watts: float, system: str) -> str:
    return f"{watts / BTU_J * HOUR_S:,.0f} Btu/h" if system == "us" else f"{watts:,.0f} W"


def _resistance(resistance_k_w: float, system: str) -> str:
    """Kelvin of water over room for each watt, in figures of the reader's units."""
    if system == "us":
        return f"{resistance_k_w * 1.8 * BTU_J / HOUR_S:.4g} °F/(Btu/h)"
    return f"{resistance_k_w:.4g} K/W"


def _sources(basis: Basis) -> Iterator[Row]:
    """What the sources say themselves, each row once."""
    height = basis.common.surroundings.altitude_m
    yield from dict.fromkeys(row for source in sources_with(basis.case) for row in source.formulas(height))


def _parts(basis: Basis) -> Iterator[Row]:
    needs = basis.signed.needs
    yield (
        tr("expansion"),
        "e = ρ(T_cold) / ρ(T_top) − 1",
        tr(
            "{density} at {cold}, {hot} at most: e = {swell_share}",
            density=density_text(needs.density_kg_m3, basis.system),
            cold=show(FILL_C, "temperature", basis.system, 0),
            hot=_warm(needs.max_temperature_c, basis.system),
            swell_share=f"{needs.swell_share:.4f}",
        ),
        tr("CoolProp 8, tabulated"),
    )
    yield (
        tr("expansion tank"),
        "V = (e V_circuit + V_reserve)(p_e + p_a)/(p_e − p_0)",
        tr("p_e 0.5 bar below the relief valve, p_0 the fill pressure; result among the ratings"),
        tr("EN 12828 (value from memory), Boyle's law"),
    )
