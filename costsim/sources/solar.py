"""Solar thermal collectors on the tank."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field, model_validator

from costsim.errors import Fault, InputError
from costsim.physics.collector import diffuse_angles_deg, incidence_modifier, lost_w_m2
from costsim.physics.fluids import fluid_properties
from costsim.physics.sun import PlaneSun
from costsim.sources.base import HeatSource, Offer, Surroundings
from costsim.sources.houses import HouseOffers, Houses
from costsim.sources.traits import FormulaRow, KindCaution
from costsim.units.arrays import Floats
from costsim.units.fields import QuantityField, fault
from costsim.units.table import KWH_J
from costsim.weather.sunlight import GIVE_SUN, facing_deg, sun_on
from costsim.words import tr

GLYCOL_SHARE, FLUID_C = 0.4, 50.0
"""Propylene glycol by mass against frost, and the warmth of what circulates; common practice, no source."""
COLLECTOR_CONTENT_M, PIPES_M3 = 1e-3, 0.010
"""What a square meter of collector holds, 1 L, and its pipes and exchanger, 10 L; common practice, no source."""
USUAL_EXCESS_K = 40.0
"""Collectors over outdoors where no hour has sun, so that no heat depends on it."""


class Solar(HeatSource):
    """Collectors with their test coefficients; heat depends on how hot the tank is."""

    follows_tank: ClassVar[bool | None] = False
    title: ClassVar[str] = "Solar collectors"
    market_list: ClassVar[str] = "solar collector area"
    symbol: ClassVar[str] = "collector"
    automatic: ClassVar[bool] = False
    outdoors: ClassVar[bool] = True
    unstoppable: ClassVar[bool] = True
    collects_sun: ClassVar[bool] = True
    likes_cool_water: ClassVar[bool] = True
    example: ClassVar[dict[str, Any]] = {"kind": "solar", "area": "10 m2", "tilt": "60 deg"}

    rated_at = "in full sun (1,000 W/m²) and as warm as outdoors"
    rests_on = (
        (
            "sun on them",
            "bright parts of the sky counted, ground reflects 20 %",
            "Perez et al., Solar Energy 44 (1990), by pvlib",
            "",
        ),
        (
            "direction they face",
            "towards the equator: south, or north where the house lies south of it",
            "the usual way where nothing is typed",
            "azimuth",
        ),
        ("water they meet", "the tank as it is at the end of the hour", "method", ""),
        (
            "fluid over the tank",
            "5 K (9 °F) with 40 % glycol, as much less with water that drains back as that carries more heat; common practice, no source",
            "density and heat capacity by CoolProp",
            "approach",
        ),
    )

    kind: Literal["solar"]
    area_m2: Annotated[
        float,
        QuantityField(
            "area", "Collector area", "On the area basis of the coefficients.", above=0, at_most=1e5, example="10 m2"
        ),
    ]
    area_basis: Annotated[Literal["gross", "aperture", "absorber"], Field(title="Area basis of the coefficients")] = (
        "gross"
    )
    eta0_share: Annotated[
        float, QuantityField("share", "Efficiency without losses", above=0, at_most=1, example="75 %")
    ] = 0.75
    a1_w_m2k: Annotated[
        float, QuantityField("u_value", "First loss coefficient", at_least=0, at_most=30, example="3.8 W/(m2 K)")
    ] = 3.8
    a2_w_m2k2: Annotated[float, QuantityField("u_value_per_k", "Second loss coefficient", at_least=0, at_most=1)] = (
        0.015
    )
    incidence_b0: Annotated[float, Field(ge=0, le=1, title="Incidence-angle coefficient")] = 0.1
    tilt_deg: Annotated[
        float, QuantityField("angle", "Tilt", "From the horizontal.", at_least=0, at_most=90, example="60 deg")
    ] = 60.0
    azimuth_deg: Annotated[
        float | None,
        QuantityField(
            "angle",
            "Direction it faces",
            "180 for south, 90 for east; towards the equator by default.",
            at_least=0,
            at_most=360,
            example="180 deg",
        ),
    ] = None
    approach_k: Annotated[
        float,
        QuantityField(
            "temperature_difference",
            "Mean fluid above the tank",
            "What exchanger and flow need; 5 K with glycol, less with water that drains back, by the heat they carry.",
            at_least=0,
            at_most=30,
        ),
    ] = 5.0
    pump_w: Annotated[
        float, QuantityField("small_power", "Pump and controls while running", at_least=0, example="40 W")
    ] = 40.0

    frost_protection: Annotated[
        Literal["glycol", "drain_back"],
        Field(
            title="Frost protection", description="Glycol in a closed circuit, or collectors that drain when it rests."
        ),
    ] = "glycol"

    @model_validator(mode="after")
    def _runs_itself(self) -> Solar:
        if self.store or self.backup_only:
            raise fault(
                "the sun cannot be told to store or to stand by",
                "take out store and backup_only; collectors charge the tank by themselves",
            )
        return self

    @property
    def mean_over_tank_k(self) -> float:
        """Mean fluid above the tank [K]: as typed, or by the heat that what circulates carries at one flow."""
        if "approach_k" in self.model_fields_set or self.frost_protection == "glycol":
            return self.approach_k
        carried = [
            fluid_at.density_kg_m3 * fluid_at.heat_capacity_j_kgk
            for fluid_at in (
                fluid_properties(fluid=fluid, mass_fraction=share, temperature_c=FLUID_C)
                for fluid, share in (("propylene_glycol", GLYCOL_SHARE), ("water", 0.0))
            )
        ]
        return self.approach_k * carried[0] / carried[1]

    @property
    def fuel_key(self) -> str:
        """None: the sun is not billed."""
        return ""

    def collector_area_m2(self) -> float | None:
        """As typed."""
        return self.area_m2

    def kept_from_frost(self) -> str:
        """As typed."""
        return self.frost_protection

    def nameplate_w(self) -> float:
        """Heat at 1,000 W/m² and no temperature difference [W]."""
        return self.area_m2 * self.eta0_share * 1000.0

    def resized(self, typed: Mapping[str, Any], output_w: float) -> dict[str, Any]:
        """More or fewer of the same collectors."""
        return {**typed, "area": f"{output_w / (self.eta0_share * 1000.0)!r} m2"}

    @property
    def outdoor_content_m3(self) -> float:
        """What about fills collectors and their pipes, by their area; the maker's sheet has their own [m³]."""
        return COLLECTOR_CONTENT_M * self.area_m2 + PIPES_M3

    def lasting_share(self) -> float:
        """None: no sun may be counted on in the coldest hours."""
        return 0.0

    def follows_house(self) -> frozenset[str]:
        """What it collects, hour by hour and in its slope, goes with the tank."""
        return frozenset({"capacity", "scalars"})

    def cautions(self) -> Iterator[KindCaution]:
        """Roof and stagnation."""
        yield KindCaution(
            "collectors",
            tr("Roof load and stagnation"),
            tr("The roof checked for load; pipes, valves and an expansion tank that stand boiling collectors."),
            (
                tr(
                    "collectors, snow and wind pull and press on the roof: have the structure checked and the"
                    " fixings drawn."
                ),
                tr("Against frost the collectors hold glycol, tested each year and changed when it turns acid.")
                if self.frost_protection == "glycol"
                else tr(
                    "Against frost the collectors drain when the pump rests: every pipe outdoors falls back to a"
                    " tank in the warm."
                ),
                tr(
                    "With the pump still, they grow far hotter than the tank and boil: pipes, valves, expansion tank and"
                    " fluid on that side must stand it, and the relief pipe must end where steam hurts nobody."
                ),
            ),
            tr(
                "ASCE 7 or EN 1991-1-3 and -1-4 (roof), ICC 901/SRCC 100 and ISO 9806 (collectors), EN 12976"
                " or EN 12977"
            ),
            tr("the study has solar collectors; standards from memory"),
        )

    def formulas(self, altitude_m: float) -> Iterator[FormulaRow]:
        """The collectors' curve."""
        yield (
            "collectors",
            "q = η0 K G − a1 (T_m − T_out) − a2 (T_m − T_out)²",
            tr("coefficients as typed or listed with their defaults"),
            "ISO 9806",
        )

    def offer(self, surroundings: Surroundings) -> Offer:
        """Lower to a straight line in the tank temperature, exact where the floor needs the tank to be."""
        gain, catching_m2, hours = self._caught(surroundings)
        excess = surroundings.water_c - surroundings.weather.outdoor_c
        excess += self.mean_over_tank_k
        slope = self._slope_w_m2k(float(excess @ catching_m2) / (hours * self.area_m2) if hours else USUAL_EXCESS_K)
        cold_tank = gain - self._lost_w_m2(excess)
        cold_tank += slope * surroundings.water_c
        return self._offer(
            surroundings,
            capacity_w=np.maximum(cold_tank, 0.0) * catching_m2,
            slope_w_k=slope * self.area_m2,
            must_run=True,
            auxiliary_w=self.pump_w,
            warnings=self._warnings(surroundings),
            tally=self._tally,
            facts={"irradiation_kwh_m2": float(gain.sum()) / self.eta0_share / 1e3},
        )

    def for_houses(self, houses: Houses) -> HouseOffers:
        """What the collectors lose on the same line in each house; what the sun gives comes on top."""
        _, catching_m2, _ = self._caught(houses.whole)
        water, of = houses.seen.water_c, houses.moments.of
        excess = water - houses.seen.weather.outdoor_c + self.mean_over_tank_k
        sunny = np.flatnonzero(catching_m2).astype(np.int64)
        often = np.bincount(of[sunny], minlength=len(water))[:, None]
        usual = _summed(often * excess) / len(sunny) if len(sunny) else np.full(excess.shape[1], USUAL_EXCESS_K)
        slope = self._slope_w_m2k(usual)
        kept = self.area_m2 * (slope * water - self._lost_w_m2(excess))
        return HouseOffers({"capacity": kept}, scalars={"slope_w_k": slope * self.area_m2})

    def shared_capacity_w(self, surroundings: Surroundings) -> Floats:
        """What the sun gives; in the dark nothing is left of any line."""
        gain, catching_m2, _ = self._caught(surroundings)
        return np.where(catching_m2 > 0, gain * self.area_m2, -np.inf)

    def _slope_w_m2k(self, usual_k: Any) -> Any:
        """What a kelvin of tank takes off at the usual excess over outdoors [W/(m² K)]."""
        return self.a1_w_m2k + 2 * self.a2_w_m2k2 * usual_k

    def _lost_w_m2(self, excess_k: Floats) -> Floats:
        """What collectors lose that are so much warmer than outdoors [W/m²]."""
        return lost_w_m2(excess_k=excess_k, a1_w_m2k=self.a1_w_m2k, a2_w_m2k2=self.a2_w_m2k2)

    def _caught(self, surroundings: Surroundings) -> tuple[Floats, Floats, int]:
        """Sun that gets through the cover and is absorbed (n,) [W/m²], the area where there is any (n,) [m²], and its hours."""
        try:
            sun = sun_on(surroundings.weather, self.tilt_deg, facing_deg(surroundings.weather, self.azimuth_deg))
        except ValueError as error:
            problem = tr("{error}, so {label} cannot be computed", error=error, label=self.label)
            raise InputError(Fault("place.weather", problem, GIVE_SUN)) from None
        return _caught(sun, self.tilt_deg, self.incidence_b0, self.eta0_share, self.area_m2)

    def _warnings(self, surroundings: Surroundings) -> tuple[str, ...]:
        weather = surroundings.weather
        off = abs((facing_deg(weather, self.azimuth_deg) - facing_deg(weather, None) + 180.0) % 360.0 - 180.0)
        texts = (
            [
                tr(
                    "{label} faces {off}° away from the equator and will see little winter sun",
                    label=self.label,
                    off=f"{off:.0f}",
                )
            ]
            if off > 90 and self.tilt_deg > 15
            else []
        )
        if surroundings.tank_j_k < 30 * 4186.0 * self.area_m2:
            texts.append(
                tr(
                    "{label}: less than 30 L (7.9 gal) of tank for each 1 m² (10.8 ft²) of collector; most of a sunny day's heat will"
                    " find no place",
                    label=self.label,
                )
            )
        return tuple(texts)

    def _tally(self, made_j: float, unused_j: float, unused_hours: int) -> Mapping[str, Any]:
        return {
            "collected_kwh": made_j / KWH_J,
            "useful_kwh": (made_j - unused_j) / KWH_J,
            "dumped_kwh": unused_j / KWH_J,
            "stagnation_hours": unused_hours,
            "useful_kwh_m2": (made_j - unused_j) / KWH_J / self.area_m2,
        }


def _summed(rows: Floats) -> Floats:
    """Sum of each column, one row after the other, so that it does not depend on how many columns there are."""
    return np.asarray(rows.sum(axis=0) if rows.shape[1] > 1 else rows.cumsum(axis=0)[-1])


# many houses ask for the same
@functools.lru_cache(maxsize=8)
def _caught(sun: PlaneSun, tilt_deg: float, b0: float, eta0: float, area_m2: float) -> tuple[Floats, Floats, int]:
    """Sun that gets through the cover and is absorbed (n,) [W/m²], the area where there is any (n,) [m²], and its hours."""
    sky, ground = (float(incidence_modifier(angle_deg=angle, b0=b0)) for angle in diffuse_angles_deg(tilt_deg=tilt_deg))
    beam = incidence_modifier(angle_deg=sun.angle_deg, b0=b0) * sun.beam_w_m2
    gain = np.asarray(eta0 * (beam + sky * sun.sky_w_m2 + ground * sun.ground_w_m2))
    catching = np.where(gain > 0, area_m2, 0.0)
    for row in (gain, catching):
        row.flags.writeable = False
    return gain, catching, int(np.count_nonzero(catching))
