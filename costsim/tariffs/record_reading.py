"""A record of the open utility-rate database while it is read: its parts checked, and what must be told."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from costsim.errors import Fault, InputError
from costsim.tariffs.charges.schedule import LETTERS

FLAT, HOURS = "flatdemandstructure", "demandratestructure"
KNOWN_KEYS = ("energyratestructure", FLAT, HOURS, "fixedchargefirstmeter", "fixedmonthlycharge")
VERSIONS = ("3", "4", "5", "6", "7", "8")
ALIASES = {
    "flatDemandUnits": "flatdemandunit",
    "demandRateUnits": "demandrateunit",
    "dgRules": "dgrules",
    "supercedes": "supersedes",
    "sourceReference": "source",
}
"""Other spellings in records that the database hands out as a whole."""
OLD_KEYS = ("energyRateStrux", "flatDemandStrux", "energyWeekdaySched")


@dataclass(slots=True)
class Reading:
    """A record while it is read: its file, charges found so far, and what must be told."""

    record: Mapping[str, Any]
    file: str
    table: dict[str, Any] = field(default_factory=dict)
    charges: list[dict[str, Any]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def tell(self, note: str) -> None:
        """Note what the table cannot say, once."""
        if note not in self.notes:
            self.notes.append(note)

    def fault(self, key: str, problem: str, remedy: str = "mend the record") -> InputError:
        """A fault of the record, to be raised."""
        return InputError(Fault(key, problem, remedy, self.file))

    def number(self, value: object, key: str) -> float:
        """A number that a record may hold."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
            raise self.fault(key, f"{value!r} is not a number", "give a record as the database hands it out")
        return float(value)

    def amount(self, keys: Sequence[str]) -> tuple[str, float]:
        """The first of some keys that holds an amount, and the amount; 0 where none does."""
        said = [key for key in keys if self.record.get(key)]
        if len(said) > 1 and self.record[said[0]] != self.record[said[1]]:
            self.tell(f"{said[1]} is {self.record[said[1]]!r}, but {said[0]} is there too and counts")
        return (said[0], self.number(self.record[said[0]], said[0])) if said else (keys[0], 0.0)


def one_record(raw: bytes, file: str, label: str) -> Mapping[str, Any]:
    """The one record of a file, or the one of that label or name."""
    try:
        document = json.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise InputError(
            Fault("", "is not JSON", "give a record of the open utility-rate database as JSON", file)
        ) from None
    records = document.get("items", [document]) if isinstance(document, Mapping) else document
    records = [entry for entry in records if isinstance(entry, Mapping)] if isinstance(records, list) else []
    if label:
        records = [entry for entry in records if label in (entry.get("label"), entry.get("name"))]
    if len(records) != 1:
        names = ", ".join(str(entry.get("label") or entry.get("name") or "?") for entry in records[:5])
        problem = f"holds {len(records):,} records" + (
            f" ({names}{' …' if len(records) > 5 else ''})" if records else ""
        )
        raise InputError(Fault("", problem, "give one record, or name it with --record LABEL", file))
    record: Mapping[str, Any] = {ALIASES.get(key, key): value for key, value in records[0].items()}
    if not any(key in record for key in KNOWN_KEYS):
        old = next((key for key in OLD_KEYS if key in record), "")
        problem = f"is a record of an older form ({old})" if old else "is no record of a known form"
        raise InputError(
            Fault("", problem, f"give one with {KNOWN_KEYS[0]}, as versions 3 to 8 of the database have it", file)
        )
    version = record.get("version")
    if version is not None and str(version) not in VERSIONS:
        remedy = f"give one of versions {VERSIONS[0]} to {VERSIONS[-1]}, as the database hands them out"
        raise InputError(Fault("version", f"{version!r} is not a known version of the record", remedy, file))
    return record


def says_something(value: object) -> bool:
    """Whether a value is more than nothing, zeros and empty lists."""
    return any(map(says_something, value)) if isinstance(value, list) else bool(value)


def structure_of(reading: Reading, key: str) -> list[list[Mapping[str, Any]]]:
    """Rates of tiers; rates in which nothing is charged count too."""
    structure = reading.record.get(key)
    if not structure:
        return []
    whole = isinstance(structure, list) and all(
        isinstance(rate, list) and rate and all(isinstance(x, Mapping) for x in rate) for rate in structure
    )
    if not whole or len(structure) > len(LETTERS):
        raise reading.fault(key, "is no list of rates with tiers", "give a record as the database hands it out")
    return list(structure)


def rows_of(reading: Reading, key: str, rates: int) -> list[str]:
    """Twelve months of letters, one for each hour's rate."""
    rows = reading.record.get(key)
    if not isinstance(rows, list) or len(rows) != 12 or not all(isinstance(row, list) for row in rows):
        raise reading.fault(key, "is no schedule of twelve months", "give a record as the database hands it out")
    return [row_of(reading, row, key, rates) for row in rows]


def row_of(reading: Reading, row: Sequence[object], key: str, rates: int) -> str:
    """A month's letters."""
    if len(row) != 24:
        raise reading.fault(key, f"has a month of {len(row)} hours", "give 24 of each month")
    wrong = [
        number for number in row if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < rates
    ]
    if wrong:
        raise reading.fault(key, f"names rate {wrong[0]!r}, but there are {rates}")
    return "".join(LETTERS[int(str(number))] for number in row)


def grid(weekday: list[str], weekend: list[str]) -> dict[str, Any]:
    """Rows of a schedule; the weekend's where they are others."""
    return {"weekday": weekday} | ({"weekend": weekend} if weekend != weekday else {})
