"""Prices as people type them, and their translation into a tariff per joule of fuel."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field, field_validator, model_validator

from costsim.physics.fuels import FUELS, sold_amount
from costsim.physics.wood import SPECIES
from costsim.study import heat_content
from costsim.tariffs.charges import Block, Delivery, DemandCharge, FuelUnits, Period, Tariff, charge_union
from costsim.tariffs.charges.base import check_units
from costsim.tariffs.charges.power import PER_POWER_S, price_per_w
from costsim.tariffs.charges.tax import GROUPS
from costsim.tariffs.holidays import holiday_dates, read_dates
from costsim.tariffs.hours import ClockHours, OwnHolidays
from costsim.tariffs.windows import check_windows, parse_windows
from costsim.units.fields import OneOf, QuantityField, StudyModel, fault
from costsim.units.quantity import Quantity
from costsim.units.table import DAY_S, MONTH_S, YEAR_S

STANDARD_LINES = (
    "fixed charge",
    "energy",
    "highest power",
    "minimum bill",
    "rent",
    "minimum use",
    "delivery",
    "duty",
    "tax on use",
)
_SPAN_S = {"day": DAY_S, "month": MONTH_S, "year": YEAR_S}


def fuel_of(key: str, table: Mapping[str, Any]) -> str | None:
    """Name the fuel of a price table: as typed, or by the table's own name; None when neither is a fuel."""
    name = str(table.get("fuel") or ("electricity" if key == "off_peak" else key))
    return name if name in FUELS else None


def singular(unit: str) -> str:
    """One of what fuel is sold in."""
    return {"therms": "therm", "cords": "cord", "short tons": "short ton"}.get(unit, unit)


class PricePeriod(ClockHours):
    """Hours with a price of their own."""

    name: Annotated[str, Field(title="Name", min_length=1, max_length=40)]
    energy: Annotated[Quantity, QuantityField("price", "Price in these hours", at_least=0)]


class PriceBlock(StudyModel):
    """The first, second … part of a day's, month's or year's use at its own price; leave `up_to` out of the last."""

    up_to: Annotated[
        Quantity | None,
        QuantityField(
            "amount_per_year",
            "Up to",
            "Each month, each day times the days of the month, or each year from January on, as the unit says.",
            example="1000 kWh/month",
            above=0,
        ),
    ] = None
    energy: Annotated[Quantity, QuantityField("price", "Price of this block", at_least=0)]
    months: str = ""

    @model_validator(mode="after")
    def _clock_times(self) -> PriceBlock:
        check_windows((), months=self.months)
        if parse_windows((), months=self.months).season:
            raise fault(
                f"months = '{self.months}' begins or ends inside a month",
                'write whole months such as "Nov-Mar", or a [[charge]] of kind = "tiers", which parts the month by days',
            )
        if self.up_to is not None and not self.up_to.per:
            raise fault("up_to has no day, month or year", 'write it like up_to = "1000 kWh/month" or "10 kWh/day"')
        return self


class PriceDemand(ClockHours):
    """A charge on the highest power of the month."""

    price: Annotated[
        Quantity,
        QuantityField("money_by_power", "Charge each month", "Or by the year.", at_least=0, example="9 $/kW"),
    ]
    minutes: Annotated[int, Field(title="Metering interval in minutes")] = 60
    peak_factor: Annotated[float, Field(ge=1.0, le=3.0, title="Peak of the interval over the hourly mean")] = 1.0
    ratchet_share: Annotated[
        float, QuantityField("share", "Share of its windows' highest of the year always billed", at_least=0, at_most=1)
    ] = 0.0

    @model_validator(mode="after")
    def _by_the_month(self) -> PriceDemand:
        if self.price.dims[2] != PER_POWER_S and self.price.per not in ("month", "year"):
            raise fault(
                "price is no money for power by the month",
                'write price = "9 $/kW" or "40 €/kW/year"; one by the day is a [[charge]] of kind = "power"',
            )
        return self


