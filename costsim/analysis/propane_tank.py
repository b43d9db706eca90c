"""What the propane tank of a study boils off in the coldest hour, against what its unit burns: one rule for all who say it."""

from __future__ import annotations

from dataclasses import dataclass

from costsim.physics.combustion import LOW_FILL, propane_vaporisation_w
from costsim.sources import HeatSource
from costsim.study.selection import MarketSize, Sizes


@dataclass(frozen=True, slots=True)
class BoilOff:
    """Volume of the tank [m³]; what it boils off in the coldest hour when `LOW_FILL` full, what full fire burns, and the fire of the design night [W].

    That fire is the load where the burner turns down so far, else the smallest that it has.
    """

    tank_m3: float
    gives_w: float
    burns_w: float
    design_w: float
    coldest_c: float

    @property
    def enough(self) -> bool:
        """Whether full fire can go on for hours."""
        return self.gives_w >= self.burns_w


def boils_off_w(size: MarketSize, coldest_c: float) -> float:
    """What a tank boils off when it is `LOW_FILL` full [W]."""
    return float(
        propane_vaporisation_w(
            diameter_m=size.diameter_m or 0.0, length_m=size.length_m or 0.0, fill=LOW_FILL, outdoor_c=coldest_c
        )
    )


def boil_off(
    source: HeatSource, sizes: Sizes, coldest_c: float, burns_w: float, design_w: float, share: float
) -> BoilOff | None:
    """The tank that is typed against what is burned; None where no tank is, or its shape is not known.

    Parameters
    ----------
    source : HeatSource
    sizes : Sizes
        Where only a volume is typed, the tank is shaped like the listed one that is nearest in volume.
    coldest_c : float
        Coldest hour [°C].
    burns_w, design_w : float
        Gas burned at full fire, and where the unit carries the design load as far as it can [W].
    share : float
        Its output over its input.
    """
    tank, smallest = source.fuel_tank(), source.smallest_fire_w
    if tank is None:
        return None
    volume, across, along = tank.volume_m3, tank.diameter_m, tank.length_m
    if across is None or along is None:
        listed = [size for size in sizes.of("propane tank") if size.diameter_m and size.length_m]
        if not listed:
            return None
        like = min(listed, key=lambda size: abs(size.value - volume))
        scale = (volume / like.value) ** (1.0 / 3.0)
        across, along = (like.diameter_m or 0.0) * scale, (like.length_m or 0.0) * scale
    least_w = burns_w - (source.nameplate_w() - smallest) / share if smallest is not None else 0.0
    return BoilOff(
        volume,
        boils_off_w(MarketSize(volume, across, along), coldest_c),
        burns_w,
        min(max(design_w, least_w), burns_w),
        coldest_c,
    )
