"""Years of one option with other sizes: what no size changes is lowered once, and one run gives a year's hours, sums and energy."""

from __future__ import annotations

import operator
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from costsim.analysis.cash_flow import prices_rise
from costsim.analysis.known import MOST_OPTIONS, known_job, known_plant, known_study, remembered
from costsim.engine import layout as k
from costsim.engine.batch import BatchResult, job_of, keys_of, price_by_service
from costsim.engine.block import FEW, WORTH, AnnualTotals, in_blocks, run_lanes
from costsim.engine.generation import seen_by_rule
from costsim.engine.lane_inputs import LaneInputs, kinds_of
from costsim.engine.lanes import lanes_of
from costsim.engine.lower import (
    LoweredOption,
    LoweredStudy,
    house_rows,
    offered,
    option_study,
    scalars_of,
    source_row,
    source_scalars_of,
    with_house,
)
from costsim.engine.one_year import lane_of, room_for
from costsim.engine.shared import Shared, inputs_per_heat
from costsim.physics.demand import ROUNDING_W, tank_step
from costsim.results.result import OptionResult
from costsim.results.season import uses_season
from costsim.simulation import simulate_option
from costsim.sources import HeatSource, Offer, Surroundings
from costsim.study.case import Case, Option
from costsim.study.plant import Tank
from costsim.study.rules import RULES
from costsim.tariffs.bill import price_and_fixed, price_month_period
from costsim.units.arrays import Floats
from costsim.units.quantity import HOUR_S
from costsim.weather import Weather

NONE = np.empty(0)


def with_tank(common: LoweredStudy, tank: Tank) -> LoweredStudy:
    """The study with a tank that differs in volume and loss alone."""
    water = common.water
    volume_j_k = tank.volume_m3 * water.density_kg_m3 * water.heat_capacity_j_kgk
    water = replace(water, tank_j_k=volume_j_k, tank_loss_w_k=tank.loss_w_k)
    seen = replace(common.surroundings, tank_m3=tank.volume_m3, tank_j_k=volume_j_k)
    return replace(common, water=water, surroundings=seen)


@dataclass(frozen=True, slots=True)
class Paid:
    """A service's bill of a year, and what of it buys no energy, told only where a price rises: else it is no use to anybody."""

    total: float
    fixed: float


@dataclass(frozen=True, slots=True)
class SizedYear:
    """A year of an option with sizes of its own.

    `lacking_hours` is the most hours in which the house, or a use that comes before it, lacked heat; `unmet_j` and `worst_w` are
    what the house lacked in all hours and in its worst. `heat_j` and `dumped_j` are by source (sources,), `taken_j` is what house
    and uses took from the tank. `unmet_w` is what the house lacked in each hour (n,), and empty like `dumped_j` where that was not
    asked for. `totals` is None where the whole option was computed, which `whole` then holds.
    """

    offers: tuple[Offer, ...]
    unmet_w: Floats
    lacking_hours: int
    unmet_j: float
    worst_w: float
    heat_j: Floats
    dumped_j: Floats
    taken_j: float
    totals: AnnualTotals | None
    whole: OptionResult | None = None

    def missing_w(self, hours: int) -> float:
        """What the house lacked in its worst hour but so many, which are borne [W]; of more than none the hours are needed."""
        if not hours:
            return self.worst_w
        # to part the whole year, of which most is zero, takes as long as ten years of the kernel
        short = np.sort(self.unmet_w[self.unmet_w > 0.0])
        return float(short[-1 - hours]) if len(short) > hours else 0.0


TANK = frozenset({"tank_j_k", "tank_m3"})
"""What of its surroundings goes with the tank's size."""


class _Watched:
    """Surroundings that note what is asked of them."""

    def __init__(self, seen: Surroundings) -> None:
        self.seen, self.asked = seen, set[str]()

    def __getattr__(self, name: str) -> Any:
        self.asked.add(name)
        return getattr(self.seen, name)


