"""Many real winters as one table: what each option costs and how many hours it falls short in each of them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.simulation import load_weather, load_winters, simulate
from costsim.study.case import Case
from costsim.units.table import KWH_J
from costsim.weather.history import left_out
from costsim.weather.model import BASE_C, Weather, design_temperature
from costsim.words import tr

ONE_IN_TEN = 0.9
FEWEST_FOR_ONE_IN_TEN = 9
"""Fewer winters hold no value that one in ten exceeds: with plotting positions i / (n + 1) the worst of nine is that one."""
MOST_WARMING_K = 10.0


@dataclass(frozen=True, slots=True)
class Warming:
    """Kelvin added to every hour of each month (12,), and where they come from."""

    by_month_k: tuple[float, ...]
    source: str

    def __post_init__(self) -> None:
        """Refuse what is no warming of twelve months, or has no source."""
        faults = []
        if len(self.by_month_k) != 12:
            what = tr("{by_month} values were given", by_month=len(self.by_month_k))
            faults.append(Fault("warming", what, tr("give one value, or twelve from January to December")))
        elif not all(abs(warming_k) <= MOST_WARMING_K for warming_k in self.by_month_k):
            what = tr("a value lies beyond {most_warming} K", most_warming=f"{MOST_WARMING_K:g}")
            faults.append(Fault("warming", what, tr("give what a climate service projects for the years in question")))
        if not self.source.strip():
            faults.append(
                Fault(
                    tr("warming source"),
                    tr("is missing"),
                    tr("say where the warming comes from: report, scenario and years"),
                )
            )
        if faults:
            raise InputError(faults)

    def applied(self, weather: Weather) -> Weather:
        """A year with every hour warmer by its month's kelvin; the sun stays."""
        outdoor = weather.outdoor_c + np.array(self.by_month_k)[weather.months - 1]
        outdoor.flags.writeable = False
        name = tr(
            "all hours warmer by {by_month} to {by_month_2} K ({source})",
            by_month=f"{min(self.by_month_k):g}",
            by_month_2=f"{max(self.by_month_k):g}",
            source=self.source,
        )
        return replace(weather, outdoor_c=outdoor, synthetic=True, source=f"{weather.source}; {name}")


@dataclass(frozen=True, slots=True)
class OptionWinter:
    """One option in one winter."""

    cost: float
    unmet_hours: int
    unmet_j: float


@dataclass(frozen=True, slots=True)
class WinterRow:
    """One winter: degree-days below 65 °F [K d], its coldest hour [°C], and every option by name."""

    name: str
    degree_days_k_d: float
    coldest_c: float
    options: dict[str, OptionWinter]


@dataclass(frozen=True, slots=True)
class OptionWinters:
    """One option over all winters.

    `one_in_ten_cost` and `one_in_ten_unmet_hours` are what one winter in ten exceeds, by plotting positions i / (n + 1);
    of fewer than nine winters it is the worst. `worst_cost_winter` and `worst_unmet_winter` name winters.
    """

    name: str
    mean_cost: float
    one_in_ten_cost: float
    worst_cost: float
    worst_cost_winter: str
    one_in_ten_unmet_hours: float
    worst_unmet_hours: int
    worst_unmet_winter: str


@dataclass(frozen=True, slots=True)
class WinterTable:
    """Rows of winters in the order given, options over all of them, and what the table rests on."""

    currency: str
    rows: tuple[WinterRow, ...]
    options: tuple[OptionWinters, ...]
    notes: tuple[str, ...]


def read_warming(text: str | None, source: str) -> Warming | None:
    """Read a warming as it is typed.

    Parameters
    ----------
    text : str or None
        One value with its unit, such as ``1.5 K`` or ``2.7 degF``, or twelve separated by commas with one unit.
    source : str

    Raises
    ------
    InputError
        It is no warming, or its source is missing.

    Examples
    --------
    >>> read_warming("1.8 degF", "an invented scenario").by_month_k[0], read_warming(None, "")
    (1.0, None)
    """
    if text is None:
        return None
    words = text.replace("°", "deg").replace("degK", "K").split()
    unit = words[-1] if words else ""
    numbers = "".join(words[:-1]).split(",")
    scale = {"K": 1.0, "degC": 1.0, "degF": 1 / 1.8}.get(unit)
    try:
        values = [float(number) for number in numbers]
    except ValueError:
        values = []
    if scale is None or len(values) not in (1, 12) or not all(math.isfinite(value) for value in values):
        raise InputError(
            Fault("--warming", f"'{text[:60]}' is no warming", 'write it like "1.5 K", or twelve values: "1,1.2,… K"')
        )
    return Warming(tuple(value * scale for value in values * (12 if len(values) == 1 else 1)), source)


