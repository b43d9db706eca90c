"""What a study should make its reader look at again, a line each."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from costsim.engine.lower import LoweredStudy
from costsim.physics.envelope import TYPICAL
from costsim.physics.thermal_mass import steady_feedback
from costsim.results.assumptions import both
from costsim.results.fires import dumped_warnings
from costsim.results.result import OptionResult
from costsim.study.case import Option
from costsim.study.heat_loss import far_apart
from costsim.study.house import House
from costsim.units.table import KWH_J
from costsim.weather.model import BASE_C
from costsim.words import tr

FAR_FROM_WEATHER_K = 8.0
FULL_LOAD_HOURS = (1300.0, 2600.0)


def warnings_of(
    common: LoweredStudy, options: Sequence[OptionResult], what_if: Callable[[Option], OptionResult] | None = None
) -> tuple[str, ...]:
    """Say what looks wrong or needs care, each once; `what_if` computes the year of an option that is changed, to advise what helps."""
    texts = [
        *dumped_warnings(common, options, what_if),
        *common.water.short,
        *common.water.warnings,
        *common.weather.notes,
        *_load_warnings(common),
        *_swing(common),
    ]
    if common.calendar.warning:
        texts.append(common.calendar.warning)
    texts += [text for option in options for text in option.warnings]
    if "electricity" not in common.tariffs:
        free = [o.name for o in options if o.running_j > KWH_J]
        if free:
            texts.append(
                tr(
                    "electricity of pumps and fans is not in the cost of {free}: add [prices.electricity]",
                    free=", ".join(free),
                )
            )
    texts += _beyond_blocks(common)
    texts += _beside_blocks(common)
    texts += _short_peaks(common)
    unknown = [key for key in common.case.prices if math.isnan(common.surroundings.co2_kg_per_j[key])]
    texts += [
        tr(
            "CO2 of {key} is not known for this place: add the grid's own to [prices.{key_2}], such as"
            ' co2 = "0.8 lb/kWh" or "0.37 kg/kWh"',
            key=key.replace("_", " "),
            key_2=key,
        )
        for key in unknown
    ]
    texts += [text for option in options for text in _unused(option, common.case.currency)]
    return tuple(dict.fromkeys(text for text in texts if text))


def _beyond_blocks(common: LoweredStudy) -> list[str]:
    """Say where a rule looks at a price that heating itself may move."""
    texts = []
    for option in common.case.options:
        paid = set(option.price_keys(common.tariffs)) & set(common.tariffs)
        if option.rule != "fixed" and len(paid) > 1:
            texts += [
                tr(
                    "{name} calls its sources by the price of {key} before heating is added; what falls into"
                    " later blocks is billed, but moves no order: compare with a fixed order",
                    name=option.name,
                    key=key.replace("_", " "),
                )
                for key in sorted(paid)
                if common.tariffs[key].blocks
            ]
    return texts


def _beside_blocks(common: LoweredStudy) -> list[str]:
    """Say where an energy price counts for nothing, since blocks price the use of every month and no minimum use is paid at it."""
    texts = []
    for key, tariff in common.tariffs.items():
        price, months = common.case.prices[key], {month for block in tariff.blocks for month in block.months}
        if price.energy is not None and len(months) == 12 and (price.minimum_use is None or price.minimum_use_price):
            texts.append(
                tr(
                    "energy = {energy} of [prices.{key}] counts for nothing, since its blocks price the use of every month:"
                    " take out energy, or the blocks",
                    energy=f'"{price.energy.text}"',
                    key=key,
                )
            )
    return texts


def _short_peaks(common: LoweredStudy) -> list[str]:
    """Name each charge on power that is metered over less than an hour and has no `peak_factor`: the hour's mean stands for it."""
    return [
        tr(
            "{charge} of [[prices.{key}.demand]] is metered over {minutes} minutes, but the mean of the hour is billed here, which no peak"
            " inside it is under: the charge comes out too small. Type peak_factor, the highest {minutes} minutes over the hour's mean",
            charge=charge.price.text,
            key=key,
            minutes=charge.minutes,
        )
        for key, price in common.case.prices.items()
        for charge in price.demand
        if charge.minutes < 60 and "peak_factor" not in charge.model_fields_set
    ]