class SizedOption:
    """One option of a study, run again and again with other sizes of its sources and its tank.

    Parameters
    ----------
    case : Case
    weather : Weather
    at : int
        Number of the option, from 0.
    study : LoweredStudy, optional
        The study as lowered, where it is at hand.

    Notes
    -----
    The years are those of `simulate_option`, hour by hour the same bits. What it sums up beside them is left out; where bills or
    unmet load need more than the kernel's sums (own generation, carbon by the hour, zones with mass) it is asked itself.
    """

    def __init__(self, case: Case, weather: Weather, at: int, study: LoweredStudy | None = None) -> None:
        self.case, self.at = case, at
        self.study = study or known_study(case, weather)
        self.own, self.plant = known_plant(self.study, self.option)
        zones = self.own.water.mass is not None and bool(case.house.zone)
        self.plain = case.solar_electric is None and case.economics.carbon_price is None and not zones
        self.shared = known_job(self.own, self.plant)
        self.uses_wait = any(use.priority == "before_house" for use in case.use)
        self.asks: dict[int, bool] = {}
        self.rises = prices_rise(case.economics)

    @property
    def option(self) -> Option:
        """The option as typed."""
        return self.case.options[self.at]

    def year(self, case: Case, *, hours: bool = True, dumped: bool = True) -> SizedYear:
        """Run a year of the option in a study that differs in the sizes of its sources and tanks alone.

        To keep its hours takes as long as to compute them, so they are kept where they are asked for: what the house lacked in each,
        or what each source dumped.
        """
        option = case.options[self.at]
        if not self.plain:
            return _from_result(simulate_option(self._study(case), option), self._lowered(case)[1].offers)
        own, plant = self._lowered(case)
        run = _known_year if plant is self.plant else _year
        totals, unmet_w, given_w = run(self._shared(own, plant), plant, hours or self.uses_wait, dumped)
        (sized,) = _years([plant.offers], totals, unmet_w)
        if self.uses_wait:
            waits = [use.unmet_hours for use in uses_season(own, given_w) if use.priority == "before_house"]
            return replace(sized, lacking_hours=max(sized.lacking_hours, *waits))
        return sized

    def years(self, cases: Sequence[Case]) -> list[SizedYear]:
        """Years of which neither hours nor what was dumped is asked for, side by side where they share their hourly rows."""
        sized: dict[int, SizedYear] = {}
        if self.plain and not self.uses_wait and len(cases) >= FEW:
            plants = {at: self._lowered(case) for at, case in enumerate(cases)}
            alike = [at for at, (own, plant) in plants.items() if self._shared(own, plant) is self.shared]
            if len(alike) >= FEW:
                plants_alike = [plants[at][1] for at in alike]
                many = self._side_by_side(
                    [plant.offers for plant in plants_alike],
                    np.stack([plant.scalars for plant in plants_alike], axis=1),
                    np.stack([plant.source_scalars for plant in plants_alike], axis=2),
                )
                sized = dict(zip(alike, many, strict=True))
        return [
            sized[at] if at in sized else self.year(case, hours=False, dumped=False) for at, case in enumerate(cases)
        ]

    def tanks(self, sizes: Sequence[tuple[float, float]]) -> list[SizedYear] | None:
        """Years with tanks of some volumes [m³] and losses [W/K], as `years` gives them.

        None where more goes with the tank than what it keeps: what a source gives, or what comes after the house.
        """
        late = self.study.uses is not None and not self.study.uses.settled
        if not self.plain or self.uses_wait or late or any(map(self._asks_for_tank, range(len(self.option.sources)))):
            return None
        j_m3k = self.own.water.density_kg_m3, self.own.water.heat_capacity_j_kgk
        steps = [tank_step(heat_capacity_j_k=volume * j_m3k[0] * j_m3k[1], loss_w_k=loss) for volume, loss in sizes]
        scalars = np.repeat(self.plant.scalars[:, None], len(sizes), axis=1)
        scalars[[k.TANK_KEEP, k.TANK_RISE, k.LOSS_STATE, k.LOSS_NET]] = np.transpose(steps)
        return self._side_by_side([self.plant.offers] * len(sizes), scalars, self.plant.source_scalars)

    def with_sources(self, i: int, sources: Sequence[HeatSource]) -> list[SizedYear] | None:
        """Years with others in the place of one source, with what was dumped, as `year` gives them without its hours.

        None where more goes with a source than its own rows: the order of all, or what comes after the house.
        """
        late = self.study.uses is not None and not self.study.uses.settled
        if not self.plain or self.uses_wait or late or self.option.rule != "fixed":
            return None
        today, count = self.plant, len(sources)
        offers = [source.offer(self.own.surroundings) for source in sources]
        scalars = np.repeat(today.source_scalars[:, :, None], count, axis=2)
        scalars[i] = np.transpose([source_scalars_of(offer) for offer in offers])
        kinds = kinds_of(today.source_scalars)
        if any(candidate.rank != today.offers[i].rank for candidate in offers) or any(
            kinds_of(scalars[:, :, at]) != kinds for at in range(count)
        ):
            return None
        all_offers = [(*today.offers[:i], offer, *today.offers[i + 1 :]) for offer in offers]
        hours, per_heat = today.source_hours.copy(), self.shared.per_heat.copy()
        shared = replace(self.shared, source_hours=hours, per_heat=per_heat)
        lanes = lanes_of(today.scalars, scalars, count, loss_w_k=self.own.loss_w_k)
        if in_blocks(shared, lanes, WORTH):
            own = _rows_apart(i, offers, hours, per_heat)
            return _years(all_offers, run_lanes(shared, lanes, own=own, all_of=WORTH, dumped=True))
        sized, room = [], room_for(shared, hours=False)
        for at, (offer, mine) in enumerate(zip(offers, all_offers, strict=True)):
            for row in range(k.SOURCE_ROWS):
                source_row(offer, row, per_heat[i] if row == k.PER_HEAT else hours[i, row])
            sized += _years([mine], lane_of(shared, lanes[:, at : at + 1], room, dumped=True)[1])
        return sized

    def _side_by_side(
        self, offers: Sequence[tuple[Offer, ...]], scalars: Floats, source_scalars: Floats
    ) -> list[SizedYear]:
        """Years with scalars of their own (SCALARS, years), and of their sources where they have some."""
        lanes = lanes_of(scalars, source_scalars, len(offers), loss_w_k=self.own.loss_w_k)
        return _years(offers, run_lanes(self.shared, lanes, all_of=WORTH))

    def bills(self, years: Sequence[SizedYear]) -> list[dict[str, Paid]]:
        """Bills of years, priced at once, by service."""
        bills: list[dict[str, Paid]] = [
            {} if year.whole is None else {key: Paid(bill.total, bill.fixed) for key, bill in year.whole.bills.items()}
            for year in years
        ]
        many = [(at, year.totals) for at, year in enumerate(years) if year.totals is not None]
        if many:
            parts = (
                np.concatenate([getattr(sized_year, name) for _, sized_year in many]) for name in AnnualTotals.__slots__
            )
            batch = BatchResult(keys_of(self.plant), *parts)
            price = price_and_fixed if self.rises else price_month_period
            for key, values in price_by_service(self.own, batch, {}, price=price).items():
                # no price rises: what is fixed is no use, and as good as all
                totals, fixed = values.tolist() if values.ndim > 1 else (values.tolist(),) * 2
                for (at, _), total, still in zip(many, totals, fixed, strict=True):
                    bills[at][key] = Paid(total, still)
        return bills

    def _study(self, case: Case) -> LoweredStudy:
        """The study as lowered for other sizes."""
        if case.tank is self.case.tank:
            return replace(self.study, case=case)
        return with_house(self.study, case)

    def _own(self, case: Case) -> LoweredStudy:
        """The study as the option sees it."""
        tank, today = (
            option.tank_of(seen_case) for seen_case, option in ((case, case.options[self.at]), (self.case, self.option))
        )
        late = self.study.uses is not None and not self.study.uses.settled
        if late or (today is None and tank is not None):
            return option_study(self._study(case), case.options[self.at])
        return self.own if tank is today or tank is None else with_tank(self.own, tank)

    def _lowered(self, case: Case) -> tuple[LoweredStudy, LoweredOption]:
        """The study as the option sees it and its plant; what sees nothing new is that of today."""
        own, today, option = self._own(case), self.plant, case.options[self.at]
        late = own.uses is not self.own.uses  # what comes after the house draws what this tank's sources leave idle
        offers, scalars, hours = list(today.offers), today.source_scalars, today.source_hours
        for i, (source, before) in enumerate(zip(option.sources, self.option.sources, strict=True)):
            if source is not before or late or (own is not self.own and self._asks_for_tank(i)):
                offers[i] = source.offer(own.surroundings)
                mine = source_scalars_of(offers[i])
                if not np.array_equal(mine, scalars[i]):
                    scalars = scalars.copy() if scalars is today.source_scalars else scalars
                    scalars[i] = mine
                both = offers[i], today.offers[i]
                for row in range(k.SOURCE_HOURS):
                    if not _alike(*(offered(offer, row) for offer in both)):
                        hours = hours.copy() if hours is today.source_hours else hours
                        source_row(offers[i], row, hours[i, row])
        if own is self.own and all(map(operator.is_, offers, today.offers)):
            return own, today
        house = house_rows(own) if late else (today.scalars if own is self.own else scalars_of(own), today.hours)
        fixed = option.rule == "fixed"
        if (fixed or self.plain) and all(
            _called_alike(*both, fixed) for both in zip(offers, today.offers, strict=True)
        ):
            return own, LoweredOption(tuple(offers), *house, scalars, hours, today.order)
        seen = seen_by_rule(own.case, own.weather, own.calendar, own.demand_w, offers)
        order = np.ascontiguousarray(RULES[option.rule](seen))
        return own, LoweredOption(tuple(offers), *house, scalars, hours, order)

    def _asks_for_tank(self, i: int) -> bool:
        """Whether what a source offers may go with the tank's size: as its kind says, else whether it looks at it, noted once."""
        source = self.option.sources[i]
        if source.charging == "full" and source.follows_tank is not None:
            return source.follows_tank
        if i not in self.asks:
            seen = _Watched(self.own.surroundings)
            source.offer(seen)  # type: ignore[arg-type]
            self.asks[i] = bool(seen.asked & TANK)
        return self.asks[i]

    def _shared(self, own: LoweredStudy, plant: LoweredOption) -> Shared:
        """What the year shares with that of today: all but its rows, where the order of the sources stays."""
        scalars, today = plant.source_scalars, self.plant
        kinds = scalars is today.source_scalars or kinds_of(scalars) == kinds_of(today.source_scalars)
        same = plant.order is today.order or np.array_equal(plant.order, today.order)
        if not kinds or own.uses is not self.own.uses or not same:
            return job_of(own, plant)
        per_heat, both = self.shared.per_heat, zip(plant.offers, today.offers, strict=True)
        if not all(_alike(offer.heat_per_input, other.heat_per_input) for offer, other in both):
            per_heat = inputs_per_heat([offer.heat_per_input for offer in plant.offers])
        elif plant.hours is today.hours and plant.source_hours is today.source_hours:
            return self.shared
        return replace(self.shared, hours=plant.hours, source_hours=plant.source_hours, per_heat=per_heat)


