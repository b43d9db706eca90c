"""What every heat source has in common.

A source turns itself into hourly numbers by ``offer(surroundings) -> Offer``, so adding one means adding one module: its
fields, its `offer`, an example, a published value to check it by.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Annotated, Any, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.physics.fuels import FUELS
from costsim.sources.curtailment import CurtailmentEvents, coldest_hours
from costsim.sources.forecast import forecast_target_c
from costsim.sources.kind_checks import lacks
from costsim.sources.offer import NOT_STORING, Offer, Surroundings
from costsim.sources.outdoor_curve import check_rows
from costsim.sources.traits import BURNERS, HOURLY, FormulaRow, KindCaution, Traits
from costsim.tariffs.calendar import HourCalendar
from costsim.tariffs.windows import check_windows, parse_windows
from costsim.units.arrays import Floats, hourly
from costsim.units.fields import QuantityField, fault
from costsim.units.kinds import enter
from costsim.weather import Weather
from costsim.words import tr

if TYPE_CHECKING:
    from costsim.sources.houses import HouseOffers, Houses

KINDS: dict[str, type[HeatSource]] = {}
"""Every kind of source, by the literal of its `kind`; a class enters itself."""


class HeatSource(Traits):
    """What every source may say of itself in a study."""

    kind: str
    name: Annotated[
        str, Field(title="Name", description="How results call it; the kind by default.", max_length=80)
    ] = ""
    price: Annotated[str, Field(title="Price table", description="Key of the price table that bills it.")] = ""
    windows: Annotated[
        tuple[str, ...], Field(title="Only at these hours", description="It runs only inside, such as 22:00-06:00.")
    ] = ()
    days: Annotated[str, Field(title="Days", description="Days the windows hold, such as Mon-Fri.")] = "every day"
    months: Annotated[str, Field(title="Months", description="Months in which it runs, such as Nov-Mar.")] = ""
    lockout_above_c: Annotated[
        float | None, QuantityField("temperature", "Off when it is warmer outside than", example="40 degF")
    ] = None
    lockout_below_c: Annotated[
        float | None, QuantityField("temperature", "Off when it is colder outside than", example="5 degF")
    ] = None
    backup_only: Annotated[bool, Field(title="Backup only", description="Runs after all others.")] = False
    store: Annotated[
        bool, Field(title="May charge the store", description="Heats the tank ahead, as far as it may, in its hours.")
    ] = False
    charging: Annotated[
        Literal["full", "forecast"],
        Field(title="How far it charges the store", description="As hot as it may, or by tomorrow's mean temperature."),
    ] = "full"
    circuit_head_pa: Annotated[
        float | None,
        QuantityField(
            "head", "Pressure drop of its circuit", "Of the unit by its sheet, and of its pipes: the head of its circulator.",
            above=0, at_most=1e6, example="8 ftH2O",
        ),
    ] = None  # fmt: skip
    circuit_head_flow_m3_s: Annotated[
        float | None,
        QuantityField(
            "flow", "Flow at that drop", "As the sheet states it; without it the drop is that at the flow told among the sizes.",
            above=0, at_most=1.0, example="5 gpm",
        ),
    ] = None  # fmt: skip
    curtailment: CurtailmentEvents | None = None

    @model_validator(mode="after")
    def _windows_are_clock_times(self) -> HeatSource:
        check_windows(self.windows, days=self.days, months=self.months)
        if self.fuel_key and self.fuel_key not in FUELS:
            raise fault(f"it burns '{self.fuel_key}', which is no fuel", f"use one of {', '.join(FUELS)}")
        self._rows_agree()
        if self.circuit_head_flow_m3_s is not None and self.circuit_head_pa is None:
            raise fault(
                "has the flow of a pressure drop but no drop", 'add circuit_head = "8 ftH2O" by the unit\'s sheet'
            )
        if self.charging == "forecast" and not self.store:
            raise fault(
                "charging goes by a forecast, but no store is charged", "add store = true, or take out charging"
            )
        return self

    def _rows_agree(self) -> None:
        """Hold rows of `over_outdoor` to their temperatures."""
        check_rows(self)

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or tr(self.title)

    @property
    def fuel_key(self) -> str:
        """Which fuel it burns: a key of `costsim.physics.fuels.FUELS`; empty for none."""
        return "electricity"

    def price_key(self, tables: Mapping[str, Any]) -> str:
        """Which price table bills it."""
        return self.price or self.fuel_key

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower the source to hourly numbers."""
        raise TypeError(f"{type(self).__name__} has no offer")

    def nameplate_w(self) -> float:
        """Rated output [W]."""
        return 0.0

    def makes_water(self, water_c: float) -> bool:
        """Whether it can heat a tank, or what returns from the emitters, to this temperature [°C]."""
        return True

    def curve_ends(self) -> tuple[tuple[float, float], ...]:
        """Outdoor temperature [°C] and output [W] at both ends of its curve; nothing where it has none."""
        return ()

    def resized(self, typed: Mapping[str, Any], output_w: float) -> dict[str, Any]:
        """The table that was typed for it, with another rated output [W]; what belonged to the old circuit is left out.

        Read again, it has this `nameplate_w()`: a kind whose key ``output`` is not that, or that has none, says its own.
        """
        return {key: value for key, value in typed.items() if key not in ("volts", "breaker")} | {
            "output": f"{output_w!r} W"
        }

    def lasting_share(self) -> float:
        """Share of its rated output that it can hold over a day."""
        return 1.0

    def __init_subclass__(cls, **kwargs: Any) -> None:
        """Whatever burns has a burner's uncertain efficiency, unless it says otherwise."""
        super().__init_subclass__(**kwargs)
        if cls.burns_fuel and cls.uncertain_efficiency is None:
            cls.uncertain_efficiency = BURNERS

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        """A class with a literal `kind` is a kind from now on; one without is a common base of several.

        Raises
        ------
        TypeError
            Something that every kind must say is missing, or what it says does not fit together: all of it at once. Or the name is taken.
        """
        kinds = getattr(cls.model_fields["kind"].annotation, "__args__", ())
        if kinds and (missing := lacks(cls, HeatSource)):
            raise TypeError(f"{cls.__name__} lacks {'; '.join(missing)}")
        enter(KINDS, kinds, cls)

    def follows_house(self) -> frozenset[str]:
        """What of its offer follows load, warmth or water of the house: of `HOURLY`, and ``"scalars"``; all unless a kind knows."""
        return HOURLY | {"scalars"}

    def for_houses(self, houses: Houses) -> HouseOffers | None:
        """What `follows_house` names, for many houses at once; None where a kind knows no quicker way than one by one."""
        return None

    def shared_capacity_w(self, surroundings: Surroundings) -> Floats | None:
        """Capacity of each hour that is added to what `for_houses` gives for each (n,) [W]; None where that is all."""
        return None

    def cautions(self) -> Iterator[KindCaution]:
        """Cautions that belong to this kind alone; what follows from traits and fuel, such as carbon monoxide, is not among them."""
        yield from ()

    def formulas(self, altitude_m: float) -> Iterator[FormulaRow]:
        """Formulas behind its figures, each with this source's numbers."""
        yield from ()

    def _target_c(self, surroundings: Surroundings, allowed: Floats) -> Floats:
        """How far it charges the store in each hour (n,)."""
        seen = surroundings
        if not self.store or seen.store_c <= NOT_STORING:
            return constant(NOT_STORING, seen.n_hours)
        if self.charging == "full":
            return np.where(allowed > 0, seen.store_c, NOT_STORING)
        target = forecast_target_c(
            allowed=allowed, outdoor_c=seen.weather.outdoor_c, demand_w=seen.demand_w, water_c=seen.water_c,
            store_c=seen.store_c, tank_j_k=seen.tank_j_k,
        )  # fmt: skip
        return np.where(allowed > 0, np.maximum(target, NOT_STORING), NOT_STORING)

    def _offer(
        self,
        surroundings: Surroundings,
        *,
        capacity_w: Floats | float,
        heat_per_input: Floats | float = 1.0,
        **more: Any,
    ) -> Offer:
        """Put permission, price and emissions around what a kind says of itself."""
        n = surroundings.n_hours
        capacity = hourly(capacity_w, n)
        allowed = may_run(self, surroundings.weather, surroundings.calendar)
        always = allowed is constant(1.0, n)
        key = self.price_key(surroundings.price_per_j)
        fuel = FUELS.get(self.fuel_key)
        if self.store and "store" in self.model_fields_set and surroundings.store_c <= NOT_STORING:
            text = tr(
                "{label} may charge a store, but the study has no tank: it heats only in its own hours",
                label=self.label,
            )
            more["warnings"] = (*more.get("warnings", ()), text)
        settings: dict[str, Any] = {
            "rated_w": self.nameplate_w(),
            "curtailed_w": constant(0.0, n) if always or "curtailed_w" in more else capacity * (1.0 - allowed),
            "fuel_limited_w": constant(0.0, n),
            "target_c": self._target_c(surroundings, allowed),
            "co2_kg_per_j": surroundings.co2_kg_per_j.get(key, 0.0) if fuel else 0.0,
            "biogenic": bool(fuel and fuel.biogenic),
            "needs_power": self.needs_power,
            "rank": 1 if self.backup_only else 0,
        }
        return Offer(
            name=self.label,
            kind=self.kind,
            fuel=self.fuel_key,
            price_key=key,
            capacity_w=capacity if always else capacity * allowed,
            heat_per_input=hourly(heat_per_input, n),
            price_per_j=surroundings.price_per_j.get(key, constant(0.0, n)),
            **{**settings, **more},
        )


