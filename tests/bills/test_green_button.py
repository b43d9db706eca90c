"""Green Button files: every usual form gives the same use, clocks and units are right, and harm is refused in one line."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from bills.espi import EASTERN, feed, meter, prefixed, reading, reads
from bills.houses import winters

from costsim.bills.fit import Efficiency
from costsim.bills.house import fit_house
from costsim.bills.intervals import read_green_button, read_hours
from costsim.bills.local_time import LocalTime
from costsim.bills.meter import read_meter
from costsim.bills.model import Bills
from costsim.bills.read import read_bills
from costsim.errors import InputError
from costsim.units.quantity import BTU_J, FOOT_M, GALLON_M3, KWH_J, THERM_J

NEW_YORK = ZoneInfo("America/New_York")


def local(text: str, zone: ZoneInfo = NEW_YORK) -> int:
    """Seconds since 1970 of a local clock time."""
    return int(datetime.fromisoformat(text).replace(tzinfo=zone).timestamp())


def hours(first: str, count: int, value: float = 1000.0, step_s: int = 3600, quality: int | None = None) -> str:
    start = local(first)
    return "".join(reading(start + i * step_s, step_s, value, quality) for i in range(count))


def read(tmp_path: Path, text: str, **more: object) -> list[Bills]:
    path = tmp_path / "usage.xml"
    path.write_text(text, encoding="utf-8")
    return read_green_button(path, **more)  # type: ignore[arg-type]


def refused(tmp_path: Path, text: str, **more: object) -> str:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text, **more)
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith("usage.xml: ")
    return str(caught.value)


@pytest.mark.parametrize("form", ["default", "prefixed", "bare", "utf-16"])
def test_the_usual_forms_give_the_same_days(tmp_path: Path, form: str) -> None:
    text = feed(meter([hours("2024-01-01T00:00", 24), hours("2024-01-02T00:00", 48, 500.0)]))
    if form == "prefixed":
        text = prefixed(text)
        assert "<espi:IntervalReading>" in text
        assert "<atom:entry>" in text
    if form == "bare":
        text = f"<x xmlns='http://naesb.org/espi'><LocalTimeParameters>{EASTERN}</LocalTimeParameters>{reads()}<IntervalBlock>"
        text += hours("2024-01-01T00:00", 24) + hours("2024-01-02T00:00", 48, 500.0) + "</IntervalBlock></x>"
    path = tmp_path / "usage.xml"
    path.write_bytes(text.replace("UTF-8", "UTF-16").encode("utf-16") if form == "utf-16" else text.encode())
    (found,) = read_bills([path])
    assert found.fuel == "electricity"
    assert found.start_day.astype(str).tolist() == ["2024-01-01", "2024-01-02", "2024-01-03"]
    np.testing.assert_allclose(found.energy_j, np.array([24, 12, 12]) * KWH_J)
    assert not any("UTC" in note for note in found.notes)


@pytest.mark.parametrize("zone", ["America/New_York", "Europe/Berlin", "Australia/Sydney"])
def test_the_clock_follows_the_rules_of_the_file(zone: str) -> None:
    """Against the time-zone database, every half hour of three years; rules as the ESPI schema encodes them."""
    rules = {
        "America/New_York": (-18000, 0x360E2000, 0xB40E2000),
        "Europe/Berlin": (3600, 0x3E0E2000, 0xAE0E3000),
        "Australia/Sydney": (36000, 0xA40E2000, 0x440E3000),
    }
    offset, start, end = rules[zone]
    utc = np.arange(local("2022-01-01T00:00"), local("2025-01-01T00:00"), 1800)
    there = [datetime.fromtimestamp(int(s), UTC).astimezone(ZoneInfo(zone)).replace(tzinfo=UTC) for s in utc]
    clock = LocalTime(offset, 3600, start, end, True).clock(utc)
    np.testing.assert_array_equal(clock, [int(moment.timestamp()) for moment in there])


def test_days_on_which_clocks_are_set_have_23_and_25_hours(tmp_path: Path) -> None:
    count = 366 * 24
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", count)])))
    kwh = dict(zip(found.start_day.astype(str).tolist(), found.energy_j / KWH_J, strict=True))
    assert len(kwh) == 366
    assert kwh["2024-03-10"] == pytest.approx(23)
    assert kwh["2024-11-03"] == pytest.approx(25)
    assert sum(value == pytest.approx(24) for value in kwh.values()) == 364
    assert not any("scaled" in note for note in found.notes)


@pytest.mark.parametrize(
    ("codes", "fuel", "joule"),
    [
        ({"uom": 72, "powerOfTenMultiplier": 3}, "electricity", KWH_J),
        ({"uom": 72, "powerOfTenMultiplier": -3}, "electricity", 3.6),
        ({"uom": 31, "powerOfTenMultiplier": 6}, "electricity", 1e6),
        ({"uom": 169, "commodity": 7}, "natural_gas", THERM_J),
        ({"uom": 169, "commodity": 7, "powerOfTenMultiplier": -3}, "natural_gas", THERM_J / 1000),
        ({"uom": 132, "commodity": 7}, "natural_gas", BTU_J),
        ({"uom": 119, "commodity": 7}, "natural_gas", 1036 * BTU_J),
        ({"uom": 42, "commodity": 7}, "natural_gas", 1036 * BTU_J / FOOT_M**3),
        ({"uom": 128, "commodity": 8}, "propane", 91452 * BTU_J),
        ({"uom": 134, "commodity": 8}, "propane", 91452 * BTU_J * 1e-3 / GALLON_M3),
    ],
)  # fmt: skip
def test_units_of_the_schema_become_energy(tmp_path: Path, codes: dict[str, int], fuel: str, joule: float) -> None:
    """UomType and commodity codes of the ESPI schema; 1036 Btu/ft³ and 91,452 Btu/gal are EIA's, as in `FUELS`."""
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", 48, 7.0)], type_=reads(**codes))))
    assert found.fuel == fuel
    np.testing.assert_allclose(found.energy_j, 24 * 7.0 * joule, rtol=1e-9)


