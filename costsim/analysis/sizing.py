"""The smallest source, tank, store or breaker that brings unmet hours down, and what the next square metre of collector is worth."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any, TypeGuard

from costsim.analysis.lifecycle import outlay
from costsim.engine.lower import lower_study
from costsim.errors import Fault, InputError
from costsim.physics.circuits import BREAKERS_A, CONTINUOUS_FACTOR, next_breaker_a
from costsim.results.result import OptionResult
from costsim.simulation import simulate_option
from costsim.sources import HeatSource
from costsim.study.case import Case, Option, case_from
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
CLOSE, TINY = 1e-3, 1e-3
STEP = 1.2
SAME_COST_SHARE = 1e-3
"""Years whose cost differs by less cost the same, and the smaller size is taken."""
SWEEP = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0)
"""Collector areas tried, in areas of the study's own."""
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

    def shown(self, system: str) -> str:
        """The size in the reader's unit."""
        if self.value is None:
            return tr("no size")
        digits = 0 if self.what == "breaker" else 1
        return f"{to_display(self.value, self.dimension, system):,.{digits}f} {unit_for(self.dimension, system)}"


def changed(case: Case, path: tuple[str | int, ...], text: str) -> Case:
    """The same study with one typed value changed.

    Raises
    ------
    InputError
        The value does not fit.
    """
    data: Any = copy.deepcopy(case.typed)
    at = data
    for part in path[:-1]:
        at = at[part] if isinstance(part, int) else at.setdefault(part, {})
    at[path[-1]] = text
    return case_from(data, file=case.file, files=case.files)


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
    at = _place(case, option)
    path, today = _path(case, at, what, source)
    dimension, unit = SIZES[what]
    tank = case.options[at].tank or case.tank
    each = tank.cost_per_volume_money if what == "tank" and tank is not None else None
    tried = 0

    def present(value: float, found: OptionResult) -> float:
        return outlay(case, case.options[at], found).present_cost + (each or 0.0) * value

    def run(value: float) -> OptionResult | None:
        nonlocal tried
        tried += 1
        try:
            other = changed(case, path, f"{value!r} {unit}")
            if what == "tank" and tank is not None and tank.loss_w_k > 0:
                loss = tank.loss_w_k * (value / today) ** (2.0 / 3.0)
                other = changed(other, (*path[:-1], "loss"), f"{loss!r} W/K")
        except InputError:
            if value == today:
                raise
            return None
        return simulate_option(lower_study(other, weather), other.options[at])

    first = run(today)
    assert first is not None
    if what == "tank":
        best = _least_cost(run, present, today, first, hours)
    elif what == "breaker":
        best = _circuit(run, case.options[at].sources[source], first, hours)
    else:
        value, found = _bisect(run, today, first, hours)
        best = _Best(value, found, value, found.cost_total)
    year = best.result
    return Size(
        option, what, dimension, best.value, today, year.lacking_hours, first.lacking_hours, year.cost_total,
        first.cost_total, tried, best.smallest, best.smallest_cost, best.ground, present(best.value or 0.0, year),
        present(today, first), case.economics.study_period, each is not None,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Best:
    """What a search found: the size with its year, and the smallest that does with its cost."""

    value: float | None
    result: OptionResult
    smallest: float | None
    smallest_cost: float
    ground: str = ""


Run = Callable[[float], OptionResult | None]
"""A year with a size; None for a size that cannot be, such as a burner below its smallest fire."""
Present = Callable[[float, OptionResult], float]
"""Life-cycle cost of a tank's size and its year."""


def _bears(found: OptionResult | None, hours: int) -> TypeGuard[OptionResult]:
    return found is not None and found.lacking_hours <= hours


def _bisect(run: Run, today: float, first: OptionResult, hours: int) -> tuple[float | None, OptionResult]:
    """Smallest value whose unmet hours are borne, and what it gives."""
    low, high, best = 0.0, today, first
    while not _bears(best, hours):
        low, high = high, high * 2.0
        found = run(high) if high <= today * LARGEST_FACTOR else None
        if found is None:
            return None, best
        best = found
    if low == 0.0:
        tiny = run(high * TINY)
        if _bears(tiny, hours):
            return 0.0, tiny
    return _narrow(run, max(low, high * TINY), high, best, hours)


def _narrow(run: Run, low: float, high: float, best: OptionResult, hours: int) -> tuple[float, OptionResult]:
    """Halve the span between a size that does not do and one that does."""
    while high - low > CLOSE * high:
        middle = (low + high) / 2.0
        found = run(middle)
        if _bears(found, hours):
            high, best = middle, found
        else:
            low = middle
    return high, best


def _least_cost(run: Run, present: Present, today: float, first: OptionResult, hours: int) -> _Best:
    """The tank of least life-cycle cost whose unmet hours are borne, among a row of sizes a fifth apart, and the smallest of them."""
    before, small, best, fewest = 0.0, None, None, first
    for step in range(FIRST_STEP, LAST_STEP + 1):
        value = today * STEP**step
        found = first if step == 0 else run(value)
        if found is None:
            continue
        fewest = found if found.lacking_hours < fewest.lacking_hours else fewest
        if _bears(found, hours):
            if small is None:
                small = (0.0, found) if step == FIRST_STEP else _narrow(run, before, value, found, hours)
                best = small
            elif best is not None and present(value, found) < present(*best) * (1.0 - SAME_COST_SHARE):
                best = value, found
        before = value
    if small is None or best is None:
        return _Best(None, fewest, None, fewest.cost_total)
    return _Best(best[0], best[1], small[0], small[1].cost_total)


def _circuit(run: Run, source: HeatSource, first: OptionResult, hours: int) -> _Best:
    """The circuit's breaker: 125 % of the unit's own current; of no typed output, the smallest standard one that does."""
    output, volts = getattr(source, "output_w", None), float(getattr(source, "volts_v", None) or 0.0)
    if output is not None:
        load_a = output / float(getattr(source, "efficiency_share", 1.0)) / volts
        rating = next_breaker_a(load_a)
        found = run(float(rating)) if rating is not None else None
        words = "{load} A of the unit × {factor} = {product} A, next standard rating"
        load, product = f"{load_a:.1f}", f"{load_a * CONTINUOUS_FACTOR:.1f}"
        ground = tr(words, load=load, factor=f"{CONTINUOUS_FACTOR:g}", product=product)
        if rating is None or found is None:
            ground = tr("{ground}: beyond the tables, several circuits", ground=ground)
            return _Best(None, first, None, first.cost_total, ground)
        return _Best(float(rating), found, float(rating), found.cost_total, ground)
    best = first
    for rating in BREAKERS_A:
        found = run(float(rating))
        if _bears(found, hours):
            amps = rating / CONTINUOUS_FACTOR
            words = "a unit of {power} kW, {amps} A over hours, on a standard rating"
            ground = tr(words, power=f"{amps * volts / 1000.0:.1f}", amps=f"{amps:.0f}")
            return _Best(float(rating), found, float(rating), found.cost_total, ground)
        best = found if found is not None and found.lacking_hours < best.lacking_hours else best
    return _Best(None, best, None, best.cost_total)


def _place(case: Case, option: str) -> int:
    names = [one.name for one in case.options]
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
                Fault("tank", "the study has no tank to size", 'add a table [tank] with volume = "80 gal"', case.file)
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
    own = case.options[at].tank
    return (own, ("option", at, "tank")) if own is not None else (case.tank, ("tank",))


_NAMES = {"output": "output_w", "breaker": "breaker_a", "area": "area_m2"}


def can_size(case: Case, option: Option, what: str) -> list[int]:
    """Numbers of the sources that have such a size, from 0; for the tank ``[0]`` where there is one."""
    if what == "tank":
        return [0] if (option.tank or case.tank) is not None else []
    return [i for i, source in enumerate(option.sources) if getattr(source, _NAMES[what], None) is not None]


def _today(case: Case, source: HeatSource, what: str) -> float:
    value = getattr(source, _NAMES.get(what, ""), None)
    if value is None:
        has = [key for key, name in _NAMES.items() if getattr(source, name, None) is not None]
        raise InputError(
            Fault(what, f"{source.label} has no {what}", f"size its {' or '.join(has)}, or the tank", case.file)
        )
    return float(value)


@dataclass(frozen=True, slots=True)
class CollectorStep:
    """One step of a collector sweep: area, useful and dumped heat [J], solar share, and the worth of the last square metre."""

    area_m2: float
    useful_j: float
    dumped_j: float
    share: float
    cost: float
    next_useful_j_m2: float | None
    next_saved_m2: float | None


def sweep_areas_m2(case: Case, option: str) -> list[float]:
    """Collector areas to try, from a quarter to twice what the option holds [m²]; an `InputError` where it has none."""
    source = named_option(case, option).sources[_solar(case, option)]
    return [share * float(getattr(source, "area_m2", 0.0)) for share in SWEEP]


def _solar(case: Case, option: str) -> int:
    """Which source of an option is solar."""
    solar = [i for i, source in enumerate(named_option(case, option).sources) if source.collects_sun]
    if not solar:
        raise InputError(
            Fault("option", f"'{option}' has no solar source", 'add a source with kind = "solar"', case.file)
        )
    return solar[0]


def marginal_collector_area(
    case: Case, weather: Weather, *, option: str, areas_m2: list[float]
) -> tuple[CollectorStep, ...]:
    """Price the next square metre of collector.

    Parameters
    ----------
    case, weather
    option : str
        An option with a solar source.
    areas_m2 : list of float
        Rising areas to try.

    Returns
    -------
    tuple of CollectorStep
        Useful heat and money saved for each square metre of the step before; None for the first.

    Raises
    ------
    InputError
        The option has no collectors.
    """
    at = _place(case, option)
    solar = _solar(case, option)
    steps: list[CollectorStep] = []
    for area in areas_m2:
        other = changed(case, ("option", at, "source", solar, "area"), f"{area!r} m2")
        found = simulate_option(lower_study(other, weather), other.options[at])
        sun = found.sources[solar]
        last = steps[-1] if steps else None
        wider = area - last.area_m2 if last else 0.0
        steps.append(
            CollectorStep(
                area,
                sun.heat_j,
                sun.dumped_j,
                found.solar.year if found.solar else 0.0,
                found.cost_total,
                (sun.heat_j - last.useful_j) / wider if last else None,
                (last.cost - found.cost_total) / wider if last else None,
            )
        )
    return tuple(steps)


def named_option(case: Case, name: str) -> Option:
    """Find an option by name; where there is none, the `InputError` lists those there are."""
    return case.options[_place(case, name)]


def as_json(found: Size | Sequence[CollectorStep]) -> Any:
    """A size or a sweep as plain data, in SI."""
    return asdict(found) if isinstance(found, Size) else [asdict(step) for step in found]
