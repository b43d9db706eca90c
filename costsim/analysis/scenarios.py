"""What is drawn: load, warmth, winter, curtailment hours, efficiency and prices, the same for every option."""

from __future__ import annotations

import functools
import math
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costsim.engine.batch import BatchResult, gather, run_batch
from costsim.engine.lower import LoweredStudy, lower_plant, lower_study, option_study, priced
from costsim.physics.fuels import FUELS
from costsim.sources import HeatSource
from costsim.sources.traits import BURNERS
from costsim.study.case import Case, Option
from costsim.units.arrays import Floats, Ints
from costsim.weather import Weather
from costsim.weather.winters import colder

BAND_SIGMAS = 1.645
"""The band of a design load holds nine houses in ten, as a fit to bills computes it: that many standard deviations from end to middle.
For the routes without a fit that share is common practice, no source."""
CONTROL_LEVELS = np.array([0.5, 0.75, 1.0, 1.25, 1.5])
"""Curtailment hours are drawn in these steps of what the study says, since each needs its own hours switched off."""
MILDEST_WINTER, COLDEST_WINTER = -0.6, 1.0
"""Degree-days of any drawn winter against the mean, as a share: beyond, a normal draw leaves what winters can be."""
WINTER_STEP = 0.04
"""Winters are drawn in these steps of degree-days for sources that feel the cold, what is left between two by a shift."""
PRICE_STEP = 0.08
"""Steps, as logarithms, in which a rule that looks at prices sees how drawn prices stand to each other."""
CONTROL_WITH_COLD = 0.6
"""Correlation of curtailment hours with a cold winter: utilities control when it is cold; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Scenarios:
    """What was drawn; arrays are (scenarios,).

    `prices` are factors on today's prices, `curtailment` on the study's curtailment hours; `year` is the number of the weather
    year, the study's own first, and `winter` says how cold it is, as a share of degree-hours above the mean. `efficiency` are
    factors on heat per input, by the name of what is drawn together.
    """

    load: Floats
    setpoint_spread_k: Floats
    winter_k: Floats
    efficiency: Mapping[str, Floats]
    prices: Mapping[str, Floats]
    curtailment: Floats
    year: Ints
    winter: Floats

    def named(self) -> dict[str, Floats]:
        """Everything by a name for people."""
        factors = {
            "design load": self.load,
            "indoor temperature": self.setpoint_spread_k,
            "winter": self.winter,
            **self.efficiency,
        }
        if np.ptp(self.curtailment) > 0:
            factors["curtailment hours"] = self.curtailment
        return factors | {price_name(key): values for key, values in self.prices.items()}


def band(values: Floats) -> tuple[float, float, float]:
    """What (scenarios,) values are at 10, 50 and 90 %.

    Examples
    --------
    >>> band(np.arange(11.0))
    (1.0, 5.0, 9.0)
    """
    low, middle, high = np.percentile(values, [10, 50, 90]).tolist()
    return low, middle, high


def price_name(key: str) -> str:
    """A price table by a name for people."""
    return f"price of {key.replace('_', ' ')}"


def load_spread(case: Case) -> float:
    """Standard deviation of the design load: as typed, else from the band of the route it was found by."""
    settings = case.uncertainty
    return settings.load_share if settings.load_share is not None else case.house.load_band_share / BAND_SIGMAS


def _of_band(case: Case) -> str:
    """Where the spread of the design load comes from, unless it was typed."""
    return (
        "" if case.uncertainty.load_share is not None else ", so that the band told as “give or take” holds nine in ten"
    )


def price_spread(case: Case, key: str) -> float:
    """Standard deviation of a price: as typed, else the fuel's usual one."""
    return case.uncertainty.price.get(key, FUELS[case.prices[key].fuel_name(key)].price_spread)