def test_a_heat_content_serves_metered_volumes(tmp_path: Path) -> None:
    text = feed(meter([hours("2024-01-01T00:00", 24)], type_=reads(uom=119, commodity=7)))
    (found,) = read(tmp_path, text, heat_content_j=10.0)
    assert found.energy_j[0] == pytest.approx(24 * 1000 * FOOT_M**3 * 10.0)


def test_the_service_tells_the_fuel_where_the_commodity_does_not(tmp_path: Path) -> None:
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", 24)], kind=1, type_=reads(uom=169, commodity=-99))))
    assert found.fuel == "natural_gas"


def test_monthly_gas_is_read_as_bills_and_estimates_join_the_next(tmp_path: Path) -> None:
    edges = [local(f"2024-{month:02}-05T00:00") for month in range(1, 7)]
    values, qualities = [90.0, 70.0, 50.0, 20.0, 10.0], [17, 8, 17, 17, 9]
    block = "".join(reading(a, b - a, v, q) for a, b, v, q in zip(edges, edges[1:], values, qualities, strict=False))
    (found,) = read(tmp_path, feed(meter([block], kind=1, type_=reads(uom=169, commodity=7))))
    assert found.start_day.astype(str).tolist() == ["2024-01-05", "2024-02-05", "2024-04-05"]
    assert found.end_day.astype(str).tolist() == ["2024-02-05", "2024-04-05", "2024-05-05"]
    np.testing.assert_allclose(found.energy_j / THERM_J, [90, 120, 20])
    assert found.estimated.tolist() == [False, True, False]
    assert any("1 estimated readings at the end" in note for note in found.notes)


def test_a_gap_in_monthly_readings_is_refused(tmp_path: Path) -> None:
    block = "".join(reading(local(f"2024-{m:02}-01T00:00"), 28 * 86400, 50.0) for m in (1, 4))
    assert "no bill covers the 63 days from 2024-01-29" in refused(
        tmp_path, feed(meter([block], type_=reads(uom=169, commodity=7)))
    )


def test_short_gaps_are_filled_and_told_long_ones_refused(tmp_path: Path) -> None:
    text = feed(
        meter(
            [
                hours("2024-01-01T00:00", 20),
                hours("2024-01-02T00:00", 24, 2000.0),
                hours("2024-01-05T00:00", 30, 4000.0),
            ]
        )
    )
    (found,) = read(tmp_path, text)
    assert len(found.energy_j) == 4  # six hours of the sixth day are no day, twenty of the first are left out
    np.testing.assert_allclose(found.energy_j / KWH_J, [48, 64, 80, 96])
    assert "2024-01-01 was read in part, at an end of the file, and left out" in found.notes
    assert "2 days were not read and take their neighbours' mean" in found.notes
    line = refused(tmp_path, feed(meter([hours("2024-01-01T00:00", 24), hours("2024-01-06T00:00", 24)])))
    assert "no readings cover the 4 days from 2024-01-02" in line