def _unused(option: OptionResult, currency: str) -> list[str]:
    """Say when a minimum use or bill is paid for nothing."""
    texts = []
    for key, bill in option.bills.items():
        for what in ("minimum use", "minimum bill"):
            paid = sum(line.amount for line in bill.lines if line.label == what)
            if paid > 1:
                texts.append(
                    tr(
                        "{name} pays {currency}{paid} a year for {key} it does not use ({what})",
                        name=option.name,
                        currency=currency,
                        paid=f"{paid:,.0f}",
                        key=key.replace("_", " "),
                        what=tr(what),
                    )
                )
    return texts


def _swing(common: LoweredStudy) -> list[str]:
    mass = common.water.mass
    most = steady_feedback(mass.house(common.loss_w_k)) if mass else math.inf
    if mass is None or mass.feedback < most:
        return []
    return [
        tr(
            "floor.mass.feedback = {feedback} makes floor and room swing from hour to hour; below {most}"
            " they come to rest",
            feedback=f"{mass.feedback:g}",
            most=f"{most:.1f}",
        )
    ]


def rule_of_thumb() -> str:
    """The caution on a design load that is guessed from the floor area."""
    return tr(
        "the design load is a rule of thumb per floor area; such rules run 1.4 to 2 times what"
        " surveys of real homes show"
    )


def _load_warnings(common: LoweredStudy) -> list[str]:
    house, texts = common.case.house, []
    route = common.route
    if route.key == "area":
        texts.append(rule_of_thumb())
    for other in far_apart(house.routes(common.design_outdoor_c, common.surroundings.altitude_m), route):
        texts.append(
            tr(
                "two routes to the load are more than a third apart, {words} {load} and {words_2} {load_2}:"
                " find out why before buying",
                words=other.words,
                load=both(other.load_w, "power"),
                words_2=route.words,
                load_2=both(route.load_w, "power"),
            )
        )
    texts += _typical_warnings(house)
    hourly = common.weather.percentile_design_c(0.99)
    if abs(common.design_outdoor_c - hourly) > FAR_FROM_WEATHER_K:
        texts.append(
            tr(
                "the outdoor design temperature, {design_outdoor}, is far from what 99 % of the weather's"
                " hours exceed, {hourly}; check both",
                design_outdoor=both(common.design_outdoor_c, "temperature"),
                hourly=both(hourly, "temperature"),
            )
        )
    flux = route.load_w / house.floor_area_m2
    if flux > 100.0 and not common.case.floor_heats:
        texts.append(
            tr(
                "{flux} of heated floor is much heat on a design day; check heat loss, fuel use and floor area",
                flux=both(flux, "power_per_area"),
            )
        )
    elif flux > 100.0:
        texts.append(
            tr(
                "the floors may not be able to give off this much heat: {flux} on a design day, where a floor at its surface"
                " limit gives about {limit}; check heat loss, fuel use and floor area",
                flux=both(flux, "power_per_area"),
                limit=both(100.0, "power_per_area"),
            )
        )
    hours = float(common.demand_w.sum()) / route.load_w
    days = common.weather.degree_days_k_d(BASE_C) * 1.8
    if 7000 <= days <= 8000 and not FULL_LOAD_HOURS[0] <= hours <= FULL_LOAD_HOURS[1]:
        texts.append(
            tr(
                "{hours} full-load hours are unusual for {days} °F-days; check design load and balance point",
                hours=f"{hours:,.0f}",
                days=f"{days:,.0f}",
            )
        )
    return texts


def _typical_warnings(house: House) -> list[str]:
    """Name the surfaces of the route in use whose U-value is only a typical one."""
    surfaces = house.surface if house.route_used == "envelope" else ()
    if house.route_used == "rooms":
        surfaces = tuple(surface for room in house.room for surface in room.surface)
    names = [
        f"{surface.name} ({TYPICAL[surface.typical].u_value_w_m2k:g} W/m²K)" for surface in surfaces if surface.typical
    ]
    return [tr("typical U-values stand for unknown ones: {names}", names=", ".join(names))] if names else []
