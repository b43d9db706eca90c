"""Sun on a tilted plane, by pvlib, which takes most of a second to load: what it found is kept on disk, and found again without it."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from costsim import kept
from costsim.units.arrays import Floats

ALBEDO = 0.2
"""Share of sunlight that snow-free ground throws back; common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class PlaneSun:
    """Irradiance on a plane, arrays (n,) [W/m²], and the angle between beam and normal [°]."""

    beam_w_m2: Floats
    sky_w_m2: Floats
    ground_w_m2: Floats
    angle_deg: Floats

    @property
    def total_w_m2(self) -> Floats:
        """Beam, sky and ground together."""
        return self.beam_w_m2 + self.sky_w_m2 + self.ground_w_m2


@functools.lru_cache(maxsize=16)
def solar_position(
    *, latitude_deg: float, longitude_deg: float, altitude_m: float, utc_offset_h: float, n_hours: int
) -> tuple[Floats, Floats, Floats, Floats]:
    """Sun in the middle of each hour of standard time.

    Parameters
    ----------
    latitude_deg, longitude_deg, altitude_m : float
        Place; east and north positive.
    utc_offset_h : float
        Standard time [h].
    n_hours : int
        8760 or 8784, from 1 January 00:00.

    Returns
    -------
    zenith, azimuth, extra, air_mass : arrays (n,)
        Apparent zenith and azimuth [°], radiation outside the atmosphere [W/m²], relative air mass.

    Notes
    -----
    A record covers the hour from its number on, so its sun is that of the half hour. A typical year has months of several
    years; the sun of 2001 (or 2000 with 8784 hours) stands for all of them.

    References
    ----------
    Reda and Andreas, NREL/TP-560-34302, through pvlib.
    """
    import pandas as pd
    from pvlib import atmosphere, irradiance, solarposition

    first = pd.Timestamp(f"{2000 if n_hours == 8784 else 2001}-01-01T00:30")
    stamps = pd.date_range(first - pd.Timedelta(hours=utc_offset_h), periods=n_hours, freq="h", tz="UTC")
    position = solarposition.get_solarposition(stamps, latitude_deg, longitude_deg, altitude=altitude_m)
    zenith = position["apparent_zenith"].to_numpy(dtype=float, copy=True)
    extra = np.asarray(irradiance.get_extra_radiation(np.arange(n_hours) // 24 + 1), dtype=float)
    mass = np.asarray(atmosphere.get_relative_airmass(zenith), dtype=float)
    arrays = (zenith, position["azimuth"].to_numpy(dtype=float, copy=True), extra, mass)
    for array in arrays:
        array.flags.writeable = False  # they are kept and shared
    return arrays


def plane_sun(
    *,
    latitude_deg: float,
    longitude_deg: float,
    altitude_m: float,
    utc_offset_h: float,
    ghi_w_m2: Floats,
    dni_w_m2: Floats,
    dhi_w_m2: Floats,
    tilt_deg: float,
    azimuth_deg: float,
    albedo: float = ALBEDO,
) -> PlaneSun:
    """Irradiance on a tilted plane.

    Parameters
    ----------
    latitude_deg, longitude_deg, altitude_m, utc_offset_h : float
        Place and standard time.
    ghi_w_m2, dni_w_m2, dhi_w_m2 : array (n,)
        Global horizontal, direct normal and diffuse horizontal irradiance, hourly means [W/m²].
    tilt_deg, azimuth_deg : float
        Slope from the horizontal; direction the plane faces, 180 for south.
    albedo : float
        Share the ground throws back.

    Returns
    -------
    PlaneSun

    References
    ----------
    Perez et al., Solar Energy 44 (1990), through pvlib.
    """
    typed = (latitude_deg, longitude_deg, altitude_m, utc_offset_h, tilt_deg, azimuth_deg, albedo)
    seen = np.stack([np.asarray(irradiance, dtype=float) for irradiance in (ghi_w_m2, dni_w_m2, dhi_w_m2)])
    mark = kept.mark_of(b"plane sun", _made_by(), repr(typed).encode(), seen.tobytes())
    known = np.frombuffer(kept.get(mark, ENDING) or b"")
    if len(known) != 4 * seen.shape[1]:
        known = _plane_sun(typed, seen)
        kept.put(mark, known.tobytes(), ENDING, MOST_PLANES)
    return PlaneSun(*known.reshape(4, -1))


ENDING, MOST_PLANES = "sun", 16


@functools.cache
def _made_by() -> bytes:
    """State of the code that works it out: this module, and pvlib's without importing it."""
    spec = find_spec("pvlib")
    assert spec is not None
    assert spec.origin is not None
    there = Path(spec.origin).parent
    return kept.state_of(Path(__file__), there / "irradiance.py", there / "solarposition.py")


def _plane_sun(typed: tuple[float, ...], seen: Floats) -> Floats:
    """Beam, sky, ground and angle (4, n), as `PlaneSun` has them."""
    from pvlib import irradiance

    latitude_deg, longitude_deg, altitude_m, utc_offset_h, tilt_deg, azimuth_deg, albedo = typed
    ghi_w_m2, dni_w_m2, dhi_w_m2 = seen
    zenith, azimuth, extra, mass = solar_position(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_m=altitude_m,
        utc_offset_h=utc_offset_h,
        n_hours=len(ghi_w_m2),
    )
    with np.errstate(all="ignore"):
        irradiances = irradiance.get_total_irradiance(
            tilt_deg, azimuth_deg, zenith, azimuth, dni_w_m2, ghi_w_m2, dhi_w_m2,
            dni_extra=extra, airmass=mass, albedo=albedo, model="perez",
        )  # fmt: skip
        angle = np.asarray(irradiance.aoi(tilt_deg, azimuth_deg, zenith, azimuth), dtype=float)
    beam, sky, ground = (
        np.nan_to_num(np.maximum(np.asarray(irradiances[f"poa_{part}"], dtype=float), 0.0))
        for part in ("direct", "sky_diffuse", "ground_diffuse")
    )
    return np.stack([beam, sky, ground, angle])


INVERTER_REFERENCE = 0.9637
"""Efficiency of the inverter whose part-load curve is used."""


def pvwatts_w(
    *,
    sun: PlaneSun,
    outdoor_c: Floats,
    wind_m_s: Floats,
    peak_w: float,
    losses: float,
    loss_per_k: float,
    inverter_efficiency: float,
    dc_to_ac: float,
) -> Floats:
    """Alternating-current power of photovoltaic panels (n,) [W], by the PVWatts model.

    Parameters
    ----------
    sun : PlaneSun
        Sun on the panels.
    outdoor_c, wind_m_s : array (n,)
        Outdoor temperature [°C] and wind [m/s].
    peak_w : float
        Direct-current power at 1000 W/m² and 25 °C [W].
    losses : float
        Share lost to dirt, shade, wiring and age.
    loss_per_k : float
        Share of power lost with each kelvin of the cell above 25 °C [1/K].
    inverter_efficiency, dc_to_ac : float
        Nominal efficiency, and the panels' peak power over the inverter's, which clips what is more.

    References
    ----------
    Dobos, PVWatts Version 5 Manual, NREL/TP-6A20-62641 (2014), through pvlib; reflection by Fresnel's equations, cell temperature by
    King et al., SAND2004-3535, for an open rack of glass on glass.
    """
    from pvlib import iam, inverter, pvsystem, temperature

    glass = np.nan_to_num(np.asarray(iam.physical(np.clip(sun.angle_deg, 0.0, 90.0)), dtype=float))
    effective = sun.beam_w_m2 * glass + sun.sky_w_m2 + sun.ground_w_m2
    rack = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_glass"]
    cell_c = temperature.sapm_cell(sun.total_w_m2, outdoor_c, wind_m_s, **rack)
    direct = pvsystem.pvwatts_dc(effective, cell_c, peak_w, -loss_per_k) * (1.0 - losses)
    limit = peak_w / dc_to_ac / inverter_efficiency
    with np.errstate(all="ignore"):
        power = inverter.pvwatts(direct, limit, inverter_efficiency, INVERTER_REFERENCE)
    return np.asarray(np.maximum(np.nan_to_num(np.asarray(power, dtype=float)), 0.0))
