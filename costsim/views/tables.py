"""Results as tables: plain text for a terminal, data frames and files for further work, and the JSON contract."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from costsim.errors import Fault, InputError
from costsim.files import may_be_formula, write_whole
from costsim.physics.fuels import FUELS, sold_amount
from costsim.results.result import OptionResult, Result, SourceSeason, UnmetLoad
from costsim.study.prices import singular
from costsim.tariffs.calendar import SHORT_MONTHS
from costsim.units.fields import in_words
from costsim.units.quantity import KWH_J, pretty_unit, to_display, unit_for
from costsim.views.carbon import carbon, own_co2_kg
from costsim.views.rounding import above_zero, whole_parts
from costsim.views.rounding import money as money
from costsim.views.wording import named
from costsim.views.workbook import write_workbook
from costsim.words import tr, trn

if TYPE_CHECKING:
    import pandas as pd

    from costsim.study.case import Case, Option
    from costsim.tariffs.bill import BillLine

BILL_MONTHS = ("year", *SHORT_MONTHS)


def text_table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Set rows under headings; the first column stands left, the others right.

    Examples
    --------
    >>> print(text_table(["what", "kWh"], [["heat", "12"]]))
    what  kWh
    heat   12
    """
    widths = [max(len(row[i]) for row in [headings, *rows]) for i in range(len(headings))]
    lines = []
    for row in [headings, *rows]:
        cells = [
            cell.ljust(width) if i == 0 else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)


def first_cost(option: Option, currency: str) -> str:
    """What an option costs to buy, less its rebate; what was not typed is not known and not nothing."""
    return (
        money(option.first_cost_money - option.rebate_money, currency) if option.first_cost_given else tr("not given")
    )


def when(result: Result, hour: int | None) -> str:
    """Name an hour by its local clock time; empty where there is none."""
    return result.clock[hour] if hour is not None else ""