def named_winters(case: Case) -> list[tuple[str, Weather]]:
    """Years that the study names under ``uncertainty.weather``, by the years of their hours or their title."""
    named = load_winters(case)
    if not named:
        raise InputError(
            Fault("--weather", "was not given, and the study names no years", "name hourly files of several years")
        )
    return [(f"{year.years[0]}" if len(year.years) == 1 else year.title, year) for year in named]


def winters(
    case: Case,
    named: Sequence[tuple[str, Weather]],
    *,
    warming: Warming | None = None,
    progress: Callable[[float], None] | None = None,
) -> WinterTable:
    """Compute a study in each of several winters.

    Parameters
    ----------
    case : Case
        Its design temperature stays that of its own weather: a cold winter makes no other house.
    named : sequence of (name, weather)
        Heating years, such as `costsim.weather.year_weather.winters_of` gives.
    warming : Warming, optional
        Kelvin by month that are added to every winter.
    progress : callable, optional
        Called with the share that is done.

    Raises
    ------
    InputError
        There are no winters, or the study does not run on one of them.
    """
    if not named:
        raise InputError(
            Fault("weather", "holds no whole winter", "give hourly files from July of one year to June of a later one")
        )
    design, design_from = design_temperature(load_weather(case))
    rows = []
    for at, (name, weather) in enumerate(named):
        if progress is not None:
            progress(at / len(named))
        year = replace(weather, design_99_c=design)
        result = simulate(case, year if warming is None else warming.applied(year))
        years = {
            option.name: OptionWinter(option.cost_total, option.unmet.hours, option.unmet.energy_j)
            for option in result.options
        }
        warm = 0.0 if warming is None else np.array(warming.by_month_k)[weather.months - 1]
        outdoor = weather.outdoor_c + warm
        days = float(np.maximum(BASE_C - outdoor, 0.0).sum()) / 24.0
        rows.append(WinterRow(name, days, float(outdoor.min()), years))
    if progress is not None:
        progress(1.0)
    options = tuple(_over_all(option.name, rows) for option in case.options)
    notes = (
        []
        if case.place.design_outdoor_c is not None
        else [
            tr(
                "design temperature {design} °C in every winter: {design_from}",
                design=f"{design:.1f}",
                design_from=design_from,
            )
        ]
    )
    if missing := left_out(named):
        notes.append(missing)
    if len(rows) < FEWEST_FOR_ONE_IN_TEN:
        many = tr("{rows} winters hold", rows=len(rows)) if len(rows) > 1 else tr("one winter holds")
        notes.append(tr("{many} no one-in-ten winter: the worst stands for it", many=many))
    if warming is not None:
        notes.append(
            tr(
                "warming of {warming} added to every hour; source: {source}",
                warming=_kelvin(warming),
                source=warming.source,
            )
        )
    return WinterTable(case.currency, tuple(rows), options, tuple(notes))


def _kelvin(warming: Warming) -> str:
    low, high = min(warming.by_month_k), max(warming.by_month_k)
    return f"{low:g} K" if low == high else tr("{low} to {high} K by month", low=f"{low:g}", high=f"{high:g}")


def _over_all(name: str, rows: Sequence[WinterRow]) -> OptionWinters:
    costs = np.array([row.options[name].cost for row in rows])
    hours = np.array([row.options[name].unmet_hours for row in rows])
    dearest, coldest = int(np.argmax(costs)), int(np.argmax(hours))
    return OptionWinters(
        name=name,
        mean_cost=float(costs.mean()),
        one_in_ten_cost=float(np.quantile(costs, ONE_IN_TEN, method="weibull")),
        worst_cost=float(costs[dearest]),
        worst_cost_winter=rows[dearest].name,
        one_in_ten_unmet_hours=float(np.quantile(hours, ONE_IN_TEN, method="weibull")),
        worst_unmet_hours=int(hours[coldest]),
        worst_unmet_winter=rows[coldest].name if hours[coldest] else "",
    )


def as_json(table: WinterTable) -> dict[str, Any]:
    """The table as plain data; energy in kWh, temperatures in °C."""
    fields = asdict(table)
    for row in fields["rows"]:
        row["options"] = [
            {
                "name": name,
                "cost": option["cost"],
                "unmet_hours": option["unmet_hours"],
                "unmet_kwh": option["unmet_j"] / KWH_J,
            }
            for name, option in row["options"].items()
        ]
    return fields
