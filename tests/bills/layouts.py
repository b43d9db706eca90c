"""Tables of use written in the layouts of downloads, by a writer that knows the truth: the energy of every local day or bill."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

UNITS_J = {"kWh": 3.6e6, "Wh": 3600.0, "MJ": 1e6, "therm": 105.505585262e6, "kW": 0.0, "W": 0.0}
DATE_FORMS = ("%Y-%m-%d", "%m/%d/%Y", "%d/%m/%Y", "%d.%m.%Y", "%Y/%m/%d", "%d-%b-%Y", "%b %d %Y", "%Y%m%d", "%m/%d/%y")
ZONES = ("", "America/Chicago", "Europe/Paris", "Australia/Sydney", "Asia/Amman")
STAMPS = (
    "start",
    "end",
    "both",
    "date and two times",
    "date and time",
    "hour",
    "hour from 0",
    "offset",
    "wide",
    "span of times",
    "register",
    "utc",
    "epoch",
)
EXTRAS = ("Cost", "Temperature (F)", "Generation (kWh)", "Average use", "Notes", "Account Number")
USE = ("Usage", "Consumption", "USAGE", "Energy Use", "Verbrauch", "Consumo", "Delivered")


@dataclass
class Written:
    """A file, what it means, and how it was made."""

    raw: bytes
    truth: dict[date, float]
    made: dict[str, object] = field(default_factory=dict)


def _number(value: float, mark: str, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return text.replace(".", mark)


def write_readings(rng: random.Random, days: tuple[int, int] = (26, 45)) -> Written:
    """Readings of a day or shorter over some weeks, with or without a change of the clock in them."""
    zone = rng.choice(ZONES)
    tz = ZoneInfo(zone) if zone else UTC
    step = rng.choice((900, 1800, 1800, 3600, 3600, 3600, 3600, 86400, 86400))
    stamps = "daily" if step == 86400 else rng.choice(STAMPS)
    if stamps in ("hour", "hour from 0", "wide") and (step != 3600 or zone):
        stamps = "both"
    if stamps in ("utc", "epoch") and not zone:
        zone, tz = "America/Denver", ZoneInfo("America/Denver")
    if stamps == "register" and zone:  # states by a clock that is set back: nobody can tell which 01:30 is which
        zone, tz = "", UTC
    first = date(2021, rng.choice((1, 3, 6, 9, 10)), rng.randint(1, 28))
    if zone == "Asia/Amman" and first == date(2021, 3, 26):  # without an hour at midnight, starts look like ends
        first += timedelta(days=1)
    number = rng.randint(*days) if step < 86400 else rng.randint(4, 45)  # up to twelve days may be twelve months: asked
    unit = rng.choice(
        ("kWh", "kWh", "Wh", "MJ", "therm", "W")
        if step < 86400 and stamps != "register"
        else ("kWh", "Wh", "MJ", "therm")
    )
    mark = rng.choice((".", ".", ","))
    sep = ";" if mark == "," else rng.choice((",", ";", "\t"))
    form = rng.choice(DATE_FORMS[:1] if stamps == "offset" else DATE_FORMS)
    use, digits = rng.choice(USE), 1 if unit in ("W", "Wh") else 4
    factor = UNITS_J[unit] or step
    moments: list[tuple[datetime, datetime, float, float]] = []
    truth: dict[date, float] = {}
    for day in (first + timedelta(days=i) for i in range(number)):
        begin = datetime(day.year, day.month, day.day, tzinfo=tz).astimezone(UTC)
        after = day + timedelta(days=1)
        end = datetime(after.year, after.month, after.day, tzinfo=tz).astimezone(UTC)
        total, at = 0.0, begin
        while at < end:
            until = min(at + timedelta(seconds=step), end) if step < 86400 else end
            amount = float(_number(rng.uniform(0.05, 3.0) * (1000 if digits == 1 else 1), ".", digits))
            moments.append((at.astimezone(tz), until.astimezone(tz), amount, 0.0))
            total += amount * factor
            at = until
        truth[day] = total
    meters = stamps not in ("wide", "register") and rng.random() < 0.15
    before = rng.getstate()
    lines = _lines(stamps, moments, form, sep, mark, digits, use, unit, rng)
    if meters:
        rng.setstate(before)  # the same headings and forms
        more = [(a, b, round(1.7 * value, digits), 0.0) for a, b, value, _ in moments]
        lines = _beside(lines, _lines(stamps, more, form, sep, mark, digits, use, unit, rng), sep, rng)
    preamble = rng.choice(([], ["Name,SOMEBODY", "Address,1 Any Street", ""], ["Energy use of one house"]))
    preamble = [line.replace(",", sep) for line in preamble]
    if rng.random() < 0.25 and stamps != "wide":
        lines = [lines[0], *lines[1:][::-1]]
    text = rng.choice(("\n", "\r\n")).join([*preamble, *lines, ""])
    encoding = rng.choice(("utf-8", "utf-8-sig", "utf-16", "cp1252"))
    made = {
        "zone": zone,
        "step": step,
        "stamps": stamps,
        "unit": unit,
        "form": form,
        "sep": sep,
        "mark": mark,
        "encoding": encoding,
        "meter": "B-22" if meters else "",
    }
    return Written(text.encode(encoding), truth, made)


def _beside(lines: list[str], others: list[str], sep: str, rng: random.Random) -> list[str]:
    """The rows of two meters, one below the other or by turns."""
    mine, its = ([sep.join([name, line]) for line in rows[1:]] for name, rows in (("B-22", lines), ("A-11", others)))
    both = [*its, *mine] if rng.random() < 0.5 else [row for pair in zip(its, mine, strict=True) for row in pair]
    return [sep.join(["Meter Number", lines[0]]), *both]


def _lines(
    stamps: str, moments: list[tuple[datetime, datetime, float, float]], form: str, sep: str, mark: str, digits: int, use: str,
    unit: str, rng: random.Random,
) -> list[str]:  # fmt: skip
    seconds = rng.choice((":%M", ":%M:%S"))
    clock = rng.choice(("%H" + seconds, "%I" + seconds + " %p"))
    inclusive = rng.random() < 0.5
    amount_head = rng.choice((f"{use} ({unit})", f"{use} [{unit}]", f"{use}_{unit}"))
    extra = rng.sample(EXTRAS, rng.randint(0, 2))

    def cells(value: float) -> list[str]:
        known = {
            "Cost": "$" + _number(value * 0.2, ".", 2), "Temperature (F)": "41", "Generation (kWh)": _number(0.5, mark, 2),
            "Average use": _number(1.0, mark, 1), "Notes": "", "Account Number": "123456",
        }  # fmt: skip
        return [known[name] for name in extra]

    def row(*front: str, value: float) -> str:
        return sep.join([*front, _number(value, mark, digits), *cells(value)])

    tail = [amount_head, *extra]
    if stamps == "register":
        return _states(moments, f"{form} {clock}", sep, mark, digits, unit)
    if stamps == "wide":
        return _wide(moments, form, sep, mark, digits, unit)
    heads = {
        "daily": ["Date"], "start": ["Start"], "end": ["Interval End"], "both": ["Start Date Time", "End Date Time"],
        "date and two times": ["Date", "Start Time", "End Time"], "date and time": ["Date", "Time"], "hour": ["Date", "Hour"],
        "hour from 0": ["Date", "Hour"], "offset": ["Start", "End"], "span of times": ["Date", "Time"],
        "utc": ["Start (UTC)", "End (UTC)"], "epoch": ["Start"],
    }[stamps]  # fmt: skip
    lines = [sep.join([*heads, *tail])]
    for start, end, value, _ in moments:
        last = end - timedelta(minutes=1) if inclusive else end
        lines.append(row(*_front(stamps, start, end, last, form, clock), value=value))
    return lines


def _front(stamps: str, start: datetime, end: datetime, last: datetime, form: str, clock: str) -> list[str]:
    """The cells of a reading's time."""
    day = start.strftime(form)
    match stamps:
        case "start":
            return [start.strftime(f"{form} {clock}")]
        case "end":
            return [end.strftime(f"{form} {clock}")]
        case "both":
            return [start.strftime(f"{form} {clock}"), last.strftime(f"{form} {clock}")]
        case "date and two times":
            return [day, start.strftime(clock), last.strftime(clock)]
        case "date and time":
            return [day, start.strftime(clock)]
        case "hour":
            return [day, str(start.hour + 1)]
        case "hour from 0":
            return [day, str(start.hour)]
        case "offset":
            return [start.isoformat(), end.isoformat()]
        case "utc":
            return [one.astimezone(UTC).strftime(f"{form} {clock}") for one in (start, end)]
        case "epoch":
            return [str(int(start.timestamp()))]
        case "span of times":
            return [day, f"{start.strftime('%H:%M')} - {end.strftime('%H:%M')}"]
        case _:
            return [day]


