"""``[selection]``: what an installer knows beside the study when sizes are taken off the shelf, and the list of sizes."""

from __future__ import annotations

import csv
import functools
import io
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType
from typing import Annotated

from pydantic import Field, model_validator

from costsim.errors import Fault, InputError
from costsim.files import check_lines
from costsim.physics.hydraulics import PIPES
from costsim.sources.traits import MARKET_LISTS
from costsim.study_files import NamesFile, StudyFiles
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault
from costsim.units.quantity import UnitError, parse
from costsim.units.table import FOOT_M, INCH_OF_WATER_PA

COMMON = "common market sizes, no maker's list"
MOST_BYTES, MOST_ROWS = 200_000, 2_000
WHATS: dict[str, str] = {
    **MARKET_LISTS,
    "buffer tank": "volume",
    "propane tank": "volume",
    "propane regulator": "power",
    "expansion tank": "volume",
    "relief valve discharge": "power",
}
"""What a list of sizes may hold, and the dimension of its sizes."""


class Selection(StudyModel):
    """What sizes are chosen by."""

    margin_share: Annotated[
        float,
        QuantityField("share", "Margin", "Over the design load.", at_least=0, at_most=1, example="15 %"),
    ] = 0.15
    sizes: Annotated[
        str,
        NamesFile("a list of sizes"),
        Field(
            title="List of sizes", description="CSV with what, size, diameter and length, in place of the common ones."
        ),
    ] = ""
    volts_v: Annotated[float, QuantityField("voltage", "Voltage", "Of new circuits.", above=50, at_most=1000)] = 240.0
    circuit_length_m: Annotated[
        float, QuantityField("length", "Length of the circuit", "One way, panel to unit.", at_least=0, at_most=500)
    ] = 50 * FOOT_M
    voltage_drop_share: Annotated[
        float, QuantityField("share", "Largest voltage drop", above=0, at_most=0.1, example="3 %")
    ] = 0.03
    service_a: Annotated[
        float | None, QuantityField("current", "Service", "Main breaker.", above=0, at_most=4000, example="200 A")
    ] = None
    service_free_a: Annotated[
        float | None,
        QuantityField(
            "current", "Free in the service", "What it carries beside all that is there, as an electrician told; then nothing"
            " else of the service is asked.", at_least=0, at_most=4000, example="100 A",
        ),
    ] = None  # fmt: skip
    measured_peak_w: Annotated[
        float | None,
        QuantityField("electric_power", "Highest demand", "In a year of metering.", at_least=0, at_most=1e6),
    ] = None
    appliances_w: Annotated[
        float | None,
        QuantityField(
            "electric_power", "Fixed appliances", "Nameplates of range, dryer, water heater and the like, added up.",
            at_least=0, at_most=1e6,
        ),
    ] = None  # fmt: skip
    gas_pipe_length_m: Annotated[
        float, QuantityField("length", "Longest gas run", "With fittings.", above=0, at_most=1000)
    ] = 50 * FOOT_M
    gas_pressure_drop_pa: Annotated[
        float,
        QuantityField("pressure", "Pressure drop of the gas run", above=0, at_most=5000, example="0.5 inH2O"),
    ] = 0.5 * INCH_OF_WATER_PA
    other_gas_input_w: Annotated[
        float, QuantityField("power", "Other gas units on that run", "Their input.", at_least=0, at_most=1e7)
    ] = 0.0
    run_length_m: Annotated[
        float | None,
        QuantityField(
            "length",
            "Longest run of baseboards or radiators",
            "There and back in its pipe, with half as much again for fittings (common practice, no source).",
            above=0,
            at_most=2000,
            example="150 ft",
        ),
    ] = None
    run_pipe: Annotated[str, OneOf(PIPES, "a known pipe"), Field(title="Pipe of that run")] = "3/4 in copper"

    @model_validator(mode="after")
    def _no_more_is_free_than_there_is(self) -> Selection:
        if self.service_a is not None and (self.service_free_a or 0.0) > self.service_a:
            raise fault("service_free is more than the service", 'such as service = "200 A", service_free = "100 A"')
        return self

    @property
    def tells_the_service(self) -> bool:
        """Whether it is known what the service still carries: what is free, or its size and what it carries today."""
        carried = (self.measured_peak_w, self.appliances_w)
        return self.service_free_a is not None or (
            self.service_a is not None and any(load_w is not None for load_w in carried)
        )


