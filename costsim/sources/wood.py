"""Wood: a boiler fired by hand, charge by charge."""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import Field, field_validator, model_validator

from costsim.physics.demand import ahead_j, until_j
from costsim.physics.wood import (
    BUFFER_FREE_M3,
    buffer_volume_m3,
    burn_time_s,
    charge_mass_kg,
    higher_heating_value_j_kg,
)
from costsim.sources.base import HeatSource, Offer, Surroundings, constant, may_run
from costsim.sources.houses import HourlyRows, HouseOffers, Houses
from costsim.sources.traits import FormulaRow, HandFired
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import parse_windows
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField, fault
from costsim.units.quantity import GALLON_M3, HOUR_S, KWH_J, show_both
from costsim.units.table import DAY_H, DAY_S
from costsim.weather import Weather
from costsim.words import tr

BURN_S = (HOUR_S, 48 * HOUR_S)
MOST_KG = 2000.0
AGREE_SHARE = 0.1
"""How far a burn time may lie from what output and charge give, since people round it to hours; a choice of ours."""
TOLD_SHARE = 0.01
"""From which difference on a typed burn time that does not count is told; a choice of ours."""
RARE_EFFICIENCY = 0.65
"""Season efficiency that few hand-fired boilers reach in the field: outdoor units were measured at 28 to 55 %."""


