"""What was typed: place, house, floor, tank, prices and options. If a `Case` can be built, it can be run.

A study is one TOML file. `read_study` gives a `Case`; the text that was typed stays with it in `Case.typed`, so that
nothing is lost when it is written back.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, PrivateAttr, ValidationError, field_validator, model_validator

from costsim.bills.meter import MOST_BYTES as MOST_METER_BYTES
from costsim.bills.meter import fit_to_year, read_meter_year
from costsim.errors import Fault, InputError
from costsim.files import check_nesting
from costsim.physics.emitters import EMITTERS
from costsim.sources import HeatSource, source_union
from costsim.study.crosschecks import (
    currencies_of,
    price_faults,
    prices_that_read,
    use_faults,
    weather_faults,
    whole_study_faults,
)
from costsim.study.economics import Economics, Uncertainty
from costsim.study.emitter_parts import emitter_faults, emitters_named, emitters_of
from costsim.study.financing import Incentive, Loan, Part
from costsim.study.fluid import Fluid, fluid_faults
from costsim.study.hourly_files import generation_j, use_heat_j
from costsim.study.house import House
from costsim.study.place import Place
from costsim.study.plant import Floor, Tank
from costsim.study.prices import Price
from costsim.study.program import Program
from costsim.study.ratings import Ratings
from costsim.study.rules import RULES
from costsim.study.selection import Selection
from costsim.study.solar_electric import SolarElectric
from costsim.study.uses import Use
from costsim.study.zone_loops import zone_faults
from costsim.study_files import StudyFiles
from costsim.tariffs.bill import house_profile_j
from costsim.tariffs.calendar import HourCalendar
from costsim.units.arrays import Floats
from costsim.units.calendar_words import month_or_day
from costsim.units.faults import faults_of
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault

MOST_SOURCES = 3
MOST_BYTES = 1_000_000
ONLY_SAMPLES = StudyFiles()


class Option(StudyModel):
    """One way to heat the house: up to three sources and the rule that calls them."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=80)]
    today: Annotated[bool, Field(title="Heats the house today", description="Others are compared with it.")] = False
    first_cost_money: Annotated[
        float, QuantityField("money", "First cost", "Of all that is bought for it now.", at_least=0)
    ] = 0.0
    rebate_money: Annotated[float, QuantityField("money", "Rebate", at_least=0)] = 0.0
    maintenance_per_year: Annotated[float, QuantityField("money_per_year", "Maintenance", at_least=0)] = 0.0
    replacement_money: Annotated[
        float, QuantityField("money", "Replacement", "Paid once, in the year below.", at_least=0)
    ] = 0.0
    replacement_year: Annotated[int, Field(ge=0, le=50, title="Year of replacement")] = 0
    incentive: Annotated[tuple[Incentive, ...], Field(title="Incentives", max_length=10)] = ()
    loan: Annotated[Loan | None, Field(title="Loan")] = None
    part: Annotated[
        tuple[Part, ...], Field(title="Parts that wear out sooner or later than the rest", max_length=20)
    ] = ()
    salvage_money: Annotated[float, QuantityField("money", "Worth at the end of the study period", at_least=0)] = 0.0
    tank: Annotated[Tank | None, Field(title="Tank of its own", description="The study's by default.")] = None
    no_tank: Annotated[
        bool, Field(title="Has no tank", description="The tank that the study describes is not part of this option.")
    ] = False
    floor: Annotated[Floor | None, Field(title="Floor of its own", description="The study's by default.")] = None
    rule: Annotated[
        str, OneOf(RULES, "a rule"), Field(title="Rule", description="In which order the sources are called.")
    ] = "fixed"
    source: Annotated[tuple[source_union(), ...], Field(title="Sources")]  # type: ignore[valid-type]

    @property
    def first_cost_given(self) -> bool:
        """Whether a first cost is known: typed, or nothing for what already heats the house."""
        return self.today or "first_cost_money" in self.model_fields_set

    @field_validator("source", mode="before")
    @classmethod
    def _one_to_three(cls, value: object) -> object:
        if isinstance(value, list | tuple) and not 1 <= len(value) <= MOST_SOURCES:
            raise fault(
                f"{len(value)} sources were given",
                f"an option has one to {MOST_SOURCES} sources; split it into two options",
            )
        return value

    @model_validator(mode="after")
    def _replaced_in_some_year(self) -> Option:
        if self.replacement_money and not self.replacement_year:
            raise fault("replacement has no year, so it would never be paid", "add replacement_year = 15")
        if self.no_tank and self.tank is not None:
            raise fault("has a tank of its own and none", "take out no_tank, or the option's tank")
        cost = self.first_cost_money - self.rebate_money
        if self.loan is not None and self.loan.amount_money > max(cost, 0.0) + 1e-9:
            raise fault(
                "the loan is more than the first cost less its rebate",
                'lower loan.amount, or type first_cost = "8000 $"',
            )
        if self.incentive and not self.first_cost_money:
            raise fault("an incentive has no first cost to go on", 'add first_cost = "8000 $"')
        return self

    def price_keys(self, prices: Mapping[str, object]) -> list[str]:
        """Price tables that bill the sources, each once; the sun has none."""
        return list(dict.fromkeys(filter(None, (source.price_key(prices) for source in self.sources))))

    def tank_of(self, case: Case) -> Tank | None:
        """The tank that this option heats: its own, none at all, or the study's."""
        return None if self.no_tank else self.tank or case.tank

    def seen_in(self, case: Case) -> Case:
        """The study with the tank and the floor that this option heats; as it is where they are the study's own."""
        tank, floor, house = self.tank_of(case), self.floor or case.floor, case.house
        if tank is case.tank and floor is case.floor:
            return case
        supply = case.tank.design_supply_temperature_c if case.tank is not None and tank is None else None
        if supply is not None and house.design_supply_temperature_c is None:  # the emitters stay what they are
            house = house.model_copy(update={"design_supply_temperature_c": supply})
        return case.model_copy(update={"tank": tank, "floor": floor, "house": house})

    @property
    def sources(self) -> tuple[HeatSource, ...]:
        """The sources in the order typed."""
        return tuple(self.source)


