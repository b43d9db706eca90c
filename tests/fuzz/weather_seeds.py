"""Good inputs of the weather readers: short tables of every service, and what reads them."""

from __future__ import annotations

import contextlib
import functools
import json
from pathlib import Path
from random import Random

import numpy as np
from weather.layouts import hours, plain_table, truth
from weather.services import SERVICES, daily_tables, pvgis_tmy, random_download, read_again
from weather.test_strangers import DAILY, HOURLY

from costsim.bills.temperatures import read_temperatures
from costsim.errors import Fault, InputError
from costsim.weather.hours import to_hours
from costsim.weather.readers import read_record, read_weather


@functools.cache
def downloads() -> list[bytes]:
    """Two days of each hourly service and twenty of each daily one."""
    days = np.arange("2020-12-20", "2021-01-09", dtype="datetime64[D]")
    hourly = [service.write(hours("2021-01-01", 48), truth(48)).raw for service in SERVICES]
    daily = [written.raw for written in daily_tables(days, np.linspace(-9.0, 9.0, len(days))).values()]
    strange = [raw if isinstance(raw, bytes) else raw.encode() for raw, _ in (made() for made in HOURLY.values())]
    dialects = [b"\n".join(raw.split(b"\n")[:60]) for raw in strange if raw[:1] != b"{"]
    dialects += [b"\n".join(text.encode().split(b"\n")[:60]) for text in DAILY.values()]
    return [
        *dialects,
        *json_downloads(),
        *hourly,
        *daily,
        pvgis_tmy(truth())[:4000],
        plain_table(hours("2021-01-01", 48), truth(48)),
    ]


def _json(found: object) -> bytes:
    return json.dumps(found).encode()


def json_downloads() -> list[bytes]:
    """Two days of each service that gives JSON."""
    times = [f"2021-01-0{day}T{hour:02}:00" for day in (1, 2) for hour in range(24)]
    values = [hour / 10 for hour in range(48)]
    compact = [time.replace("-", "").replace("T", ":").replace(":00", "00") for time in times]
    return [
        _json({"latitude": 47, "longitude": 12, "elevation": 4, "utc_offset_seconds": 0, "hourly": {"time": times, "temperature_2m": values}}),
        _json({"inputs": {"location": {"latitude": 4, "longitude": 5, "elevation": 6}},
                    "outputs": {"hourly": [{"time": t, "T2m": v, "H_sun": 0} for t, v in zip(compact, values, strict=True)]}}),
        _json({"geometry": {"coordinates": [1, 2, 3]},
                    "properties": {"parameter": {"T2M": {t[:8] + t[9:11]: v for t, v in zip(compact, values, strict=True)}}}}),
    ]  # fmt: skip


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


def true_download(_: bytes, rng: Random) -> bytes:
    """A random table of a random service, with its truth in a line before it."""
    at = rng.randrange(len(SERVICES))
    raw, times, true = random_download(SERVICES[at], rng)
    told = [at, str(times[0]), [None if np.isnan(value) else value for value in true.tolist()]]
    return json.dumps(told).encode() + b"\n" + raw


def read_true(raw: bytes, _: Path) -> object:
    """Read a table of `true_download`: every hour must be as it was written, to a thousandth of a kelvin."""
    head, found, table = raw.partition(b"\n")
    try:
        at, first, values = json.loads(head)
        true = np.array([np.nan if value is None else value for value in values], dtype=float)
        times = np.datetime64(first, "h") + np.arange(len(true))
        service = SERVICES[at]
    except (ValueError, TypeError, IndexError):  # noise instead of a table
        raise InputError(Fault("", "is no example", "run the generator")) from None
    np.testing.assert_allclose(read_again(service, table, times), true, atol=1e-3)
    return found


def one_true() -> list[bytes]:
    """One example."""
    return [true_download(b"", Random("one"))]