@dataclass(frozen=True, slots=True)
class MarketSize:
    """One size in SI, with diameter and length [m] where it is a tank."""

    value: float
    diameter_m: float | None = None
    length_m: float | None = None


@dataclass(frozen=True, slots=True)
class Sizes:
    """All lists, each rising, and where each comes from."""

    lists: Mapping[str, tuple[MarketSize, ...]]
    sources: Mapping[str, str]

    def of(self, what: str) -> tuple[MarketSize, ...]:
        """The sizes of one thing."""
        return self.lists[what]


@functools.cache
def common_sizes() -> Mapping[str, tuple[MarketSize, ...]]:
    """The sizes that come with the package, no maker's list."""
    return MappingProxyType(
        read_sizes((resources.files("costsim.study") / "data" / "sizes.csv").read_bytes(), "sizes.csv")
    )


def sizes_of(selection: Selection, files: StudyFiles, file: str) -> Sizes:
    """The common sizes, and an installer's own in their place.

    Raises
    ------
    InputError
        The list cannot be read, with every fault found.
    """
    lists = common_sizes()
    sources = dict.fromkeys(lists, COMMON)
    if selection.sizes:
        own = read_sizes(files.read(selection.sizes, "selection.sizes", file=file, most=MOST_BYTES), selection.sizes)
        lists, sources = {**lists, **own}, sources | dict.fromkeys(own, selection.sizes)
    return Sizes(lists, sources)


def read_sizes(raw: bytes, name: str) -> dict[str, tuple[MarketSize, ...]]:
    """Read a list of sizes.

    Raises
    ------
    InputError
        No UTF-8 table with the headings ``what`` and ``size``, an unknown thing, or a size that is no quantity.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Fault("", "is not UTF-8 text", "save it as UTF-8 text", name)) from None
    check_lines(text, name, "a list of sizes has short rows: what,size,diameter,length")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    reader = csv.DictReader(io.StringIO("\n".join(lines)))
    if not {"what", "size"} <= set(reader.fieldnames or ()) or len(lines) > MOST_ROWS:
        remedy = "its first line is: what,size,diameter,length, and it has at most 2,000 lines"
        raise InputError(Fault("", "is no list of sizes", remedy, name))
    by_list: dict[str, list[MarketSize]] = {}
    faults = []
    for at, row in enumerate(reader, 2):
        what = (row["what"] or "").strip()
        if what not in WHATS:
            faults.append(
                Fault(f"line {at}", f"'{what}' is nothing it can size", f"use one of {', '.join(WHATS)}", name)
            )
            continue
        try:
            size = MarketSize(
                _positive(row["size"], WHATS[what]),
                _positive(row["diameter"], "small_length") if row.get("diameter") else None,
                _positive(row["length"], "small_length") if row.get("length") else None,
            )
            by_list.setdefault(what, []).append(size)
        except UnitError as error:
            faults.append(Fault(f"line {at}", str(error), 'write it like "80 kBtu/h", "18 kW" or "14 gal"', name))
    if faults:
        raise InputError(faults)
    return {what: tuple(sorted(sizes, key=lambda sold: sold.value)) for what, sizes in by_list.items()}


def _positive(text: str | None, dimension: str) -> float:
    value = parse(text or "", dimension).value
    if value <= 0:
        raise UnitError(f"'{text}' is not more than zero")
    return value