def efficiency_of(case: Case, source: HeatSource) -> tuple[str, float, float] | None:
    """What a source's efficiency is drawn with: name, one standard deviation, and the most that nature allows; None if known."""
    settings, uncertain = case.uncertainty, source.uncertain_efficiency
    most = uncertain.most if uncertain else math.inf
    typed = settings.source_efficiency.get(source.kind)
    if typed is not None:
        return f"efficiency of {source.title[0].lower()}{source.title[1:]}", typed, most
    if uncertain is None:
        return None
    return uncertain.name, settings.efficiency_share if uncertain.spread is None else uncertain.spread, most


def efficiency_spreads(case: Case) -> dict[str, float]:
    """Every efficiency that is drawn, with one standard deviation; that of burners always first."""
    shares = {BURNERS.name: case.uncertainty.efficiency_share}
    every = [efficiency_of(case, source) for option in case.options for source in option.sources]
    return shares | {spread[0]: spread[1] for spread in every if spread is not None}


def spreads(case: Case) -> dict[str, str]:
    """Everything that is not known exactly by a name for people, with one standard deviation."""
    settings = case.uncertainty
    names = {
        "design load": f"{load_spread(case):.1%}{_of_band(case)}",
        "indoor temperature": f"{settings.setpoint_spread_k:g} K ({settings.setpoint_spread_k * 1.8:.2g} °F)",
        "winter, degree-days": f"{settings.winter_share:.1%}",
        **{name: f"{spread:.1%}" for name, spread in efficiency_spreads(case).items()},
    }
    if settings.weather:
        names["winter, degree-days"] = f"one of {len(settings.weather) + 1} weather years, each as likely"
    if any(controlled(option) for option in case.options):
        names["curtailment hours"] = f"{settings.curtailment_share:.1%}"
    names |= {price_name(key): f"{price_spread(case, key):.1%}" for key in case.prices}
    return names | {"correlation of prices": f"{settings.price_correlation:g}"}


def controlled(option: Option) -> bool:
    """Whether a utility may switch off one of an option's sources in the coldest hours."""
    return any(source.curtailment is not None and source.curtailment.coldest_hours for source in option.sources)


def with_curtailment(option: Option, factor: float) -> Option:
    """The option with its curtailment hours times a factor."""
    if not controlled(option) or factor == 1.0:
        return option
    sources = []
    for source in option.sources:
        control = source.curtailment
        if control is not None:
            hours = round(control.coldest_hours * factor)
            source = source.model_copy(update={"curtailment": control.model_copy(update={"coldest_hours": hours})})
        sources.append(source)
    return option.model_copy(update={"source": tuple(sources)})


def draw(case: Case, *years: LoweredStudy) -> Scenarios:
    """Draw everything that is not known exactly.

    Parameters
    ----------
    case : Case
    years : LoweredStudy
        The study lowered with its own weather, and with each further weather year of ``[uncertainty]``.

    Returns
    -------
    Scenarios

    Notes
    -----
    Standard normals from the study's seed; load and prices go by ``exp(σ z)``, so that today's value is the middle one.
    Fuel prices share the study's correlation. With one weather year a winter's degree-days move by a shift of the
    balance point against the weather that changes the year's degree-hours by the drawn share; with several years each
    is as likely, and nothing is shifted. Curtailment hours move with the cold.
    """
    settings, n = case.uncertainty, case.uncertainty.scenarios
    rng = np.random.default_rng(settings.seed)
    shared = rng.standard_normal(n)
    load = np.exp(load_spread(case) * rng.standard_normal(n))
    warmth, cold = settings.setpoint_spread_k * rng.standard_normal(n), rng.standard_normal(n)
    efficiency = {}
    for name, spread in efficiency_spreads(case).items():
        # what is added by a further kind leaves all other scenarios as they are
        own_rng = rng if name == BURNERS.name else np.random.default_rng([settings.seed, zlib.crc32(name.encode())])
        efficiency[name] = np.clip(1.0 + spread * own_rng.standard_normal(n), 0.5, 1.25)
    prices = {}
    for key in case.prices:
        own = rng.standard_normal(n)
        z = np.sqrt(settings.price_correlation) * shared + np.sqrt(1 - settings.price_correlation) * own
        prices[key] = np.exp(price_spread(case, key) * z)
    year, shift = np.zeros(n, dtype=np.int64), np.zeros(n)
    winter = np.clip(settings.winter_share * cold, MILDEST_WINTER, COLDEST_WINTER)
    if len(years) > 1:
        year = rng.integers(len(years), size=n)
        winter, cold = _coldness(years, year)
    else:
        shift = shift_for_share(years[0], winter)
    control = np.ones(n)
    if any(controlled(option) for option in case.options):
        z = CONTROL_WITH_COLD * cold + np.sqrt(1 - CONTROL_WITH_COLD**2) * rng.standard_normal(n)
        control = nearest_level(np.exp(settings.curtailment_share * z))
    return Scenarios(load, warmth, shift, efficiency, prices, control, year, winter)


