"""What no single table of a study can see: names twice, prices nobody uses, sources without a price, no such weather."""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from typing import Any

import numpy as np
from pydantic import ValidationError

from costsim.errors import Fault, InputError
from costsim.sources import KINDS
from costsim.study import heat_content
from costsim.study.plant import Tank
from costsim.study.prices import Price, fuel_of
from costsim.study.uses import AnyUse
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import plain_calendar
from costsim.tariffs.calendar import SHORT_MONTHS
from costsim.tariffs.charges import Tariff, UnitsError, period_shares
from costsim.units.quantity import UnitError, read_quantity
from costsim.units.table import CURRENCIES, DAY_MIN, HUNDREDTHS

LONGEST_MONEY = 200
"""Letters of an amount of money with its unit."""


def _tables(tables: object) -> list[Mapping[str, Any]]:
    return [item for item in tables if isinstance(item, Mapping)] if isinstance(tables, list | tuple) else []


def whole_study_faults(study: Mapping[str, Any], file: str) -> list[Fault]:
    """Find what no single table can see: names twice, prices nobody uses, sources without a price."""
    prices = study.get("prices")
    prices = prices if isinstance(prices, Mapping) else {}
    options, known = _tables(study.get("option")), True
    faults, used, names = [], set(), []
    for at, option in enumerate(options):
        name = option.get("name")
        if name in names:
            faults.append(
                Fault(f"option[{at + 1}].name", f"'{name}' names two options", "give each option its own name", file)
            )
        names.append(name)
        if option.get("today") is True and any(before.get("today") is True for before in options[:at]):
            problem = "another option heats the house today"
            faults.append(Fault(f"option[{at + 1}].today", problem, "set today = true in one option only", file))
        for number, source in enumerate(_tables(option.get("source"))):
            key = _price_key(source, prices)
            used.add(key)
            known &= key is not None
            if key and key not in prices:
                remedy = f'add a table [prices.{key}] with energy = "…", or name another with price = "…"'
                where = f"option[{at + 1}].source[{number + 1}]"
                faults.append(Fault(where, f"its fuel {key} has no price", remedy, file))
    for key, table in prices.items():
        if known and options and key not in used and not (key == "electricity" and "house" in study):
            faults.append(
                Fault(f"prices.{key}", "no source uses this price", "take it out, or add a source that uses it", file)
            )
        elif isinstance(table, Mapping) and fuel_of(key, table) is None:
            faults.append(
                Fault(f"prices.{key}", "its fuel is not known", 'add fuel = "electricity" (or another fuel)', file)
            )
    return faults + _unknown_prices(study, prices, file) + currency_faults(study, file) + _unprintable(study, "", file)


def use_faults(uses: Sequence[AnyUse], tank: Tank | None, file: str) -> list[Fault]:
    """Find uses that want hotter water than the tank may hold."""
    if tank is None:
        return []
    return [
        Fault(
            f"use[{number}].{use.hottest_key}",
            f"wants a tank at {use.needs_c:.0f} °C, but tank.max_temperature is {tank.max_temperature_c:.0f} °C",
            "raise tank.max_temperature as far as every component allows, or lower this temperature or its approach",
            file,
        )
        for number, use in enumerate(uses, 1)
        if use.needs_c > tank.max_temperature_c
    ]


def _unknown_prices(study: Mapping[str, Any], prices: Mapping[str, Any], file: str) -> list[Fault]:
    """Find rises and spreads of prices that no table has, which would count for nothing."""
    places = [
        (name, study.get(name), key)
        for name, key in (
            ("economics", "escalation"),
            ("economics", "price_path"),
            ("economics", "price_volatility"),
            ("uncertainty", "price"),
        )
    ]
    named = [(f"{name}.{key}", table.get(key)) for name, table, key in places if isinstance(table, Mapping)]
    return [
        Fault(f"{where}.{key}", f"there is no price table {key}", f"use one of {', '.join(map(str, prices))}", file)
        for where, keys in named
        if isinstance(keys, Mapping)
        for key in keys
        if key not in prices
    ]