class PriceDelivery(StudyModel):
    """What each delivery of a stored fuel costs beside the fuel."""

    fill: Annotated[Quantity, QuantityField("amount", "Fuel in a full delivery", above=0, example="200 gal")]
    fee_money: Annotated[float, QuantityField("money", "Fee for each delivery", at_least=0, example="12 $")] = 0.0
    minimum: Annotated[
        Quantity | None, QuantityField("amount", "Smallest delivery without a further fee", above=0, example="100 gal")
    ] = None
    small_fee_money: Annotated[float, QuantityField("money", "Further fee for less", at_least=0, example="35 $")] = 0.0

    @model_validator(mode="after")
    def _minimum_fits(self) -> PriceDelivery:
        if self.small_fee_money and self.minimum is None:
            raise fault("small_fee needs minimum", 'add minimum = "100 gal"')
        return self


class Ticket(StudyModel):
    """One delivery as its ticket says."""

    date: Annotated[str, Field(title="Day", description="Such as 2025-01-14.", max_length=10)]
    amount_j: Annotated[Quantity, QuantityField("amount", "Amount", above=0, example="150 gal")]
    total_money: Annotated[
        float, QuantityField("money", "Total", "Of the fuel, without fees.", at_least=0, example="390 $")
    ]

    @model_validator(mode="after")
    def _a_day(self) -> Ticket:
        try:
            dt.date.fromisoformat(self.date)
        except ValueError:
            raise fault(f"'{self.date}' is not a day", 'write it like date = "2025-01-14"') from None
        return self