def _coldness(years: Sequence[LoweredStudy], year: Ints) -> tuple[Floats, Floats]:
    """How cold each drawn year is: degree-hours above the mean as a share, and in standard deviations (scenarios,)."""
    hours = np.array([study_year.degree_hours_k_h for study_year in years])
    share = hours / hours.mean() - 1.0 if hours.mean() > 0 else np.zeros(len(hours))
    spread = share.std()
    return share[year], (share / spread if spread > 0 else share)[year]


def nearest_level(factor: Floats) -> Floats:
    """The nearest of `CONTROL_LEVELS` to each factor.

    Examples
    --------
    >>> nearest_level(np.array([0.1, 0.9, 1.1, 3.0]))
    array([0.5, 1. , 1. , 1.5])
    """
    return np.asarray(CONTROL_LEVELS[np.abs(factor[:, None] - CONTROL_LEVELS).argmin(axis=1)])


def shift_for_share(common: LoweredStudy, share: Floats) -> Floats:
    """Shift of the balance point [K] that changes the year's degree-hours by a share (scenarios,)."""
    excess = common.balance_c - common.weather.outdoor_c
    shifts = np.linspace(-12.0, 12.0, 97)
    sums = np.array([np.maximum(excess + shift, 0.0).sum() for shift in shifts])
    own = common.degree_hours_k_h
    return np.interp(1.0 + np.asarray(share), sums / own, shifts) if own > 0 else np.zeros(np.shape(share))


def in_winter(common: LoweredStudy, share: float) -> LoweredStudy:
    """The study in the same year made colder by a share of degree-hours, with the design temperature it had."""
    if not share or common.weather.degree_hours_k_h(float(common.balance_c.mean())) <= 0:
        return common
    weather = colder(common.weather, share, base_c=float(common.balance_c.mean()))
    return lower_study(with_design(common.case, common.design_outdoor_c), weather)


def with_design(case: Case, outdoor_c: float) -> Case:
    """The study with its outdoor design temperature settled, so that another year does not make another house of it."""
    return case.model_copy(update={"place": case.place.model_copy(update={"design_outdoor_c": outdoor_c})})


def lower_years(case: Case, weather: Weather, others: Sequence[Weather] = ()) -> list[LoweredStudy]:
    """The same house in its own weather year and in each further one."""
    first = lower_study(case, weather)
    fixed = with_design(case, first.design_outdoor_c)
    return [first, *(lower_study(fixed, weather_year) for weather_year in others)]


def simulate_scenarios(
    years: Sequence[LoweredStudy], scenarios: Scenarios, progress: Callable[[float], None] | None = None
) -> list[BatchResult]:
    """Run every option under every draw, each in its weather year and with its curtailment hours."""
    options = years[0].case.options
    runs = []
    for at, option in enumerate(options):

        def told(share: float, at: int = at) -> None:
            if progress is not None:
                progress((at + share) / len(options))

        runs.append(_simulate_option(years, option, scenarios, told))
    return runs