_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""What would move a terminal's cursor or turn the order of letters round; lines and tabs are plain text."""


def _unprintable(node: object, path: str, file: str) -> list[Fault]:
    """Find names and notes that hold what cannot be printed."""
    if isinstance(node, str) and _UNPRINTABLE.search(node):
        return [Fault(path, "holds a character that cannot be printed", "take it out", file)]
    if isinstance(node, Mapping):
        below = [(f"{path}.{key}".lstrip("."), part) for key, value in node.items() for part in (key, value)]
        return [fault for where, part in below for fault in _unprintable(part, where, file)]
    if isinstance(node, list | tuple):
        return [fault for at, value in enumerate(node, 1) for fault in _unprintable(value, f"{path}[{at}]", file)]
    return []


def _price_key(source: Mapping[str, Any], prices: Mapping[str, Any]) -> str | None:
    """Which price table a source as typed will use; empty when it needs none, None when faults of its own keep that open."""
    model = KINDS.get(str(source.get("kind")))
    if model is None:
        return None
    try:
        return model.model_validate(dict(source)).price_key(prices)
    except ValidationError:
        return str(source.get("price") or "") or None


_WORDS = ("title", "note", "name")
"""Keys whose text is for people alone; a sum of money in a title is no price."""


def currencies_of(node: object, path: str = "") -> Iterator[tuple[str, str, str]]:
    """Every amount of money in a study: where it stands, what was typed, and in which currency.

    Examples
    --------
    >>> list(currencies_of({"prices": {"oil": {"energy": "0.9 €/L"}}, "note": "5 $"}))
    [('prices.oil.energy', '0.9 €/L', '€')]
    """
    if isinstance(node, Mapping):
        for key, value in node.items():
            if key not in _WORDS:
                yield from currencies_of(value, f"{path}.{key}".lstrip("."))
    elif isinstance(node, list | tuple):
        for at, value in enumerate(node, 1):
            yield from currencies_of(value, f"{path}[{at}]")
    elif (
        isinstance(node, str)
        and len(node) <= LONGEST_MONEY
        and any(sign in node for sign in (*CURRENCIES, *HUNDREDTHS))
    ):
        with contextlib.suppress(UnitError):
            quantity_currency = read_quantity(node).currency
            if quantity_currency:
                yield path, node, quantity_currency


def currency_faults(study: Mapping[str, Any], file: str) -> list[Fault]:
    """Find the first amount of every further currency: money of two currencies cannot be added up."""
    first: dict[str, tuple[str, str]] = {}
    faults = []
    for path, text, currency in currencies_of(study):
        if first and currency not in first:
            where, typed = next(iter(first.values()))
            problem = f"'{text}' is in {currency}, but {where} = '{typed}' is in {next(iter(first))}"
            faults.append(
                Fault(path, problem, "write all money of a study in one currency; nothing is converted", file)
            )
        first.setdefault(currency, (path, text))
    return faults


def weather_faults(study: Mapping[str, Any], files: StudyFiles, file: str) -> list[Fault]:
    """Find a study whose weather files are not there."""
    place, uncertainty = study.get("place"), study.get("uncertainty")
    wanted = [("place.weather", place.get("weather"))] if isinstance(place, Mapping) else []
    further = uncertainty.get("weather") if isinstance(uncertainty, Mapping) else None
    if isinstance(further, list | tuple):
        wanted += [(f"uncertainty.weather[{i}]", name) for i, name in enumerate(further, 1)]
    faults: list[Fault] = []
    for field, name in wanted:
        try:
            if isinstance(name, str) and name:
                files.has(name, field, file=file)
        except InputError as error:
            faults += error.faults
    return faults


