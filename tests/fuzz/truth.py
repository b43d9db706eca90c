"""Files whose truth the writer knows, read back: `python tests/fuzz/truth.py --seconds 600 --each 50000`, outside the suite.

For each reader: interval tables, bills, ZIPs, Green Button, weather services, HPXML, lists of surfaces. A line each tells how many
were read equal, were answered by a question or refusal, were WRONG by more than a thousandth, and what the slowest took. The exit
status is 1 where anything was wrong, raised something else than an `InputError`, or took more than five seconds. A SIGTERM ends the
reader at work after the file in hand, and what it has seen is told.
"""

from __future__ import annotations

import argparse
import io
import random
import signal
import sys
import time
import traceback
import zipfile
from collections import Counter
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
from bills.espi import feed, meter, reading, reads
from bills.layouts import Written, write_bills, write_readings
from bills.test_layouts import MOST_OFF, compared, verdict
from weather.services import SERVICES, daily_tables, random_download, read_again

from costsim.bills.read import read_bill_file
from costsim.bills.temperatures import read_temperatures
from costsim.errors import InputError
from costsim.study.hpxml import read_hpxml
from costsim.study.surface_list import read_surfaces

SLOWEST_S = 5.0
LONGER = 0.1  # of all files: short ones are read ten times as often, and leave more open
THERM_J, WH_J = 105.505585262e6, 3600.0
U_SI, FT2, FT3_H = 5.678263341, 0.3048**2, 0.3048**3 / 3600.0


def interval_csv(rng: random.Random) -> str:
    """A table of readings in any of the layouts."""
    return verdict(write_readings(rng, days=(4, 12) if rng.random() < LONGER else (2, 4)))


def bills_csv(rng: random.Random) -> str:
    """A table of bills in any of the layouts."""
    return verdict(write_bills(rng))


def zipped(rng: random.Random) -> str:
    """A table of bills in a ZIP, or two that follow one another in time, in any order, beside files that are none."""
    written = write_bills(rng)
    while written.made["layout"] not in ("two dates", "days", "span", "last days"):
        written = write_bills(rng)
    stream, parts = io.BytesIO(), [written.raw]
    if rng.random() < 0.5:
        encoding = next(
            one for one in ("utf-16", "utf-8") if one == "utf-8" or written.raw[:2] in (b"\xff\xfe", b"\xfe\xff")
        )
        head, *rows = written.raw.decode(encoding).splitlines()
        at = rng.randint(3, len(rows) - 3)
        parts = ["\n".join([head, *some, ""]).encode(encoding) for some in (rows[:at], rows[at:])]
        rng.shuffle(parts)
    with zipfile.ZipFile(stream, "w", rng.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED))) as packed:
        for number, raw in enumerate(parts):
            packed.writestr(f"{number}/{rng.choice(('use.csv', 'a/b/My Use.CSV', '2021/usage.txt'))}", raw)
        if rng.random() < 0.5:
            packed.writestr("__MACOSX/._use.csv", b"\x00\x05\x16\x07")
        if rng.random() < 0.5:
            packed.writestr(rng.choice(("logo.png", "terms.pdf")), b"\x89PNG\r\n\x1a\n")
    try:
        (found,) = read_bill_file("use.zip", content=stream.getvalue())
    except InputError as error:
        return str(error)
    return compared(found, written)


def green_button(rng: random.Random) -> str:
    """Readings of one meter on a clock that is told, with powers of ten, costs, readings of 7,200 s and 0 s, blocks in any order."""
    zone, clock = rng.choice((
        ("America/New_York", "<tzOffset>-18000</tzOffset>"), ("America/Los_Angeles", "<tzOffset>-28800</tzOffset>"),
    ))  # fmt: skip
    clock += "<dstOffset>3600</dstOffset><dstStartRule>360E2000</dstStartRule><dstEndRule>B40E2000</dstEndRule>"
    tz, step = ZoneInfo(zone), rng.choice((900, 1800, 3600, 3600, 86400))
    gas = rng.random() < 0.3
    power = rng.choice((-3, -2, 0, 3)) if gas else rng.choice((-3, 0, 0, 3))
    joule = (THERM_J if gas else WH_J) * 10.0**power
    first, rows, truth = date(2021, rng.choice((1, 3, 6, 10, 11)), rng.randint(1, 20)), [], {}
    for day in (first + timedelta(days=i) for i in range(_count(rng, step))):
        after = day + timedelta(days=1)
        at, end = (datetime(d.year, d.month, d.day, tzinfo=tz).astimezone(UTC) for d in (day, after))
        while at < end:
            length = int((end - at).total_seconds()) if step == 86400 else step
            if step == 3600 and rng.random() < 0.01 and at + timedelta(seconds=7200) <= end:
                length = 7200
                rows.append((int(at.timestamp()), 0, 0.0)) if rng.random() < 0.5 else None
            value = float(rng.randint(1, 9000))
            rows.append((int(at.timestamp()), length, value))
            truth[day] = truth.get(day, 0.0) + value * joule
            at += timedelta(seconds=length)
    texts = [reading(a, n, v, rng.choice((None, 0, 8, 17))) for a, n, v in rows]
    cut = sorted(rng.sample(range(1, len(texts)), rng.randint(0, 3))) if len(texts) > 5 else []
    blocks = ["".join(texts[a:b]) for a, b in zip([0, *cut], [*cut, len(texts)], strict=True)]
    rng.shuffle(blocks)
    codes = {"powerOfTenMultiplier": power, "uom": 169 if gas else 72, "commodity": 7 if gas else 1}
    raw = feed(meter(blocks, kind=int(gas), type_=reads(**codes)), clock=clock).encode()
    try:
        (found,) = read_bill_file("gb.xml", content=raw)
    except InputError as error:
        return str(error)
    return compared(found, Written(raw, truth, {"zone": zone, "step": step, "codes": codes, "first": first}))


