"""What is fuzzed: for each reader some good inputs, a way to damage them, and a call that may raise `InputError` alone.

A further reader is one line in `TARGETS`: its name, good inputs as bytes, and a function of (bytes, folder).
"""

from __future__ import annotations

import base64
import functools
import io
import json
import math
import tempfile
import tomllib
import warnings
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pandas as pd
import tomli_w
from fuzz import bill_seeds, tariff_seeds, weather_seeds
from fuzz.bombs import entities
from fuzz.mutate import OTHERS, QUANTITIES, WORDS, damaged, lightly, mistyped

import costsim.study.selection
from costsim import load_weather, read_study, simulate
from costsim.bills.meter import read_meter
from costsim.bills.read import read_bill_file
from costsim.bills.temperatures import read_temperatures
from costsim.dashboard.link import packed, unpacked
from costsim.errors import InputError
from costsim.portfolio.homes import open_homes
from costsim.portfolio.plan import prepare
from costsim.portfolio.rows import RowError, read_row
from costsim.sources import KINDS
from costsim.study.bundle import pack, unpack
from costsim.study.case import Case, built_in_studies, case_from, parse_study
from costsim.study.crosschecks import weather_faults
from costsim.study.hpxml import read_hpxml
from costsim.study.selection import read_sizes
from costsim.study.surface_list import read_surfaces
from costsim.study_files import StudyFiles, sample_path
from costsim.views.text_house import text_building
from costsim.weather import read_weather
from costsim.weather.means import read_means

COMMON_SIZES = Path(costsim.study.selection.__file__).parent / "data" / "sizes.csv"
FOLDER = Path("/dev/shm") if Path("/dev/shm").is_dir() else Path(tempfile.gettempdir())
WHOLE_YEARS = 0.02
"""Share of hourly files that are a whole year before they are damaged; the others have two days, to try more of them."""


@dataclass(frozen=True)
class Target:
    """One reader: good inputs and what is called; `damage` changes bytes by default."""

    name: str
    seeds: Callable[[], list[bytes]]
    read: Callable[[bytes, Path], object]
    damage: Callable[[bytes, Random], bytes] = damaged

    def example(self, rng: Random) -> bytes:
        """One damaged input."""
        return self.damage(rng.choice(self.seeds()), rng)