def _block_faults(key: str, tariff: Tariff, file: str) -> list[Fault]:
    """Find blocks of one month's use that overlap, do not follow each other upwards, or leave use without a price."""
    for month in range(1, 13):
        blocks = [(at, block) for at, block in enumerate(tariff.blocks, 1) if month in block.months]
        for (before_at, before), (at, block) in pairwise(blocks):
            where = f"prices.{key}.block[{at}]"
            if _cross(set(before.months), set(block.months)):
                what = f"its season and that of block[{before_at}] overlap in {SHORT_MONTHS[month - 1]}"
                return [Fault(f"{where}.months", what, "part their months", file)]
            if before.per != block.per and block.up_to_j < math.inf:
                what = f"counts by the {block.per}, but block[{before_at}] by the {before.per}"
                return [
                    Fault(f"{where}.up_to", what, "count all by the day, all by the month or all by the year", file)
                ]
            if block.up_to_j <= before.up_to_j:
                remedy = "let each block's up_to be higher than the one before, and leave it out of the last alone"
                return [Fault(f"{where}.up_to", "ends no higher than the block before", remedy, file)]
        if blocks and blocks[-1][1].up_to_j < math.inf:
            what = f"the last block of {SHORT_MONTHS[month - 1]} has an end, so use beyond it has no price"
            remedy = "leave up_to out of the last block, or add one with energy alone"
            return [Fault(f"prices.{key}.block[{blocks[-1][0]}].up_to", what, remedy, file)]
    return []


def _cross(season: set[int], other: set[int]) -> bool:
    """Whether two seasons share a part and each has one of its own, which is a slip and not a narrower season in a wider one."""
    return bool(season & other and season - other and other - season)


def _period_faults(key: str, tariff: Tariff, file: str) -> list[Fault]:
    """Find periods that never count, since others before them have all their hours, and seasons that overlap."""
    known = [at for at, period in enumerate(tariff.periods) if not period.windows.by_weather]
    if len(known) < len(tariff.periods) or len(known) < 2:
        return []
    calendar = plain_calendar()
    shares = period_shares(tariff, calendar)
    faults = [
        Fault(
            f"prices.{key}.period[{at + 1}]",
            "all its hours belong to periods before it, so it never counts",
            "of periods that share hours the first counts: put the narrower one first, or part their hours",
            file,
        )
        for at in known
        if not shares[at].any() and tariff.periods[at].windows.share(calendar).any()
    ]
    if faults:
        return faults
    windows = [period.windows for period in tariff.periods]
    days = [replace(window, spans=((0, DAY_MIN),), days=tuple(range(7)), holidays=None) for window in windows]
    seasons = [set(np.unique(calendar.day[day.share(calendar) > 0]).tolist()) for day in days]
    for first, second in combinations(range(len(windows)), 2):
        both = np.minimum(windows[first].share(calendar), windows[second].share(calendar))
        events = windows[first].dates or windows[second].dates
        if not events and _cross(seasons[first], seasons[second]) and both.any():
            month = SHORT_MONTHS[int(calendar.month[np.argmax(both > 0)]) - 1]
            what = f"its season and that of period[{first + 1}] overlap in {month}"
            return [Fault(f"prices.{key}.period[{second + 1}].months", what, "part their months", file)]
    return []


def prices_that_read(tables: object) -> dict[str, Price]:
    """Price tables that have no fault of their own, of a study that has some elsewhere."""
    readable = {}
    for key, table in tables.items() if isinstance(tables, Mapping) else ():
        with contextlib.suppress(ValidationError):
            readable[str(key)] = Price.model_validate(table)
    return readable


def price_faults(prices: Mapping[str, Price], file: str) -> list[Fault]:
    """Find a price per gallon of what is sold by the kilogram, blocks out of order, and the like."""
    faults = []
    for key, price in prices.items():
        faults += heat_content.faults(key, price.fuel_name(key), price.heat_content, price.species, file)
        try:
            tariff = price.tariff(key)
            faults += [*_block_faults(key, tariff, file), *_period_faults(key, tariff, file)]
        except ValueError as error:
            faults.append(
                Fault(
                    f"prices.{key}.{error.key}" if isinstance(error, UnitsError) else f"prices.{key}",
                    str(error),
                    "write prices and amounts per kWh, therm, or the unit on the bill",
                    file,
                )
            )
    return faults
