"""The source of a study that burned the fuel of somebody's bills, and what it made of it over the study's season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from costsim.analysis import guideline14 as g14
from costsim.bills.fit import Efficiency, usual_efficiency
from costsim.bills.line import Season
from costsim.bills.model import Bills
from costsim.engine.generation import export_terms, generation_j
from costsim.engine.lower import LoweredStudy
from costsim.errors import Fault, InputError
from costsim.physics.fuels import FUELS
from costsim.results.result import OptionResult, Result, SourceSeason
from costsim.study.case import Case
from costsim.study.services import ELECTRICITY
from costsim.tariffs.calendar import HourCalendar
from costsim.units.arrays import Floats
from costsim.units.quantity import HOUR_S
from costsim.units.table import DAY_S
from costsim.words import tr

ALIKE = 0.01
NORMAL_90 = 1.645
FOLLOW_COLD = ("zone", "snow_melt")
"""Kinds of use whose heat goes with the cold, as the house's does."""


@dataclass(frozen=True, slots=True, eq=False)
class BilledSource:
    """An option that takes a fuel, the efficiency of its season, and the price keys by which it is sold, each with its part.

    `option` is empty where no option of the study is known to have burned the bills; `asked` says that its efficiency is a usual one, with
    the question which heater it was.

    `base_w` is fuel for standby, and for uses of the tank that do not follow the cold, such as hot water [W]; the efficiency is that of
    the rest. `beside_share` is the heat of uses that follow it, such as another building, over the heated house's. `household_meter` says
    that the house's other electricity is in the bills; so is that of pumps and fans, which run as heat is wanted and lower the efficiency.
    They lack `own_by_day_w` [W], the part of own generation in each day of the study's year that never came through the meter, or ran it
    back.
    """

    option: str
    efficiency: Efficiency
    services: tuple[tuple[str, float], ...] = ()
    base_w: float = 0.0
    beside_share: float = 0.0
    household_meter: bool = False
    own_by_day_w: Floats | None = None
    asked: bool = False


class StudyLine:
    """A study as a line of fuel on the cold: base [W], slope [W/K], and mean balance point of the year [°C].

    Own generation lowers the base of its days.
    """

    def __init__(self, lowered: LoweredStudy, source: BilledSource) -> None:
        self.slope_w_k = lowered.loss_w_k * (1.0 + source.beside_share) / source.efficiency.value
        self.balance_c = float(np.mean(lowered.balance_c))
        self.base_w = source.base_w
        if source.household_meter:
            self.base_w += _other_electricity_w(lowered.case, lowered.calendar)
        self.own_by_day_w = source.own_by_day_w

    def base_of(self, bills: Bills) -> Floats:
        """Base use of each bill less own generation of its days (n,) [W]."""
        if self.own_by_day_w is None:
            return np.full(bills.n_periods, self.base_w)
        days = [np.arange(start, end) for start, end in zip(bills.start_day, bills.end_day, strict=True)]
        of_year = [(span - span.astype("datetime64[Y]")).astype(int) for span in days]
        own_w = [self.own_by_day_w[np.minimum(rows, len(self.own_by_day_w) - 1)].mean() for rows in of_year]
        return np.asarray(self.base_w - np.array(own_w))

    def use_j(self, season: Season, bills: Bills) -> Floats:
        """Fuel of each bill (n,) [J]."""
        return (self.base_of(bills) + self.slope_w_k * season.excess_k(self.balance_c)) * bills.days * DAY_S

    def left_j(self, bills: Bills, predicted_j: Floats, base_w: float) -> float:
        """Base use of the bills, of `base_w`, that the study lacks, where that alone keeps it from fitting; else nothing [J]."""
        lacks_j = (base_w - self.base_of(bills)) * bills.days * DAY_S
        fits, alone = (
            g14.within(g14.nmbe(bills.energy_j, use_j), g14.cv_rmse(bills.energy_j, use_j))
            for use_j in (predicted_j, predicted_j + lacks_j)
        )
        return max(float(lacks_j.sum()), 0.0) if alone and not fits else 0.0


