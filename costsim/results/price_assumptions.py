"""What an answer rests on of fuels, services and meters: heat content and carbon, other use, own generation, the price of a ticket."""

from __future__ import annotations

import math

from costsim.engine.generation import generation_j
from costsim.engine.lower import LoweredStudy
from costsim.physics.fuels import FUELS
from costsim.results.result import Assumption
from costsim.study import heat_content
from costsim.study.prices import singular
from costsim.study.services import there_anyway
from costsim.tariffs.charges import due_by_use
from costsim.units.quantity import KWH_J, POUND_KG
from costsim.words import tr


def fuel_assumptions(common: LoweredStudy) -> list[Assumption]:
    """Heat content and carbon of each fuel or service, as typed or by their tables."""
    entries = []
    for key, price in common.case.prices.items():
        fuel = FUELS[price.fuel_name(key)]
        factor = common.surroundings.co2_kg_per_j[key] * KWH_J
        name = key.replace("_", " ")
        apart = tr(", of wood's own carbon, which the tables leave out") if fuel.biogenic else ""
        if fuel.natural_unit != "J":  # what is sold by its energy has no heat content of its own
            held = heat_content.text(fuel.name, price.content)
            entries.append(
                Assumption(
                    tr("{name}: heat content", name=name),
                    held,
                    heat_content.source(fuel.name, price.heat_content, price.species),
                    f"prices.{key}.heat_content",
                )
            )
        if math.isnan(factor):
            missing = tr("not known: the US average holds for no other grid, and none was typed")
            entries.append(Assumption(f"{name}: CO2", missing, tr("not given"), f"prices.{key}.co2"))
            continue
        amount, unit = price.sold(key, KWH_J, "us")  # pounds for each unit as bought
        entries.append(
            Assumption(
                f"{name}: CO2",
                f"{factor:.3f} kg/kWh ({_pounds(factor / POUND_KG / amount)} lb/{singular(unit)}){apart}",
                f"{tr(fuel.source)}, {fuel.vintage}",
                f"prices.{key}.co2",
            )
        )
    return entries


def _pounds(value: float) -> str:
    """Pounds for each kWh, gallon, therm or cord."""
    return f"{value:.2f}" if value < 5.0 else f"{value:.1f}" if value < 100.0 else f"{value:,.0f}"


def meter_assumptions(common: LoweredStudy) -> list[Assumption]:
    """What stands on the meter beside heating, what is paid anyway, what the house generates, and where prices come from."""
    return [*_other_electricity(common), *_there_anyway(common), *_own_generation(common), *_ticket_prices(common)]


def _ticket_prices(common: LoweredStudy) -> list[Assumption]:
    """Prices that are the mean of delivery tickets."""
    assumptions = []
    for key, price in common.case.prices.items():
        if price.ticket:
            days = sorted(ticket.date for ticket in price.ticket)
            value = tr(
                "mean by amount of {days} deliveries from {days_2} to {days_3}",
                days=len(days),
                days_2=days[0],
                days_3=days[-1],
            )
            assumptions.append(
                Assumption(
                    tr("price of {key}", key=key.replace("_", " ")),
                    value,
                    tr("delivery tickets"),
                    f"prices.{key}.ticket",
                )
            )
    return assumptions


def _own_generation(common: LoweredStudy) -> list[Assumption]:
    """How own generation is found and counted."""
    case, own = common.case, common.case.solar_electric
    if own is None:
        return []
    kwh = float(generation_j(case, common.weather).sum()) / KWH_J
    counted = {
        "none": tr("each hour's use takes from it first, the house before heating"),
        "month": tr("export counts against use of the same price period and month"),
        "year": tr("export counts against use of the same price period over the year"),
    }[own.net_metering]
    source = (
        tr("read from {hours}", hours=own.hours)
        if own.hours
        else tr("PVWatts model (NREL/TP-6A20-62641) on the study's weather")
    )
    value = tr(
        "{kwh} kWh a year; {counted}; no battery; carbon dioxide counts at the grid's factor;"
        " scenarios keep the share of heating that it covers in the study's own year",
        kwh=f"{kwh:,.0f}",
        counted=counted,
    )
    if own.peak_power_w is not None and own.azimuth_deg is None:
        value += tr("; the panels face the equator")
    if own.net_metering == "none" and any(option.rule == "cheapest_now" for option in case.options):
        value += tr("; the rule cheapest_now counts what would be exported at its export price")
    return [Assumption(tr("own generation"), value, source, "solar_electric")]


def _there_anyway(common: LoweredStudy) -> list[Assumption]:
    """Services whose fixed charges are no cost of heating, and those whose are, in one row."""
    case = common.case
    anyway: list[str] = []
    heating: list[str] = []
    for key, price in case.prices.items():
        tariff = price.tariff(key)
        if due_by_use(tariff) != tariff and not (key == "electricity" and case.other_electricity_known):
            (anyway if there_anyway(case, key) else heating).append(key.replace("_", " "))
    parts = [tr("not counted for {names}, there whatever heats the house", names=", ".join(anyway))] if anyway else []
    if heating:
        parts.append(tr("counted for {names} with every option that buys it", names=", ".join(heating)))
    if not parts:
        return []
    typed = any(price.service != "usual" for price in case.prices.values())
    source = tr("typed") if typed else tr("the usual way where nothing is typed")
    return [Assumption(tr("fixed charges and minimums"), "; ".join(parts), source, "prices.service")]


def _other_electricity(common: LoweredStudy) -> list[Assumption]:
    case = common.case
    if not case.other_electricity_known:
        if "electricity" not in case.prices:
            return []
        text = tr("none counted; blocks of the electricity price begin with heating")
        return [Assumption(tr("other electricity"), text, tr("none given"), "house.other_electricity")]
    other = float(case.other_electricity_j(common.calendar).sum())
    value = tr(
        "{other} kWh a year; fixed charges and blocks count only as far as heating adds to them",
        other=f"{other / KWH_J:,.0f}",
    )
    read = case.house.other_electricity_profile
    how = "".join(f"; {note}" for note in case.meter_notes)
    source = (
        tr("read from {read}, hour by hour{how}", read=read, how=how)
        if read
        else tr("typed; spread over the year and the day in a plain shape of our own")
    )
    return [Assumption(tr("other electricity"), value, source, "house.other_electricity")]
