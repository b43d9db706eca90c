"""A record of the open US utility-rate database (JSON) as a price table, with everything that the table cannot say."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from costsim.errors import Fault, InputError
from costsim.tariffs.calendar import SHORT_MONTHS
from costsim.tariffs.charges.schedule import LETTERS

MOST_BYTES = 20_000_000
KNOWN_KEYS = (
    "energyratestructure",
    "flatdemandstructure",
    "demandratestructure",
    "fixedchargefirstmeter",
    "fixedmonthlycharge",
)
OLD_KEYS = ("energyRateStrux", "flatDemandStrux", "energyWeekdaySched")
UNSAID = {
    "demandratchetpercentage": "a ratchet on the highest power of earlier months",
    "demandreactivepowercharge": "a charge on reactive power",
    "coincidentratestructure": "a charge on power at the grid's own peak",
    "fixedchargeeaaddl": "a fixed charge of each further meter",
    "annualmincharge": "a minimum of the whole year",
    "lookbackpercent": "a look-back at the highest power of earlier months",
}
"""Keys of a record that no price table can say yet, and what they mean."""


@dataclass(frozen=True, slots=True)
class ImportedTariff:
    """A price table as plain data, who charges it, and what it leaves out."""

    table: Mapping[str, Any]
    utility: str
    name: str
    left_out: tuple[str, ...]


def read_record(raw: bytes, file: str, label: str = "") -> ImportedTariff:
    """Turn a record into a price table of electricity.

    Parameters
    ----------
    raw : bytes
        JSON: one record, a list of records, or the answer of the database with ``items``.
    file : str
        For messages.
    label : str
        Which record of several.

    Raises
    ------
    InputError
        It is not JSON, no record or several, of a form that is not known, or its schedule does not fit its rates.
    """
    record = _one_record(raw, file, label)
    notes: list[str] = [f"{text} ({key})" for key, text in UNSAID.items() if _says_something(record.get(key))]
    table: dict[str, Any] = {}
    charges = [*_fixed(record, table, notes, file), *_energy(record, table, notes, file), *_power(record, notes, file)]
    charges += _adjustments(record)
    if charges:
        table["charge"] = charges
    if "energy" not in table and not any(one["kind"] == "schedule" for one in charges):
        table = {"energy": "0 $/kWh", **table}
        notes.append("the record has no energy price: energy costs nothing here")
    if str(record.get("dgrules") or ""):
        notes.append(f"rules for own generation: {record['dgrules']} (type them under [solar_electric])")
    notes += [f"a comment of the record: {text.strip()}" for key in ("energycomments", "demandcomments", "basicinformationcomments")
              if isinstance(text := record.get(key), str) and text.strip()]  # fmt: skip
    if record.get("enddate"):
        notes.append("the record says that the rate has ended (enddate)")
    return ImportedTariff(table, str(record.get("utility") or ""), str(record.get("name") or ""), tuple(notes))


def _one_record(raw: bytes, file: str, label: str) -> Mapping[str, Any]:
    try:
        data = json.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise InputError(
            Fault("", "is not JSON", "give a record of the open utility-rate database as JSON", file)
        ) from None
    records = data.get("items", [data]) if isinstance(data, Mapping) else data
    records = [one for one in records if isinstance(one, Mapping)] if isinstance(records, list) else []
    if label:
        records = [one for one in records if label in (one.get("label"), one.get("name"))]
    if len(records) != 1:
        names = ", ".join(str(one.get("label") or one.get("name") or "?") for one in records[:5])
        problem = f"holds {len(records):,} records" + (
            f" ({names}{' …' if len(records) > 5 else ''})" if records else ""
        )
        raise InputError(Fault("", problem, "give one record, or name it with --record LABEL", file))
    record: Mapping[str, Any] = records[0]
    if not any(key in record for key in KNOWN_KEYS):
        old = next((key for key in OLD_KEYS if key in record), "")
        problem = f"is a record of an older form ({old})" if old else "is no record of a known form"
        raise InputError(
            Fault("", problem, f"give one with {KNOWN_KEYS[0]}, as versions 3 to 8 of the database have it", file)
        )
    return record


def _says_something(value: object) -> bool:
    return any(map(_says_something, value)) if isinstance(value, list) else bool(value)


def _number(value: object, key: str, file: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
        raise InputError(Fault(key, f"{value!r} is not a number", "give a record as the database hands it out", file))
    return float(value)


def _fixed(record: Mapping[str, Any], table: dict[str, Any], notes: list[str], file: str) -> list[dict[str, Any]]:
    """The fixed charge and the minimum bill."""
    charges = []
    key = "fixedchargefirstmeter" if record.get("fixedchargefirstmeter") is not None else "fixedmonthlycharge"
    if record.get(key):
        amount, unit = _number(record[key], key, file), str(record.get("fixedchargeunits") or "$/month")
        if unit == "$/month" and amount >= 0:
            table["fixed"] = f"{amount:.10g} $/month"
        elif unit in ("$/day", "$/month", "$/year"):
            charges.append({"kind": "standing", "name": "fixed charge", "amount": f"{amount:.10g} {unit}"})
        else:
            notes.append(f"a fixed charge of {amount:g} {unit}")
    key = "mincharge" if record.get("mincharge") is not None else "minmonthlycharge"
    if record.get(key):
        amount, unit = _number(record[key], key, file), str(record.get("minchargeunits") or "$/month")
        if unit == "$/month":
            table["minimum_bill"] = f"{amount:.10g} $/month"
        else:
            notes.append(f"a minimum bill of {amount:g} {unit}")
    return charges


def _price(tier: Mapping[str, Any], key: str, file: str) -> float:
    """A tier's rate with its adjustment."""
    return sum(_number(tier.get(part) or 0, key, file) for part in ("rate", "adj"))