class Case(StudyModel):
    """A whole study."""

    title: Annotated[str, Field(title="Title", min_length=1, max_length=120)]
    note: str = ""
    price_date: Annotated[
        str, Field(title="Date of the prices", description="Day or month they were read, such as 2026-11.")
    ] = ""
    place: Place
    house: House
    floor: Floor | None = None
    tank: Tank | None = None
    use: Annotated[tuple[Use, ...], Field(title="Hot water and other uses", max_length=8)] = ()
    fluid: Annotated[Fluid | None, Field(title="Antifreeze in the whole system")] = None
    ratings: Ratings | None = None
    selection: Annotated[Selection | None, Field(title="Choice of sizes off the shelf")] = None
    program: Program | None = None
    economics: Economics = Economics()
    uncertainty: Uncertainty = Uncertainty()
    solar_electric: Annotated[SolarElectric | None, Field(title="Solar panels for electricity")] = None
    prices: dict[str, Price]
    option: Annotated[tuple[Option, ...], Field(min_length=1, max_length=12)]
    _typed: dict[str, Any] = PrivateAttr(default_factory=dict)
    _file: str = PrivateAttr(default="")
    _files: StudyFiles = PrivateAttr(default_factory=StudyFiles)
    _paid_in: str = PrivateAttr(default="")
    _meter_j: Floats | None = PrivateAttr(default=None)
    _meter_notes: tuple[str, ...] = PrivateAttr(default=())
    _generation_j: Floats | None = PrivateAttr(default=None)
    _use_files_j: dict[int, Floats] = PrivateAttr(default_factory=dict)

    @model_validator(mode="after")
    def _generation_has_a_bill(self) -> Case:
        if self.solar_electric is None:
            return self
        if "electricity" not in self.prices:
            raise fault(
                "own generation has no price of electricity", 'add [prices.electricity] with energy = "0.15 $/kWh"'
            )
        if self.house.other_electricity_j_year is None and not self.house.other_electricity_profile:
            raise fault(
                "own generation needs what the house uses besides heating, which takes from it first",
                'add other_electricity = "7200 kWh/year" under [house]',
            )
        return self

    @field_validator("price_date")
    @classmethod
    def _a_day_or_month(cls, value: str) -> str:
        value = month_or_day(value)
        try:
            if value:
                date.fromisoformat(value if value.count("-") == 2 else f"{value}-01")
        except ValueError:
            raise fault(f"'{value}' is not a day or month", 'write it like "Feb 2026" or "2026-02-24"') from None
        return value

    @property
    def options(self) -> tuple[Option, ...]:
        """The options in the order typed."""
        return self.option

    @property
    def today(self) -> Option | None:
        """What heats the house today, where the study says so."""
        return next((option for option in self.option if option.today), None)

    @property
    def emitter_named(self) -> str:
        """What gives the heat to the rooms, inside a sentence: a floor that is described, else the kind of emitter."""
        return emitters_named(self.house, floor=self.floor is not None)

    @property
    def floor_heats(self) -> bool:
        """Whether a floor gives the heat to the rooms, or to some of them."""
        return any(
            kind is None or EMITTERS[kind].floor for kind in emitters_of(self.house, floor=self.floor is not None)
        )

    @property
    def typed(self) -> dict[str, Any]:
        """What was typed, as plain data."""
        return self._typed

    @property
    def file(self) -> str:
        """Name of the study's file, for messages."""
        return self._file

    @property
    def files(self) -> StudyFiles:
        """What resolves the files that it names."""
        return self._files

    @property
    def meter_notes(self) -> tuple[str, ...]:
        """How the hours of its other electricity were read."""
        return self._meter_notes

    @property
    def other_electricity_known(self) -> bool:
        """Whether the house's other electricity was given, as a total or hour by hour."""
        return self.house.other_electricity_j_year is not None or self._meter_j is not None

    def other_electricity_j(self, calendar: HourCalendar) -> Floats:
        """The house's other electricity in each hour (n,) [J]: as read, else the year's total in a plain shape, else none."""
        if self._meter_j is not None:
            return fit_to_year(self._meter_j, calendar.n_hours)
        return house_profile_j(self.house.other_electricity_j_year or 0.0, calendar)

    @property
    def generation_file_j(self) -> Floats | None:
        """Own generation of each hour as read from a file [J]; None where there is none."""
        return self._generation_j

    @property
    def use_files_j(self) -> Mapping[int, Floats]:
        """Heat of each hour of the uses that name a file, by their place from 0 [J]."""
        return self._use_files_j

    @property
    def currency(self) -> str:
        """The one currency of the study: of its prices, else of any other amount of money, else of a file of prices."""
        priced = next((price.currency for price in self.prices.values() if price.currency), "")
        return priced or next((currency for _, _, currency in currencies_of(self._typed)), self._paid_in or "$")


