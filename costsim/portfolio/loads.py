"""Heat losses that no cell of a table gives: from a year's fuel, else from the floor area by the study's own loss per area."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from costsim.analysis.yearly_fuel import heat_over_fuel_j, season_efficiency
from costsim.engine.lower import lower_study
from costsim.errors import Fault, InputError
from costsim.portfolio.cell_units import AMOUNT
from costsim.portfolio.cells import BLANK, tidied, with_units
from costsim.portfolio.columns import BY_AREA, BY_FUEL, LOADS, NO_LOSS
from costsim.portfolio.fuel_columns import Use, own_use
from costsim.portfolio.fuel_words import fuel_of_words, what_heats
from costsim.portfolio.homes import Homes
from costsim.portfolio.overrides import overridden
from costsim.portfolio.own_columns import today_column
from costsim.portfolio.plan import PortfolioPlan, PreparedOption
from costsim.portfolio.rows import is_number
from costsim.portfolio.today import NOT_KNOWN, option_of, plain_electric
from costsim.results.result import OptionResult
from costsim.simulation import simulate_option
from costsim.study.case import case_from
from costsim.study.services import ELECTRICITY
from costsim.units.arrays import Floats
from costsim.units.quantity import UnitError, read_quantity, to_display, unit_for
from costsim.units.system import default_units
from costsim.units.table import HOUR_S

Row = tuple[str, ...]
LEAST_J = 1e-9
"""Heat of a cell that was read: more than none, which is what an empty one gives."""
GRID_W_K = np.geomspace(1.0, 2e4, 60)
"""Heat losses for which the year's heat is known; between them it goes by powers, which is exact where the balance point is typed."""


def with_loads(table: Homes, recipe: PortfolioPlan) -> tuple[Homes, dict[str, Any]]:
    """The table with its cells tidied and its heat losses filled in, and how those were found.

    Returns
    -------
    Homes
    dict
        `by_fuel` for each column of yearly use the option and the efficiency by which it is read; `by_area` the study's own heat
        loss per area and degree as text, empty where it is not used.

    Raises
    ------
    InputError
        No option of the study heats with a fuel of the table alone.
    """
    layout = table.layout
    fuels = _Fuels(recipe, str(table.path)) if layout.uses else None
    own = recipe.common.loss_w_k / recipe.case.house.floor_area_m2
    fillers = {BY_FUEL: fuels.loss_w_k if fuels else _nothing, BY_AREA: _ByArea(recipe, own).loss_w_k}
    loads = [at for at, column in layout.columns if column.key in LOADS and at not in layout.filled]
    width = len(layout.headings) - len(layout.filled)

    def fill(row: Row) -> Row:
        if len(row) != width:
            return (*row, *("" for _ in layout.filled))
        row = tidied(layout, with_units(layout, row), recipe.case)
        known = any(row[at] for at in loads)
        for at in layout.filled:
            load = None if known else fillers[layout.headings[at]](row)
            known = known or load is not None
            row = (*row, load if isinstance(load, str) else "" if load is None else f"{load:.10g}")
        return row

    system = default_units(recipe.case.typed)
    rate = to_display(own, "power_per_area", system)
    degree = "degF" if system == "us" else "K"
    text = f"{rate / 1.8 if system == 'us' else rate:.3g} {unit_for('power_per_area', system)} per {degree}"
    how = {
        "by_fuel": fuels.told() if fuels else [],
        "by_area": text if BY_AREA in layout.headings[width:] else "",
    }
    return replace(table, fill=fill), how


def _nothing(row: Row) -> float | None:
    return None


class _ByArea:
    """The study's own loss per floor area, for homes that give their area."""

    def __init__(self, recipe: PortfolioPlan, loss_w_k_m2: float) -> None:
        self._at, self._unit_m2 = -1, 1.0
        for at, column in recipe.layout.columns:
            if column.key == "house.floor_area":
                self._at, self._unit_m2 = at, read_quantity(f"1 {column.unit}").value
        self._loss = loss_w_k_m2

    def loss_w_k(self, row: Row) -> float | None:
        """Heat loss of a home [W/K]; None where its area is no number more than zero."""
        cell = row[self._at]
        area = float(cell) * self._unit_m2 if is_number(cell) else 0.0
        return self._loss * area if 0 < area <= 1e6 else None


