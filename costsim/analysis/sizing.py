"""The smallest source, tank, store or breaker that brings unmet hours down."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from costsim.analysis.halving import Run, bears, narrow, told_by_unmet
from costsim.analysis.lifecycle import Worth, outlay_of, worth_of
from costsim.analysis.sized_years import Paid, SizedOption, SizedYear
from costsim.errors import Fault, InputError
from costsim.physics.circuits import BREAKERS_A, CONTINUOUS_FACTOR, next_breaker_a
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.changed import Path, if_fits
from costsim.study.plant import Tank
from costsim.units.quantity import to_display, unit_for
from costsim.weather import Weather
from costsim.words import tr

SIZES: dict[str, tuple[str, str]] = {
    "output": ("power", "W"),
    "breaker": ("current", "A"),
    "tank": ("volume", "m3"),
    "area": ("area", "m2"),
}
"""What can be sized: the dimension it is shown in, and the unit the search writes."""
LARGEST_FACTOR = 64.0
TINY = 1e-3
STEP = 1.2
SAME_COST_SHARE = 1e-3
"""Years whose cost differs by less cost the same, and the smaller size is taken."""
FIRST_STEP, LAST_STEP = (round(math.log(limit, STEP)) for limit in (TINY, LARGEST_FACTOR))
"""A row of sizes, each so many times the one before, from a thousandth of today's to some sixty times."""


@dataclass(frozen=True, slots=True)
class Size:
    """The size that meets the aim. `value` is None where even the largest tried does not.

    For a tank it is the one of least life-cycle cost among those that meet it, and `smallest` the smallest of them with its own
    cost; for a breaker it is a standard rating. Elsewhere the two are the same. `cost` is a year's; `present_cost` that of the
    study period, with the tank's own first cost where `tank_cost_known`.
    """

    option: str
    what: str
    dimension: str
    value: float | None
    today: float
    unmet_hours: int
    unmet_hours_today: int
    cost: float
    cost_today: float
    tried: int
    smallest: float | None = None
    smallest_cost: float = 0.0
    ground: str = ""
    present_cost: float = 0.0
    present_cost_today: float = 0.0
    years: int = 0
    tank_cost_known: bool = False
    borne_hours: int = 0

    def shown(self, system: str) -> str:
        """The size in the reader's unit."""
        if self.value is None:
            return tr("no size")
        digits = 0 if self.what == "breaker" else 1
        return f"{to_display(self.value, self.dimension, system):,.{digits}f} {unit_for(self.dimension, system)}"


def smallest(case: Case, weather: Weather, *, option: str, what: str, source: int = 0, hours: int = 0) -> Size:
    """Find the smallest size that leaves at most so many unmet hours.

    Parameters
    ----------
    case : Case
        Read from text, so that its values can be changed.
    weather : Weather
    option : str
        Name of the option.
    what : str
        ``"output"`` or ``"breaker"`` of a source, or ``"tank"``.
    source : int
        Which source, from 0.
    hours : int
        Hours short that are borne, of the house and of what comes before it, such as hot water.

    Returns
    -------
    Size

    Raises
    ------
    InputError
        There is no such option, source or size.

    Notes
    -----
    Bisection on the simulation itself, to a thousandth; a larger source is never worse under fixed priority. A larger tank
    may be, since it loses more, in step with its surface, and starts the cold spell no fuller: sizes a fifth apart are all
    tried, and the one of least life-cycle cost is taken, with `tank.cost_per_volume` in it where that is typed. A breaker follows
    from the unit (NEC 210.20: 125 % of a continuous load), never from the house's load.
    """
    if hours < 0:
        raise InputError(Fault("hours", f"{hours} hours cannot be borne", "give zero or more", case.file))
    at = place_of(case, option)
    search = _Search(case, weather, at, what, source, keeps=hours > 0)
    sizes = search.row() if what == "tank" else []
    if sizes:
        search.run_all(sizes)
    today, first = search.today, search.run(search.today)
    assert first is not None
    if what == "tank":
        best = _least_cost(search, sizes, first, hours)
    elif what == "breaker":
        best = _circuit(search.run, case.options[at].sources[source], first, hours)
    else:
        value, sized_year = _bisect(search.run, today, first, hours)
        best = _Best(value, sized_year, value, sized_year)
    year = best.year
    costs, presents = search.costs([(best.value or 0.0, year), (today, first), (0.0, best.smallest_year)])
    return Size(
        option, what, SIZES[what][0], best.value, today, year.lacking_hours, first.lacking_hours, costs[0], costs[1],
        len(search.known), best.smallest, costs[2], best.ground, presents[0], presents[1], case.economics.study_period,
        search.each is not None, hours,
    )  # fmt: skip