def _year(shared: Shared, plant: LoweredOption, hours: bool, dumped: bool) -> tuple[AnnualTotals, Floats, Floats]:
    """A year's sums, and where its hours are kept what the house lacked and what uses were given in each (n,) [W]."""
    room = room_for(shared, hours=hours)[0], room_for(shared, hours=False)[1]
    _, totals = lane_of(shared, lanes_of(plant.scalars, plant.source_scalars, 1), room, dumped=dumped)
    return totals, room[0][k.SHORT].copy(), room[0][k.USE_GIVEN].copy()


_known_year = remembered(MOST_OPTIONS)(_year)


def _alike(first: Floats | float, other: Floats | float) -> bool:
    return first is other or np.array_equal(first, other)


def _called_alike(first: Offer, other: Offer, fixed: bool) -> bool:
    """Whether a rule, which looks at ranks and, unless it is fixed, at prices alone, calls one source where it calls another."""
    if first is other or first.rank != other.rank:
        return first is other
    return fixed or np.array_equal(first.price_per_heat_j, other.price_per_heat_j)


def _years(offers: Sequence[tuple[Offer, ...]], many: AnnualTotals, unmet_w: Floats = NONE) -> list[SizedYear]:
    """Years of the kernel's sums, with what was dumped where that was summed, and of one with what lacked in its hours."""
    sums, energy, peaks = many.sums, many.energy_j, many.peaks_w
    hours, unmet, worst = (sums[:, row].tolist() for row in (k.SHORT_HOURS, k.SUM_SHORT, k.WORST_SHORT))
    taken = (sums[:, k.SUM_DELIVERED] + sums[:, k.SUM_USE] - sums[:, k.SUM_USE_SHORT]).tolist()
    first = k.SUMS + len(offers[0])
    return [
        SizedYear(
            mine, unmet_w, int(hours[at]), unmet[at], worst[at], sums[at, k.SUMS : first], sums[at, first:], taken[at],
            AnnualTotals(sums[at : at + 1], energy[at : at + 1], peaks[at : at + 1]),
        )
        for at, mine in enumerate(offers)
    ]  # fmt: skip