def _energy(record: Mapping[str, Any], table: dict[str, Any], notes: list[str], file: str) -> list[dict[str, Any]]:
    """Energy: one price, or rates by a schedule."""
    key = "energyratestructure"
    structure = _structure(record, key, file)
    if not structure:
        return []
    if any(tier.get("sell") for rate in structure for tier in rate):
        notes.append("a price for energy sold to the grid (sell): type it under [solar_electric]")
    rates = [[_tier(tier, at == len(rate) - 1, notes, key, file) for at, tier in enumerate(rate)] for rate in structure]
    if len(rates) == 1 and len(rates[0]) == 1:
        table["energy"] = rates[0][0]["energy"]
        return []
    weekday, weekend = (_rows(record, f"energy{name}schedule", len(rates), file) for name in ("weekday", "weekend"))
    notes.append("holidays: the record's schedule knows weekdays and weekends alone")
    return [
        {"kind": "schedule", "name": "energy", **_grid(weekday, weekend), "rate": [{"tier": tiers} for tiers in rates]}
    ]


def _tier(tier: Mapping[str, Any], last: bool, notes: list[str], key: str, file: str) -> dict[str, Any]:
    typed: dict[str, Any] = {}
    unit = str(tier.get("unit") or "kWh")
    if unit not in ("kWh", "kWh daily"):
        note = f"tiers by {unit}, taken here as tiers by kWh each month"
        if note not in notes:
            notes.append(note)
    if not last:
        if tier.get("max") is None:
            raise InputError(Fault(key, "has a tier before the last without an end (max)", "mend the record", file))
        typed["up_to"] = f"{_number(tier['max'], key, file):.10g} kWh/{'day' if unit == 'kWh daily' else 'month'}"
    elif tier.get("max") is not None and _number(tier["max"], key, file) < 1e8:
        notes.append(f"the last tier ends at {tier['max']:g} kWh; use beyond it is billed at its price")
    return {**typed, "energy": f"{_price(tier, key, file):.10g} $/kWh"}


