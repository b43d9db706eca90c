"""Good bills, Green Button files, dated temperatures and monthly means, for the fuzzer to damage."""

from __future__ import annotations

import functools
from importlib import resources
from pathlib import Path

from bills.espi import feed, meter, prefixed, reading

START_S = 1577854800  # 1 January 2020, midnight in New York
HOUR_S = 3600


@functools.cache
def bills() -> list[bytes]:
    """The built-in table, and deliveries with semicolons and decimal commas."""
    sample = (Path(str(resources.files("costsim"))) / "demos" / "lantern_bills.csv").read_bytes()
    fills = "Lieferdatum;Menge Flüssiggas [L]\n" + "".join(
        f"0{m}.1{m}.202{y};{500 + m},5\n" for y in range(3) for m in range(1, 8, 2)
    )
    return [
        sample,
        fills.encode("latin-1"),
        b"date,kWh,read type\n2023-01-05,1,A\n2023-02-04,812,E\n2023-03-06,640,A\n",
    ]


@functools.cache
def green_button() -> list[bytes]:
    """Two days of hours, plain and with prefixes."""
    hours = "".join(reading(START_S + at * HOUR_S, HOUR_S, 700 + at) for at in range(48))
    text = feed(meter([hours]))
    return [text.encode(), prefixed(text).encode()]


@functools.cache
def dated() -> list[bytes]:
    """A dated table of daily temperatures."""
    rows = "".join(f"2022-{m:02d}-{d:02d},{m + d / 10:.1f}\n" for m in range(1, 13) for d in range(1, 29))
    return [b"date,temperature [degC]\n" + rows.encode()]


@functools.cache
def means() -> list[bytes]:
    """Twelve monthly means with their place."""
    rows = "".join(f"{month},{-5 + 2 * month},0.5\n" for month in range(1, 13))
    return [b"# latitude: 47.0\n# longitude: 12.8\n# utc_offset: 1\nmonth,mean [degC],clearness\n" + rows.encode()]