def tried(target: Target, raw: bytes, folder: Path) -> str:
    """Read one input: "refused" or "read"; anything but an `InputError` with plain faults comes out as it is."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", RuntimeWarning)
            target.read(raw, folder)
    except InputError as error:
        assert error.faults, "an InputError without faults"
        for fault in error.faults:
            line = str(fault)
            assert line.strip(), "a fault without words"
            assert "\n" not in line, f"a fault on two lines: {line!r}"
            assert "Traceback" not in line, line
            assert len(line) < 4000, f"a fault of {len(line)} letters"
        return "refused"
    return "read"


# --- studies


@functools.cache
def _studies() -> list[dict[str, Any]]:
    """The built-in studies, and one with a source of every kind and every table filled."""
    plain = [tomllib.loads(path.read_text(encoding="utf-8")) for path in built_in_studies().values()]
    return [*plain, tariff_seeds.every_charge(), *(_with_kind(kind) for kind in KINDS)]


def _with_kind(kind: str) -> dict[str, Any]:
    source = dict(KINDS[kind].example)
    source["kind"] = kind
    every = {
        name: {"fuel": fuel, "energy": energy}
        for name, fuel, energy in (
            ("electricity", "electricity", "0.1 $/kWh"), ("natural_gas", "natural_gas", "1 $/therm"), ("propane", "propane", "2 $/gal"),
            ("heating_oil", "heating_oil", "3 $/gal"), ("wood", "wood", "250 $/cord"), ("pellets", "pellets", "0.15 $/lb"),
        )
    }  # fmt: skip
    used = KINDS[kind].model_validate(source).price_key(every)
    return {
        "title": kind,
        "place": {"weather": "greensboro.csv", "timezone": "America/New_York", "altitude": "900 m"},
        "house": {
            "floor_area": "120 m2", "heat_loss_per_area": "50 W/m2", "indoor_temperature": "20 degC", "gains": "300 W", "solar_aperture": "3 m2",
            "setback": [{"indoor_temperature": "17 degC", "windows": ["22:00-06:00"], "days": "Mon-Fri", "months": "Nov-Mar"}],
            "zone": [{"name": "Rooms", "load": "20 %", "indoor_temperature": "18 degC"}],
            "absence": [{"from": "Dec 20", "to": "2026-01-03", "back_at": "16:00", "indoor_temperature": "10 degC"}],
        },
        "use": [
            {"kind": "hot_water", "people": 2},
            {"kind": "pool_or_tub", "area": "20 m2", "months": "May-Sep", "cover": ["20:00-08:00"]},
            {"kind": "snow_melt", "area": "30 m2", "snowfall": "1 m", "idle_below": "-2 degC"},
        ],
        "floor": {
            "antifreeze": "propylene_glycol", "concentration": "30 vol%",
            "loops": [{"count": 6, "length": "90 m", "spacing": "20 cm", "covering": "0.05 m2 K/W", "zone": "perimeter"}],
            "pump": {"flows": ["0 gpm", "4 gpm", "8 gpm"], "heads": ["18 ftH2O", "12 ftH2O", "1 ftH2O"], "speed": "90 %"},
            "mass": {"precharge": "2 K", "precharge_windows": ["04:00-06:00"], "feedback": 2.0},
        },
        "tank": {"volume": "300 L", "loss": "3 W/K", "max_temperature": "80 degC", "store": "75 degC", "design_supply_temperature": "42 degC"},
        "program": {"name": "p", "backup_time": "12 h", "min_controlled_load": "8 kW", "excluded_backup_fuels": ["wood"]},
        "prices": {
            key: every[key] | {
                "fixed": "5 $/month", "tax": "7 %", "energy_tax": "3 %", "duty": "0.003 $/kWh", "minimum_use": "900 kWh/year", "minimum_use_fee": "20 $",
                "period": [{"name": "peak", "energy": every[key]["energy"], "windows": ["17:00-20:00"], "days": "Mon-Fri"}],
                "block": [
                    {"up_to": "500 kWh/month", "energy": every[key]["energy"]},
                    *({"energy": every[key]["energy"], "months": season} for season in ("Nov-Mar", "Apr-Oct")),
                ],
                "demand": [{"price": "8 $/kW", "windows": ["06:00-22:00"], "minutes": 15, "peak_factor": 1.1, "ratchet": "50 %"}],
                "delivery": {"fill": "900 kWh", "fee": "12 $", "minimum": "400 kWh", "small_fee": "35 $"},
            }
            for key in {used or "electricity", "electricity"}
        },
        "economics": {"discount_rate": "3 %/year", "study_period": 20, "escalation": {"electricity": "1 %/year"}},
        "uncertainty": {"load": "15 %", "price": {"electricity": "10 %"}, "scenarios": 200},
        "option": [
            {"name": "one", "rule": "cheapest_now", "first_cost": "100 $", "source": [source, {
                "kind": "electric", "output": "6 kW", "windows": ["00:00-24:00"], "lockout_above": "10 degC",
                "curtailment": {"coldest_hours": 100, "longest_run": "6 h", "windows": ["06:00-22:00"]},
            }]}
        ],
    }  # fmt: skip


def _study_seeds() -> list[bytes]:
    return [tomli_w.dumps(study).encode() for study in _studies()]


def _damaged_study(raw: bytes, rng: Random) -> bytes:
    """Mostly wrong values in a well-formed file, sometimes a damaged file."""
    if rng.random() < 0.2:
        return damaged(raw, rng)
    study = mistyped(tomllib.loads(raw.decode()), rng, _SPARE)
    try:
        return tomli_w.dumps(study).encode()
    except (UnicodeEncodeError, TypeError, ValueError):
        return damaged(raw, rng)


_SPARE: dict[str, Any] = {
    "setback": [{"indoor_temperature": "15 degC", "windows": ["22:00-06:00"]}], "curtailment": {"coldest_hours": 50,
    "longest_run": "4 h"}, "windows": ["22:00-06:00"],
    "days": "Mon-Fri", "months": "Nov-Mar", "lockout_above": "5 degC", "lockout_below": "-10 degC", "backup_only": True, "store": True, "price": "wood",
    "min_output": "20 %", "cycling_degradation": "5 %", "standby": "50 W", "electric": "80 W", "flow": "2 gpm", "max_outlet_temperature": "60 degC",
    "tank_volume": "500 gal",
    "tank_diameter": "37 in", "tank_length": "10 ft", "condensing": True, "altitude_rule": "none", "holidays": "US", "minimum_bill": "10 $/month",
    "rent": "60 $/year", "heat_content": "1036 Btu/ft3", "co2": "0.4 kg/kWh", "labor": "10 $/h", "pump": "40 W", "approach": "10 K",
    "weather": "sand_point.csv",
    "other_electricity": "5000 kWh/year", "flows": "1 gpm", "mass": {}, "pump_": {}, "zone": "bathroom", "seed": 0,
    "price_correlation": 0.5, "circuit_head": "8 ftH2O", "circuit_head_flow": "5 gpm", "load_times": ["06:00"],
}  # fmt: skip


def read_a_study(raw: bytes, folder: Path) -> object:
    """Read a study as `read_study` does; one that can be built must also run, and give plain numbers."""
    data = parse_study(raw, file="s.toml")
    faults = weather_faults(data, StudyFiles(folder), "s.toml")
    case = case_from(data, file="s.toml", files=StudyFiles(folder))
    if faults:
        raise InputError(faults)
    result = simulate(case, load_weather(case))
    for option in result.options:
        # CO2 may be not known outside the US, but never infinite
        assert not math.isinf(option.co2_kg), option.name
        figures = (option.cost_total, option.cost_fixed, option.demand_j, option.delivered_j)
        assert all(math.isfinite(figure) for figure in figures), f"{option.name}: {figures}"
        largest = max(1.0, float(option.hourly.heat_w.max(initial=0.0)), float(option.hourly.demand_w.max()))
        assert option.hourly.imbalance() <= 1e-6 * largest, f"{option.name} does not balance"
    return result


# --- weather


def _sample(name: str) -> bytes:
    path = sample_path(name)
    assert path is not None
    return path.read_bytes()


def _short(raw: bytes, rows: int = 60) -> bytes:
    return b"\n".join(raw.split(b"\n")[:rows]) + b"\n"


def _hourly(whole: Callable[[], list[bytes]]) -> tuple[Callable[[], list[bytes]], Callable[[bytes, Random], bytes]]:
    """Seeds of two days, and a damage that now and then takes the whole year instead."""
    seeds = functools.cache(lambda: [_short(raw) for raw in whole()])

    def damage(raw: bytes, rng: Random) -> bytes:
        return lightly(rng.choice(whole()), rng) if rng.random() < WHOLE_YEARS else damaged(raw, rng)

    return seeds, lambda raw, rng: damage(raw, rng)


@functools.cache
def _tmy3() -> list[bytes]:
    return [_sample("greensboro.csv"), _sample("sand_point.csv")]


@functools.cache
def _plain() -> list[bytes]:
    about = b"# station: Hill\n# latitude: 47.0\n# longitude: 12.0\n# utc_offset: 1\n# altitude [m]: 900\n# design_99: -16.0\n"
    hours = range(8760)
    other = (
        about
        + b"time;outdoor [degF];wind [km/h]\n"
        + b"".join(
            b"%s:00;%d,5;%d\n" % (str(np.datetime64("2021-01-01T00") + h).encode(), h % 40, h % 9) for h in hours
        )
    )
    return [_sample("cold_valley.csv"), other]


@functools.cache
def epw() -> list[bytes]:
    """An EPW year made from a sample's values, with design conditions in its header."""
    weather = read_weather("x.csv", content=_sample("cold_valley.csv"))
    head = [
        "LOCATION,Hill,-,TEST,none,999999,47.0,12.8,1.0,900.0",
        "DESIGN CONDITIONS,1,Test,,Heating,1,-18.0,-16.0,-20,0.6,1",
        "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0", "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,made", "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
    ]  # fmt: skip
    stamps = np.datetime64("2021-01-01T00") + np.arange(8760) * np.timedelta64(1, "h")
    rows = []
    for stamp, warm in zip(stamps.tolist(), weather.outdoor_c.tolist(), strict=True):
        cells = [str(stamp.year), str(stamp.month), str(stamp.day), str(stamp.hour + 1), "60", "?9"]
        rows.append(",".join([*cells, f"{warm:.1f}", *["1"] * 28]))
    return ["\n".join([*head, *rows, ""]).encode()]