def _simulate_option(
    years: Sequence[LoweredStudy], option: Option, scenarios: Scenarios, progress: Callable[[float], None]
) -> BatchResult:
    level = scenarios.curtailment if controlled(option) else np.ones(len(scenarios.curtailment))
    winter = np.zeros(len(level))
    if feels_cold(option) and np.ptp(scenarios.winter_k) > 0:
        winter = np.round(scenarios.winter / WINTER_STEP) * WINTER_STEP
    prices = _seen_prices(years[0], option, scenarios)
    kinds = list(zip(scenarios.year.tolist(), level.tolist(), winter.tolist(), prices, strict=True))
    groups = {kind: number for number, kind in enumerate(sorted(set(kinds)))}
    rows = np.array([groups[kind] for kind in kinds])
    lowered = functools.cache(lambda year, share: in_winter(years[year], share))
    parts = []
    for (year, factor, colder_by, seen), number in groups.items():
        common = lowered(year, colder_by)
        picked = np.flatnonzero(rows == number)

        def part_told(share: float, number: int = number) -> None:
            progress((number + share) / len(groups))

        shift = scenarios.winter_k[picked]
        if colder_by:
            shift = shift_for_share(common, (1.0 + scenarios.winter[picked]) / (1.0 + colder_by) - 1.0)
        at = priced(common, dict(seen)) if seen else common
        parts.append(
            (picked, _simulate_group(at, with_curtailment(option, factor), scenarios, picked, shift, part_told))
        )
    return gather(parts)


def feels_cold(option: Option) -> bool:
    """Whether a source gives or may give something else when it is colder outside."""
    return any(
        source.feels_cold
        or source.charging == "forecast"
        or source.lockout_above_c is not None
        or source.lockout_below_c is not None
        for source in option.sources
    )


def _seen_prices(common: LoweredStudy, option: Option, scenarios: Scenarios) -> list[tuple[tuple[str, float], ...]]:
    """Factors on prices, in steps, that the option's rule sees in each draw; none under a rule that looks at no price."""
    keys = option.price_keys(common.case.prices)
    keys = [key for key in keys if key in scenarios.prices]
    if option.rule == "fixed" or len(keys) < 2:
        return [()] * len(scenarios.load)
    logs = np.log(np.stack([scenarios.prices[key] for key in keys]))
    steps = np.round((logs - logs[0]) / PRICE_STEP) * PRICE_STEP
    return [tuple(zip(keys, np.exp(column).tolist(), strict=True)) for column in steps.T]


def _with_load_k(common: LoweredStudy, load: Floats) -> Floats:
    """Shift of the balance point [K] that comes with a load: gains typed in watts carry a leaky house less far (scenarios,)."""
    if common.case.house.gains_w is None:
        return np.zeros(len(load))
    return np.asarray(float((common.setpoint_c - common.balance_c).mean()) * (1.0 - 1.0 / load))


def left_to(most: float, highest: float) -> float:
    """How many times an efficiency may be its highest of the year; without end where that passes what the kind takes for the most.

    Examples
    --------
    >>> left_to(1.0, 0.8), left_to(1.0, 1.3)
    (1.25, inf)
    """
    return most / highest if 0.0 < highest <= most * (1.0 + 1e-9) else math.inf


def _simulate_group(
    common: LoweredStudy,
    option: Option,
    scenarios: Scenarios,
    picked: Ints,
    winter_k: Floats,
    progress: Callable[[float], None],
) -> BatchResult:
    """Scenarios of one weather year, one number of curtailment hours and one order of prices."""
    common = option_study(common, option)
    plant = lower_plant(common, option)
    efficiency = np.ones((len(picked), len(plant.offers)))
    for i, (source, offer) in enumerate(zip(option.sources, plant.offers, strict=True)):
        drawn = efficiency_of(common.case, source)
        if drawn is not None:
            name, _, most = drawn
            left = left_to(most, float(offer.heat_per_input.max()))
            efficiency[:, i] = np.minimum(scenarios.efficiency[name][picked], max(left, 1.0))
    return run_batch(
        common,
        plant,
        loss_w_k=common.loss_w_k * scenarios.load[picked],
        shift_k=scenarios.setpoint_spread_k[picked] + winter_k + _with_load_k(common, scenarios.load[picked]),
        efficiency=efficiency,
        progress=progress,
    )