def _rows_apart(i: int, offers: Sequence[Offer], hours: Floats, per_heat: Floats) -> LaneInputs:
    """Hourly rows of one source that lanes have for themselves; those they share are put where all lanes look for them."""
    at = np.full(k.SOURCES + len(hours) * k.SOURCE_ROWS, -1, dtype=np.int64)
    apart: list[Floats] = []
    for row in range(k.SOURCE_ROWS):
        shared = per_heat[i] if row == k.PER_HEAT else hours[i, row]
        source_row(offers[0], row, shared)
        first, *others = (offered(candidate, row) for candidate in offers)
        if row == k.CAPACITY or not all(other is first or np.array_equal(other, first) for other in others):
            at[k.SOURCES + i * k.SOURCE_ROWS + row] = len(apart)
            apart.append(mine := np.empty((len(offers), len(shared))))
            for offer, values in zip(offers, mine, strict=True):
                source_row(offer, row, values)
        if row == k.CAPACITY:
            shared[:] = 0.0  # a collector's own is added to it
    return LaneInputs.of_hours(np.stack(apart, axis=1), at)


def _from_result(result: OptionResult, offers: tuple[Offer, ...]) -> SizedYear:
    heat, dumped = (np.array([getattr(season, name) for season in result.sources]) for name in ("heat_j", "dumped_j"))
    hourly = result.hourly
    taken = float(hourly.delivered_w.sum() + hourly.use_delivered_w.sum()) * HOUR_S
    unmet = np.where(hourly.unmet_w > ROUNDING_W, hourly.unmet_w, 0.0)
    return SizedYear(
        offers, hourly.unmet_w, result.lacking_hours, float(unmet.sum()) * HOUR_S, float(unmet.max()), heat, dumped, taken, None, result
    )  # fmt: skip
