"""A record of the open US utility-rate database (JSON) as a price table, with everything that the table cannot say."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from costsim.tariffs.calendar import SHORT_MONTHS
from costsim.tariffs.charges.schedule import LETTERS
from costsim.tariffs.record_reading import (
    FLAT,
    HOURS,
    Reading,
    grid,
    one_record,
    row_of,
    rows_of,
    says_something,
    structure_of,
)

MOST_BYTES = 20_000_000
ABOUT = frozenset(
    ("label", "uri", "rateid", "revisions", "approved", "is_default", "name", "utility", "utilityName", "eiaid", "country", "source",
     "sourceparent", "supersedes", "startdate", "enddate", "version")
)  # fmt: skip
"""Keys that say which record it is."""
READ = frozenset(
    ("energyratestructure", "energyweekdayschedule", "energyweekendschedule", "flatdemandstructure", "flatdemandmonths", "flatdemandunit",
     "demandratestructure", "demandweekdayschedule", "demandweekendschedule", "demandrateunit", "demandunits", "fixedchargefirstmeter",
     "fixedmonthlycharge", "fixedchargeunits", "mincharge", "minmonthlycharge", "minchargeunits", "annualmincharge",
     "fueladjustmentsmonthly", "demandwindow", "lookbackpercent", "lookbackmonths", "lookbackrange", "demandratchetpercentage", "dgrules",
     "energycomments", "demandcomments", "basicinformationcomments", "sector", "servicetype", "usenetmetering")
)  # fmt: skip
"""Keys that become charges, or have a sentence of their own."""
WORDS = {
    "demandreactivepowercharge": "a charge on reactive power",
    "coincidentratestructure": "a charge on power at the grid's own peak",
    "fixedchargeeaaddl": "a fixed charge of each further meter",
    "description": "what the record says of itself",
    "phasewiring": "for whom",
    "voltagecategory": "for whom",
    "energyattrs": "further adjustments of energy",
    "demandattrs": "further adjustments of power",
    "fixedattrs": "further fixed adjustments",
}
"""What keys mean that no price table can say; all others are listed by their names."""
PER = ("$/day", "$/month", "$/year")


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

    Returns
    -------
    ImportedTariff
        Every key of the record is in the table, says which record it is, or is listed in `left_out`.

    Raises
    ------
    InputError
        It is not JSON, no record or several, of a form that is not known, or its schedule does not fit its rates.
    """
    record = one_record(raw, file, label)
    reading = Reading(record, file)
    for part in (_fixed, _energy, _power, _adjustments, _rest):
        part(reading)
    table, charges = reading.table, reading.charges
    if charges:
        table["charge"] = charges
    if "energy" not in table and not any(charge["kind"] == "schedule" for charge in charges):
        table = {"energy": "0 $/kWh", **table}
        reading.tell("the record has no energy price: energy costs nothing here")
    return ImportedTariff(table, str(record.get("utility") or ""), str(record.get("name") or ""), tuple(reading.notes))


def _fixed(reading: Reading) -> None:
    """The fixed charge and the minimum bills."""
    key, amount = reading.amount(("fixedchargefirstmeter", "fixedmonthlycharge"))
    unit = str(reading.record.get("fixedchargeunits") or "$/month") if key == "fixedchargefirstmeter" else "$/month"
    if amount > 0 and unit == "$/month":
        reading.table["fixed"] = f"{amount:.10g} $/month"
    elif amount and unit in PER:
        reading.charges.append({"kind": "standing", "name": "fixed charge", "amount": f"{amount:.10g} {unit}"})
    elif amount:
        reading.tell(f"a fixed charge of {amount:g} {unit}")
    key, amount = reading.amount(("mincharge", "minmonthlycharge"))
    unit = str(reading.record.get("minchargeunits") or "$/month") if key == "mincharge" else "$/month"
    yearly = reading.amount(("annualmincharge",))[1]
    for money, per in ((amount, unit), (yearly, "$/year")):
        if money > 0 and per == "$/month":
            reading.table["minimum_bill"] = f"{money:.10g} $/month"
        elif money > 0 and per in PER:
            reading.charges.append(
                {"kind": "minimum", "name": f"minimum bill by the {per[2:]}", "amount": f"{money:.10g} {per}"}
            )
        elif money:
            reading.tell(f"a minimum bill of {money:g} {per}")


