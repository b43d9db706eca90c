"""Seeds of tariffs: records of the open rate database, and a study in which every kind of charge stands."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
from tariffs.rate_records import RECORDS

from costsim.study.tariff_file import price_models
from costsim.tariffs.bill import bill, plain_calendar
from costsim.tariffs.rate_record import read_record


def records() -> list[bytes]:
    """One of each kind."""
    return [json.dumps(record).encode() for record in RECORDS.values()]


def read_a_record(raw: bytes, _: Path) -> object:
    """Import a record; what can be imported must also bill a year."""
    found = read_record(raw, "r.json")
    tariff = price_models({"electricity": dict(found.table)}, "r.json")["electricity"].tariff("electricity")
    assert math.isfinite(bill(tariff, plain_calendar(), np.full(8760, 3.6e6)).total)
    return found


def every_charge() -> dict[str, Any]:
    """A study with charges of every kind, own generation, a loan and parts."""
    return tomllib.loads((Path(__file__).parents[1] / "tariffs" / "every_charge.toml").read_text(encoding="utf-8"))