def billed_source(
    case: Case, result: Result, fuel: str, option: str = "", stated: Efficiency | None = None
) -> BilledSource | None:
    """Find the option whose sources take a fuel, what heats the house today before others; None where the study has none.

    A source that is only proposed burned no bills: where today's heating takes another fuel, and no option is named, it is a heater unknown,
    of the usual efficiency, with the question which it was.

    Parameters
    ----------
    case : Case
    result : Result
        Of the case.
    fuel : str
        Of the bills.
    option : str
        Name of the option that burned them, where several do.
    stated : Efficiency, optional
        Of the heater, where somebody says it.

    Raises
    ------
    InputError
        There is no such option, or options differ in efficiency and none was named.
    """
    names = [case_option.name for case_option in case.options]
    if option and option not in names:
        remedy = f"use one of {', '.join(repr(name) for name in names)}"
        raise InputError(Fault("--option", f"'{option}' is no option of the study", remedy, case.file))
    if not option and case.today and (today := other_fuel(case, result, fuel)):
        return _unknown(
            case, result, result.option(case.today.name), fuel, stated or _asked(today, fuel), asked=stated is None
        )
    matches: list[BilledSource] = []
    for ran in result.options:
        seasons = [season for season in ran.sources if season.fuel == fuel and season.input_j > 0]
        if not seasons or (option and ran.name != option):
            continue
        heat, use = sum(season.heat_j for season in seasons), sum(season.input_j for season in seasons)
        wired = any(season.price_key == ELECTRICITY for season in seasons)
        standby = sum(season.standby_j for season in seasons)
        share = _share(heat, use + wired * ran.running_j, standby)
        half = NORMAL_90 * case.uncertainty.efficiency_share * share
        source = f"season of '{ran.name}' in the study, {share:.0%}{' without its standby fuel' if standby else ''}"
        year_s = len(ran.hourly.demand_w) * HOUR_S
        base_w = (standby + _uses_j(ran, cold=False) * _part(ran, heat) / share) / year_s
        known_w, own_w = _household(case, result, ran) if wired else (0.0, None)
        matches.append(
            BilledSource(
                ran.name,
                Efficiency(share, share - half, share + half, source, base_w + known_w),
                _services(seasons, result, max(known_w * year_s + wired * ran.running_j, 0.0)),
                base_w,
                _uses_j(ran, cold=True) / ran.delivered_j if ran.delivered_j > 0 else 0.0,
                wired,
                own_w,
            )
        )
    if not matches:
        return None
    now = case.today.name if case.today and not option else ""
    standing = [match for match in matches if match.option == now] or matches
    if stated is not None:
        return replace(standing[0], efficiency=replace(stated, steady_w=standing[0].efficiency.steady_w))
    values = [match.efficiency.value for match in standing]
    if max(values) - min(values) > ALIKE * max(values):
        text = ", ".join(f"'{match.option}' {match.efficiency.value:.0%}" for match in matches)
        what = f"several options take {FUELS[fuel].title.lower()}, with other efficiencies: {text}"
        raise InputError(
            Fault("--option", what, "name the one that burned these bills, or tell --efficiency", case.file)
        )
    return standing[0]


def _unknown(
    case: Case, result: Result, now: OptionResult, fuel: str, efficiency: Efficiency, *, asked: bool
) -> BilledSource:
    """A heater that is no option of the study: all the heat that today's heating gives, from another fuel, at an efficiency told or usual."""
    wired = fuel == ELECTRICITY
    known_w, own_w = _household(case, result, now) if wired else (0.0, None)
    base_w = _uses_j(now, cold=False) / efficiency.value / (len(now.hourly.demand_w) * HOUR_S)
    return BilledSource(
        "",
        replace(efficiency, steady_w=base_w + known_w),
        ((fuel, 1.0),) if fuel in result.lowered.tariffs else (),
        base_w,
        _uses_j(now, cold=True) / now.delivered_j if now.delivered_j > 0 else 0.0,
        wired,
        own_w,
        asked=asked,
    )


