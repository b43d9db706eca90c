"""Small files that unpack to gigabytes, and large ones made of almost nothing: all must be refused at little cost."""

from __future__ import annotations

import functools

READING = b"<IntervalReading><timePeriod><duration>3600</duration><start>1577854800</start></timePeriod><value>&a9;</value></IntervalReading>"


def _with_type(declared: bytes, value: bytes = b"&a9;") -> bytes:
    return (
        b'<?xml version="1.0"?>\n<!DOCTYPE feed '
        + declared
        + b">\n<feed>"
        + READING.replace(b"&a9;", value)
        + b"</feed>"
    )


@functools.cache
def entities() -> list[bytes]:
    """Entities that grow when they are read, or that ask for another file."""
    laughs = b"".join(b'<!ENTITY a%d "%s">' % (at, b"&a%d;" % (at - 1) * 10) for at in range(1, 10))
    billion = _with_type(b'[<!ENTITY a0 "ha">' + laughs + b"]")
    return [
        billion,
        billion.decode().replace("?>", ' encoding="UTF-16"?>', 1).encode("utf-16"),
        _with_type(b'[<!ENTITY a "' + b"a" * 50_000 + b'">]', b"&a;" * 50_000),  # quadratic blow-up
        _with_type(b'[<!ENTITY a SYSTEM "file:///etc/passwd">]', b"&a;"),
        _with_type(b'[<!ENTITY a SYSTEM "http://127.0.0.1:9/">]', b"&a;"),
        _with_type(b'[<!ENTITY % p SYSTEM "file:///dev/zero"> %p;]', b"1"),
        _with_type(b'SYSTEM "file:///dev/zero"', b"1"),
        _with_type(b'[<!ATTLIST IntervalReading a CDATA "' + b"a" * 100_000 + b'">]', b"1"),
    ]


def feeds(size: int) -> dict[str, bytes]:
    """XML without entities that costs a reader of trees many times its `size` in memory, or its square in time."""
    return {
        "elements": b"<feed>" + b"<x/>" * (size // 4),
        "deep": b"<feed>" + b"<x>" * (size // 3),
        "deep services": b"<UsagePoint>" + b"<ServiceCategory>" * (size // 17),
        "one tag": b"<feed><x " + b" ".join(b'a%d=">"' % at for at in range(size // 14)),
        "one comment": b"<feed><!--" + b"a>" * (size // 2),
        "names": b"<feed>" + b"".join(b"<a%d/>" % at for at in range(size // 11)),
        "links": b"<feed><entry>" + b'<link rel="up" href="x"/>' * (size // 25),
        "types": b"<feed>" + b"<ReadingType/>" * (size // 14),
        "meters": b"<feed>" + b"<MeterReading/>" * (size // 15),
        "in a reading": b"<feed><IntervalReading>" + b"<x/>" * (size // 4),
        "digits": b"<feed><IntervalReading><value>" + b"1" * size,
    }


def tables(size: int) -> dict[str, bytes]:
    """Text that costs a reader of tables many times its `size`."""
    return {
        "rows": b"date,kWh\n" + b"1\n" * (size // 2),
        "rows of one letter": b"1\n" * (size // 2),
        "returns": b"date,kWh\r" + b"1\r" * (size // 2),
        "remarks": b"# a: b\n" * (size // 7),
        "one row": b"date,kWh\n" + b"," * size,
        "headings": b",".join(b"a%d" % at for at in range(size // 9)) + b"\n1\n",
        "columns": b"a;" * 40_000 + b"\n" + b"1;" * 40_000 + b"\n",
        "a quotation": b'date,kWh\n"' + b"1\n" * (size // 2),
        "quotations": b'"' * size,
        "a cell": b"date,kWh\n" + b"1" * size,
        "a mark": b"723170," + b"," * size,
        "a place": b"LOCATION," + b"," * size,
    }
