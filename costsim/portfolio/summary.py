"""What all homes come to: quantiles, totals, who wins, and how high the electricity of all stands at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from itertools import combinations, islice
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.portfolio.coldest import Coldest
from costsim.portfolio.headings import as_key, option_titles
from costsim.portfolio.heat_shares import heat_shares, sun_saves
from costsim.portfolio.home_facts import fact_columns
from costsim.portfolio.limits import has_output, held_short, sizes_told
from costsim.portfolio.own_columns import meant
from costsim.portfolio.plan import COST, SHORT, SHORT_HOURS, WORST, PortfolioPlan
from costsim.portfolio.quantiles import SHARES, ExactSum, quantiles_of
from costsim.portfolio.size_counts import counts_of_sizes
from costsim.portfolio.store import FIRST, Store
from costsim.portfolio.today import NOT_KNOWN, TODAYS, Today
from costsim.portfolio.totals import GroupSums, total_row
from costsim.results.clock import clock_labels
from costsim.results.peak import peak_hour
from costsim.tariffs.windows import parse_windows
from costsim.units.arrays import Floats
from costsim.units.quantity import unit_for

MOST_ASIDE = 1000
"""Cells that kept rows out which the summary lists; all stand in ``set_aside.csv``."""


@dataclass(frozen=True, slots=True)
class PeakHours:
    """Hours in which a system runs short: share of each hour (n,) and how people write them."""

    share: Floats
    text: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a table beside its homes' years: peak hours, units of totals, column of groups, whether to overwrite."""

    peak: PeakHours
    system: str
    by: str
    overwrite: bool


def kept_names(recipe: PortfolioPlan) -> tuple[str, ...]:
    """Names of the planner's own columns among the results; one that a result is called by as well is marked."""
    taken = {*FIRST, TODAYS, *recipe.columns, *fact_columns(recipe)}
    return tuple(f"{name} (own)" if name in taken else name for _, name in recipe.layout.kept)


def own_names(recipe: PortfolioPlan) -> dict[str, str]:
    """The planner's own columns by their headings, each with its name among the results."""
    return dict(zip((name for _, name in recipe.layout.kept), kept_names(recipe), strict=True))


def read_peak_hours(text: str, recipe: PortfolioPlan) -> PeakHours:
    """Read clock windows such as ``17:00-20:00``, which count on winter's weekdays.

    Raises
    ------
    InputError
        It is not a clock window.
    """
    months = "Jun-Aug" if recipe.weather.southern else "Dec-Feb"
    parts = [part.strip() for part in text.split(",")]
    try:
        windows = parse_windows(parts, days="Mon-Fri, not holidays", months=months)
    except ValueError as error:
        raise InputError(Fault("--peak-hours", str(error), 'write it like "17:00-20:00"')) from None
    return PeakHours(windows.share(recipe.common.calendar), f"{', '.join(parts)}, Mon-Fri, not holidays, {months}")