def _count(rng: random.Random, step: int) -> int:
    """Days of a file of readings of so many seconds."""
    return rng.randint(4, 40) if step == 86400 else rng.randint(4, 12) if rng.random() < LONGER else rng.randint(2, 4)


def weather_services(rng: random.Random) -> str:
    """Hours of a service's download."""
    service = rng.choice(SERVICES)
    raw, times, true = random_download(service, rng)
    try:
        found = read_again(service, raw, times)
    except InputError as error:
        return str(error)
    both = np.isfinite(true)
    np.testing.assert_allclose(found[both], true[both], atol=1e-9, err_msg=service.name)
    return "equal"


def weather_by_day(rng: random.Random) -> str:
    """Daily means, or lowest and highest, of a service's download."""
    first = np.datetime64("2000-01-01") + rng.randrange(0, 9000)
    days = np.arange(first, first + rng.randint(20, 120))
    mean = np.round(np.array([rng.uniform(-30, 30) for _ in days]), 1)
    name, written = rng.choice(sorted(daily_tables(days, mean).items()))
    try:
        found = read_temperatures("d.csv", content=written.raw)
    except InputError as error:
        return str(error)
    assert found.first_day == days[0], (name, found.first_day)
    np.testing.assert_allclose(found.outdoor_c[:, 0], written.true, atol=1e-9, err_msg=name)
    return "equal"


def hpxml(rng: random.Random) -> str:
    """Walls, roofs, floors, windows and doors with U-factors or R-values of the whole assembly; openings lie in walls."""
    version, parts, net = rng.choice(("2.3", "3.0", "4.0")), {}, {}
    for path, count in (
        ("Walls/Wall", 4),
        ("Roofs/Roof", 2),
        ("Floors/Floor", 2),
        ("Windows/Window", 5),
        ("Doors/Door", 2),
    ):
        group, name = path.split("/")
        for number in range(rng.randint(1, count)):
            area, r_value = round(rng.uniform(200, 2000), 1), round(rng.uniform(1.0, 60.0), 2)
            opening = group in ("Windows", "Doors")
            area = round(area / 40.0, 1) if opening else area
            key = f"{name}{number}"
            tells_u = opening or rng.random() < 0.3
            u_factor = round(1.0 / r_value, 4) if tells_u else 1.0 / r_value
            text = f'<{name}><SystemIdentifier id="{key}"/>'
            text += "<ExteriorAdjacentTo>outside</ExteriorAdjacentTo>" if not opening else ""
            text += f"<Area>{area}</Area>"
            net[key] = (area, u_factor)
            if tells_u:
                text += f"<UFactor>{u_factor}</UFactor>"
            else:
                text += f"<Insulation><AssemblyEffectiveRValue>{r_value}</AssemblyEffectiveRValue></Insulation>"
            if opening:
                wall = f"Wall{rng.randrange(len([k for k in net if k.startswith('Wall')]))}"
                text += f'<AttachedToWall idref="{wall}"/>'
                net[wall] = (net[wall][0] - area, net[wall][1])
            parts.setdefault(group, []).append(f"{text}</{name}>")
    loss = sum(area * u for area, u in net.values() if area > 0)
    volume, ach = round(rng.uniform(5000, 40000)), round(rng.uniform(0.1, 1.5), 3)
    body = "".join(f"<{group}>{''.join(rows)}</{group}>" for group, rows in parts.items())
    unit, leak = rng.choice((("ACHnatural", ach), ("CFMnatural", round(ach * volume / 60.0, 2))))
    leakage = (
        f"<BuildingAirLeakage><UnitofMeasure>{unit}</UnitofMeasure><AirLeakage>{leak}</AirLeakage></BuildingAirLeakage>"
    )
    air = f"<AirInfiltration><AirInfiltrationMeasurement>{leakage}</AirInfiltrationMeasurement></AirInfiltration>"
    facts = f"<ConditionedBuildingVolume>{volume}</ConditionedBuildingVolume>"
    facts = f"<BuildingSummary><BuildingConstruction>{facts}</BuildingConstruction></BuildingSummary>"
    raw = f'<?xml version="1.0"?><HPXML xmlns="http://hpxmlonline.com/2019/10" schemaVersion="{version}"><Building><BuildingID id="b"/>'
    raw += f"<BuildingDetails>{facts}<Enclosure>{air}{body}</Enclosure></BuildingDetails></Building></HPXML>"
    try:
        found = read_hpxml(raw.encode(), "h.xml")
        surfaces, moved = found.models()
    except InputError as error:
        return str(error)
    got = sum(one.area_m2 * one.u_value_known_w_m2k for one in surfaces)
    assert abs(got / (loss * FT2 * U_SI) - 1.0) < MOST_OFF, (got, loss * FT2 * U_SI, raw)
    assert moved is not None
    assert abs(moved.volume_m3 * moved.changes_per_s / (volume * ach * FT3_H) - 1.0) < MOST_OFF, (moved, volume, ach)
    return "equal"


