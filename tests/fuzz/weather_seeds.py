"""Good inputs of the weather readers: short tables of every service, and what reads them."""

from __future__ import annotations

import contextlib
import functools
from pathlib import Path

import numpy as np
from weather.layouts import hours, plain_table, truth
from weather.services import SERVICES, daily_tables, pvgis_tmy

from costsim.bills.temperatures import read_temperatures
from costsim.errors import InputError
from costsim.weather.hours import to_hours
from costsim.weather.readers import read_record, read_weather


@functools.cache
def downloads() -> list[bytes]:
    """Two days of each hourly service and twenty of each daily one."""
    days = np.arange("2020-12-20", "2021-01-09", dtype="datetime64[D]")
    hourly = [service.write(hours("2021-01-01", 48), truth(48)).raw for service in SERVICES]
    daily = [written.raw for written in daily_tables(days, np.linspace(-9.0, 9.0, len(days))).values()]
    return [*hourly, *daily, pvgis_tmy(truth())[:4000], plain_table(hours("2021-01-01", 48), truth(48))]


def read_download(raw: bytes, _: Path) -> object:
    """Read one as a study and as bills do; whatever comes out holds plain numbers."""
    record = read_record("w.csv", content=raw)
    with contextlib.suppress(InputError):
        assert np.isfinite(read_weather("w.csv", content=raw).outdoor_c).all(), "a year with holes"
    with contextlib.suppress(InputError):
        assert np.isfinite(read_temperatures("w.csv", content=raw).outdoor_c).all(), "days with holes"
    if record.times is not None and not record.daily:
        values = to_hours(record, "w.csv").values["outdoor"]
        assert not np.isinf(values).any(), "an endless temperature"
    return record