def test_readings_that_come_twice_count_once_and_overlaps_are_refused(tmp_path: Path) -> None:
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", 48), hours("2024-01-02T00:00", 24, 3000.0)])))
    np.testing.assert_allclose(found.energy_j / KWH_J, [24, 72])
    assert any("24 readings come twice" in note for note in found.notes)
    line = refused(tmp_path, feed(meter([hours("2024-01-01T00:00", 48), hours("2024-01-01T00:30", 47)])))
    assert "readings overlap on 2 days" in line


def test_estimated_readings_are_told(tmp_path: Path) -> None:
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", 24), hours("2024-01-02T00:00", 24, quality=8)])))
    assert found.estimated.tolist() == [False, True]
    assert "1 days rest on estimated readings for the most part" in found.notes


def test_solar_power_demand_registers_and_water_are_passed_over(tmp_path: Path) -> None:
    text = feed(
        meter([hours("2024-01-01T00:00", 24)], number=1),
        meter([hours("2024-01-01T00:00", 24, 99.0)], number=2, type_=reads(flowDirection=19)),
        meter([hours("2024-01-01T00:00", 24, 99.0)], number=3, type_=reads(uom=38)),
        meter([hours("2024-01-01T00:00", 24, 99.0)], number=4, type_=reads(accumulationBehaviour=1)),
        meter([hours("2024-01-01T00:00", 24, 99.0)], number=5, point=2, kind=2, type_=reads(uom=134, commodity=9)),
    )
    (found,) = read(tmp_path, text)
    np.testing.assert_allclose(found.energy_j / KWH_J, [24])
    assert sum(note.startswith("passed over: 24 readings") for note in found.notes) == 4


def test_two_fuels_come_apart_and_one_can_be_chosen(tmp_path: Path) -> None:
    text = feed(
        meter([hours("2024-01-01T00:00", 48)], number=1),
        meter([hours("2024-01-01T00:00", 48, 2.0)], number=2, point=2, kind=1, type_=reads(uom=169, commodity=7)),
    )
    both = read(tmp_path, text)
    assert [one.fuel for one in both] == ["electricity", "natural_gas"]
    np.testing.assert_allclose(both[1].energy_j, 48 * THERM_J)
    (gas,) = read(tmp_path, text, fuel="natural_gas")
    assert gas.fuel == "natural_gas"
    assert "or leave out --fuel" in refused(tmp_path, text, fuel="propane")


def test_daily_sums_beside_hours_do_not_count_twice_and_two_meters_are_refused(tmp_path: Path) -> None:
    daily = hours("2024-01-01T00:00", 2, 24000.0, 86400)
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", 48)]), meter([daily], number=2)))
    np.testing.assert_allclose(found.energy_j / KWH_J, [24, 24])
    assert any("repeat it" in note for note in found.notes)
    line = refused(
        tmp_path,
        feed(meter([hours("2024-01-01T00:00", 48)]), meter([hours("2024-01-01T00:00", 48)], number=2, point=2)),
    )
    assert "two meters of electricity run at the same time" in line