def summarize(
    recipe: PortfolioPlan, store: Store, numbers: Sequence[int], asked: Asked, power_w: Floats
) -> dict[str, Any]:
    """Sum up all parts.

    Parameters
    ----------
    recipe : PortfolioPlan
    store : Store
    numbers : sequence of int
        Of all parts.
    asked : Asked
    power_w : array (options, n)
        Electricity of all homes [W].

    Returns
    -------
    dict
        Plain data. Shares, means and quantiles go by weight; nothing depends on the order of homes. Memory goes with a part.
    """
    summary, peak, names, coldest = _Sums(recipe), asked.peak, own_names(recipe), Coldest(recipe)
    groups, today = GroupSums(recipe, asked.by) if asked.by else None, Today(recipe, names)
    for number in numbers:
        for weights, values in store.parts(recipe.columns, [number]):
            summary.add(weights, values)
            coldest.add(values, partial(_homes_of, store, number))
            if groups is not None:
                groups.add(store.texts([names[asked.by]], number)[0], weights, values)
            if today.known:
                today.add(store.texts([today.column], number)[0] if today.column else [], weights, values)
    quantiles = _quantiles(recipe, store, numbers, summary) if summary.weight.value else None
    options = [summary.option(at, quantiles) for at in range(len(recipe.options))]
    for option, watts in zip(options, power_w, strict=True):
        option |= _at_once(recipe, watts, peak)
    for at, option in enumerate(options):
        option["heat_shares"] = heat_shares(recipe, at, option["totals"])
        option["held_short"] = held_short(recipe, at, *summary.short_in_any(at), option["coincident_peak_kw"])
    for at, option in enumerate(options):
        option["sun_saves"] = sun_saves(recipe, at, options)
    rows = [summary.total_row(at, asked.system) for at in range(len(options))]
    for row, option in zip(rows, options, strict=True):
        row |= {"peak [kW]": option["coincident_peak_kw"], "peak at": option["coincident_peak_at"]}
    return {
        "study": recipe.case.title,
        "currency": recipe.case.currency,
        "homes": summary.homes,
        "units": asked.system,
        "all_homes": rows,
        "coldest": coldest.told(),
        "by": asked.by,
        "by_group": groups.rows(asked.system) if groups is not None else [],
        "read": [
            {"column": column.heading, "key": column.key, "unit": column.unit}
            for at, column in recipe.layout.columns
            if at not in recipe.layout.filled
        ],
        "size_column": _size_column(recipe, asked.system),
        "sizes": sizes_told(recipe)
        | {"sold": counts_of_sizes(recipe, store, numbers) if recipe.layout.sold and summary.homes else []},
        "kept_columns": [name for _, name in recipe.layout.kept],
        "meant": _meant(recipe),
        "set_aside": [asdict(rejected) for rejected in islice(store.aside(numbers), MOST_ASIDE)],
        "homes_set_aside": sum(len({rejected.row for rejected in store.aside([number])}) for number in numbers),
        "weight": summary.weight.value,
        "quantiles": list(SHARES),
        "peak_hours": peak.text,
        "warm_at_most_hours_short": recipe.common.case.house.max_unmet_hours,
        "computed_one_by_one_because_of": list(recipe.slow),
        "options": options,
        "today": _against_today(today, store, numbers, summary.heaviest, power_w, peak),
        "pairs": [
            summary.pair(at, quantiles) | _shifted(power_w[i], power_w[j], peak)
            for at, (i, j) in enumerate(combinations(range(len(options)), 2))
        ],
    }


def _homes_of(store: Store, number: int) -> list[str]:
    """Names of the homes of a part."""
    return store.texts(["home"], number)[0]