class _Search:
    """Years of an option by one size, each run once, and what they cost."""

    def __init__(self, case: Case, weather: Weather, at: int, what: str, source: int, *, keeps: bool) -> None:
        self.case, self.at, self.what = case, at, what
        self.path, self.today = _path(case, at, what, source)
        self.tank = case.options[at].tank_of(case) if what == "tank" else None
        self.each = self.tank.cost_per_volume_money if self.tank is not None else None
        self.known: dict[float, SizedYear | None] = {}
        self.sized, self.keeps = SizedOption(case, weather, at), keeps and what == "output"
        self.worth: Worth | None = None
        self.paid: dict[int, Mapping[str, Paid]] = {}

    def run(self, value: float) -> SizedYear | None:
        """The year with a size; a tank loses in step with its surface."""
        if value not in self.known:
            self.known[value] = self._run(value)
        return self.known[value]

    def row(self) -> list[float]:
        """Tanks a fifth apart, today's among them."""
        return [self.today * STEP**step if step else self.today for step in range(FIRST_STEP, LAST_STEP + 1)]

    def run_all(self, values: Sequence[float]) -> None:
        """Run years of tanks, side by side. A tank between two that can be can be too: what is typed for it has limits alone."""
        first = next((at for at, value in enumerate(values) if self._case(value) is not None), len(values))
        last = next((at for at in range(len(values), first, -1) if self._case(values[at - 1]) is not None), first)
        batch = values[first:last]
        years = self.sized.tanks([(value, self._loss_w_k(value)) for value in batch])
        if years is None:
            years = self.sized.years([case for value in batch if (case := self._case(value)) is not None])
        self.known |= dict.fromkeys(values) | dict(zip(batch, years, strict=True))

    def _run(self, value: float) -> SizedYear | None:
        case = self._case(value)
        return None if case is None else self.sized.year(case, hours=self.keeps, dumped=False)

    def _case(self, value: float) -> Case | None:
        """The study with a size; None for one that cannot be."""
        if value == self.today:
            return self.case
        more: list[tuple[Path, str]] = []
        if self.tank is not None and self.tank.loss_w_k > 0:
            more = [((*self.path[:-1], "loss"), f"{self._loss_w_k(value)!r} W/K")]
        return if_fits(self.case, (self.path, f"{value!r} {SIZES[self.what][1]}"), *more)

    def _loss_w_k(self, value: float) -> float:
        """What a tank of a size loses, in step with its surface [W/K]."""
        assert self.tank is not None
        return float(self.tank.loss_w_k * (value / self.today) ** (2.0 / 3.0))

    def costs(self, sizes: Sequence[tuple[float, SizedYear]]) -> tuple[list[float], list[float]]:
        """Cost of each size's year, and its life-cycle cost with the tank's own first cost."""
        fresh = list({id(year): year for _, year in sizes if id(year) not in self.paid}.values())
        self.paid |= zip(map(id, fresh), self.sized.bills(fresh) if fresh else (), strict=True)
        bills = [self.paid[id(year)] for _, year in sizes]
        present = [self._present(paid, year) for paid, (_, year) in zip(bills, sizes, strict=True)]
        money = [cost + (self.each or 0.0) * value for cost, (value, _) in zip(present, sizes, strict=True)]
        return [sum(bill.total for bill in paid.values()) for paid in bills], money

    def _present(self, paid: Mapping[str, Paid], year: SizedYear) -> float:
        """Life-cycle cost of a year's bills."""
        option = self.case.options[self.at]
        if year.whole is not None:
            return outlay_of(self.case, option, paid, year.whole.co2_kg, 0).present_cost
        worth = self.worth = self.worth or worth_of(self.case, option, paid, math.nan)
        return worth.always + sum(
            bill.fixed * worth.still + (bill.total - bill.fixed) * worth.moving[key] for key, bill in paid.items()
        )


@dataclass(frozen=True, slots=True)
class _Best:
    """What a search found: the size with its year, and the smallest that does with its cost."""

    value: float | None
    year: SizedYear
    smallest: float | None
    smallest_year: SizedYear
    ground: str = ""


def _bisect(run: Run, today: float, first: SizedYear, hours: int) -> tuple[float | None, SizedYear]:
    """Smallest value whose unmet hours are borne, and what it gives."""
    low, high, best = 0.0, today, first
    if not bears(first, hours):
        largest = run(today * LARGEST_FACTOR)
        if largest is not None and not bears(largest, hours):
            return None, largest
    while not bears(best, hours):
        low, high = high, high * 2.0
        year = run(high) if high <= today * LARGEST_FACTOR else None
        if year is None:
            return None, best
        best = year
    if low == 0.0:
        tiny = run(high * TINY)
        if bears(tiny, hours):
            return 0.0, tiny
    return narrow(told_by_unmet(run, max(low, high * TINY), high, hours), run, max(low, high * TINY), high, best, hours)