def surfaces_csv(rng: random.Random) -> str:
    """A list of surfaces, with units in headings or cells, U-values or R-values, parts of the difference, any mark."""
    us, r_values, in_cells = rng.random() < 0.5, rng.random() < 0.4, rng.random() < 0.3
    area_unit, thermal = ("ft2", "Btu/(h ft2 degF)") if us else ("m2", "W/(m2 K)")
    thermal = ("h ft2 degF/Btu" if us else "m2 K/W") if r_values else thermal
    role, mark = ("R-value" if r_values else "U value"), rng.choice((",", ";", "\t"))
    heads = ["Name", "Area" if in_cells else f"Area [{area_unit}]", role if in_cells else f"{role} [{thermal}]"]
    share = rng.random() < 0.5
    rows, loss = [mark.join([*heads, *(["Difference [%]"] if share else [])])], 0.0
    for number in range(rng.randint(1, 30)):
        area, value = (
            round(rng.uniform(2, 900), 2),
            round(rng.uniform(0.6, 40.0) if r_values else rng.uniform(0.02, 1.7), 3),
        )
        part = rng.randint(10, 100)
        u_value = (1.0 / value if r_values else value) * (U_SI if us else 1.0)
        loss += area * (FT2 if us else 1.0) * u_value * (part / 100.0 if share else 1.0)
        cells = [f"{area} {area_unit}", f"{value} {thermal}"] if in_cells else [str(area), str(value)]
        rows.append(mark.join([f"part {number}", *cells, *([str(part)] if share else [])]))
    raw = "\r\n".join(rows).encode(rng.choice(("utf-8", "utf-8-sig", "utf-16", "cp1252")))
    try:
        found = read_surfaces(raw, "walls.csv")
    except InputError as error:
        return str(error)
    assert abs(found.loss_w_k / loss - 1.0) < MOST_OFF, (found.loss_w_k, loss, rows[:4])
    return "equal"


READERS: dict[str, Callable[[random.Random], str]] = {
    one.__name__: one
    for one in (interval_csv, bills_csv, zipped, green_button, weather_services, weather_by_day, hpxml, surfaces_csv)
}


def run(name: str, each: int, seconds: float, seed: int = 1) -> tuple[Counter[str], float, int]:
    """Try a reader: verdicts, the slowest [s of the processor], and how many were tried."""
    seen, slowest, begin, tried = Counter[str](), 0.0, time.process_time(), 0
    told: list[int] = []
    signal.signal(signal.SIGTERM, lambda number, _: told.append(number))
    while tried < each and time.process_time() - begin < seconds and not told:
        rng, start = random.Random(f"{name} {seed} {tried}"), time.process_time()
        try:
            found = READERS[name](rng)
            seen["equal" if found == "equal" else f"asked: {found[:110]}"] += 1
        except AssertionError as error:
            seen["WRONG"] += 1
            print("WRONG", name, seed, tried, str(error).replace("\n", " ")[:500], flush=True)
        except Exception:
            seen["RAISED"] += 1
            print("RAISED", name, seed, tried, traceback.format_exc()[-600:], flush=True)
        slowest, tried = max(slowest, time.process_time() - start), tried + 1
    return seen, slowest, tried


def main() -> int:
    """Run all readers, or one."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--each", type=int, default=50_000)
    parser.add_argument("--seconds", type=float, default=600.0, help="of the processor, for each reader")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=list(READERS))
    given, bad = parser.parse_args(), False
    for name in READERS if given.only is None else [given.only]:
        begin = time.process_time()
        seen, slowest, tried = run(name, given.each, given.seconds, given.seed)
        asked = sum(count for what, count in seen.items() if what.startswith("asked"))
        print(
            f"{name}: {tried:,} files, {seen['equal']:,} equal, {asked:,} asked or refused, {seen['WRONG']} wrong, {seen['RAISED']} raised; "
            f"slowest {slowest:.2f} s, {time.process_time() - begin:.0f} s in all",
            flush=True,
        )
        for what, count in seen.most_common(6):
            print(f"    {count:,} {what}", flush=True)
        bad = bad or seen["WRONG"] + seen["RAISED"] > 0 or slowest > SLOWEST_S
    return int(bad)


if __name__ == "__main__":
    raise SystemExit(main())
