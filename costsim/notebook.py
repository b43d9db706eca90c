"""`Study`: what a notebook uses. Every method calls the function that the command of the same name calls."""

from __future__ import annotations

import copy
import html
from calendar import isleap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any, Literal
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from costsim.analysis import breakeven, capacity, foresight, layout, lifecycle, select, sizing, uncertainty, winters
from costsim.engine.lower import lower_study
from costsim.report.write import write_report
from costsim.results.result import Result
from costsim.simulation import load_weather, simulate
from costsim.study.case import Case, case_from, read_study, write_study
from costsim.study.house import keep_found
from costsim.study_files import StudyFiles
from costsim.tariffs.clock import LEAP_HOURS, year_of_hours
from costsim.units.fields import QuantityField
from costsim.units.quantity import HOUR_S, KWH_J, to_display, unit_for
from costsim.units.table import DIMENSIONS
from costsim.views.headline import headline
from costsim.views.tables import season_rows, text_table
from costsim.weather import Weather

System = Literal["us", "si"]


@dataclass(frozen=True, slots=True)
class Table:
    """A result as a table: shown by a notebook, handed on as a DataFrame.

    Parameters
    ----------
    title : str
        What the table says.
    frame : DataFrame
        Numbers, with units in the column names.
    details : object
        The result it was made from, in SI.
    """

    title: str
    frame: pd.DataFrame
    details: Any = field(repr=False)

    def to_frame(self) -> pd.DataFrame:
        """Give a copy of the table."""
        return self.frame.copy()

    def __repr__(self) -> str:
        """Title and table as text."""
        return f"{self.title}\n{self.frame.to_string(index=False, float_format='{:,.4g}'.format, na_rep='')}"

    def _repr_html_(self) -> str:
        return f"<p>{html.escape(self.title)}</p>{self.frame.to_html(index=False, escape=True, na_rep='', float_format='{:,.4g}'.format)}"