def _least_cost(search: _Search, sizes: Sequence[float], first: SizedYear, hours: int) -> _Best:
    """The tank of least life-cycle cost whose unmet hours are borne, among a row of sizes a fifth apart, and the smallest of them."""
    years = [(value, year) for value in sizes if (year := search.run(value)) is not None]
    at = next((i for i, (_, year) in enumerate(years) if bears(year, hours)), None)
    if at is None:
        fewest = min([first, *(year for _, year in years)], key=lambda year: year.lacking_hours)
        return _Best(None, fewest, None, fewest)
    value, year = years[at]
    small = (0.0, year) if value == sizes[0] else narrow(
        lambda size: bears(search.run(size), hours), search.run, years[at - 1][0] if at else 0.0, value, year, hours
    )  # fmt: skip
    tried = [small, *(tank for tank in years[at + 1 :] if bears(tank[1], hours))]
    best, least = small, math.inf
    # today's is billed with them
    for tank, present in zip(tried, search.costs([*tried, (search.today, first)])[1], strict=False):
        if present < least * (1.0 - SAME_COST_SHARE):
            best, least = tank, present
    return _Best(best[0], best[1], small[0], small[1])


def _circuit(run: Run, source: HeatSource, first: SizedYear, hours: int) -> _Best:
    """The circuit's breaker: 125 % of the unit's own current; of no typed output, the smallest standard one that does."""
    output, volts = source.typed_sizes().get("output"), source.circuit()[0] or 0.0
    if output is not None:
        load_a = output / (source.plate_efficiency() or 1.0) / volts
        rating = next_breaker_a(load_a)
        tried = run(float(rating)) if rating is not None else None
        ground = tr(
            "{load} A of the unit × {continuous_factor} = {load_2} A, next standard rating",
            load=f"{load_a:.1f}",
            continuous_factor=f"{CONTINUOUS_FACTOR:g}",
            load_2=f"{load_a * CONTINUOUS_FACTOR:.1f}",
        )
        if rating is None or tried is None:
            return _Best(None, first, None, first, tr("{ground}: beyond the tables, several circuits", ground=ground))
        return _Best(float(rating), tried, float(rating), tried, ground)
    best = first
    for rating in BREAKERS_A:
        tried = run(float(rating))
        if bears(tried, hours):
            ground = tr(
                "a unit of {rating} kW, {rating_2} A over hours, on a standard rating",
                rating=f"{rating * volts / CONTINUOUS_FACTOR / 1000.0:.1f}",
                rating_2=f"{rating / CONTINUOUS_FACTOR:.0f}",
            )
            return _Best(float(rating), tried, float(rating), tried, ground)
        best = tried if tried is not None and tried.lacking_hours < best.lacking_hours else best
    return _Best(None, best, None, best)


def place_of(case: Case, option: str) -> int:
    """Number of an option, from 0; where there is none of that name, the `InputError` lists those there are."""
    names = [typed_option.name for typed_option in case.options]
    if option not in names:
        raise InputError(
            Fault("option", f"'{option}' is not an option of this study", f"use one of {', '.join(names)}", case.file)
        )
    return names.index(option)


def _path(case: Case, at: int, what: str, source: int) -> tuple[tuple[str | int, ...], float]:
    """Where the value stands in the study, and what it is today."""
    if what == "tank":
        own, path = _tank_of(case, at)
        if own is None:
            raise InputError(
                Fault("tank", "the option has no tank to size", 'add a table [tank] with volume = "80 gal"', case.file)
            )
        return (*path, "volume"), own.volume_m3
    sources = case.options[at].sources
    if not 0 <= source < len(sources):
        raise InputError(
            Fault("source", f"the option has {len(sources)} sources", f"name one from 1 to {len(sources)}", case.file)
        )
    return ("option", at, "source", source, what), _today(case, sources[source], what)


def _tank_of(case: Case, at: int) -> tuple[Tank | None, tuple[str | int, ...]]:
    """The tank that an option heats, its own before the study's, and where it stands."""
    option = case.options[at]
    return option.tank_of(case), ("tank",) if option.tank is None else ("option", at, "tank")


def can_size(case: Case, option: Option, what: str) -> list[int]:
    """Numbers of the sources that have such a size, from 0; for the tank ``[0]`` where there is one."""
    if what == "tank":
        return [0] if (option.tank_of(case)) is not None else []
    return [i for i, source in enumerate(option.sources) if what in source.typed_sizes()]


def _today(case: Case, source: HeatSource, what: str) -> float:
    sizes = source.typed_sizes()
    if what not in sizes:
        raise InputError(
            Fault(what, f"{source.label} has no {what}", f"size its {' or '.join(sizes)}, or the tank", case.file)
        )
    return sizes[what]


def named_option(case: Case, name: str) -> Option:
    """Find an option by name, as `place_of` does."""
    return case.options[place_of(case, name)]


def as_json(size: Size) -> dict[str, Any]:
    """A size as plain data, in SI."""
    return asdict(size)