def case_from(study: Mapping[str, Any], *, file: str = "", files: StudyFiles = ONLY_SAMPLES) -> Case:
    """Build a case from plain data such as a parsed TOML file.

    Parameters
    ----------
    study : mapping
        Keys as in a study file.
    file : str
        Name for messages.
    files : StudyFiles
        Resolves the files that the study names; without it only the built-in samples are known.

    Raises
    ------
    InputError
        With every fault found.
    """
    try:
        case = Case.model_validate(study)
    except ValidationError as error:
        alone = price_faults(prices_that_read(study.get("prices")), file)
        raise InputError([*faults_of(error, Case, file), *whole_study_faults(study, file), *alone]) from None
    tanks = dict.fromkeys([case.tank, *(option.tank_of(case) for option in case.options)])
    floors = dict.fromkeys(option.floor or case.floor for option in case.options)
    faults = [
        *whole_study_faults(study, file),
        *(fault for floor in floors for fault in zone_faults(case.house, floor, file)),
        *emitter_faults(case.house, floor=any(floors), file=file),
        *fluid_faults(case.fluid, floors, file),
        *price_faults(case.prices, file),
        *(fault for tank in tanks for fault in use_faults(case.use, tank, file)),
    ]
    if faults:
        raise InputError(faults)
    case._typed, case._file, case._files = dict(study), file, files
    for key, price in case.prices.items():
        for at, charge in enumerate(price.charge, 1):
            for where, currency in charge.open_files(files, f"prices.{key}.charge[{at}]", file):
                case._paid_in = case._paid_in or currency
                if currency != case.currency:
                    problem = f"holds prices in {currency}, but the study is in {case.currency}"
                    raise InputError(Fault(where, problem, "write all money of a study in one currency", file))
    if name := case.house.other_electricity_profile:
        key = "house.other_electricity_profile"
        content = files.read(name, key, file=file, most=MOST_METER_BYTES)
        case._meter_j, case._meter_notes = read_meter_year(name, content=content)
    if case.solar_electric is not None and case.solar_electric.hours:
        case._generation_j = generation_j(case.solar_electric.hours, files, file)
    case._use_files_j = use_heat_j(case.use, files, file)
    return case