class _Fuels:
    """Heat losses from what homes took of fuels in a year."""

    def __init__(self, recipe: PortfolioPlan, file: str) -> None:
        self._recipe, self._layout = recipe, recipe.layout
        self._plants = {at: _plant(recipe, use, file) for at, use in recipe.layout.uses if not use.by_row}
        self._today = today_column(recipe.layout.kept)
        self._years_of_option: dict[str, OptionResult | None] = {}
        self._named: dict[str, tuple[str, OptionResult | None] | None] = {}
        spread = bool(recipe.case.house.zone) or recipe.common.water.mass is not None
        unmoved = {*LOADS, *(() if spread else ("house.floor_area",))}  # the same heat of the same loss in any area
        self._own = [
            (at, column)
            for at, column in self._layout.columns
            if at not in self._layout.filled and column.key not in unmoved and column.path[0] in ("house", "place")
        ]
        self._years: dict[Row, Floats | None] = {}
        self._curves: dict[str, tuple[Floats, Floats]] = {}

    def told(self) -> list[dict[str, Any]]:
        """Each column with the option by which it is read, and with those by which it is read where `today`, a column, names them."""
        entries = []
        for at, use in self._layout.uses:
            fuels = (
                [price.fuel_name(key) for key, price in self._recipe.case.prices.items()] if use.by_row else [use.fuel]
            )
            for fuel in dict.fromkeys(fuels):
                usual = self._alone(fuel) if use.by_row else self._plants[at]
                named = [
                    option for option in self._recipe.options if self._today is not None and _fuels_of(option) == {fuel}
                ]
                others = [
                    self._year_of(option) for option in named if usual is None or option.option.name != usual.name
                ]
                for plant in filter(None, (usual, *others)):
                    today = self._layout.headings[self._today or 0] if plant is not usual else ""
                    beside = self._layout.headings[use.unit_at] if use.unit_at >= 0 else ""
                    unit = (
                        f"the unit that {beside} gives"
                        if beside
                        else "the unit of the cell"
                        if use.by_row
                        else use.unit
                    )
                    entry = {"column": use.heading, "unit": unit, "fuel": fuel, "option": plant.name, "today": today}
                    entry["unit_column"] = beside
                    entries.append(entry | {"efficiency": season_efficiency(plant)})
        return entries

    def _year_of(self, ready: PreparedOption) -> OptionResult | None:
        """The year of one of the study's options in the study's own house; None where it never runs."""
        name = ready.option.name
        if name not in self._years_of_option:
            year = simulate_option(self._recipe.common, ready.option)
            self._years_of_option[name] = year if any(source.input_j for source in year.sources) else None
        return self._years_of_option[name]

    def _alone(self, fuel: str) -> OptionResult | None:
        """The year of the option that heats with a fuel alone, electricity as it is; None where there is none."""
        fits = [option for option in self._recipe.options if _fuels_of(option) == {fuel}]
        if fuel == ELECTRICITY:
            fits = [option for option in fits if plain_electric(option.option.sources)]
        fits.sort(key=lambda option: not option.option.today)
        return self._year_of(fits[0]) if fits else None

    def _now(self, text: str) -> tuple[str, OptionResult | None] | None:
        """Fuel of the option that a text names and its year; no fuel where it has several, None where the text names no option."""
        if text not in self._named:
            at = option_of(self._recipe, text)[0]
            fuels = _fuels_of(self._recipe.options[at]) if at != NOT_KNOWN else set()
            plant = (fuels.pop(), self._year_of(self._recipe.options[at])) if len(fuels) == 1 else ("", None)
            self._named[text] = None if at == NOT_KNOWN else plant
        return self._named[text]

    def _heat_by_row(self, use: Use, cell: str, text: str) -> float | str:
        """Heat [J] of a cell by what heats the home today, else the reason why there is none."""
        named = self._now(text)
        row_fuel, now = named or (fuel_of_words(text), None)
        if text and not row_fuel:
            today = self._layout.headings[self._today or 0]
            if what_heats(text) == "heat pump" and named is None:
                return f"is of a heat pump, as {today} says {text}; name its option there, or leave the cell empty and give heat loss or floor area"
            return f"is of no one fuel, as {today} says {text}; leave the cell empty and give heat loss or floor area"
        fuel, key, amount = own_use(use, row_fuel, cell, self._recipe.case)
        words = fuel.replace("_", " ")
        if not fuel or not amount:
            return "is no amount of a fuel that is known; write it with its unit, such as 925 gal, and the fuel in Heating today"
        if named is None and key:
            now = self._alone(fuel)
        if now is None:
            return f"is of {words}, with which no option of the study heats alone; add such an option, or leave the cell empty and give heat loss or floor area"
        try:
            return self._heat_j(now, key, amount)
        except (UnitError, ValueError):
            return f"is no amount of {words}; write it in a unit of that fuel"

    def _heat_j(self, now: OptionResult, key: str, amount: str) -> float:
        """Heat that an option makes of an amount of what a price table sells [J]; next to none of no more than its standby."""
        joules = self._recipe.case.prices[key].joules(read_quantity(amount), key)
        if now.name not in self._curves:
            (ready,) = (option for option in self._recipe.options if option.option.name == now.name)
            self._curves[now.name] = heat_over_fuel_j(now, ready.offers)
        return max(float(np.interp(joules, *self._curves[now.name])), LEAST_J)

    def loss_w_k(self, row: Row) -> float | str | None:
        """Heat loss of a home [W/K] by all its fuels; None where it took none, the cell that is no amount as it stands."""
        heat, problem = 0.0, ""
        text = row[self._today].strip() if self._today is not None else ""
        text = "" if text.lower() in BLANK else text
        for at, use in self._layout.uses:
            if use.by_row:
                mine = self._heat_by_row(use, row[at].strip(), text) if row[at].strip() else 0.0
                if isinstance(mine, str):
                    return NO_LOSS + mine
                heat, problem = heat + mine, _NO_YEAR
                continue
            cell = row[at].strip()
            written = cell if AMOUNT.fullmatch(cell) else f"{cell} {use.unit}" * bool(cell)
            problem = problem or written
            if cell and (not is_number(cell) or float(cell) < 0):
                return written
            if is_number(row[at]) and float(row[at]) > 0:
                fuel, named = self._now(text) or ("", None)
                now = named if named is not None and fuel == use.fuel else self._plants[at]
                heat += self._heat_j(now, use.key, f"{row[at]} {use.unit}")
        if heat <= 0:
            return None
        key = tuple(row[at] for at, _ in self._own)
        if key not in self._years:
            self._years[key] = self._years_of(row)
        years = self._years[key]
        if years is None or not years[0] <= heat <= years[-1]:
            return problem
        return float(np.exp(np.interp(np.log(heat), np.log(years), np.log(GRID_W_K))))

    def _years_of(self, row: Row) -> Floats | None:
        """The year's heat [J] of a home of each loss of `GRID_W_K`, kept as warm as the row says; None where that cannot be."""
        recipe, layout = self._recipe, self._layout
        texts = [row[at] if at < len(row) and (at, column) in self._own else "" for at, column in layout.columns]
        study = overridden(recipe.case.typed, layout, texts)
        house = {name: value for name, value in study["house"].items() if name not in _RIVAL_LOADS}
        losses = []
        try:
            for loss in GRID_W_K:
                study["house"] = {**house, "heat_loss_rate": f"{loss:.12g} W/K"}
                case = case_from(study, file=recipe.case.file, files=recipe.case.files)
                losses.append(float(lower_study(case, recipe.weather).demand_w.sum()) * HOUR_S)
        except InputError:
            return None
        return np.asarray(np.maximum(losses, np.linspace(1e-6, 1e-5, len(losses))))


_NO_YEAR = f"{NO_LOSS}is no year's fuel of a house in this weather; correct the cell, or leave it empty and give the home its heat loss or floor area"
_RIVAL_LOADS = ("design_heat_loss", "heat_loss_per_area", "surface", "room", "infiltration", "load_from")


def _fuels_of(ready: PreparedOption) -> set[str]:
    return {offer.fuel for offer in ready.offers}


def _plant(recipe: PortfolioPlan, use: Use, file: str) -> OptionResult:
    """The year of the option that heats with a fuel alone: today's where it does, else the first."""
    fits = [ready for ready in recipe.options if _fuels_of(ready) == {use.fuel}]
    fits.sort(key=lambda ready: not ready.option.today)
    if not fits:
        problem = f"no option of the study heats with {use.fuel.replace('_', ' ')} alone, so it tells no heat loss"
        raise InputError(Fault(use.heading, problem, "add such an option to the study, or take the column out", file))
    return simulate_option(recipe.common, fits[0].option)