def season_rows(result: Result, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the season table: each option, and its sources below it."""
    headings = [
        tr("option"),
        tr("total a year"),
        tr("unmet hours"),
        tr("fixed"),
        tr("energy"),
        tr("heat {unit_for}", unit_for=unit_for("heat", system)),
        tr("used, from panels too") if result.lowered.case.solar_electric is not None else tr("bought"),
        tr("CO2 metric tons"),
    ]
    rows = []
    for option in result.options:
        rows.append(_option_row(result, option, system))
        wholes = [whole for *_, whole in whole_costs(option)]
        rows.extend(_source_row(result, *pair, system) for pair in zip(option.sources, wholes, strict=False))
        rows.extend(_pump_rows(result, option, wholes[len(option.sources)]))
    return headings, rows


def _option_row(result: Result, option: OptionResult, system: str) -> list[str]:
    total, fixed, energy = (
        money(value, result.currency) for value in (option.cost_total, option.cost_fixed, option.cost_energy)
    )
    heat = f"{to_display(option.delivered_j, 'heat', system):,.1f}"
    return [option.name, total, f"{option.unmet.hours:,}", fixed, energy, heat, "", carbon(option.co2_kg)]


def _source_row(result: Result, source: SourceSeason, whole: int, system: str) -> list[str]:
    heat = f"{to_display(source.heat_j, 'heat', system):,.1f}"
    cost, co2 = money(whole, result.currency), carbon(own_co2_kg(result, source))
    return [f"  {source.name}", "", "", "", cost, heat, bought(source, system), co2]


def _pump_rows(result: Result, option: OptionResult, whole: int) -> list[list[str]]:
    """What pumps, fans and controls use, so that the rows of an option add up to it; none where nothing does."""
    cost, co2 = pumps_cost(option), option.co2_kg - sum(own_co2_kg(result, source) for source in option.sources)
    if not option.running_j or abs(cost) < 0.005:
        return []
    used = f"{option.running_j / KWH_J:,.0f} kWh"
    return [[f"  {tr('pumps and fans')}", "", "", "", money(whole, result.currency), "", used, carbon(co2)]]


def whole_costs(option: OptionResult) -> list[tuple[str, float, int]]:
    """Parts of a year's cost by name, exact and in whole units of money that add up: sources, pumps and fans, fixed charges."""
    parts = [(source.name, source.cost) for source in option.sources]
    parts.append((tr("pumps and fans"), pumps_cost(option)))
    parts += [(tr("{name}, fixed charges", name=in_words(key)), bill.fixed) for key, bill in option.bills.items()]
    return [(*part, whole) for part, whole in zip(parts, whole_parts([cost for _, cost in parts]), strict=True)]


def pumps_cost(option: OptionResult) -> float:
    """What pumps and fans add to an option's bills beyond its sources' energy."""
    return option.cost_energy - sum(source.cost for source in option.sources)


def unmet_rows(result: Result, system: str) -> tuple[list[str], list[list[str]]]:
    """Headings and rows of the table of unmet load: options that leave the house too cold, when, how much and why."""
    heat, power = unit_for("heat", system), unit_for("power", system)
    headings = [
        tr("option"),
        tr("unmet hours"),
        tr("heat missing, {heat}", heat=heat),
        tr("largest gap {power}", power=power),
        tr("worst hour"),
        tr("longest run h"),
        tr("why"),
    ]
    rows = []
    for option in result.options:
        short = option.unmet
        if short.hours:
            causes = [tr(cause) for cause, joule in short.by_cause_j.items() if joule > 1e3]
            figures = [f"{short.hours:,}", *missing_figures(result, short, system), f"{short.longest_run_hours:,}"]
            rows.append([option.name, *figures, ", ".join(causes)])
    return headings, rows


def missing_figures(result: Result, short: UnmetLoad, system: str) -> list[str]:
    """Heat missing, the largest gap and its hour, as tables show them."""
    heat, power = to_display(short.energy_j, "heat", system), to_display(short.worst_w, "power", system)
    return [above_zero(heat, 2), above_zero(power, 1), when(result, short.worst_hour)]


def bought(source: SourceSeason, system: str) -> str:
    """What is bought for a source, in the unit it is sold in."""
    if source.fuel not in FUELS:
        return ""
    amount, unit = sold_amount(source.fuel, source.input_j, system, source.heat_content)
    return f"{amount:,.0f} {unit}" if amount >= 20 else f"{amount:,.1f} {unit}"


def bill_rows(case: Case, option: OptionResult, system: str) -> list[tuple[list[str], list[list[str]]]]:
    """Headings and rows of every bill of an option, the total last."""
    tables = []
    for key, bill in option.bills.items():
        rows = [
            [tr(BILL_MONTHS[line.month]), named(line.label), *_quantity(line, case, key, system), f"{line.amount:,.2f}"]
            for line in bill.lines
        ]
        name, without = key.replace("_", " "), bill.without_heating
        what = tr("whole bill") if without is None else tr("what heating adds")
        rows.append(["", f"{name}, {what}", "", "", f"{bill.total:,.2f}"])
        if without is not None:
            rows.append(["", tr("{name} of the house without heating", name=name), "", "", f"{without:,.2f}"])
            rows.append(["", tr("{name} of the house with heating", name=name), "", "", f"{without + bill.total:,.2f}"])
        tables.append(([tr("month"), tr("line"), tr("quantity"), tr("rate"), case.currency], rows))
    return tables


def _quantity(line: BillLine, case: Case, key: str, system: str) -> tuple[str, str]:
    """Quantity and rate of a line in the unit the service is sold in."""
    coin = f"-{case.currency}" if line.rate < 0 else case.currency
    if line.unit == "J":
        amount, unit = case.prices[key].sold(key, line.quantity, system)
        return f"{amount:,.2f} {unit}", f"{coin}{_rate(line.amount / amount, 5)}/{singular(unit)}" if amount else ""
    if line.unit == "W":
        return f"{line.quantity / 1e3:,.2f} kW", f"{coin}{_rate(line.rate * 1e3, 4)}/kW"
    if line.unit == "money":
        return f"{'-' * (line.quantity < 0)}{case.currency}{abs(line.quantity):,.2f}", f"{line.rate:.3%}"
    rate = f"{coin}{abs(line.rate):,.2f}"
    if line.unit == "month" and line.quantity == int(line.quantity):
        return trn("{count} month", "{count} months", int(line.quantity)), rate
    return f"{line.quantity:g} {tr(line.unit)}", rate


def _rate(value: float, digits: int) -> str:
    """A price by the unit as bills print it: to so many digits, without zeros behind the cents that say nothing.

    Examples
    --------
    >>> _rate(1.3, 5), _rate(0.12345, 5), _rate(-0.128, 5), _rate(1234.0, 4)
    ('1.30', '0.12345', '0.128', '1,234.00')
    """
    whole, _, part = f"{abs(value):,.{digits}f}".partition(".")
    return f"{whole}.{part.rstrip('0').ljust(2, '0')}"


def hourly_frame(result: Result, system: str = "si") -> pd.DataFrame:
    """Give all hours of all options as one data frame with units in the headings.

    Parameters
    ----------
    result : Result
    system : str
        ``"si"`` or ``"us"``.

    Returns
    -------
    pandas.DataFrame
        One row an hour.
    """
    import pandas as pd

    power, warm = unit_for("power", system), unit_for("temperature", system)
    columns: dict[str, Any] = {"hour of the year": np.arange(len(result.clock)), "local clock": list(result.clock)}
    for option in result.options:
        hourly, name = option.hourly, safe_text(option.name)
        for label, watts in (("demand", hourly.demand_w), ("delivered", hourly.delivered_w), ("short", hourly.unmet_w)):
            columns[f"{name}: {label} [{power}]"] = to_display_array(watts, "power", system)
        for source, heat, dumped in zip(option.sources, hourly.heat_w, hourly.dumped_w, strict=True):
            columns[f"{name}: {safe_text(source.name)} heat [{power}]"] = to_display_array(heat, "power", system)
            if source.dumped_j > 0:
                columns[f"{name}: {safe_text(source.name)} unused [{power}]"] = to_display_array(
                    dumped, "power", system
                )
        columns[f"{name}: tank [{warm}]"] = to_display_array(hourly.tank_c, "temperature", system)
        if hourly.hot_share.any():
            columns[f"{name}: tank top [{warm}]"] = to_display_array(hourly.tank_top_c, "temperature", system)
            columns[f"{name}: tank bottom [{warm}]"] = to_display_array(hourly.tank_bottom_c, "temperature", system)
        if result.lowered.water.mass is not None:  # without it the room is taken as held at the thermostat's setting
            columns[f"{name}: room [{warm}]"] = to_display_array(hourly.room_c, "temperature", system)
    return pd.DataFrame(columns)


def to_display_array(values: Any, dimension: str, system: str) -> Any:
    """Turn an SI array into the reader's unit."""
    zero = to_display(0.0, dimension, system)
    return np.asarray(values) * (to_display(1.0, dimension, system) - zero) + zero


_NUMBER = re.compile(r"[-+][\d.,]++( ?[°%\w]++)?( \([-+\d.,]++ ?[°%\w]++\))?")
_MONEY = re.compile(r"-((?:[$€£]|CHF|CAD|AUD)[\d.,]++( \([-+][\d.,]++ ?[%K]\))?)")


def safe_text(text: str) -> str:
    """Take the sting out of text that a spreadsheet would run as a formula; a number with its unit has none.

    Money that is saved gets the minus sign of print, which no spreadsheet runs, and no quotation mark before it.

    Examples
    --------
    >>> safe_text("=1+1"), safe_text("gas"), safe_text("-$1+1"), safe_text("-16.0 °C (3.2 °F)"), safe_text("-€866")
    ("'=1+1", 'gas', "'-$1+1", '-16.0 °C (3.2 °F)', '−€866')
    """
    if money_saved := _MONEY.fullmatch(text):
        return f"−{money_saved[1]}"
    return f"'{text}" if may_be_formula(text) and not _NUMBER.fullmatch(text) else text


def write_hourly(result: Result, path: str | Path, system: str = "si") -> None:
    """Write all hours to ``.parquet``, ``.csv`` or ``.xlsx``, by the ending of `path`.

    Raises
    ------
    InputError
        Another ending, or a place that cannot be written to.
    """
    frame = hourly_frame(result, system)
    writers: dict[str, Callable[[Path], None]] = {
        ".parquet": lambda beside: frame.to_parquet(beside, index=False),
        ".csv": lambda beside: frame.to_csv(beside, index=False, float_format="%.6g"),
        ".xlsx": lambda beside: write_workbook(frame, beside),
    }
    suffix = Path(path).suffix.lower()
    if suffix not in writers:
        raise InputError(
            Fault(
                "--hourly",
                f"'{suffix or path}' is not a kind of file we write",
                "end the name in .parquet, .csv or .xlsx",
            )
        )
    write_whole(path, writers[suffix])


__all__ = [
    "bought",
    "hourly_frame",
    "money",
    "pretty_unit",
    "safe_text",
    "season_rows",
    "text_table",
    "unmet_rows",
    "when",
    "write_hourly",
]