def test_one_meter_reading_for_each_month_is_chained(tmp_path: Path) -> None:
    months = [("2024-01-01T00:00", 31), ("2024-02-01T00:00", 29)]
    parts = [meter([hours(first, days * 24)], number=i) for i, (first, days) in enumerate(months, 1)]
    (found,) = read(tmp_path, feed(*parts[::-1]))
    assert found.n_periods == 60


ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><feed>&b;</feed>'
)
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><feed>&a;</feed>'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (ENTITIES, "declares a document type or entities"),
        (OUTSIDE, "declares a document type or entities"),
        (feed(meter([hours("2024-01-01T00:00", 24)]))[:-200], "is no whole XML file"),
        ("<html><body>Log in</body></html>", "holds no readings"),
        (feed(meter([hours("2024-01-01T00:00", 24).replace("1000.0", "many")])), "no reading (could not convert string to float: 'many')"),
        (feed(meter([hours("2024-01-01T00:00", 24).replace("<duration>3600</duration>", "")])), "an IntervalReading without duration"),
        (feed(meter([hours("2024-01-01T00:00", 24).replace(">3600<", ">0<")])), "has a reading without length"),
        (feed(meter([hours("2024-01-01T00:00", 24, float("nan"))])), "no number"),
        (feed(meter([hours("2024-01-01T00:00", 24, -5.0)])), "24 readings are negative"),
        (feed(meter([hours("2024-01-01T00:00", 24)], type_=reads(uom=38))), "in unit 38, which is no energy"),
        (feed(meter([hours("2024-01-01T00:00", 24)], type_=reads(powerOfTenMultiplier=400))), "powerOfTenMultiplier 400"),
        (feed(meter([hours("2024-01-01T00:00", 3)])), "not one day is read as a whole"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_refused_in_one_line(tmp_path: Path, text: str, words: str) -> None:
    line = refused(tmp_path, text)
    assert words in line
    assert "; " in line


def test_a_file_without_a_clock_says_so(tmp_path: Path) -> None:
    (found,) = read(tmp_path, feed(meter([hours("2024-01-01T00:00", 48)]), clock=""))
    assert any("midnight UTC" in note for note in found.notes)


@pytest.mark.long
def test_forty_megabytes_are_read_in_bounded_memory(tmp_path: Path) -> None:
    """The XML is 40 MB; the reader may take 40 MB more than an empty process (a tree of it would take ten times that)."""
    path = tmp_path / "large.xml"
    start = local("2020-01-01T00:00")
    blocks = ["".join(reading(start + (96 * d + i) * 900, 900, 250.0, 17) for i in range(96)) for d in range(2350)]
    path.write_text(feed(meter(blocks)), encoding="utf-8")
    assert path.stat().st_size > 40e6
    script = (
        "import resource, sys\nfrom costsim.bills.read import read_bills\n"
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss\nbills, = read_bills([sys.argv[1]])\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before, bills.n_periods, bills.energy_j.sum() / 3.6e6)"
    )
    done = subprocess.run([sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=True)
    more_kb, periods, kwh = done.stdout.split()
    assert int(more_kb) < 40_000
    assert int(periods) == 2350
    assert float(kwh) == pytest.approx(2350 * 24, rel=1e-3)  # days of 23 hours are scaled, none is lost


def test_hours_of_a_year_serve_as_the_houses_other_electricity(tmp_path: Path) -> None:
    """Standard time from 1 January; the last whole calendar year of the file counts."""
    path = tmp_path / "meter.xml"
    start, count = local("2022-11-01T00:00"), 24 * (30 + 31 + 365 + 40)
    block = "".join(reading(start + i * 3600, 3600, float(i)) for i in range(count))
    path.write_text(feed(meter([block])), encoding="utf-8")
    hours_j = read_meter(path)
    first = (local("2023-01-01T00:00") - start) // 3600
    np.testing.assert_allclose(hours_j / 3600.0, np.arange(first, first + 8760))
    path.write_text(
        feed(meter([block.replace(f"<value>{first + 5000.0}</value>", "<value>x</value>")])), encoding="utf-8"
    )
    with pytest.raises(InputError, match="no reading"):
        read_meter(path)
    path.write_text(feed(meter([hours("2023-01-01T00:00", 8700)])), encoding="utf-8")
    with pytest.raises(InputError, match="no whole year; 8,700 of the year's 8,760 hours"):
        read_meter(path)


def test_twelve_months_from_february_are_folded_into_a_year_and_told(tmp_path: Path) -> None:
    """Readings are numbered by the hour, so the year must hold January's last numbers first; thirteen months keep the later."""
    path = tmp_path / "meter.xml"
    start, count = local("2023-02-01T00:00"), 24 * (365 + 31)
    block = "".join(reading(start + i * 3600, 3600, float(i)) for i in range(count))
    path.write_text(feed(meter([block[: block.index(reading(start + 8760 * 3600, 3600, 8760.0))]])), encoding="utf-8")
    year, told = read_hours(path)
    at = np.arange(8760)
    expected = np.where(at < 31 * 24, at + 334 * 24, at - 31 * 24)
    np.testing.assert_allclose(year / 3600.0, expected)
    assert any("from 2023-02-01 to 2024-01-31 were put into the order of a calendar year" in note for note in told)
    path.write_text(feed(meter([block])), encoding="utf-8")  # thirteen months: February comes twice, with a leap day
    year, told = read_hours(path)
    assert len(year) == 8760
    assert year[31 * 24] / 3600.0 == pytest.approx(365 * 24)


def test_readings_of_no_length_where_the_clock_is_set_keep_their_energy(tmp_path: Path) -> None:
    """As one kind of file writes it: 7,200 s in spring, 0 s and another reading of the same start in autumn."""
    start = local("2023-01-01T00:00")
    rows, at = [], start
    for i in range(8760):
        length = 7200 if i == 1705 else 0 if i == 7417 else 3600
        rows.append(reading(at, length, 100.0 + i % 7))
        at += length
    path = tmp_path / "meter.xml"
    path.write_text(feed(meter(["".join(rows)])), encoding="utf-8")
    year, told = read_hours(path)
    assert len(year) == 8760
    assert year.sum() == pytest.approx(sum(100.0 + i % 7 for i in range(8760)) * 3600.0)
    assert any("1 readings of 0 s" in note for note in told)
    (found,) = read_bills([path])
    assert found.energy_j.sum() == pytest.approx(year.sum())


def test_content_before_links_is_read_like_links_before_content(tmp_path: Path) -> None:
    """A gas meter in thousandths of a therm beside an electric one in Wh: either order of an entry gives the same amounts."""
    gas = meter([hours("2024-01-01T00:00", 48, 500.0)], number=2, point=2, kind=1, type_=reads(uom=169, commodity=7, powerOfTenMultiplier=-3))  # fmt: skip
    text = feed(gas, meter([hours("2024-01-01T00:00", 48)]))
    turned = re.sub(r"(<id>.*?</id>)((?:<link[^>]*/>)+)<title>any</title>(<content>.*?</content>)", r"\3\1\2", text)
    assert turned != text
    for form in (text, turned):
        found = {one.fuel: one for one in read(tmp_path, form)}
        np.testing.assert_allclose(found["natural_gas"].energy_j, 12 * THERM_J)
        np.testing.assert_allclose(found["electricity"].energy_j, 24 * KWH_J)


def test_a_unit_that_no_link_leads_to_is_refused_not_guessed(tmp_path: Path) -> None:
    gas = meter([hours("2024-01-01T00:00", 48)], number=2, point=2, kind=1, type_=reads(uom=169, commodity=7))
    text = feed(meter([hours("2024-01-01T00:00", 48)]), gas)
    lost = text.replace('rel="related" href="/espi/ReadingType/2"', 'rel="related" href="/nowhere"')
    assert lost != text
    assert "48 readings without a unit" in refused(tmp_path, lost, fuel="natural_gas")


def test_one_of_several_meters_is_chosen(tmp_path: Path) -> None:
    text = feed(
        meter([hours("2024-01-01T00:00", 48)]),
        meter([hours("2024-01-01T00:00", 48, 3000.0)], number=2, point=2),
    )
    line = refused(tmp_path, text)
    assert "1 ('any', espi/RetailCustomer/9/UsagePoint/1: 48 readings, 4.8e+04 Wh)" in line
    assert "--meter" in line
    for name in ("2", "UsagePoint/2"):
        (found,) = read(tmp_path, text, meter=name)
        np.testing.assert_allclose(found.energy_j, 72 * KWH_J)
    assert "'any' is more than one of its meters" in refused(tmp_path, text, meter="any")


def test_a_house_is_found_from_its_smart_meter(tmp_path: Path) -> None:
    """A house of 150 W/K heated by resistance, quarter-hours over two winters, days 15 % off by chance: within 2 %."""
    weather = winters(years=3)
    random = np.random.default_rng(3)
    days = 700
    use = 300.0 + 150.0 * np.maximum(15.0 - weather.outdoor_c[:days], 0.0)
    use = use * (1 + 0.15 * random.standard_normal((days, 1)))
    start = local("2020-01-01T00:00")
    block = "".join(reading(start + i * 3600, 3600, round(value)) for i, value in enumerate(use.ravel()))
    (bills,) = read(tmp_path, feed(meter([block]), clock="<tzOffset>-18000</tzOffset>"))
    found = fit_house(bills, weather, efficiency=Efficiency(1.0, 1.0, 1.0, "as given"))
    assert found.now.loss_w_k == pytest.approx(150.0, rel=0.02)
    assert found.now.line.balance_c == pytest.approx(15.0, abs=0.4)
    assert found.now.bills.n_periods == 100
    assert found.now.meets_limits
    assert any("put together into weeks" in note for note in found.now.bills.notes)
