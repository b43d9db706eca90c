"""A season summed up: each source, each use of the tank, the sun's share, own generation and recoveries, from the hours of one option."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from costsim.engine.generation import export_terms, generation_j
from costsim.engine.lower import LoweredStudy
from costsim.physics.demand import ROUNDING_W
from costsim.physics.fuels import co2_kg
from costsim.results.cycling import starts_of, switching_j, too_many_starts
from costsim.results.recovery import Recovery, recovery_of
from costsim.results.result import Hourly, SourceSeason, UseSeason
from costsim.results.solar import SolarShare, solar_share
from costsim.sources import Offer
from costsim.study.case import Option
from costsim.study.services import ELECTRICITY
from costsim.study.uses import HotWater
from costsim.tariffs.bill import Bill, hourly_price_per_j
from costsim.tariffs.own_generation import SelfUse, heating_share, self_use
from costsim.units.arrays import Floats
from costsim.units.quantity import HOUR_S


def option_warnings(
    study: LoweredStudy, own: LoweredStudy, offers: Sequence[Offer], sources: Sequence[SourceSeason]
) -> tuple[str, ...]:
    """Warnings of an option: of its sources, of units that start too often, and of its own tank and floor beside the study's."""
    each = [warning for offer in offers for warning in offer.warnings]
    starts = [
        too_many_starts(offer, source.facts, switching_j(own)) for offer, source in zip(offers, sources, strict=True)
    ]
    water = [
        text
        for text in (*own.water.short, *own.water.warnings)
        if text not in (*study.water.short, *study.water.warnings)
    ]
    return tuple([*each, *filter(None, starts), *water])


def source_season(
    offer: Offer, i: int, hourly: Hourly, bills: Mapping[str, Bill], common: LoweredStudy
) -> SourceSeason:
    """The `i`-th source over the season; its cost is its part of the energy on its bill."""
    heat, price = hourly.heat_w[i], common.case.prices.get(offer.price_key)
    input_j = float(hourly.input_w[i].sum()) * HOUR_S
    auxiliary_j = float(hourly.auxiliary_w[i].sum()) * HOUR_S
    co2 = float(co2_kg(input_j, offer.co2_kg_per_j))
    unused = hourly.dumped_w[i]
    power_co2 = float(co2_kg(auxiliary_j, common.surroundings.co2_kg_per_j[ELECTRICITY]))
    made_j, unused_j = float((heat + unused).sum()) * HOUR_S, float(unused.sum()) * HOUR_S
    tally = dict(offer.tally(made_j, unused_j, int((unused > ROUNDING_W).sum()))) if offer.tally else {}
    tally |= starts_of(offer, heat, switching_j(common))
    return SourceSeason(
        name=offer.name,
        kind=offer.kind,
        fuel=offer.fuel,
        price_key=offer.price_key,
        heat_j=float(heat.sum()) * HOUR_S,
        input_j=input_j,
        auxiliary_j=auxiliary_j,
        dumped_j=float(hourly.dumped_w[i].sum()) * HOUR_S,
        cost=_share_of_bill(offer, i, hourly, bills, common),
        hours=int(np.count_nonzero(heat > ROUNDING_W)),
        peak_w=float(heat.max(initial=0.0)),
        co2_kg=power_co2 + (0.0 if offer.biogenic else co2),
        biogenic_co2_kg=co2 if offer.biogenic else 0.0,
        rated_w=offer.rated_w,
        derates=offer.derates,
        facts={**offer.facts, **tally},
        heat_content=price.content if price else None,
        standby_j=offer.standby_w * hourly.input_w.shape[1] * HOUR_S,
    )


def _share_of_bill(offer: Offer, i: int, hourly: Hourly, bills: Mapping[str, Bill], common: LoweredStudy) -> float:
    """The source's part of the energy on its bill, by its energy at each hour's price."""
    if offer.price_key not in bills:
        return 0.0
    bill, price = bills[offer.price_key], hourly_price_per_j(common.tariffs[offer.price_key], common.calendar)
    own = float((hourly.input_w[i] * price).sum()) * HOUR_S
    whole = bill.hourly_worth
    return (bill.total - bill.fixed) * own / whole if whole > 0 else 0.0