@functools.lru_cache(maxsize=32)
def constant(value: float, n: int) -> Floats:
    """Give the same read-only array (n,) for the same value again."""
    column = np.full(n, value)
    column.flags.writeable = False
    return column


# many houses ask the same of a source
@functools.lru_cache(maxsize=32)
def may_run(source: HeatSource, weather: Weather, calendar: HourCalendar) -> Floats:
    """Share of each hour in which a source may run (n,); `constant` where that is always."""
    allowed = always = constant(1.0, weather.n_hours)
    if source.windows or source.months or source.days != "every day":
        windows = parse_windows(source.windows or ("00:00-24:00",), days=source.days, months=source.months)
        allowed = allowed * windows.share(calendar)
    if source.lockout_above_c is not None:
        allowed = np.where(weather.outdoor_c > source.lockout_above_c, 0.0, allowed)
    if source.lockout_below_c is not None:
        allowed = np.where(weather.outdoor_c < source.lockout_below_c, 0.0, allowed)
    if source.curtailment:
        allowed = allowed * (1.0 - source.curtailment.share(weather, calendar))
    allowed.flags.writeable = False
    return always if allowed is always or bool((allowed == 1.0).all()) else allowed


__all__ = [
    "KINDS", "NOT_STORING", "CurtailmentEvents", "HeatSource", "Offer", "Surroundings", "coldest_hours", "constant", "may_run",
]  # fmt: skip