class Price(StudyModel):
    """What one service charges."""

    fuel: Annotated[str, Field(title="Fuel", description="Where the table's name is not a fuel.")] = ""
    energy: Annotated[Quantity | None, QuantityField("price", "Energy price", at_least=0)] = None
    fixed_per_month: Annotated[float, QuantityField("money_per_month", "Fixed charge", at_least=0)] = 0.0
    period: tuple[PricePeriod, ...] = ()
    block: tuple[PriceBlock, ...] = ()
    demand: tuple[PriceDemand, ...] = ()
    minimum_bill_per_month: Annotated[float, QuantityField("money_per_month", "Minimum bill", at_least=0)] = 0.0
    minimum_use: Annotated[
        Quantity | None, QuantityField("amount_per_year", "Minimum use", "Paid for whether used or not.", above=0)
    ] = None
    minimum_use_price: Annotated[
        Quantity | None,
        QuantityField(
            "price", "Price of each unit short of the minimum use", "The energy price by default.", at_least=0
        ),
    ] = None
    minimum_use_fee_money: Annotated[
        float, QuantityField("money", "Fee for missing the minimum use", "Once a year.", at_least=0, example="75 $")
    ] = 0.0
    delivery: PriceDelivery | None = None
    rent_per_year: Annotated[float, QuantityField("money_per_year", "Tank or meter rent", at_least=0)] = 0.0
    energy_tax_share: Annotated[
        float,
        QuantityField(
            "share", "Tax on the energy charges", "A relief where negative.", at_least=-1, at_most=1, example="4 %"
        ),
    ] = 0.0
    duty: Annotated[
        Quantity | None, QuantityField("price", "Tax by amount", "A relief where negative.", example="0.003 $/kWh")
    ] = None
    tax_share: Annotated[
        float, QuantityField("share", "Tax on the whole bill", at_least=0, at_most=1, example="7 %")
    ] = 0.0
    ticket: Annotated[
        tuple[Ticket, ...],
        Field(
            title="Delivery tickets",
            description="In place of energy: the price is what they cost over what they brought.",
            max_length=60,
        ),
    ] = ()
    charge: Annotated[
        tuple[charge_union(), ...],  # type: ignore[valid-type]
        Field(
            title="Further charges",
            description="In the order of the bill; taxes count what stands before them.",
            max_length=40,
        ),
    ] = ()
    read_day: Annotated[
        int,
        Field(title="Day of the month on which meters are read", description="1 bills calendar months.", ge=1, le=28),
    ] = 1
    read_dates: Annotated[
        tuple[str, ...],
        Field(
            title="Days on which meters are read",
            description="In place of read_day: one of a month at most, such as Jan 14; less often than monthly where the bills are.",
            max_length=12,
        ),
    ] = ()
    holidays: Annotated[
        str,
        Field(
            title="Holidays of this tariff",
            description="Its own list, such as Jan 1, Jul 4 or US-CA, in place of those of the place.",
            max_length=400,
        ),
    ] = ""
    heat_content: Annotated[
        Quantity | None,
        QuantityField("heat_content", "Heat content", "From the bill.", above=0, example="1036 Btu/ft3"),
    ] = None
    species: Annotated[
        str,
        OneOf(SPECIES, "a kind of wood in the table"),
        Field(
            title="Kind of wood",
            description="Of seasoned firewood by the stacked cord; a cord of hickory holds twice the heat of one of white pine.",
        ),
    ] = ""
    co2_kg_per_j: Annotated[float | None, QuantityField("emission", "CO2 factor", at_least=0)] = None
    service: Annotated[
        Literal["usual", "there_anyway", "for_heating_alone"],
        Field(
            title="Is this service there without heating?",
            description="Fixed charges of one that is there anyway are no cost of heating. Usual: electricity is there anyway, fuels are not.",
        ),
    ] = "usual"

    @field_validator("species", mode="before")
    @classmethod
    def _as_people_write_it(cls, typed: object) -> object:
        return "_".join(typed.lower().split()) if isinstance(typed, str) else typed

    @model_validator(mode="after")
    def _has_a_price(self) -> Price:
        if self.ticket and (self.energy is not None or self.block):
            raise fault("energy is given twice, as a price and by tickets", "take out energy, or the tickets")
        if (
            self.energy is None
            and not self.block
            and not self.ticket
            and not any(charge.prices_energy for charge in self.charge)
        ):
            raise fault("energy is missing", 'add energy = "0.128 $/kWh"')
        if (self.minimum_use_price or self.minimum_use_fee_money) and self.minimum_use is None:
            raise fault("minimum_use is missing", 'add minimum_use = "300 gal/year"')
        return self

    @model_validator(mode="after")
    def _own_days(self) -> Price:
        try:
            read_dates(self.read_dates)
            holiday_dates(self.holidays, 2025)
        except ValueError as error:
            raise fault(str(error), 'write read_dates = ["Jan 14", "Feb 13"], holidays = "US-CA, Dec 24"') from None
        if self.read_dates and self.read_day != 1:
            raise fault("meter readings are given twice", "give read_day or read_dates, not both")
        for part in (*self.period, *self.demand, *self.charge):
            if isinstance(part, OwnHolidays):
                part.use_holidays(self.holidays)
        return self

    @model_validator(mode="after")
    def _taxes_count_what_is_there(self) -> Price:
        names = [*STANDARD_LINES, *(period.name for period in self.period)]
        names += [text for charge in self.charge for text in charge.names()]
        for charge in self.charge:
            unknown = [word for word in charge.counted() if word not in names]
            if unknown:
                raise fault(
                    f"{charge.label} is on '{unknown[0]}', which is no line of this bill",
                    f"use one of {', '.join(dict.fromkeys((*GROUPS, *names)))}",
                )
        return self

    @property
    def currency(self) -> str:
        """Currency in which the energy price was written."""
        first = self.energy or (self.block[0].energy if self.block else None)
        return first.currency if first else ""

    def fuel_name(self, key: str) -> str:
        """Key of the fuel in `FUELS`."""
        return fuel_of(key, {"fuel": self.fuel}) or "electricity"

    def co2_factor_kg_per_j(self, key: str) -> float:
        """CO2 for each joule of the fuel: as typed, else the fuel's own."""
        return self.co2_kg_per_j if self.co2_kg_per_j is not None else FUELS[self.fuel_name(key)].co2_kg_per_j

    @property
    def content(self) -> Quantity | None:
        """Heat content as typed, or that of the kind of wood; None where the fuel's own holds."""
        return heat_content.held(self.heat_content, self.species)

    def fuel_units(self, key: str) -> FuelUnits:
        """How the fuel is sold, with the heat content of the bill where it is typed."""
        return FuelUnits.of(self.fuel_name(key), self.content)

    def per_j(self, quantity: Quantity, key: str) -> float:
        """Turn an amount per energy, volume or mass of the fuel into one per joule of its higher heating value."""
        return self.fuel_units(key).per_j(quantity)

    def joules(self, quantity: Quantity, key: str) -> float:
        """Turn an amount of fuel into joule, or an amount a year (or month) into joule a second."""
        return self.fuel_units(key).joules(quantity)

    def base_per_j(self, key: str) -> float:
        """The energy price, or the last block's, per joule; 0 where charges alone price energy."""
        if self.ticket:
            return sum(ticket.total_money for ticket in self.ticket) / sum(
                self.joules(ticket.amount_j, key) for ticket in self.ticket
            )
        base = self.energy or (self.block[-1].energy if self.block else None)
        return self.per_j(base, key) if base is not None else 0.0

    @property
    def by_weather(self) -> bool:
        """Whether a price goes by the outdoor temperature."""
        hours = [part.hours() for part in (*self.period, *self.demand, *self.charge) if isinstance(part, ClockHours)]
        return any(clock.by_weather for clock in hours)

    def sold(self, key: str, energy_j: float, system: str) -> tuple[float, str]:
        """How much of the fuel holds an energy [J] by this study's own heat content, in the unit it is sold in.

        Examples
        --------
        >>> from costsim.units.quantity import BTU_J
        >>> price = Price.model_validate({"energy": "200 $/cord", "heat_content": "15 MMBtu/cord"})
        >>> amount, unit = price.sold("wood", 15.0 * 18.2 * 1e6 * BTU_J, "us")
        >>> round(amount, 6), unit
        (18.2, 'cords')
        """
        return sold_amount(self.fuel_name(key), energy_j, system, self.content)

    def sold_price(self, key: str, price_per_j: float, system: str) -> tuple[float, str]:
        """Turn a price per joule into one for the unit the fuel is sold in, by this study's own heat content."""
        amount, unit = self.sold(key, 1.0, system)
        return price_per_j / amount, singular(unit)

    def tariff(self, key: str) -> Tariff:
        """Translate into money per joule, watt, month and year."""
        fuel = self.fuel_units(key)
        check_units(self, fuel)
        return Tariff(
            name=key,
            price_per_j=self.base_per_j(key),
            fixed_per_month=self.fixed_per_month,
            periods=tuple(Period(p.name, fuel.per_j(p.energy), p.hours()) for p in self.period),
            blocks=tuple(self._block(block, key) for block in self.block),
            demand=tuple(
                DemandCharge(
                    float(price_per_w(d.price, np.zeros(1))),
                    d.hours(),
                    d.minutes,
                    d.peak_factor,
                    d.ratchet_share,
                )
                for d in self.demand
            ),
            minimum_bill_per_month=self.minimum_bill_per_month,
            minimum_use_j=fuel.joules(self.minimum_use) * YEAR_S if self.minimum_use else 0.0,
            minimum_use_price_per_j=fuel.per_j(self.minimum_use_price) if self.minimum_use_price else None,
            minimum_use_fee=self.minimum_use_fee_money,
            delivery=self._delivery(key),
            rent_per_year=self.rent_per_year,
            tax_share=self.tax_share,
            energy_tax_share=self.energy_tax_share,
            tax_per_j=fuel.per_j(self.duty) if self.duty else 0.0,
            extra=tuple(self.charge),
            fuel=fuel,
            read_day=read_dates(self.read_dates) or self.read_day,
        )

    def _delivery(self, key: str) -> Delivery | None:
        if self.delivery is None:
            return None
        delivery = self.delivery
        minimum_j = self.joules(delivery.minimum, key) if delivery.minimum else 0.0
        return Delivery(self.joules(delivery.fill, key), delivery.fee_money, minimum_j, delivery.small_fee_money)

    def _block(self, block: PriceBlock, key: str) -> Block:
        months = parse_windows((), months=block.months).months
        up_to, per = float("inf"), "month"
        if block.up_to is not None:
            per = block.up_to.per
            up_to = self.joules(block.up_to, key) * _SPAN_S[per]
        return Block(up_to, self.per_j(block.energy, key), months, per)