def read_study(path: str | Path) -> Case:
    """Read a study file.

    Parameters
    ----------
    path : str or Path
        A TOML file, a zip of one with its files (`bundle.pack`), or the name of a built-in study such as ``"lantern_cottage"``.

    Raises
    ------
    InputError
        The file cannot be read or has faults; all are listed.
    """
    from costsim.study.bundle import opened_study  # which reads a study.toml itself

    study, files = opened_study(path)
    faults = weather_faults(study, files, str(path))
    try:
        case = case_from(study, file=str(path), files=files)
    except InputError as error:
        raise InputError([*error.faults, *faults]) from None
    if faults:
        raise InputError(faults)
    return case


def parse_study(raw: bytes, *, file: str = "") -> dict[str, Any]:
    """Turn the bytes of a study file into plain data.

    Raises
    ------
    InputError
        Too large, not UTF-8, or not TOML.
    """
    if len(raw) > MOST_BYTES:
        raise InputError(
            Fault(
                "",
                f"is {len(raw) / 1e6:.1f} MB large",
                "a study is a short text file; check that it is the right one",
                file,
            )
        )
    try:
        text = raw.decode("utf-8-sig")
        check_nesting(text, file)
        return tomllib.loads(text)
    except UnicodeDecodeError:
        raise InputError(Fault("", "is not UTF-8 text", "save it as UTF-8 text", file)) from None
    except (ValueError, RecursionError) as error:  # a number of 5,000 digits is a plain ValueError
        remedy = 'a line looks like key = "value" and a table starts with [name]'
        raise InputError(Fault("", f"is not TOML: {error}", remedy, file)) from None


def built_in_studies() -> dict[str, Path]:
    """Names and paths of the studies that come with the package."""
    folder = Path(str(resources.files("costsim"))) / "demos"
    return {path.stem: path for path in sorted(folder.glob("*.toml"))}


def find_study(path: str | Path) -> Path:
    """Find a study by path, or by name among the built-in ones."""
    given = Path(path)
    built_in = built_in_studies()
    return (
        given if os.path.exists(given) or given.stem not in built_in or given.parent != Path() else built_in[given.stem]
    )


def write_study(study: Mapping[str, Any]) -> str:
    """Write plain data as the text of a study file; reading it back gives the same data."""
    import tomli_w

    return tomli_w.dumps(dict(study))