def _power(record: Mapping[str, Any], notes: list[str], file: str) -> list[dict[str, Any]]:
    """Demand charges by month and by schedule."""
    charges = []
    for key, name in (("flatdemandstructure", "power"), ("demandratestructure", "power by hours")):
        structure = _structure(record, key, file)
        if not structure:
            continue
        unit = str(record.get("flatdemandunit" if key[0] == "f" else "demandrateunit") or "kW")
        if unit != "kW":
            notes.append(f"{name} by {unit}, taken here as kW: the hourly mean of a house")
        rates = []
        for rate in structure:
            steps = [
                {"up_to": f"{_number(one['max'], key, file):.10g} kW"} if one.get("max") is not None else {}
                for one in rate[:-1]
            ]
            if any(not step for step in steps):
                raise InputError(Fault(key, "has a tier before the last without an end (max)", "mend the record", file))
            both = zip([*steps, {}], rate, strict=True)
            rates.append({"step": [{**step, "price": f"{_price(one, key, file):.10g} $/kW"} for step, one in both]})
        if key[0] == "f":
            months = record.get("flatdemandmonths")
            if not isinstance(months, list) or len(months) != 12:
                raise InputError(Fault("flatdemandmonths", "is no list of twelve months", "mend the record", file))
            weekday = weekend = [_row([month] * 24, "flatdemandmonths", len(rates), file) for month in months]
        else:
            weekday, weekend = (
                _rows(record, f"demand{part}schedule", len(rates), file) for part in ("weekday", "weekend")
            )
        charges.append({"kind": "power_schedule", "name": name, **_grid(weekday, weekend), "rate": rates})
    if charges and _says_something(record.get("demandwindow")) and record["demandwindow"] != 60:
        notes.append(f"power is metered over {record['demandwindow']} minutes; hourly means stand for it (peak_factor)")
    return charges


def _adjustments(record: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Monthly adjustments of the fuel's price."""
    values = record.get("fueladjustmentsmonthly")
    if not isinstance(values, list) or len(values) != 12:
        return []
    return [
        {"kind": "rider", "name": "fuel adjustment", "energy": f"{value:.10g} $/kWh", "months": month}
        for month, value in zip(SHORT_MONTHS, values, strict=True)
        if isinstance(value, int | float) and value
    ]


def _structure(record: Mapping[str, Any], key: str, file: str) -> list[list[Mapping[str, Any]]]:
    """Rates of tiers; rates in which nothing is charged count too."""
    found = record.get(key)
    if not found:
        return []
    whole = isinstance(found, list) and all(
        isinstance(rate, list) and rate and all(isinstance(x, Mapping) for x in rate) for rate in found
    )
    if not whole or len(found) > len(LETTERS):
        raise InputError(
            Fault(key, "is no list of rates with tiers", "give a record as the database hands it out", file)
        )
    return list(found)


def _rows(record: Mapping[str, Any], key: str, rates: int, file: str) -> list[str]:
    rows = record.get(key)
    if not isinstance(rows, list) or len(rows) != 12 or not all(isinstance(row, list) for row in rows):
        raise InputError(
            Fault(key, "is no schedule of twelve months", "give a record as the database hands it out", file)
        )
    return [_row(row, key, rates, file) for row in rows]


def _row(row: Sequence[object], key: str, rates: int, file: str) -> str:
    if len(row) != 24:
        raise InputError(Fault(key, f"has a month of {len(row)} hours", "give 24 of each month", file))
    wrong = [one for one in row if isinstance(one, bool) or not isinstance(one, int) or not 0 <= one < rates]
    if wrong:
        raise InputError(Fault(key, f"names rate {wrong[0]!r}, but there are {rates}", "mend the record", file))
    return "".join(LETTERS[int(str(one))] for one in row)


def _grid(weekday: list[str], weekend: list[str]) -> dict[str, Any]:
    return {"weekday": weekday} | ({"weekend": weekend} if weekend != weekday else {})
