"""Green Button (ESPI) files, read piece by piece: which meters they hold, and each meter's readings as arrays."""

from __future__ import annotations

import math
import re
from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import IO
from xml.parsers.expat import ExpatError

import numpy as np

from costsim.bills.local_time import NO_RULE, LocalTime
from costsim.bills.stamps import Seconds
from costsim.bills.xml_stream import DocumentTypeError, Links, Pieces, Put
from costsim.errors import Fault, InputError
from costsim.files import open_regular
from costsim.units.arrays import Bools, Floats

MOST_BYTES, MOST_METERS = 500_000_000, 10_000
MOST_EMPTY = 0.01  # of all use: some files write the hour that a set clock repeats as a reading of 0 s
COST_UNIT = 1e-5  # costs are in hundred-thousandths of the currency (IntervalReading of the ESPI schema)
ESTIMATED = (8, 9, 12)  # by a reference day, by interpolation, projected (QualityOfReading of the ESPI schema)
_REMEDY = "download the usage again as Green Button XML"
_METER = re.compile(r"^((?:.*/)?MeterReading/[^/?]+)")
_POINT = re.compile(r"^((?:.*/)?UsagePoint/[^/?]+)")


@dataclass(frozen=True, slots=True)
class ReadingType:
    """What a meter's numbers mean, in the codes of the ESPI schema; -1 where the file does not tell."""

    uom: int = -1
    commodity: int = -1
    flow: int = -1
    accumulation: int = -1
    power_of_ten: int = 0
    currency: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class Channel:
    """Readings of one meter, in the order of time.

    Parameters
    ----------
    point, meter, title : str
        Addresses of the usage point and of the meter's readings inside the file, and the usage point's title; may be empty.
    service : int
        Kind of service of the usage point: 0 electricity, 1 gas; -1 where the file does not tell.
    reads : ReadingType
    start_s, length_s : array of int (n,)
        Start [s since 1970, UTC] and length of each reading [s].
    value : array (n,)
        In the unit of `reads`, with its power of ten.
    estimated : array of bool (n,)
    title : str
    cost : array (n,) or None
        Money of each reading, NaN where the file tells none.
    """

    point: str
    meter: str
    service: int
    reads: ReadingType
    start_s: Seconds
    length_s: Seconds
    value: Floats
    estimated: Bools
    title: str = ""
    cost: Floats | None = None


@dataclass(slots=True)
class _Raw:
    """Readings of one meter while they are being read, with the reading type that stood last before them."""

    near: str = ""
    start: array[int] = field(default_factory=lambda: array("q"))
    length: array[int] = field(default_factory=lambda: array("q"))
    value: array[float] = field(default_factory=lambda: array("d"))
    quality: array[int] = field(default_factory=lambda: array("h"))
    cost: array[float] = field(default_factory=lambda: array("d"))


@dataclass(slots=True)
class _Feed:
    """All that has been read so far, by address."""

    raw: dict[str, _Raw] = field(default_factory=dict)
    types: dict[str, ReadingType] = field(default_factory=dict)
    related: dict[str, list[str]] = field(default_factory=dict)
    services: dict[str, int] = field(default_factory=dict)
    titles: dict[str, str] = field(default_factory=dict)
    time: LocalTime = field(default_factory=LocalTime)
    meter: str = ""
    pending: _Raw = field(default_factory=_Raw)


def looks_like_xml(source: str | Path | bytes) -> bool:
    """Whether a file, or what was uploaded, begins like XML; a file that cannot be read does not."""
    if isinstance(source, bytes):
        head = source[:200]
    else:
        try:
            with open_regular(source, most=MOST_BYTES) as (stream, _):
                head = stream.read(200)
        except InputError:
            return False
    return head.removeprefix(b"\xef\xbb\xbf").lstrip().startswith((b"<", b"<\x00", b"\xff\xfe<\x00", b"\xfe\xff\x00<"))


