"""Eighteen solar houses, once by the hourly tank and once by the f-chart method."""

from __future__ import annotations

import numpy as np
from cases import study
from reference.fchart import Month, SolarSystem, annual_fraction

from costsim import Weather, simulate
from costsim.physics.sun import plane_sun

AREAS_M2, STORES_L_M2, TILT = (8.0, 16.0, 32.0), (50.0, 75.0, 150.0), 60.0
ETA0, A1 = 0.75, 3.8


def hourly_fraction(weather: Weather, area_m2: float, store_l_m2: float) -> tuple[float, float, np.ndarray]:
    """Solar share by the hourly model, its dumped share, and the hourly demand [W]."""
    sun = {"kind": "solar", "area": f"{area_m2} m2", "tilt": f"{TILT} deg", "eta0": f"{ETA0 * 100} %", "a1": f"{A1} W/(m2 K)",
           "a2": "0 W/(m2 K2)", "approach": "0 K", "pump": "0 W"}  # fmt: skip
    aid = {"kind": "electric", "output": "30 kW"}
    # a load exchanger of Z = 2 makes the tank half as much over the room as the room is over the outdoors: 35 °C at design
    case = study(sun, aid, house__balance_point="18 degC", tank__volume=f"{area_m2 * store_l_m2} L", tank__loss="0 W/K",
                 tank__max_temperature="95 degC", tank__design_supply_temperature="35 degC")  # fmt: skip
    found = simulate(case, weather).options[0]
    made = found.sources[0].facts["collected_kwh"]
    return (
        1 - found.sources[1].heat_j / found.demand_j,
        found.sources[0].facts["dumped_kwh"] / made,
        found.hourly.demand_w,
    )


def chart_fraction(weather: Weather, area_m2: float, store_l_m2: float, demand_w: np.ndarray) -> float:
    """Solar share by the f-chart method from monthly sums of the same year."""
    sun = plane_sun(
        latitude_deg=weather.latitude_deg, longitude_deg=weather.longitude_deg, altitude_m=weather.altitude_m,
        utc_offset_h=weather.utc_offset_h, ghi_w_m2=weather.ghi_w_m2, dni_w_m2=weather.dni_w_m2, dhi_w_m2=weather.dhi_w_m2,
        tilt_deg=TILT, azimuth_deg=180.0,
    ).total_w_m2  # fmt: skip
    months = []
    for month in range(1, 13):
        inside = weather.months == month
        load = float(demand_w[inside].sum()) * 3600
        months.append(
            Month(
                float(sun[inside].sum()) * 3600,
                float(weather.outdoor_c[inside].mean()),
                max(load, 1.0),
                float(inside.sum()) * 3600,
            )
        )
    system = SolarSystem(area_m2=area_m2, fr_tau_alpha=ETA0, fr_ul_w_m2k=A1, storage_l_m2=store_l_m2)
    return annual_fraction(system, months)


def table(weather: Weather) -> list[tuple[float, float, float, float]]:
    """Area, store, hourly share, f-chart share for every case."""
    rows = []
    for area in AREAS_M2:
        for store in STORES_L_M2:
            hourly, _, demand = hourly_fraction(weather, area, store)
            rows.append((area, store, hourly, chart_fraction(weather, area, store, demand)))
    return rows