# --- Green Button


def _damaged_feed(raw: bytes, rng: Random) -> bytes:
    """A damaged file, or in some of ten cases one that declares entities to do harm."""
    return damaged(rng.choice(entities()) if rng.random() < 0.2 else raw, rng)


# --- the meter of the other electricity


@functools.cache
def _meters() -> list[bytes]:
    rows = b"".join(b"%d.%d\n" % (at % 3, at % 10) for at in range(8760))
    timed = b"".join(b"2021-01-01 00:00,%d.%d,x\n" % (at % 3, at % 10) for at in range(8760))
    return [b"electricity [kWh]\n" + rows, b"time,electricity [W],note\n" + timed]


def _meter(raw: bytes, folder: Path) -> object:
    path = folder / "meter.csv"
    path.write_bytes(raw)
    joule = read_meter(path)
    assert np.isfinite(joule).all(), "a reading that is no number"
    return joule


# --- portfolio


@functools.cache
def _template() -> Case:
    return read_study("lantern_cottage")


def _homes_seeds() -> list[bytes]:
    return [
        b"home,weight,house.design_heat_loss [kW],house.balance_point [degF],prices.natural_gas.energy [$/therm]\n"
        b"a,1,7.6,60,1.2\nb,2.5,9,58,1.4\nc,0,4.25,61.5,0.9\n",
        b"home;house.floor_area [m2];house.heat_loss_per_area [W/m2];house.gains [W];prices.electricity.fixed [$/month]\n"
        b"1;100;50;300;12\n2;80;45;200;9\n",
        b'"home","house.indoor_temperature [degC]","option[1].source[1].output [kW]","option[3].source[1].efficiency [%]","place.altitude [m]"\r\n'
        b'"a","20","9","92","300"\r\n"b","21","7","88","0"\r\n',
    ]