@dataclass(frozen=True, slots=True)
class Comparison:
    """All options of a study over a year: `to_frame` for the season, `hourly` for the hours, `plot_*` for figures."""

    case: Case
    weather: Weather
    result: Result
    system: System = "us"

    @property
    def sentence(self) -> str:
        """The decision in words."""
        return headline(self.case, self.weather, self.result, self.system)

    def to_frame(self) -> pd.DataFrame:
        """One row for each option: cost in the study's currency, heat and unmet load in kWh, hours, CO2 in kg."""
        coin = self.result.currency
        rows = [
            {
                "option": option.name,
                f"cost [{coin}]": option.cost_total,
                f"fixed [{coin}]": option.cost_fixed,
                f"energy [{coin}]": option.cost_energy,
                "demand [kWh]": option.demand_j / KWH_J,
                "delivered [kWh]": option.delivered_j / KWH_J,
                "unmet hours [h]": option.unmet.hours,
                "unmet load [kWh]": option.unmet.energy_j / KWH_J,
                "largest unmet load [kW]": option.unmet.worst_w / 1e3,
                "CO2 [kg]": option.co2_kg,
            }
            for option in self.result.options
        ]
        return pd.DataFrame(rows)

    def hourly(self, option: str | int = 0) -> pd.DataFrame:
        """Give every hour of an option.

        Parameters
        ----------
        option : str or int
            Name or number of the option.

        Returns
        -------
        DataFrame (n rows)
            Index: start of the hour in local time, aware of the time zone. Heat flows in kW, temperatures in °C, the room's where
            the study has ``[floor.mass]``, else its set-point;
            `attrs["units"]` maps each column to its unit.

        Raises
        ------
        KeyError
            There is no such option.
        """
        season = self._option(option)
        hours = season.hourly
        columns: dict[str, tuple[Any, str]] = {
            "outdoor": (self.weather.outdoor_c, "°C"),
            "demand": (hours.demand_w / 1e3, "kW"),
            "delivered": (hours.delivered_w / 1e3, "kW"),
            "unmet": (hours.unmet_w / 1e3, "kW"),
            "tank": (hours.tank_c, "°C"),
            "room" if self.result.lowered.water.mass else "set-point": (hours.room_c, "°C"),
        }
        for i, source in enumerate(season.sources):
            columns[f"{source.name} heat"] = (hours.heat_w[i] / 1e3, "kW")
            columns[f"{source.name} input"] = (hours.input_w[i] / 1e3, "kW")
        frame = pd.DataFrame({f"{name} [{unit}]": values for name, (values, unit) in columns.items()})
        frame.index = hours_of(self.case, self.weather)
        frame.attrs.update(option=season.name, units={f"{name} [{unit}]": unit for name, (_, unit) in columns.items()})
        return frame

    def plot_cost(self) -> Any:
        """Draw the cost of each option, as a plotly figure."""
        from costsim.views.charts import cost_chart

        return cost_chart(self.result)

    def plot_months(self, option: str | int = 0) -> Any:
        """Draw an option's heat by month and source, as a plotly figure."""
        from costsim.views.charts import monthly_chart

        return monthly_chart(self.result, self._option(option), self.system)

    def plot_duration(self, option: str | int = 0) -> Any:
        """Draw an option's load-duration curve, as a plotly figure."""
        from costsim.views.charts import duration_chart

        return duration_chart(self._option(option), self.system)

    def _option(self, option: str | int) -> Any:
        names = [option_result.name for option_result in self.result.options]
        if isinstance(option, str) and option not in names:
            raise KeyError(f"there is no option '{option}'; use one of {', '.join(names)}")
        if isinstance(option, int) and not -len(names) <= option < len(names):
            raise KeyError(f"there is no option {option}; there are {len(names)}")
        return self.result.options[names.index(option) if isinstance(option, str) else option]

    def __repr__(self) -> str:
        """Title, decision and season as text."""
        return f"{self.result.title}\n{self.sentence}\n\n{text_table(*season_rows(self.result, self.system))}"

    def _repr_html_(self) -> str:
        headings, rows = season_rows(self.result, self.system)
        head = "".join(f"<th>{html.escape(cell)}</th>" for cell in headings)
        body = "".join("<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>" for row in rows)
        title = f"<b>{html.escape(self.result.title)}</b><br>{html.escape(self.sentence)}"
        return f"<p>{title}</p><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