class _Sums:
    """What is summed over all homes, part by part; shares and means go by weight."""

    def __init__(self, recipe: PortfolioPlan) -> None:
        self._recipe = recipe
        self._options = [ready.option.name for ready in recipe.options]
        self._pairs = list(combinations(range(len(self._options)), 2))
        self._added = [at for at, name in enumerate(recipe.columns) if not name.endswith("largest unmet [kW]")]
        self._totals = {at: ExactSum() for at in self._added}
        # of each option: homes too cold, homes for which it is cheapest, of those that it keeps warm; of each pair: how much more,
        # cheaper, enough heat in both, how much more of those
        self._by_option = [[ExactSum() for _ in range(3)] for _ in self._options]
        self._by_pair = [[ExactSum() for _ in range(4)] for _ in self._pairs]
        # of each option: homes short in any hour, and the most that each lacks in one
        self._in_any = [(ExactSum(), ExactSum()) for _ in self._options]
        self.homes, self.heaviest, self.weight = 0, 0.0, ExactSum()

    def add(self, weights: Floats, values: Floats) -> None:
        """Add a part: weights (homes,) and all columns (columns, homes)."""
        recipe = self._recipe
        self.homes += len(weights)
        self.heaviest = max(self.heaviest, float(weights.max(initial=0.0)))
        self.weight.add(weights)
        for at, total in self._totals.items():
            total.add(values[at] * weights)
        cost, hours = (values[_places(recipe, which)] for which in (COST, SHORT_HOURS))
        for (any_hour, most), row, worst in zip(self._in_any, hours, values[_places(recipe, WORST)], strict=True):
            any_hour.add(weights[row > 0])
            most.add(worst * weights)
        cold = hours > recipe.common.case.house.max_unmet_hours
        rows = np.stack([cold * 1.0, _won(cost), _won(np.where(cold, np.inf, cost))], axis=1) * weights
        for sums, mine in zip(self._by_option, rows, strict=True):
            for total, row in zip(sums, mine, strict=True):
                total.add(row)
        for (i, j), (more, cheaper, warm, warm_more) in zip(self._pairs, self._by_pair, strict=True):
            more.add((cost[j] - cost[i]) * weights)
            both = ~(cold[i] | cold[j])
            warm.add(weights[both])
            warm_more.add(((cost[j] - cost[i]) * weights)[both])
            cheaper.add(weights[cost[j] < cost[i]])

    def short_in_any(self, at: int) -> tuple[float, float]:
        """Weight of homes short in any hour of one option, and the sum of the most that each lacks in an hour [kW]."""
        homes, worst = self._in_any[at]
        return homes.value, worst.value

    def _share(self, total: ExactSum) -> float | None:
        return total.value / self.weight.value if self.weight.value else None

    def _spread(self, at: int, total: ExactSum, quantiles: list[list[float]] | None) -> dict[str, Any]:
        if quantiles is None:
            return {"quantiles": None, "mean": None}
        return {"quantiles": quantiles[at], "mean": total.value / self.weight.value}

    def option(self, at: int, quantiles: list[list[float]] | None) -> dict[str, Any]:
        """Cost, unmet, wins and totals of one option."""
        recipe, count = self._recipe, len(self._options)
        cold, won, warm = (self._share(total) for total in self._by_option[at])
        sheet = recipe.options[at].sheet
        cost, short = (self._totals[_places(recipe, which)[at]] for which in (COST, SHORT))
        mine = [at_column for at_column in self._added if sheet.first <= at_column < sheet.first + sheet.width]
        return {
            "name": self._options[at],
            "cost": self._spread(at, cost, quantiles),
            "unmet_kwh": self._spread(count + at, short, quantiles),
            "homes_short_share": cold,
            "cheapest_share": won,
            "cheapest_warm_share": warm,
            # the grid's CO2 may not be known
            "totals": {recipe.columns[at_column]: _or_none(self._totals[at_column].value) for at_column in mine},
        }

    def total_row(self, at: int, system: str) -> dict[str, Any]:
        """All homes together under one option."""
        sums = {self._recipe.columns[at_column]: total.value for at_column, total in self._totals.items()}
        return total_row(self._recipe, at, sums, self.weight.value, self._by_option[at][0].value, system)

    def pair(self, at: int, quantiles: list[list[float]] | None) -> dict[str, Any]:
        """What the second option of a pair costs more than the first."""
        first, second = (self._options[place] for place in self._pairs[at])
        more, cheaper, warm, warm_more = self._by_pair[at]
        return {
            "first": first,
            "second": second,
            "second_costs_more_by": self._spread(2 * len(self._options) + at, more, quantiles),
            "second_is_cheaper_share": self._share(cheaper),
            "homes_warm_in_both": warm.value,
            "second_costs_more_mean_of_warm_in_both": warm_more.value / warm.value if warm.value else None,
        }


def _against_today(
    today: Today, store: Store, numbers: Sequence[int], heaviest: float, power_w: Floats, peak: PeakHours
) -> dict[str, Any] | None:
    """What each option saves against today, and where its electricity moves; None where the study knows no today."""
    against = today.summary(store, numbers, heaviest) if today.known else None
    if against is not None and today.option != NOT_KNOWN:
        others = [watts for at, watts in enumerate(power_w) if at != today.option]
        for row, watts in zip(against["rows"], others, strict=False):
            row |= _shifted(power_w[today.option], watts, peak)
    return against