def read_channels(path: str | Path, *, content: IO[bytes] | None = None) -> tuple[list[Channel], LocalTime]:
    """Read all meters of a Green Button file, in memory that grows with the readings and not with the XML.

    Parameters
    ----------
    path : str or Path
        The file; with `content` only its name for messages.
    content : binary stream, optional
        What was uploaded.

    Raises
    ------
    InputError
        It cannot be read, is no XML or no Green Button file, declares entities, or has odd readings.
    """
    file = str(path) if content is not None else Path(path).name
    if content is not None:
        feed = _fed(content, file)
    else:
        with open_regular(path, most=MOST_BYTES) as (stream, _):
            feed = _fed(stream, file)
    if not feed.raw:
        raise InputError(Fault("", "holds no readings of a meter (IntervalReading)", _REMEDY, file))
    return [_channel(feed, meter, raw, file) for meter, raw in feed.raw.items()], feed.time


def _fed(stream: IO[bytes], file: str) -> _Feed:
    feed = _Feed()
    puts: dict[str, Put] = {name: partial(put, feed) for name, put in _PIECES.items()}
    try:
        Pieces(puts, _FACTS, "IntervalReading", partial(_close_entry, feed)).read(stream)
        _close_entry(feed, {})
    except DocumentTypeError:
        what = "declares a document type or entities, which no Green Button file needs and which can do harm"
        raise InputError(Fault("", what, _REMEDY, file)) from None
    except ExpatError as error:
        raise InputError(Fault("", f"is no whole XML file ({error})", _REMEDY, file)) from None
    except (ValueError, OverflowError, LookupError) as error:
        raise InputError(Fault("", f"has something that is no reading ({error})", _REMEDY, file)) from None
    return feed


def _room(known: Mapping[str, object], name: str) -> None:
    if len(known) >= MOST_METERS and name not in known:
        raise ValueError(f"more than {MOST_METERS:,} meters")


def _address(links: Links, pattern: re.Pattern[str] | None = None) -> str:
    """Take the entry's own address, or the part of its own or upper one that a pattern finds; host and first slash are let go."""
    for href in links.get("self", []) + (links.get("up", []) if pattern else []):
        plain = _plain(href)
        if pattern is None:
            return plain
        if match := pattern.match(plain):
            return match[1]
    return ""


def _plain(href: str) -> str:
    return href.partition("://")[2].partition("/")[2] if "://" in href[:10] else href.lstrip("/")


def _put_reading(feed: _Feed, facts: dict[str, str], links: Links) -> None:
    raw = feed.pending
    try:
        raw.start.append(int(facts["start"]))
        raw.length.append(int(facts["duration"]))
        raw.value.append(float(facts["value"]))
    except KeyError as error:
        raise ValueError(f"an IntervalReading without {error.args[0]}") from None
    raw.quality.append(int(facts.get("quality", "0") or 0))
    raw.cost.append(float(facts["cost"]) * COST_UNIT if facts.get("cost") else math.nan)


def _close_entry(feed: _Feed, links: Links) -> None:
    """Give the readings of an entry to the meter that its links name, else to the last meter before them."""
    taken, feed.pending = feed.pending, _Raw()
    if not taken.start:
        return
    meter = _address(links, _METER) or next((_plain(href) for href in links.get("up", [])), "") or feed.meter
    raw = feed.raw.get(meter)
    if raw is None:
        _room(feed.raw, meter)
        raw = feed.raw[meter] = _Raw(near="" if links else next(reversed(feed.types), ""))
    for name in ("start", "length", "value", "quality", "cost"):
        getattr(raw, name).extend(getattr(taken, name))