@dataclass(frozen=True)
class Study:
    """A study for people who write Python: read it, change it, ask it.

    Parameters
    ----------
    case : Case
        What was typed.
    weather : Weather, optional
        A year of hours in place of the one that the study names.
    system : {'us', 'si'}
        Units of texts.

    Examples
    --------
    >>> study = Study.read("lantern_cottage").replace("house.floor_area", "1500 ft2")
    >>> study.compare().to_frame().columns[0]
    'option'
    """

    case: Case
    given_weather: Weather | None = None
    system: System = "us"

    @classmethod
    def read(cls, path: str | Path, *, system: System = "us") -> Study:
        """Read a study file, or a built-in study by its name.

        Raises
        ------
        InputError
            The file cannot be read or has faults; all are listed.
        """
        return cls(read_study(path), system=system)

    @classmethod
    def from_dict(cls, study: Mapping[str, Any], *, folder: str | Path | None = None, system: System = "us") -> Study:
        """Build a study from plain data with the keys of a study file; files it names lie in `folder`.

        Raises an `InputError` with every fault found.
        """
        return cls(case_from(study, files=StudyFiles(Path(folder) if folder is not None else None)), system=system)

    @property
    def weather(self) -> Weather:
        """The year of hours in use."""
        return self.given_weather if self.given_weather is not None else load_weather(self.case)

    def with_weather(self, weather: Weather) -> Study:
        """Use another year."""
        return Study(self.case, weather, self.system)

    def replace(self, path: str, value: Any) -> Study:
        """Change one key; the study itself stays as it is.

        Parameters
        ----------
        path : str
            Keys and numbers from 0, such as ``"house.floor_area"`` or ``"option.0.source.0.output"``.
        value : str, float, int, bool, list or dict
            As in a study file; a float stands for the key's SI unit (degree Celsius for temperatures).

        Raises
        ------
        InputError
            The study with this value has faults; all are listed.
        KeyError
            The path leads nowhere.
        """
        study: Any = copy.deepcopy(dict(self.case.typed))
        at, keys = study, [int(key) if key.isdigit() else key for key in path.split(".")]
        for key, following in pairwise(keys):
            try:
                at = at.setdefault(key, [] if isinstance(following, int) else {}) if isinstance(at, dict) else at[key]
            except (IndexError, TypeError, AttributeError):
                raise KeyError(f"there is no '{key}' on the path '{path}'") from None
        if path == "house.indoor_temperature":
            keep_found(at)
        if isinstance(at, list) and keys[-1] == len(at):
            at.append(None)
        at[keys[-1]] = self._as_text(keys, value) if isinstance(value, float) else value
        return Study(case_from(study, file=self.case.file, files=self.case.files), self.given_weather, self.system)

    def _as_text(self, keys: list[str | int], value: float) -> str | float:
        """Write an SI float as text with its unit, where the key is a quantity."""
        model: Any = self.case
        for key in keys[:-1]:
            model = model[key] if isinstance(key, int | np.integer) else getattr(model, str(key))
        fields = getattr(type(model), "model_fields", {})
        model_field = next((entry for name, entry in fields.items() if keys[-1] in (name, entry.alias)), None)
        quantity = (
            next((tag for tag in model_field.metadata if isinstance(tag, QuantityField)), None) if model_field else None
        )
        if quantity is None or quantity.dimension not in DIMENSIONS:
            return value
        return f"{to_display(value, quantity.dimension, 'si')!r} {unit_for(quantity.dimension, 'si')}"

    def to_toml(self) -> str:
        """The text of the study file."""
        return write_study(self.case.typed)

    def simulate(self) -> Comparison:
        """Compute every option over the year."""
        weather = self.weather
        return Comparison(self.case, weather, simulate(self.case, weather), self.system)

    compare = simulate

    def uncertainty(self) -> Table:
        """Cost of each option over many scenarios: 10, 50 and 90 % quantiles; `details.options[i].cost` has all of them."""
        bands = uncertainty.uncertainty(self.case, self.weather)
        fields = uncertainty.as_json(bands)
        names = ("10 %", "50 %", "90 %")
        rows = [
            {
                "option": option["name"],
                **dict(zip(names, option["cost_10_50_90"], strict=True)),
                "unmet hours, median [h]": hours,
            }
            for option in fields["options"]
            for hours in [option["unmet_hours_median"]]
        ]
        title = f"{bands.pair[0]} costs less than {bands.pair[1]} in {bands.first_is_cheaper:.0%} of scenarios"
        return Table(title, pd.DataFrame(rows), bands)

    def breakeven(self) -> Table:
        """Prices at which two options cost the same, per kWh of the fuel's higher heating value; empty where they never do."""
        prices, coin = breakeven.breakeven_prices(self.case, self.weather), self.case.currency
        columns = ["price of", "between", "and", f"today [{coin}/kWh]", f"the same at [{coin}/kWh]", "cheaper below"]
        columns += [f"over the years the same at [{coin}/kWh]", "over the years cheaper below"]
        rows = [(entry["price"].replace("_", " "), *list(entry.values())[1:]) for entry in breakeven.as_json(prices)]
        return Table("Break-even prices", pd.DataFrame(rows, columns=columns), prices)

    def lifecycle(self) -> Table:
        """Life-cycle cost of each option over the study period."""
        weather = self.weather
        outlays, steps = lifecycle.life_cycle(self.case, simulate(self.case, weather))
        rows = [
            {
                "option": outlay.option,
                "first cost": outlay.first if outlay.priced else np.nan,
                "life-cycle cost": outlay.present_cost if outlay.priced else np.nan,
            }
            for outlay in outlays
        ]
        return Table(f"Over {self.case.economics.study_period} years", pd.DataFrame(rows), (outlays, steps))

    def winters(self, named: Sequence[tuple[str, Weather]], warming: winters.Warming | None = None) -> Table:
        """Cost and unmet hours in each of several winters, such as `weather.join.winters_of_files` gives."""
        table = winters.winters(self.case, named, warming=warming)
        rows = [
            {"winter": row.name, "option": name, "cost": option.cost, "unmet hours [h]": option.unmet_hours}
            for row in table.rows
            for name, option in row.options.items()
        ]
        return Table(f"{len(table.rows)} winters", pd.DataFrame(rows), table)

    def capacity(self) -> Table:
        """Rated, available and delivered capacity of every source [kW]."""
        report = capacity.capacity_report(self.case, self.weather)
        rows = [
            {
                "option": option.option,
                "source": source.name,
                "rated [kW]": source.rated_w / 1e3,
                "available [kW]": source.derated_w / 1e3,
                "delivered [kW]": source.delivered_w / 1e3,
            }
            for option in report.options
            for source in option.sources
        ]
        return Table(f"Design load {report.design_load_w / 1e3:.2f} kW", pd.DataFrame(rows), report)

    def foresight(self) -> Table:
        """What a perfect controller would save against each option's rule."""
        common = lower_study(self.case, self.weather)
        gaps = [foresight.controller_gap(common, option) for option in self.case.options]
        rows = [{"option": g.option, "rule": g.rule_cost, "least cost": g.best_cost, "saving": g.saving} for g in gaps]
        return Table("Perfect foresight", pd.DataFrame(rows), gaps)

    def size(self, option: str, what: str = "output", *, source: int = 0, hours: int = 0) -> Any:
        """Find the smallest size that leaves at most `hours` unmet; see `costsim.analysis.sizing.smallest`."""
        return sizing.smallest(self.case, self.weather, option=option, what=what, source=source, hours=hours)

    def layout(self) -> Any:
        """Loops, pumps and zones from the floor areas; see `costsim.analysis.layout.layout`."""
        return layout.layout(self.case, self.weather)

    def select(self) -> Any:
        """Sizes off the shelf for every option; see `costsim.analysis.select.select`."""
        return select.select(self.case, self.weather)

    def report(self, path: str | Path) -> Path:
        """Write the report as .pdf or .html and give its path."""
        write_report(self.case, self.weather, path, self.system)
        return Path(path)

    def __repr__(self) -> str:
        """Title, options and place."""
        return f"Study({self.case.title!r}: {', '.join(option.name for option in self.case.options)})"


def hours_of(case: Case, weather: Weather) -> pd.DatetimeIndex:
    """Local start of each hour, aware of the time zone: the study's own, else the file's standard time.

    Returns
    -------
    DatetimeIndex (n,)
        In the study's `calendar_year`, or for weather with a 29 February in that of a leap year; a leap year of 8,760 hours leaves it out.
    """
    year = year_of_hours(weather.n_hours, case.place.calendar_year, weather.years)
    offset = 0.0 if np.isnan(weather.utc_offset_h) else weather.utc_offset_h
    start = pd.Timestamp(f"{year}-01-01") - pd.Timedelta(seconds=offset * HOUR_S)
    whole = pd.date_range(start, periods=LEAP_HOURS if isleap(year) else weather.n_hours, freq="h", tz="UTC")
    if isleap(year) and weather.n_hours != LEAP_HOURS:
        local = whole + pd.Timedelta(seconds=offset * HOUR_S)
        whole = whole[(local.month != 2) | (local.day != 29)]
    zone: Any = (
        ZoneInfo(case.place.timezone)
        if case.place.timezone
        else f"{'+' if offset >= 0 else '-'}{abs(int(offset)):02d}:00"
    )
    return whole[: weather.n_hours].tz_convert(zone)