def bought_j(common: LoweredStudy, offers: Sequence[Offer], hourly: Hourly) -> dict[str, Floats]:
    """Energy of each service that an option uses, in each hour [J]; electricity of pumps and fans with it."""
    energy: dict[str, Floats] = {}
    for i, offer in enumerate(offers):
        if offer.price_key in common.tariffs:
            energy[offer.price_key] = energy.get(offer.price_key, 0.0) + hourly.input_w[i] * HOUR_S
    auxiliary = (hourly.auxiliary_w.sum(axis=0) + hourly.pump_w) * HOUR_S
    if ELECTRICITY in common.tariffs and auxiliary.any():
        energy[ELECTRICITY] = energy.get(ELECTRICITY, 0.0) + auxiliary
    return energy


def uses_season(common: LoweredStudy, delivered_w: Floats) -> tuple[UseSeason, ...]:
    """Each use of the tank; what was given to all (n,) goes to them in the order typed."""
    if common.uses is None:
        return ()
    seasons = []
    for use, wanted, given in zip(
        common.case.use, common.uses.by_use_w, _given_to_uses(common, delivered_w), strict=True
    ):
        lacking = np.where(wanted - given > ROUNDING_W, wanted - given, 0.0)
        heat_j, unmet_j = float(wanted.sum()) * HOUR_S, float(lacking.sum()) * HOUR_S
        hours = lacking > 0
        seasons.append(UseSeason(use.name, use.kind, heat_j, unmet_j, int(hours.sum()), use.priority, lacking=hours))
    return tuple(seasons)


def _given_to_uses(common: LoweredStudy, delivered_w: Floats) -> list[Floats]:
    """What each use got (n,), in the order typed [W]."""
    if common.uses is None:
        return []
    left, given = delivered_w, list(common.uses.asked_w)
    for at in np.argsort(common.uses.late, kind="stable").tolist():
        given[at] = np.minimum(given[at], left)
        left = left - given[at]
    return given


def sun_of(common: LoweredStudy, option: Option, hourly: Hourly) -> SolarShare | None:
    """The sun's share, None where there are no collectors."""
    sunny = np.array([source.collects_sun for source in option.sources])
    if not sunny.any():
        return None
    taps = np.zeros(common.weather.n_hours)
    for use, given in zip(common.case.use, _given_to_uses(common, hourly.use_delivered_w), strict=True):
        taps = taps + (given if isinstance(use, HotWater) else 0.0)
    return solar_share(
        sun_w=hourly.heat_w[sunny].sum(axis=0),
        others_w=hourly.heat_w[~sunny].sum(axis=0),
        taken_w=hourly.delivered_w + hourly.use_delivered_w,
        hot_water_w=taps,
        months=common.weather.months,
        southern=common.weather.southern,
    )


def recoveries(common: LoweredStudy, hourly: Hourly) -> Recovery | None:
    """Recoveries after set-back, where slab and room store heat; without them the load is met in its hour."""
    if common.water.mass is None:
        return None
    return recovery_of(setpoint_c=common.setpoint_c, room_c=hourly.room_c, outdoor_c=common.weather.outdoor_c)


def own_use(common: LoweredStudy, offers: Sequence[Offer], hourly: Hourly) -> SelfUse | None:
    """Where own generation goes, None where there is none."""
    case = common.case
    if case.solar_electric is None:
        return None
    heating_j = bought_j(common, offers, hourly).get(ELECTRICITY, np.zeros(common.weather.n_hours))
    other_j, own_j = case.other_electricity_j(common.calendar), generation_j(case, common.weather)
    if ELECTRICITY not in common.tariffs:
        return self_use(own_j, heating_j, other_j)
    tariff = common.tariffs[ELECTRICITY]
    return heating_share(tariff, common.calendar, heating_j, other_j, own_j, export_terms(case))