def _damaged_table(raw: bytes, rng: Random) -> bytes:
    tokens = [text.encode("utf-8", "replace") for text in [*QUANTITIES, *WORDS, *map(str, OTHERS)]]
    units = [
        b" [kW]",
        b" [degF]",
        b" [$/kWh]",
        b" []",
        b"[1]",
        b"[99]",
        b"[0]",
        b"option[1].name",
        b"tank.volume [L]",
        b"uncertainty.scenarios",
        b"house.setback",
    ]
    return damaged(raw, rng, tokens + units) if rng.random() < 0.5 else damaged(raw, rng)


@functools.cache
def _parquet_seeds() -> list[bytes]:
    """The tables above as spreadsheets and databases save them, and texts packed as a list of different ones."""
    found = []
    for packing in ("snappy", "zstd", "none"):
        stream = io.BytesIO()
        columns = {"home": ["a", "b", "c"], "weight": [1, 2.5, None], "house.design_heat_loss [kW]": ["7.6", "9", "9"]}
        pd.DataFrame(columns).to_parquet(stream, index=False, compression=None if packing == "none" else packing)
        found.append(stream.getvalue())
    return found


def _homes(raw: bytes, folder: Path, name: str = "homes.csv") -> object:
    path = folder / name
    path.write_bytes(raw)
    case = _template()
    homes = open_homes(path, case)
    recipe = _recipe(homes.layout)
    found: list[object] = []
    for block in homes.blocks(4):
        for at, cells in enumerate(block.rows):
            try:
                found.append(read_row(recipe, block.first_row + at + 1, cells))
            except RowError as error:
                assert error.reasons, "a row set aside without a reason"
    return found