def _states(
    moments: list[tuple[datetime, datetime, float, float]], form: str, sep: str, mark: str, digits: int, unit: str
) -> list[str]:
    """States of a register at the start of each reading, and at the end of the last."""
    state, lines = 4000.0 if digits > 1 else 4000000.0, [sep.join(["Time", f"Meter Reading ({unit})"])]
    for start, _, value, _ in moments:
        lines.append(sep.join([start.strftime(form), _number(state, mark, digits)]))
        state = round(state + value, digits)
    return [*lines, sep.join([moments[-1][1].strftime(form), _number(state, mark, digits)])]


def _wide(
    moments: list[tuple[datetime, datetime, float, float]], form: str, sep: str, mark: str, digits: int, unit: str
) -> list[str]:
    lines = [sep.join(["Meter", "Unit", "Date", *(f"{hour:02}:00" for hour in range(24))])]
    for at in range(0, len(moments), 24):
        numbers = [_number(value, mark, digits) for _, _, value, _ in moments[at : at + 24]]
        lines.append(sep.join(["A1", unit, moments[at][0].strftime(form), *numbers]))
    return lines


def write_bills(rng: random.Random) -> Written:
    """Bills of some two years: two dates, one with days beside it, months, spans in one cell, or states of a register."""
    layout = rng.choice(
        (
            "two dates", "last days", "start", "end", "days", "span", "register", "two rows of headings", "months", "quarters", "estimated",
            "new meter",
        )
    )  # fmt: skip
    unit = rng.choice(("kWh", "therm", "MJ"))
    form = rng.choice(DATE_FORMS[:7])
    mark = rng.choice((".", ","))
    sep = ";" if mark == "," else rng.choice((",", "\t"))
    edges = [date(2019, 1, rng.randint(2, 28))]
    for _ in range(rng.randint(12, 30)):
        edges.append(edges[-1] + timedelta(days=rng.randint(27, 34)))
    if layout in ("months", "quarters"):
        step = 1 if layout == "months" else 3
        edges = [date(2019 + at // 12, at % 12 + 1, 1) for at in range(0, step * rng.randint(12, 20), step)]
    amounts = [float(_number(rng.uniform(5, 900), ".", 2)) for _ in edges[1:]]
    truth = {edge: amount * UNITS_J[unit] for edge, amount in zip(edges, amounts, strict=False)}
    pairs = list(zip(edges, edges[1:], amounts, strict=False))

    def put(value: float) -> str:
        return _number(value, mark, 2)

    use = f"{rng.choice(USE)} ({unit})"
    if layout in ("two dates", "last days"):
        back = timedelta(days=layout == "last days")
        lines = [sep.join(["Bill Start", "Bill End", use])]
        lines += [sep.join([a.strftime(form), (b - back).strftime(form), put(v)]) for a, b, v in pairs]
    elif layout == "start":
        lines = [sep.join(["start", use]), *(sep.join([a.strftime(form), put(v)]) for a, _, v in pairs)]
        lines.append(sep.join([edges[-1].strftime(form), ""]))
    elif layout == "end":
        lines = [sep.join(["Read Date", use]), sep.join([edges[0].strftime(form), put(1.0)])]
        lines += [sep.join([b.strftime(form), put(v)]) for _, b, v in pairs]
    elif layout == "days":
        lines = [sep.join(["Date", "Days", use])]
        lines += [sep.join([b.strftime(form), str((b - a).days), put(v)]) for a, b, v in pairs]
    elif layout == "span":
        lines = [sep.join(["Billing Period", use])]
        lines += [sep.join([f"{a.strftime(form)} - {b.strftime(form)}", put(v)]) for a, b, v in pairs]
    elif layout == "months":
        lines = [
            sep.join(["Month", use]),
            *(sep.join([a.strftime(rng.choice(("%b %Y", "%B %Y", "%Y-%m"))), put(v)]) for a, _, v in pairs),
        ]
    elif layout == "quarters":
        lines = [
            sep.join(["Quarter", use]),
            *(sep.join([f"Q{a.month // 3 + 1} {a.year}", put(v)]) for a, _, v in pairs),
        ]
    elif layout == "estimated":
        guessed = [rng.random() < 0.15 for _ in pairs[:-1]] + [False]
        lines = [sep.join(["Bill Start", "Bill End", use, "Read Type"])]
        lines += [
            sep.join([a.strftime(form), b.strftime(form), put(v), "Estimated" if one else "Actual"])
            for (a, b, v), one in zip(pairs, guessed, strict=True)
        ]
        truth, since, total = {}, edges[0], 0.0
        for (_, b, v), one in zip(pairs, guessed, strict=True):
            total += v
            if not one:
                truth[since] = total * UNITS_J[unit]
                since, total = b, 0.0
    elif layout == "new meter":
        at, states = rng.randint(2, len(amounts) - 3), [20000.0]
        amounts = [300.0 + value / 3.0 for value in amounts]
        amounts = [float(_number(value, ".", 2)) for value in amounts]
        for number, value in enumerate(amounts):
            states.append(20.0 if number == at else states[-1] + value)
        truth = {
            edge: amount * UNITS_J[unit] for edge, amount in zip(edges, amounts, strict=False) if edge != edges[at]
        }
        lines = [sep.join(["Date", f"Meter Reading ({unit})"])]
        lines += [sep.join([edge.strftime(form), put(state)]) for edge, state in zip(edges, states, strict=True)]
    elif layout == "register":
        states = [12000.0]
        for value in amounts:
            states.append(states[-1] + value)
        lines = [sep.join(["Date", f"Meter Reading ({unit})"])]
        lines += [sep.join([edge.strftime(form), put(state)]) for edge, state in zip(edges, states, strict=True)]
    else:
        lines = [sep.join(["Period", "", "Usage"]), sep.join(["from", "to", unit])]
        lines += [sep.join([a.strftime(form), b.strftime(form), put(v)]) for a, b, v in pairs]
    text = rng.choice(("\n", "\r\n", "\r")).join([*lines, ""])
    made = {"layout": layout, "unit": unit, "form": form, "mark": mark, "sep": sep}
    return Written(text.encode(rng.choice(("utf-8", "utf-16", "cp1252"))), truth, made)
