"""Green Button files made by hand, after the ESPI schema: an Atom feed of usage point, clock, reading type and readings."""

from __future__ import annotations

import re
from collections.abc import Iterable

EASTERN = "<tzOffset>-18000</tzOffset><dstOffset>3600</dstOffset><dstStartRule>360E2000</dstStartRule><dstEndRule>B40E2000</dstEndRule>"


def reading(start_s: int, length_s: int, value: float, quality: int | None = None) -> str:
    """One reading."""
    flag = "" if quality is None else f"<ReadingQuality><quality>{quality}</quality></ReadingQuality>"
    period = f"<timePeriod><duration>{length_s}</duration><start>{start_s}</start></timePeriod>"
    return f"<IntervalReading>{flag}{period}<value>{value}</value></IntervalReading>"


def reads(**codes: int) -> str:
    """A reading type; electricity in Wh by default."""
    codes = {
        "accumulationBehaviour": 4,
        "commodity": 1,
        "flowDirection": 1,
        "powerOfTenMultiplier": 0,
        "uom": 72,
        **codes,
    }
    return (
        "<ReadingType>"
        + "".join(f"<{key}>{value}</{key}>" for key, value in codes.items() if value >= -9)
        + "</ReadingType>"
    )


def entry(body: str, self_: str, up: str = "", related: Iterable[str] = ()) -> str:
    """One Atom entry with its links."""
    links = f'<link rel="self" href="{self_}"/><link rel="up" href="{up}"/>'
    links += "".join(f'<link rel="related" href="{href}"/>' for href in related)
    return f"<entry><id>urn:uuid:{self_}</id>{links}<title>any</title><content>{body}</content></entry>\n"


def meter(blocks: Iterable[str], *, number: int = 1, point: int = 1, kind: int = 0, type_: str = "") -> str:
    """All entries of one meter; each of `blocks` is a row of readings."""
    up = f"/espi/RetailCustomer/9/UsagePoint/{point}"
    own = f"{up}/MeterReading/{number}"
    parts = [
        entry(f"<UsagePoint><ServiceCategory><kind>{kind}</kind></ServiceCategory></UsagePoint>", up),
        entry(
            "<MeterReading></MeterReading>",
            own,
            f"{up}/MeterReading",
            [f"{own}/IntervalBlock", f"/espi/ReadingType/{number}"],
        ),
        entry(type_ or reads(), f"/espi/ReadingType/{number}", "/espi/ReadingType"),
    ]
    for i, block in enumerate(blocks):
        body = f"<IntervalBlock><interval><duration>0</duration><start>0</start></interval>{block}</IntervalBlock>"
        parts.append(entry(body, f"{own}/IntervalBlock/{i}", f"{own}/IntervalBlock"))
    return "".join(parts)


def feed(*meters: str, clock: str = EASTERN) -> str:
    """A whole file, with ESPI as the default namespace of its contents."""
    time = entry(f"<LocalTimeParameters>{clock}</LocalTimeParameters>", "/espi/LocalTimeParameters/1") if clock else ""
    text = '<?xml version="1.0" encoding="UTF-8"?>\n<feed xmlns="http://www.w3.org/2005/Atom"><title>usage</title>\n'
    for name in ("UsagePoint", "MeterReading", "ReadingType", "IntervalBlock", "LocalTimeParameters"):
        meters = tuple(m.replace(f"<{name}>", f'<{name} xmlns="http://naesb.org/espi">') for m in meters)
        time = time.replace(f"<{name}>", f'<{name} xmlns="http://naesb.org/espi">')
    return text + time + "".join(meters) + "</feed>\n"


def prefixed(text: str) -> str:
    """The same file with prefixes for both namespaces."""
    for name in ("feed", "entry", "id", "link", "title", "content"):
        text = text.replace(f"<{name}", f"<atom:{name}").replace(f"</{name}", f"</atom:{name}")
    text = text.replace(' xmlns="http://naesb.org/espi"', "")
    head, body = text.split(">\n", 2)[0], text.split("\n", 1)[1]
    body = re.sub(r"<(?!/?atom:|\?)(/?)", r"<\1espi:", body)
    body = body.replace(
        '<atom:feed xmlns="http://www.w3.org/2005/Atom">',
        '<atom:feed xmlns:atom="http://www.w3.org/2005/Atom" xmlns:espi="http://naesb.org/espi">',
    )
    return f"{head}>\n{body}"