def _price(reading: Reading, tier: Mapping[str, Any], key: str) -> float:
    """A tier's rate with its adjustment."""
    for other in sorted(set(tier) - {"rate", "adj", "max", "unit", "sell"}):
        if says_something(tier[other]):
            reading.tell(f"a tier of {key} says {other} = {tier[other]!r}")
    return sum(reading.number(tier.get(part) or 0, key) for part in ("rate", "adj"))


def _energy(reading: Reading) -> None:
    """Energy: one price, or rates by a schedule."""
    key = "energyratestructure"
    structure = structure_of(reading, key)
    if not structure:
        return
    if any(tier.get("sell") for rate in structure for tier in rate):
        reading.tell("a price for energy sold to the grid (sell): type it under [solar_electric]")
    rates = [[_tier(reading, tier, at == len(rate) - 1, key) for at, tier in enumerate(rate)] for rate in structure]
    if len(rates) == 1 and len(rates[0]) == 1:
        reading.table["energy"] = rates[0][0]["energy"]
        return
    weekday, weekend = (rows_of(reading, f"energy{name}schedule", len(rates)) for name in ("weekday", "weekend"))
    if weekday != weekend:
        reading.tell("holidays: the record's schedule knows weekdays and weekends alone (holidays_as_weekend)")
    reading.charges.append(
        {"kind": "schedule", "name": "energy", **grid(weekday, weekend), "rate": [{"tier": tiers} for tiers in rates]}
    )


def _tier(reading: Reading, tier: Mapping[str, Any], last: bool, key: str) -> dict[str, Any]:
    typed: dict[str, Any] = {}
    unit = str(tier.get("unit") or "kWh")
    per = {"kWh": "kWh/month", "kWh daily": "kWh/day", "kWh/kW": "kWh/kW", "kWh/kVA": "kWh/kVA"}.get(unit, "")
    if not last:
        if not per:
            reading.tell(f"tiers by {unit}, taken here as tiers by kWh each month")
        if tier.get("max") is None:
            raise reading.fault(key, "has a tier before the last without an end (max)")
        typed["up_to"] = f"{reading.number(tier['max'], key):.10g} {per or 'kWh/month'}"
    elif tier.get("max") is not None and reading.number(tier["max"], key) < 1e8:
        reading.tell(f"the last tier ends at {tier['max']:g} {unit}; use beyond it is billed at its price")
    return {**typed, "energy": f"{_price(reading, tier, key):.10g} $/kWh"}


def _power(reading: Reading) -> None:
    """Demand charges by month and by schedule."""
    steps = []
    for key, name in ((FLAT, "power"), (HOURS, "power by hours")):
        structure = structure_of(reading, key)
        if not structure:
            continue
        unit = str(reading.record.get("flatdemandunit" if key == FLAT else "demandrateunit") or "kW")
        if unit == "kW daily" and key == FLAT and all(len(rate) == 1 for rate in structure):
            _daily_power(reading, structure, name)
            continue
        if unit != "kW":
            reading.tell(f"{name} by {unit}, taken here as kW of the month's highest hour")
        rates = []
        for rate in structure:
            if any(step.get("max") is None for step in rate[:-1]):
                raise reading.fault(key, "has a tier before the last without an end (max)")
            ends = [{"up_to": f"{reading.number(step['max'], key):.10g} kW"} for step in rate[:-1]]
            if rate[-1].get("max") is not None and reading.number(rate[-1]["max"], key) < 1e8:
                reading.tell(f"the last tier of {name} ends at {rate[-1]['max']:g} kW; more is billed at its price")
            prices = [f"{_price(reading, step, key):.10g} $/kW" for step in rate]
            rates.append({"step": [{**end, "price": price} for end, price in zip([*ends, {}], prices, strict=True)]})
        if key == FLAT:
            weekday = weekend = [
                row_of(reading, [month] * 24, "flatdemandmonths", len(rates)) for month in _months(reading)
            ]
        else:
            weekday, weekend = (
                rows_of(reading, f"demand{part}schedule", len(rates)) for part in ("weekday", "weekend")
            )
        steps.append({"kind": "power_schedule", "name": name, **grid(weekday, weekend), "rate": rates})
    share = _ratchet(reading) if steps else 0.0
    reading.charges += [{**step, "ratchet": f"{100 * share:.10g} %"} if share else step for step in steps]
    window = reading.record.get("demandwindow")
    if steps and says_something(window) and window != 60:
        reading.tell(f"power is metered over {window} minutes; hourly means stand for it (peak_factor)")