def _put_type(feed: _Feed, facts: dict[str, str], links: Links) -> None:
    def code(name: str, default: int = -1) -> int:
        return int(facts[name]) if facts.get(name) else default

    if abs(code("powerOfTenMultiplier", 0)) > 12:
        raise ValueError(f"powerOfTenMultiplier {facts['powerOfTenMultiplier']}")
    address = _address(links) or f"type {len(feed.types) + 1}"
    _room(feed.types, address)
    feed.types[address] = ReadingType(
        code("uom"),
        code("commodity"),
        code("flowDirection"),
        code("accumulationBehaviour"),
        code("powerOfTenMultiplier", 0),
        code("currency"),
    )


def _put_meter(feed: _Feed, facts: dict[str, str], links: Links) -> None:
    meter = _address(links) or f"meter {len(feed.related) + 1}"
    _room(feed.related, meter)
    feed.meter = meter
    feed.related[meter] = [_plain(href) for href in links.get("related", [])]


def _put_service(feed: _Feed, facts: dict[str, str], links: Links) -> None:
    point = _address(links)
    _room(feed.services, point)
    feed.services[point] = int(facts["kind"]) if facts.get("kind") else -1
    feed.titles[point] = links.get("title", [""])[0]


def _put_time(feed: _Feed, facts: dict[str, str], links: Links) -> None:
    feed.time = LocalTime(
        int(facts.get("tzOffset") or 0),
        int(facts.get("dstOffset") or 0),
        int(facts.get("dstStartRule") or f"{NO_RULE:X}", 16),
        int(facts.get("dstEndRule") or f"{NO_RULE:X}", 16),
        "tzOffset" in facts,
    )


_PIECES = {
    "IntervalReading": _put_reading,
    "ReadingType": _put_type,
    "MeterReading": _put_meter,
    "ServiceCategory": _put_service,  # of a UsagePoint
    "LocalTimeParameters": _put_time,
}
_FACTS = (
    "start", "duration", "value", "quality", "uom", "commodity", "flowDirection", "accumulationBehaviour", "powerOfTenMultiplier", "kind",
    "cost", "currency", "tzOffset", "dstOffset", "dstStartRule", "dstEndRule",
)  # fmt: skip


def _channel(feed: _Feed, meter: str, raw: _Raw, file: str) -> Channel:
    reads, point = _type_of(feed, meter, raw), _POINT.match(meter)
    address = point[1] if point else ""
    service = feed.services.get(address, -1)
    if service < 0 and len(set(feed.services.values())) == 1:
        service = next(iter(feed.services.values()))
    start, length = np.array(raw.start, dtype=np.int64), np.array(raw.length, dtype=np.int64)
    value = np.array(raw.value) * 10.0**reads.power_of_ten
    odd = (length < 0).any() or not length.any()
    if not np.isfinite(value).all() or odd or (start < 0).any() or (start > 4_102_444_800).any():
        what = "has a reading without length, or outside of 1970 to 2100, or that is no number"
        raise InputError(Fault("IntervalReading", what, _REMEDY, file))
    empty = float(np.abs(value[length == 0]).sum())
    if empty > MOST_EMPTY * float(np.abs(value).sum()):
        what = f"{int((length == 0).sum()):,} readings without length hold {empty / float(np.abs(value).sum()):.0%} of the use"
        raise InputError(Fault("IntervalReading", what, _REMEDY, file))
    order = np.argsort(start, kind="stable")
    estimated = np.isin(np.array(raw.quality), ESTIMATED)[order]
    arrays = (start[order], length[order], value[order], estimated)
    cost = np.array(raw.cost)[order] if np.isfinite(raw.cost).any() else None
    return Channel(address, meter, service, reads, *arrays, feed.titles.get(address, ""), cost)


def _type_of(feed: _Feed, meter: str, raw: _Raw) -> ReadingType:
    """Reading type by the links of the meter, else the only one, else, without an entry, the last before the readings.

    Where none of these tells it, the type is one without a unit, which is refused later on: units are never guessed.
    """
    for href in feed.related.get(meter, []):
        if href in feed.types:
            return feed.types[href]
    if len(set(feed.types.values())) == 1:
        return next(iter(feed.types.values()))
    return feed.types.get(raw.near, ReadingType())
