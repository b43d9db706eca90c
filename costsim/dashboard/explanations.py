"""How the figures of each part are made: formula, inputs with their values, and source."""

from __future__ import annotations

from costsim.results.air import air_words
from costsim.results.result import Result
from costsim.study.case import Case
from costsim.units.quantity import show
from costsim.words import tr

HANDBOOK = "NIST Handbook 135 (life-cycle costing)"


def how_needs(case: Case, result: Result, system: str) -> list[str]:
    """Design load, loss per degree and demand of an hour."""
    house, route, us = case.house, result.route, system == "us"
    high_m = result.lowered.surroundings.altitude_m
    hours = f"{result.degree_hours_k_h * (1.8 if us else 1.0):,.0f} {'°F·h' if us else 'K·h'}"
    outside = show(result.design_outdoor_c, "temperature", system)
    return [
        tr(
            "Heat needed in an hour = heat loss per degree x (balance point - outdoor temperature),"
            " where that is above zero: degree-hours; {hours} in this year.",
            hours=hours,
        ),
        tr(
            "Heat loss per degree = design heat loss / (indoor - outdoor design temperature) = {load} /"
            " ({indoor_temperature} - {design_outdoor}) = {loss}.",
            load=show(route.load_w, "power", system),
            indoor_temperature=show(house.indoor_temperature_c, "temperature", system),
            design_outdoor=outside if not outside.startswith(("-", "−")) else f"({outside})",
            loss=show(result.loss_w_k, "heat_loss_rate", system, 0),
        ),
        tr(
            "Balance point = indoor temperature - gains / heat loss per degree. Surfaces: area x U-value"
            " x share of the temperature difference (EN 12831-1)."
        ),
        air_words(high_m, system),
    ]


def how_cost(case: Case, result: Result, system: str) -> list[str]:
    """Bought energy and cost."""
    return [
        *how_needs(case, result, system)[:2],
        tr(
            "Bought = heat / efficiency, by the higher heating value. Cost = bought x price of its hour"
            " + fixed charges, rents, minimums, demand charges and taxes; each bill line is on Prices."
        ),
        tr("Where the house's other electricity is entered, heating is charged only what it adds to the bill."),
        tr(
            "CO2 = bought x factor of the fuel, listed with its year on the Reports page; wood's own"
            " carbon is kept apart."
        ),
    ]


def how_heat(case: Case, result: Result, system: str) -> list[str]:
    """The balance of an hour and what a source really gives."""
    worst = max(option.hourly.imbalance() for option in result.options)
    return [
        tr(
            "In every hour: heat of all sources = heat delivered + change of the tank's heat + tank"
            " loss. In this study both sides agree to {worst} of the hour's heat.",
            worst=tr("a millionth") if worst < 1e-6 else f"{worst:.1e}",
        ),
        tr(
            "What a source can deliver is its nameplate less the derates: altitude, flow x density x"
            " heat capacity x (maximum outlet temperature - return), water temperature and cold, each named with its"
            " loss. Floors: EN 1264 and ISO 11855; collectors: ISO 9806."
        ),
    ]


def how_cold(case: Case, result: Result, system: str) -> list[str]:
    """Shortfall and cooling."""
    return [
        tr("Unmet load = heat needed - heat delivered, hour by hour. Some winters are colder than this one."),
        tr(
            "When something fails, floor and room cool hour by hour: heat capacity x change in"
            " temperature = gains - losses."
        ),
    ]


def how_sure(case: Case, result: Result, system: str) -> list[str]:
    """Scenarios and turning prices."""
    return [
        tr(
            "{scenarios} scenarios (seed {seed}): each option meets the same heat losses, winters,"
            " prices and efficiencies; their ranges are on the Certainty page.",
            scenarios=f"{case.uncertainty.scenarios:,}",
            seed=case.uncertainty.seed,
        ),
        tr("One thing alone: everything at its median, this one at its 10% and 90% value."),
        tr("A break-even price is searched on the simulation itself, until both options cost the same."),
    ]


def how_money(case: Case, result: Result, system: str) -> list[str]:
    """Present values."""
    rate = case.economics.discount_rate_share_per_year
    return [
        tr(
            "Life-cycle cost = first cost - rebate + sum over {study_period} years of cost x (1 +"
            " escalation)^t / (1 + {rate})^t: {handbook}, payments at the end of each year.",
            study_period=case.economics.study_period,
            rate=f"{rate:.3f}",
            handbook=HANDBOOK,
        ),
        tr("What an addition earns = costs without it - costs with it, on the same basis."),
    ]