class Wood(HeatSource):
    """Hand-fired boiler: somebody loads it at given times, and it burns until the charge is gone."""

    follows_tank: ClassVar[bool | None] = False
    title: ClassVar[str] = "Wood boiler"
    market_list: ClassVar[str] = "wood boiler output"
    symbol: ClassVar[str] = "logs"
    burns_fuel: ClassVar[bool] = True
    air_standard: ClassVar[str] = "NFPA 211"
    automatic: ClassVar[bool] = False
    unstoppable: ClassVar[bool] = True
    example: ClassVar[dict[str, Any]] = {
        "kind": "wood",
        "charge": "55 lb",
        "burn_time": "6 h",
        "load_times": ["07:00", "18:00"],
        "efficiency": "60 %",
    }

    rests_on = (
        (
            "when a fire is lit",
            "at its load times, where heat is needed within a day and the smallest charge finds a place in tank and floor"
            " beside the other fires; half of it is enough where tank and fires do not last until the next load time. No more is loaded than they take",
            "common practice, no source",
            "",
        ),
    )

    kind: Literal["wood"]
    output_w: Annotated[
        float | None,
        QuantityField(
            "power",
            "Output by its plate",
            "Of output, charge and burn time two are enough: the third follows.",
            above=0,
            at_most=1e8,
            example="25 kW",
        ),
    ] = None
    charge_kg: Annotated[
        float | None,
        QuantityField("mass", "Wood in a charge", "As loaded, moist.", above=0, at_most=MOST_KG, example="55 lb"),
    ] = None
    moisture_share: Annotated[
        float,
        QuantityField(
            "share", "Moisture", "Water in moist wood (wet basis).", at_least=0, at_most=0.65, example="20 %"
        ),
    ] = 0.20
    efficiency_share: Annotated[
        float,
        QuantityField(
            "share", "Season efficiency", "By the higher heating value.", above=0, at_most=0.95, example="60 %"
        ),
    ]
    burn_time_s: Annotated[
        float | None,
        QuantityField("duration", "Burn time of a charge", at_least=BURN_S[0], at_most=BURN_S[1], example="6 h"),
    ] = None
    load_times: Annotated[tuple[str, ...], Field(title="Loading times", min_length=1, max_length=12)]
    attended: Annotated[str, Field(title="Attended days", description="Such as Mon-Fri.")] = "every day"
    smallest_charge_share: Annotated[
        float,
        QuantityField(
            "share",
            "Smallest charge",
            "Of a full one; less wood is loaded where less heat is needed, down to this.",
            at_least=0.1,
            at_most=1.0,
            example="50 %",
        ),
    ] = 0.5
    labor_s: Annotated[
        float,
        QuantityField(
            "duration",
            "Labour for a full charge",
            "Loading, ash, splitting; part of a charge takes its part.",
            at_least=0,
            example="0.3 h",
        ),
    ] = 1200.0

    @field_validator("load_times")
    @classmethod
    def _clock_times(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for text in value:
            if not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", text):
                raise fault(f"'{text}' is not a clock time", 'write it like load_times = ["07:00", "18:00"]')
        return value

    @field_validator("attended")
    @classmethod
    def _known_days(cls, value: str) -> str:
        try:
            parse_windows((), days=value)
        except ValueError as error:
            raise fault(str(error), 'write it like attended = "Mon-Fri"') from None
        return value

    @model_validator(mode="after")
    def _burns_what_is_loaded(self) -> Wood:
        if self.store or self.backup_only:
            raise fault(
                "a fire cannot be told to store or to stand by: once lit it heats the tank before all others",
                'take out store and backup_only; say when it is lit, such as lockout_above = "-5 degC" or attended = "Sat, Sun"',
            )
        return self

    @property
    def fuel_key(self) -> str:
        """Firewood."""
        return "wood"

    @model_validator(mode="after")
    def _two_of_three(self) -> Wood:
        """Output × burn time = charge × heating value × efficiency: two give the third, and three must agree."""
        if sum(figure is not None for figure in (self.output_w, self.charge_kg, self.burn_time_s)) < 2:
            raise fault(
                "two of output, charge and burn_time are needed",
                'add output = "25 kW" by the plate and burn_time = "6 h", or charge = "55 lb" and burn_time = "6 h"',
            )
        burns, kg = self.burns_s, self.full_charge_kg
        power, hours = show_both(self.nameplate_w(), "power"), f"{burns / HOUR_S:.3g} h"
        if self.burn_time_s is not None and abs(self.burn_time_s - burns) > AGREE_SHARE * burns:
            asked = _mass(charge_mass_kg(output_w=self.nameplate_w(), burn_s=self.burn_time_s, **self._of_wood))
            raise fault(
                f"output, charge and burn_time do not agree: {_mass(kg)} of this wood give {power} for {hours}, not for"
                f" {self.burn_time_s / HOUR_S:.3g} h, which would take {asked}",
                "take out the one that you know least, and it follows from the other two",
            )
        if not BURN_S[0] <= burns <= BURN_S[1]:
            raise fault(
                f"{_mass(kg)} of this wood give {power} for {hours}, less than 1 h or more than 48 h",
                "check output and charge, efficiency and moisture",
            )
        if kg > MOST_KG:
            raise fault(
                f"{power} for {hours} take {_mass(kg)} of this wood, more than {_mass(MOST_KG)}",
                "check output and burn_time, efficiency and moisture",
            )
        return self

    @property
    def _of_wood(self) -> dict[str, float]:
        return {"moisture": self.moisture_share, "efficiency": self.efficiency_share}

    @property
    def full_charge_kg(self) -> float:
        """Moist wood of a full charge [kg]: as typed, else what the output takes while it burns."""
        if self.charge_kg is not None:
            return self.charge_kg
        return charge_mass_kg(output_w=self.output_w or math.nan, burn_s=self.burn_time_s or math.nan, **self._of_wood)

    @property
    def heat_per_charge_j(self) -> float:
        """Heat that one charge gives to the water [J]."""
        heating_value = float(higher_heating_value_j_kg(moisture=self.moisture_share))
        return self.full_charge_kg * heating_value * self.efficiency_share

    @property
    def burns_s(self) -> float:
        """Burn time of a full charge [s]: what output and charge give where both are typed, else as typed."""
        if self.output_w is not None and self.charge_kg is not None:
            return burn_time_s(charge_j=self.heat_per_charge_j, efficiency=1.0, output_w=self.output_w)
        return self.burn_time_s or math.nan

    def hand_fired(self) -> HandFired:
        """A full charge, and which of output, charge and burn time follows from the other two."""
        follows = "output" if self.output_w is None else "charge" if self.charge_kg is None else "burn_time"
        return HandFired(
            self.full_charge_kg, self.heat_per_charge_j, self.burns_s, self.smallest_charge_share, follows
        )  # fmt: skip

    def with_least_charge(self, share: float) -> Self:
        """With another smallest charge."""
        return self.model_copy(update={"smallest_charge_share": share})

    @classmethod
    def of_older_units(cls) -> str:
        """Common practice, no source."""
        return tr("Older fireboxes, wet wood and a choked fire give less.")

    def plate_efficiency(self) -> float:
        """As typed."""
        return self.efficiency_share

    def nameplate_w(self) -> float:
        """Mean heat of a burning charge [W]: by its plate, else what charge and burn time give."""
        return self.output_w if self.output_w is not None else self.heat_per_charge_j / self.burns_s

    def formulas(self, altitude_m: float) -> Iterator[FormulaRow]:
        """How output, charge and burn time hang together."""
        yield (
            tr("a full charge"),
            tr("output × burn time = charge × higher heating value × efficiency"),
            tr(
                "{output} × {hours} h = {charge} at {moisture} moisture × {efficiency}",
                output=show_both(self.nameplate_w(), "power"),
                hours=f"{self.burns_s / HOUR_S:.3g}",
                charge=_mass(self.full_charge_kg),
                moisture=f"{self.moisture_share:.0%}".replace("%", " %"),
                efficiency=f"{self.efficiency_share:.0%}".replace("%", " %"),
            )
            + self._burn_time_left_aside(),
            tr("balance of heat; heating value of dry wood 20 MJ/kg"),
        )

    def _burn_time_left_aside(self) -> str:
        """That output and charge count where all three are typed and lie a hundredth apart or more; empty where they do not."""
        typed = self.burn_time_s or self.burns_s
        if abs(typed - self.burns_s) < TOLD_SHARE * self.burns_s:
            return ""
        return tr("; output and charge count, not the {hours} h typed", hours=f"{typed / HOUR_S:.3g}")

    def resized(self, typed: Mapping[str, Any], output_w: float) -> dict[str, Any]:
        """A larger fire takes a larger charge, which burns as long."""
        new = {**typed, "output": f"{output_w!r} W"} if "output" in typed else {**typed}
        if self.charge_kg is not None:
            new["charge"] = f"{self.charge_kg * output_w / self.nameplate_w()!r} kg"
        return new

    def lasting_share(self) -> float:
        """Share of a day in which a fire burns, where each load is burnt before the next; a buffer carries the rest."""
        return min(1.0, len(self.load_times) * self.burns_s / DAY_S)

    def buffer_m3(self, nominal_w: float, load_w: float) -> float:
        """Buffer that EN 303-5 asks for beside a fire of that output, which cannot be turned down [m³]."""
        return buffer_volume_m3(burn_s=self.burns_s, nominal_w=nominal_w, load_w=load_w, minimum_w=nominal_w)

    def follows_house(self) -> frozenset[str]:
        """When a fire is lit, and what the house will take of it."""
        return frozenset({"charge", "ahead", "until"})

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to charges that may be lit, and to what each would meet while it burns."""
        hours, power = self._burn_hours, self.nameplate_w()
        charge, unfuelled = _charges(self, surroundings.weather, surroundings.calendar, hours)
        # nobody lights a fire for nothing but what the tank loses
        wanted = ahead_j(demand_w=surroundings.demand_w, hours=DAY_H) > 0
        return self._offer(
            surroundings,
            capacity_w=power,
            heat_per_input=self.efficiency_share,
            must_run=True,
            burn_power_w=power,
            least_charge_share=self.smallest_charge_share,
            charge_j=np.where(wanted, charge, 0.0),
            ahead_j=ahead_j(demand_w=surroundings.demand_w, hours=hours),
            until_j=until_j(demand_w=surroundings.demand_w, starts=np.flatnonzero(charge)),
            curtailed_w=constant(0.0, surroundings.n_hours),
            fuel_limited_w=unfuelled,
            warnings=self._warnings(charge, surroundings),
            tally=self._tally,
        )

    def for_houses(self, houses: Houses) -> HouseOffers:
        """The same for each house, in the hours in which somebody is there to load it."""
        hours = self._burn_hours
        charge, _ = _charges(self, houses.whole.weather, houses.whole.calendar, hours)
        loads, n = np.flatnonzero(charge).astype(np.int64), len(charge)
        demand, of = houses.seen.demand_w, houses.moments.of
        day = np.minimum(loads[:, None] + np.arange(DAY_H), n - 1)
        outdoor, uses = houses.whole.weather.outdoor_c[day], houses.uses_w[day]
        # where hours are even heat is wanted within a day if it is in its coldest hour, or by a use
        coldest, used = of[day[np.arange(len(loads)), outdoor.argmin(axis=1)]], (uses > 0).any(axis=1)
        seen = [coldest] if houses.even else [of[hour] for hour in day.T]
        wanted = functools.reduce(np.logical_or, (demand.take(moment, axis=0) > 0 for moment in seen)) | used[:, None]
        # the year ends while the last ones burn
        burning = houses.wanted_j(loads, np.minimum(loads + hours, n))
        waiting = houses.wanted_j(loads, np.append(loads[1:], n))
        rows = {"charge": wanted * charge[loads][:, None], "ahead": burning, "until": waiting}
        return HouseOffers(by_hour=HourlyRows(loads, rows))

    @property
    def _burn_hours(self) -> int:
        return max(1, round(self.burns_s / HOUR_S))

    def loadings(self, calendar: HourCalendar) -> Floats:
        """Number of charges that somebody is there to load in each hour (n,)."""
        attended = parse_windows((), days=self.attended).share(calendar) > 0
        count = np.zeros(calendar.n_hours)
        for text in self.load_times:
            clock = int(text.split(":")[0]) + int(text.split(":")[1]) / 60
            # once a day, also where clocks go back; where they jump over the time, right after it
            near = np.flatnonzero((calendar.clock_hour <= clock + 1) & (clock < calendar.clock_hour + 1))
            _, first = np.unique(calendar.day[near], return_index=True)
            count[near[first]] += attended[near[first]]
        return count

    def _warnings(self, charge: Floats, surroundings: Surroundings) -> tuple[str, ...]:
        texts = list(self._small_buffer(surroundings))
        if self.efficiency_share > RARE_EFFICIENCY:
            texts.append(
                tr(
                    "{label}: {efficiency_share} over a season is rarely reached by hand-fired boilers (28 to 55"
                    " % measured outdoors)",
                    label=self.label,
                    efficiency_share=f"{self.efficiency_share:.0%}",
                )
            )
        if not charge.any():
            texts.append(tr("{label}: nobody loads it on any day, so it gives no heat", label=self.label))
        return tuple(texts)

    def _small_buffer(self, surroundings: Surroundings) -> Iterator[str]:
        """Warn of a tank smaller than EN 303-5 asks for; a hand-fired boiler whose smallest output is not known burns at its own."""
        nominal = self.nameplate_w()
        asked = self.buffer_m3(nominal, surroundings.design_load_w)
        held = surroundings.tank_m3
        if asked >= BUFFER_FREE_M3 and held < asked:
            sizes = [f"{volume * 1e3:,.0f} L ({volume / GALLON_M3:,.0f} gal)" for volume in (held, asked)]
            yield (
                tr(
                    "{label}: the tank holds {sizes}; EN 303-5 asks for a buffer of {sizes_2} for a fire of"
                    " {nominal} kW that burns {burn_time} h",
                    label=self.label,
                    sizes=sizes[0] if held else tr("nothing, there is none"),
                    sizes_2=sizes[1],
                    nominal=f"{nominal / 1000.0:.1f}",
                    burn_time=f"{self.burns_s / HOUR_S:.1f}",
                )
            )

    def _tally(self, made_j: float, unused_j: float, unused_hours: int) -> Mapping[str, Any]:
        loads = made_j / self.heat_per_charge_j
        return {
            "full_loads": loads,
            "labor_hours": loads * self.labor_s / HOUR_S,
            "wood_kg": loads * self.full_charge_kg,
            "dumped_kwh": unused_j / KWH_J,
            "dumping_hours": unused_hours,
        }


# many houses ask the same of a fire
@functools.lru_cache(maxsize=16)
def _charges(fire: Wood, weather: Weather, calendar: HourCalendar, hours: int) -> tuple[Floats, Floats]:
    """Heat of the charges that may be lit in each hour (n,) [J], and the heat missing while none burns (n,) [W]."""
    loads = np.where(may_run(fire, weather, calendar) > 0, fire.loadings(calendar), 0.0)
    charge = loads * fire.heat_per_charge_j
    burning = np.convolve(loads, np.ones(hours))[: len(loads)] > 0
    unfuelled = np.where(burning, 0.0, fire.nameplate_w())
    for row in (charge, unfuelled):
        row.flags.writeable = False
    return charge, unfuelled


def _mass(kg: float) -> str:
    return show_both(kg, "mass", 0 if kg >= 100.0 else 1)