def _months(reading: Reading) -> list[object]:
    months = reading.record.get("flatdemandmonths")
    if not isinstance(months, list) or len(months) != 12:
        raise reading.fault("flatdemandmonths", "is no list of twelve months")
    return months


def _daily_power(reading: Reading, structure: list[list[Mapping[str, Any]]], name: str) -> None:
    """A charge on the highest hour of every day: the mean of all days, by the day."""
    rows = [row_of(reading, [month] * 24, "flatdemandmonths", len(structure)) for month in _months(reading)]
    for number, rate in enumerate(structure):
        months = ", ".join(month for month, row in zip(SHORT_MONTHS, rows, strict=True) if row[0] == LETTERS[number])
        price = _price(reading, rate[0], FLAT)
        if months and price:
            step = [{"price": f"{price:.10g} $/kW/day"}]
            reading.charges.append({"kind": "power", "name": name, "months": months, "top_days": 31, "step": step})


def _ratchet(reading: Reading) -> float:
    """Share of earlier months' highest power that is always billed, where the table can say it; else it is told."""
    record, back = reading.record, reading.record.get("lookbackpercent")
    if back:
        share = reading.number(back, "lookbackpercent")
        share = share / 100 if share > 1 else share
        months, reach = record.get("lookbackmonths"), record.get("lookbackrange")
        if (isinstance(months, list) and all(months)) or (not says_something(months) and reach in (None, 0, 11, 12)):
            return share
        reading.tell(f"a look-back of {share:.0%} at the highest power of some months (lookbackmonths, lookbackrange)")
    steps = record.get("demandratchetpercentage")
    if says_something(steps):
        values = (
            {reading.number(step, "demandratchetpercentage") for step in steps} if isinstance(steps, list) else set()
        )
        if len(values) == 1 and not back:
            share = values.pop()
            return share / 100 if share > 1 else share
        reading.tell("a ratchet on the highest power of earlier months, other in each month (demandratchetpercentage)")
    return 0.0


def _adjustments(reading: Reading) -> None:
    """Monthly adjustments of the fuel's price."""
    values = reading.record.get("fueladjustmentsmonthly")
    if not isinstance(values, list) or len(values) != 12:
        if says_something(values):
            reading.tell(f"monthly adjustments that are not twelve (fueladjustmentsmonthly = {values!r})")
        return
    amounts = [reading.number(value or 0, "fueladjustmentsmonthly") for value in values]
    reading.charges += [
        {"kind": "rider", "name": "fuel adjustment", "energy": f"{value:.10g} $/kWh", "months": month}
        for month, value in zip(SHORT_MONTHS, amounts, strict=True)
        if value
    ]


def _rest(reading: Reading) -> None:
    """Everything else that the record says."""
    record = reading.record
    if record.get("sector") not in (None, "", "Residential"):
        reading.tell(f"it is a {str(record['sector']).lower()} rate (sector)")
    if record.get("servicetype") not in (None, "", "Bundled"):
        reading.tell(f"its service is {record['servicetype']}: a supplier or the network may bill more (servicetype)")
    if record.get("dgrules") or record.get("usenetmetering"):
        reading.tell(
            f"rules for own generation: {record.get('dgrules') or 'net metering'} (type them under [solar_electric])"
        )
    for key in ("energycomments", "demandcomments", "basicinformationcomments"):
        if isinstance(text := record.get(key), str) and text.strip():
            reading.tell(f"a comment of the record: {' '.join(text.split())}")
    if isinstance(end := record.get("enddate"), int | float) and end:
        reading.tell(f"the record says that the rate ended on {_day(end)} (enddate)")
    for key in sorted(set(record) - ABOUT - READ):
        if says_something(record[key]):
            text = " ".join(str(record[key]).split())
            what = f"{WORDS[key]} ({key})" if key in WORDS else key
            reading.tell(f"{what}: {text if len(text) <= 400 else text[:400] + ' …'}")


def _day(stamp: float) -> str:
    try:
        return (dt.datetime(1970, 1, 1) + dt.timedelta(seconds=stamp)).date().isoformat()
    except (OverflowError, ValueError):
        return f"{stamp:g}"
