"""Damage text the way people, spreadsheets and disks do, and plain data the way typing does; every choice by one `Random`."""

from __future__ import annotations

import copy
import datetime
from collections.abc import Callable
from random import Random
from typing import Any

TOKENS = [
    b"", b",", b";", b"\t", b'"', b"'", b"\n", b"\r\n", b"\r", b"\x00", b"\xff", b"\xef\xbb\xbf", b"#", b"[", b"]", b"[[", b"]]", b"=", b"{", b"}",
    b"nan", b"inf", b"-inf", b"NaN", b"1e999", b"-1e999", b"1e308", b"-0", b"0", b"-1", b"9999", b"99.9", b"-9900", b"1_000", b"0x10", b"1e400",
    "−5".encode(), "½".encode(), "٣".encode(), "²".encode(), "\u2028".encode(), "\u200b".encode(), "é".encode("latin-1"), "😀".encode(),
    b"=1+1", b"@SUM(A1)", b"1,5", b"1.5.5", b" 5 ", b"24:00", b"02/29/1988", b"2/30/1988", b"13/01/2000", b"LOCATION,", b"DATA PERIODS,",
    b"DESIGN CONDITIONS,1,x,,Heating,1,-90,-91", b"COMMENTS 1,", b"\\u0000", b"\\", b"9" * 40, b"9" * 5000, b"a" * 3000, b"1980-01-01", b"true",
    b"<script>", b"../../../etc/passwd", b"%s%n", b"{0.__class__}",
]  # fmt: skip
QUANTITIES = [
    "1 kW", "0 kW", "-1 kW", "1e-300 kW", "1e300 kW", "1e308 kW", "9 kWh", "5 degC", "-273.15 degC", "1e9 degF", "20 %", "100 %", "0.0001 %",
    "120 %", "3 m2", "1e-9 m2", "1e6 m2", "1 m3", "1e-300 m3", "10 m", "1e-30 m", "0.1 m2 K/W", "1e-12 m2 K/W", "0.14 $/kWh", "0 $/kWh", "1e250 $/kWh",
    "1 €/kWh", "2 $/gal", "1 $/therm", "300 $/cord", "5 $/month", "1e300 $/month", "10 $", "1 $/year", "8000 kWh/year", "1e300 kWh/year",
    "300 gal/year", "0.6 gpm", "1e-30 gpm", "1e30 gpm", "18 ftH2O", "1 h", "1e-9 h", "1e300 h", "60 A", "240 V", "1 W/K", "1e300 W/K", "3 %/year", "30 vol%",
    "1036 Btu/ft3", "1e-300 Btu/ft3", "1 kg/kWh", "30 deg", "400 deg", "1 W/(m2 K)", "4 W/m2/K2", "50 kJ/(m2 K)", "10 K", "-5 K", "1 lb", "1 kg", "",
    " ", "kW", "1", "1 /", "1 kW/", "1 kW kW kW kW", "1 kW^999999999", "1 m^-3", "((((1 kW", "1 (kW", "1e5000 kW", "nan kW", "inf kW",
    "1,5 kW", "½ kW", "١ kW",
    "1 kW\n", "1\u00a0kW", "$ 5", "$$ 5/kWh", "5 $$/kWh", "1 µW", "1 m²", "1 " + "k" * 500 + "W", "9" * 400 + " W", "70 degF", "15 degF",
]  # fmt: skip
WORDS = [
    "", "x", "22:00-06:00", "00:00-24:00", "24:00-24:00", "25:00-26:00", "6-22", "22:00-22:00", "Jan-Mar", "Nov-Feb", "mon-fri", "weekdays",
    "every day", "weekdays", "Mon-Fri", "Sat, Sun", "not holidays", "US", "XX", "America/New_York", "Asia/Kolkata", "../../etc/passwd",
    "/etc/passwd", "\x00", "Etc/GMT+12", "fixed",
    "cheapest_now", "electric", "gas", "solar", "wood", "heat_pump", "none", "propylene_glycol", "natural_gas", "propane", "concrete_100",
    "1/2 in PEX", "aperture", "gross", "greensboro.csv", "sand_point.csv", "cold_valley.csv", ".", "..", "/", "a" * 300, "=1+1", "<b>x</b>",
    "{problem}", "%d", "$", "€", "\ud7ff", "ﷺ", "name\nname",
]  # fmt: skip
OTHERS: list[Any] = [
    True, False, 0, -1, 1, 2, 3, 12, 50, 101, 1990, 2100, 10**9, 2**63 - 1, -(2**63), 0.0, 0.5, -0.5, 0.95, 1.5, 1e308, float("inf"),
    float("-inf"), float("nan"),
    [], {}, [[]], [{}], [""], [1], ["22:00-06:00"], ["22:00-06:00", "12:00-13:00"], {"a": 1}, datetime.date(2020, 2, 29), datetime.time(3, 4),
    datetime.datetime(2020, 1, 1, tzinfo=datetime.UTC), [{"kind": "electric", "output": "1 kW"}],
]  # fmt: skip