def _asked(today: str, fuel: str) -> Efficiency:
    """The usual efficiency of a fuel, with the question which heater used it."""
    usual = usual_efficiency(fuel)
    share = f"{usual.value:.0%}"
    if usual.low < usual.high:
        share = tr("{share}, {low} to {high},", share=share, low=f"{usual.low:.0%}", high=f"{usual.high:.0%}")
    question = tr(
        "Your house heats with {today}; these bills count {fuel}. Which heater used it? Tell its efficiency with --efficiency; until then"
        " {share} is assumed (common practice, no source).",
        today=today, fuel=tr(FUELS[fuel].title).lower(), share=share,
    )  # fmt: skip
    return replace(usual, source=question)


def _household(case: Case, result: Result, ran: OptionResult) -> tuple[float, Floats | None]:
    """Mean of the house's other electricity less own generation [W], and the latter by day."""
    own_w = _own_by_day_w(case, result, ran)
    return _other_electricity_w(case, result.lowered.calendar) - (0.0 if own_w is None else float(own_w.mean())), own_w


def _other_electricity_w(case: Case, calendar: HourCalendar) -> float:
    """Mean of the house's electricity other than heating, without own generation [W]."""
    return float(case.other_electricity_j(calendar).mean()) / HOUR_S


def _services(seasons: Sequence[SourceSeason], result: Result, household_j: float) -> tuple[tuple[str, float], ...]:
    """Price keys by which fuel is bought, each with its part of it; none where one of them is not sold.

    The household's electricity, and that of pumps and fans, is on the main meter, whatever meter a source has.
    """
    taken = dict.fromkeys((season.price_key for season in seasons), 0.0)
    for season in seasons:
        taken[season.price_key] += season.input_j
    if ELECTRICITY in taken:
        taken[ELECTRICITY] += household_j
    if not taken.keys() <= result.lowered.tariffs.keys():
        return ()
    return tuple((key, input_j / sum(taken.values())) for key, input_j in taken.items())


def _share(heat_j: float, use_j: float, standby_j: float) -> float:
    """Heat from what is taken beside standby, which does not grow with the cold; from all of it where nothing heats."""
    return heat_j / (use_j - standby_j if heat_j > 0 and use_j > standby_j else use_j)


def other_fuel(case: Case, result: Result, fuel: str) -> str:
    """What heats the house today, in words, where bills are of a fuel that it does not take; empty where it does, or is not said."""
    if case.today is None:
        return ""
    burned = [season.fuel for season in result.option(case.today.name).sources if season.fuel in FUELS]
    names = [tr(FUELS[name].title).lower() for name in dict.fromkeys(burned)]
    return "" if fuel in burned else tr(" and ").join(names)


def season_efficiency(case: Case, result: Result, fuel: str, option: str = "") -> Efficiency | None:
    """Efficiency of the source that burned a fuel; None where the study has none.

    Raises
    ------
    InputError
        As `billed_source`.
    """
    source = billed_source(case, result, fuel, option)
    return source.efficiency if source else None


def _own_by_day_w(case: Case, result: Result, ran: OptionResult) -> Floats | None:
    """What own generation takes off the house's meter, mean of each day of the year [W]; None where nothing generates.

    With net metering all of it, else what is used in its hour: the meter counts what comes in, and export apart.
    """
    if case.solar_electric is None:
        return None
    common, hourly = result.lowered, ran.hourly
    power_w = hourly.pump_w + hourly.auxiliary_w.sum(axis=0)
    for source, input_w in zip(ran.sources, hourly.input_w, strict=True):
        power_w = power_w + input_w * (source.price_key == ELECTRICITY)
    made_j, used_j = generation_j(case, common.weather), case.other_electricity_j(common.calendar) + power_w * HOUR_S
    taken_j = made_j if export_terms(case).net_metering != "none" else np.minimum(made_j, used_j)
    return np.asarray(taken_j.reshape(-1, 24).mean(axis=1) / HOUR_S)


def _uses_j(ran: OptionResult, *, cold: bool) -> float:
    """Heat that uses of the tank got over the year, those that follow the cold or the others [J]."""
    return sum(use.heat_j - use.unmet_j for use in ran.uses if (use.kind in FOLLOW_COLD) == cold)


def _part(ran: OptionResult, heat_j: float) -> float:
    """Share that sources which gave `heat_j` have in every use: each gives its share of all."""
    return heat_j / sum(season.heat_j for season in ran.sources)