@functools.lru_cache(maxsize=64)
def _recipe(layout: Any) -> Any:
    return prepare(_template(), load_weather(_template()), layout)


_TMY3, _EPW, _CSV, _METER = _hourly(_tmy3), _hourly(epw), _hourly(_plain), _hourly(_meters)
# --- links and saved studies


def _links() -> list[bytes]:
    return [packed(study).encode() for study in _studies() if packed(study)]


def _damaged_link(raw: bytes, rng: Random) -> bytes:
    """Mostly another text that is packed well, sometimes a damaged code."""
    if rng.random() < 0.3:
        return damaged(raw, rng)
    text = damaged(json.dumps(unpacked(raw.decode())).encode(), rng)
    return base64.urlsafe_b64encode(zlib.compress(text)).rstrip(b"=")


def _bundles() -> list[bytes]:
    return [pack(study, {"mine.csv": b"outdoor [degC]\n1\n"}) for study in _studies()[:3]]


TARGETS: list[Target] = [
    Target("study", _study_seeds, read_a_study, _damaged_study),
    Target("link", _links, lambda raw, _: unpacked(raw.decode("latin-1")), _damaged_link),
    Target("bundle", _bundles, lambda raw, _: unpack(raw)),
    Target("tmy3", _TMY3[0], lambda raw, _: read_weather("w.csv", content=raw), _TMY3[1]),
    Target("epw", _EPW[0], lambda raw, _: read_weather("w.epw", content=raw), _EPW[1]),
    Target("csv", _CSV[0], lambda raw, _: read_weather("w.csv", content=raw), _CSV[1]),
    Target("meter", _METER[0], _meter, _METER[1]),
    Target("bills", bill_seeds.bills, lambda raw, _: read_bill_file("b.csv", content=raw)),
    Target("surfaces", bill_seeds.surfaces, lambda raw, _: read_surfaces(raw, "s.csv").loss_w_k),
    Target("hpxml", bill_seeds.hpxml, lambda raw, _: text_building(read_hpxml(raw, "h.xml"), "us"), _damaged_feed),
    Target("green_button", bill_seeds.green_button, lambda raw, _: read_bill_file("g.xml", content=raw), _damaged_feed),
    Target("temperatures", bill_seeds.dated, lambda raw, _: read_temperatures("t.csv", content=raw)),
    Target("downloads", weather_seeds.downloads, weather_seeds.read_download),
    Target("true_downloads", weather_seeds.one_true, weather_seeds.read_true, weather_seeds.true_download),
    Target("means", bill_seeds.means, lambda raw, _: read_means("m.csv", content=raw)),
    Target("sizes", lambda: [COMMON_SIZES.read_bytes()], lambda raw, _: read_sizes(raw, "s.csv"), _damaged_table),
    Target("rate_record", tariff_seeds.records, tariff_seeds.read_a_record),
    Target("homes", _homes_seeds, _homes, _damaged_table),
    Target("homes_parquet", _parquet_seeds, lambda raw, folder: _homes(raw, folder, "homes.parquet")),
]