def damaged(raw: bytes, rng: Random, tokens: list[bytes] = TOKENS) -> bytes:
    """A copy with one to six changes."""
    for _ in range(rng.randint(1, 6)):
        raw = rng.choice(_BYTES)(raw, rng, tokens)
    return raw[:300_000]


def lightly(raw: bytes, rng: Random) -> bytes:
    """A copy with one or two small changes, most of which a reader can bear."""
    for _ in range(rng.randint(1, 2)):
        raw = rng.choice([_flip, _cell, _cell, _insert])(raw, rng, TOKENS)
    return raw


def _cut(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    at, to = sorted((rng.randint(0, len(raw)), rng.randint(0, len(raw))))
    return raw[:at] + raw[to:] if rng.random() < 0.5 else raw[:to]


def _flip(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    if not raw:
        return raw
    at = rng.randrange(len(raw))
    return raw[:at] + bytes([rng.randrange(256)]) + raw[at + 1 :]


def _insert(raw: bytes, rng: Random, tokens: list[bytes]) -> bytes:
    at = rng.randint(0, len(raw))
    return raw[:at] + rng.choice(tokens) + raw[at:]


def _cell(raw: bytes, rng: Random, tokens: list[bytes]) -> bytes:
    """Put a token into one cell, or in place of a value behind an equals sign."""
    lines = raw.split(b"\n")
    at = rng.randrange(len(lines) if rng.random() < 0.5 else min(len(lines), 10))
    mark = rng.choice([b",", b",", b";", b"=", b":"])
    cells = lines[at].split(mark)
    cells[rng.randrange(len(cells))] = rng.choice(tokens)
    lines[at] = mark.join(cells)
    return b"\n".join(lines)


def _lines(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    """Take a line out, double it, or move it."""
    lines = raw.split(b"\n")
    line = lines.pop(rng.randrange(len(lines)))
    for _turn in range(rng.choice([0, 1, 2])):
        lines.insert(rng.randint(0, len(lines)), line)
    return b"\n".join(lines)


def _replace(raw: bytes, rng: Random, tokens: list[bytes]) -> bytes:
    """Change every one of some character, as a spreadsheet of another country does."""
    return raw.replace(rng.choice([b",", b".", b'"', b"\n", b" ", b"-", b"0", b"/", b":"]), rng.choice(tokens)[:20])


def _splice(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    at, to, into = (rng.randint(0, len(raw)) for _turn in range(3))
    return raw[:into] + raw[min(at, to) : max(at, to)][:2000] + raw[into:]


def _run(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    """Put in a long run of one letter or two, which patterns that try again and again take long over."""
    at, unit = rng.randint(0, min(len(raw), 3000)), rng.choice(_UNITS)
    return raw[:at] + unit * rng.choice([50, 700, 3000, 20_000]) + rng.choice([b"", b"\x00", b"!", b"\n"]) + raw[at:]


_UNITS = [
    b" ",
    b"\t",
    b"0",
    b"9",
    b"a",
    b"-",
    b".",
    b",",
    b"(",
    b"[",
    b"]",
    b'"',
    b"'",
    b"=",
    b"#",
    b"\n",
    b"a.",
    b"0 ",
    b"[ ",
    b"{a=",
    b"\\",
    "°".encode(),
]


def _nest(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    """Nest tables, lists, brackets or elements deeper than anybody does."""
    deep, at = rng.choice([10, 17, 100, 900, 5000]), rng.choice([0, len(raw), rng.randint(0, len(raw))])
    one, end = rng.choice(
        [
            (b"[", b"]"),
            (b"{a=", b"}"),
            (b'{"a":', b"}"),
            (b"[a.", b"]"),
            (b"a.", b"=1"),
            (b"(", b")"),
            (b"<a>", b"</a>"),
        ]
    )
    return raw[:at] + b"\n" + one * deep + b"1" + end * (deep if rng.random() < 0.7 else 1) + b"\n" + raw[at:]


def _header(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    """Give a place in the first lines a value that no place has."""
    lines = raw.split(b"\n")
    at = rng.randrange(min(len(lines), 9))
    mark = b":" if lines[at].startswith(b"#") else b","
    cells = lines[at].split(mark)
    cells[rng.randrange(len(cells))] = rng.choice(_HEADS)
    lines[at] = mark.join(cells)
    return b"\n".join(lines)


_HEADS = [
    b"nan",
    b"inf",
    b"-inf",
    b"273000",
    b"-9999",
    b"1e308",
    b"90.0001",
    b"-180",
    b"181",
    b"15",
    b"-0",
    b"5e-324",
    b"",
    b" ",
    b"9" * 400,
    b"0x10",
    b"12,5",
    b"N36.1",
]


def _dates(raw: bytes, rng: Random, _: list[bytes]) -> bytes:
    """Disturb the order of rows and the dates in them: shuffled, repeated, reversed, half-hourly, from another month."""
    lines = raw.split(b"\n")
    head = min(len(lines) - 1, rng.choice([1, 2, 8, 19]))
    body, kind = lines[head:], rng.randrange(6)
    if kind == 0:
        rng.shuffle(body)
    elif kind == 1:
        body.reverse()
    elif kind == 2:
        at = rng.randrange(max(len(body), 1))
        body = body[:at] + body[at : at + 24] * 2 + body[at + 24 :]
    elif kind == 3:
        body = [one for line in body for one in (line, line.replace(b":00", b":30", 1))]
    elif kind == 4:
        at = len(body) // 2
        body = body[at:] + body[:at]
    else:
        old, new = rng.choice(
            [
                (b"01/", b"13/"),
                (b"-01-", b"-00-"),
                (b"19", b"20"),
                (b"/", b"-"),
                (b"24:00", b"00:00"),
                (b"01:00", b"25:61"),
            ]
        )
        body = [line.replace(old, new) for line in body]
    return b"\n".join(lines[:head] + body)


_BYTES: list[Callable[[bytes, Random, list[bytes]], bytes]] = [
    _cut,
    _flip,
    _flip,
    _insert,
    _cell,
    _cell,
    _cell,
    _lines,
    _replace,
    _splice,
    _run,
    _nest,
    _header,
    _dates,
]


def mistyped(data: dict[str, Any], rng: Random, spare: dict[str, Any]) -> dict[str, Any]:
    """A copy of a study's plain data with one to four values changed, left out, added or moved."""
    data = copy.deepcopy(data)
    for _ in range(rng.randint(1, 4)):
        spots = list(_spots(data))
        node, key = rng.choice(spots)
        act = rng.random()
        if act < 0.5:
            _put(node, key, _other_number(node[key], rng))
        elif act < 0.54:
            del node[key]
        elif act < 0.6:
            other, its = rng.choice(spots)
            if its in other if isinstance(other, dict) else its < len(other):
                _put(node, key, copy.deepcopy(other[its]))
        elif act < 0.7 and isinstance(node, dict):
            name = rng.choice(list(spare))
            node[name] = copy.deepcopy(spare[name])
        else:
            _put(node, key, _value(rng))
    return data


def _put(node: Any, key: Any, value: Any) -> None:
    if isinstance(node, dict) or key < len(node):
        node[key] = value


def _other_number(value: Any, rng: Random) -> Any:
    """The same unit with another number, mostly one that could be meant."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return value
    factor = rng.choice([0.0, 1e-9, 0.01, 0.5, 0.9, 1.1, 2.0, 10.0, 1e3, 1e9, -1.0]) * rng.uniform(0.9, 1.1)
    if not isinstance(value, str):
        return type(value)(value * factor)
    number, _, unit = value.partition(" ")
    try:
        return f"{float(number) * factor:.6g} {unit}"
    except ValueError:
        return value


def _value(rng: Random) -> Any:
    pool = rng.random()
    if pool < 0.55:
        return rng.choice(QUANTITIES)
    if pool < 0.65:
        return f"{rng.choice([1, -1]) * 10 ** rng.uniform(-12, 12):.4g} {rng.choice(QUANTITIES).partition(' ')[2]}"
    return copy.deepcopy(rng.choice(WORDS if pool < 0.83 else OTHERS))


def _spots(node: Any) -> Any:
    """Every place of nested tables and lists."""
    pairs = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in list(pairs):
        yield node, key
        if isinstance(value, dict | list):
            yield from _spots(value)