def _size_column(recipe: PortfolioPlan, system: str) -> str:
    """Heading of a column that would give each home its own size; empty where the table has one."""
    if any(key.startswith(("option", "tank")) for key in recipe.layout.keys) or recipe.layout.to_load:
        return ""
    for i, option in enumerate(recipe.case.options, 1):
        for j, source in enumerate(option.sources, 1):
            if has_output(source):
                key = f"option[{i}].source[{j}].output"
                return f"{option_titles(recipe.case).get(key, key)} [{unit_for('power', system)}]"
    return ""


def _meant(recipe: PortfolioPlan) -> list[dict[str, str]]:
    """Columns that are kept and not used though their heading is like a known one, each with that."""
    layout, used = recipe.layout, {at for at, _ in recipe.layout.uses}
    meanings = {name: meant(name, recipe.case) for at, name in layout.kept if at not in used}
    return [
        {"column": name, "meant": other}
        for name, other in meanings.items()
        if other and as_key(other, recipe.case, "").split(" [")[0] not in layout.keys
    ]


def _or_none(value: float) -> float | None:
    return None if math.isnan(value) else value


def _places(recipe: PortfolioPlan, which: int) -> list[int]:
    """Places of the columns of one of `LAST`, by option."""
    return [ready.sheet.place(which) for ready in recipe.options]


def _won(cost: Floats) -> Floats:
    """Share of each home that an option wins (options, homes); a tie is split, a home that none keeps warm counts for none."""
    best = cost.min(axis=0, initial=np.inf)
    won = (cost == best) & np.isfinite(best)
    return np.asarray(won / np.maximum(won.sum(axis=0), 1))


def _quantiles(recipe: PortfolioPlan, store: Store, numbers: Sequence[int], sums: _Sums) -> list[list[float]]:
    """Quantiles of each option's cost, then of its unmet load, then of what each pair's second costs more."""
    columns = [recipe.columns[at] for which in (COST, SHORT) for at in _places(recipe, which)]
    count = len(recipe.options)
    pairs = list(combinations(range(count), 2))

    def parts() -> Iterator[tuple[Floats, Floats]]:
        for weights, values in store.parts(columns, numbers):
            yield np.stack([*values, *(values[j] - values[i] for i, j in pairs)]), weights

    return quantiles_of(parts, len(columns) + len(pairs), sums.heaviest)


def _shifted(first_w: Floats, second_w: Floats, peak: PeakHours) -> dict[str, float]:
    """Electricity that the second option takes less in the peak hours, and more in all others, by all homes."""
    less_w, elsewhere = (first_w - second_w) * peak.share, (second_w - first_w) * (1.0 - peak.share)
    return {
        "peak_hours_less_kwh": math.fsum(less_w) / 1e3,
        "other_hours_more_kwh": math.fsum(elsewhere) / 1e3,
        "other_hours_most_more_kw": max(0.0, float(elsewhere.max())) / 1e3,
    }


def _at_once(recipe: PortfolioPlan, power_w: Floats, peak: PeakHours) -> dict[str, Any]:
    """Electricity of all homes in its highest hour, and on the mean over the system's hours."""
    peak_hours, hours = peak_hour(power_w), float(peak.share.sum())
    mean = math.fsum(power_w * peak.share) / hours / 1e3 if hours else None
    return {
        "coincident_peak_kw": float(power_w[peak_hours[0]]) / 1e3 if peak_hours else 0.0,
        "coincident_peak_hour": peak_hours[0] if peak_hours else None,
        "coincident_peak_at": clock_labels(recipe.common.calendar)[peak_hours[0]] if peak_hours else None,
        "coincident_peak_hours": peak_hours[1] if peak_hours else 0,
        "peak_hours_mean_kw": mean,
        "peak_hours_highest_kw": float(np.where(peak.share > 0, power_w, 0.0).max()) / 1e3,
    }
