"""What must be said where the tank heats water for taps."""

from __future__ import annotations

from collections.abc import Callable

from costsim.engine.lower import LoweredStudy
from costsim.engine.uses import cold_by_month_c
from costsim.results.result import Assumption
from costsim.study.case import Case
from costsim.study.uses import HotWater
from costsim.units.quantity import show

LEGIONELLA_C = 60.0
SCALDS_ABOVE_C = 49.0


def hot_water_words(case: Case, temperature: Callable[[float], str]) -> list[tuple[str, str, str, str, str, str]]:
    """Key, title, short and long text, standards and why of the caution; none where no tap is served.

    Parameters
    ----------
    case : Case
    temperature : callable
        Writes a temperature [°C] for the reader.
    """
    taps = [use for use in case.use if isinstance(use, HotWater)]
    if not taps:
        return []
    cool = [use for use in taps if use.exchanger == "stored" and use.storage_temperature_c < LEGIONELLA_C]
    held = f" This study keeps {cool[0].name} at only {temperature(cool[0].storage_temperature_c)}." if cool else ""
    safe, scalds = temperature(LEGIONELLA_C), temperature(SCALDS_ABOVE_C)
    words = (
        "legionella",
        "Hot water at the taps",
        f"Stored drinking water at {safe} or more, tempered to {scalds} at the tap.",
        f"Drinking water that is stored warm can breed Legionella: keep a cylinder at {safe} or more, and temper it to {scalds}"
        " before the tap, because water that hot scalds in seconds. Heat it through an exchanger that keeps heating water"
        f" out of it; a licensed plumber installs it.{held}",
        "the plumbing code with ASSE 1017 and 1070, ASHRAE 188 and Guideline 12, EN 806",
        "the study's own [[use]]; limits and standards from memory",
    )
    return [words]


def use_assumptions(common: LoweredStudy) -> list[Assumption]:
    """What is assumed of hot water and other uses of the tank."""
    entries = []
    for at, use in enumerate(common.case.use, 1):
        key = f"use[{at}]"
        if not isinstance(use, HotWater):
            text = f"{_both(use.design_heat_loss_w, 'power')} at design, in step with the cold below its set-point"
            entries.append(Assumption(use.name, text, "typed in the study", key))
            continue
        amount = "15 gal a day for each person: common practice, no source" if use.people else "typed in the study"
        hot = f"{_both(use.volume_m3, 'volume')} a day at {_both(use.tap_temperature_c, 'temperature')}"
        entries.append(Assumption(use.name, hot, amount, f"{key}.daily_volume"))
        if use.cold_temperature_c is None:
            months = cold_by_month_c(common.weather, common.calendar)
            text = (
                f"{_both(float(months.min()), 'temperature')} to {_both(float(months.max()), 'temperature')} by month"
            )
            where = "Burch and Christensen 2007, from the weather's monthly air"
            entries.append(Assumption(f"{use.name}: cold water", text, where, f"{key}.cold_temperature"))
        if not use.profile:
            where = "ASHRAE 90.2, value from memory"
            entries.append(Assumption(f"{use.name}: hours", "a usual day of a home", where, f"{key}.profile"))
    return entries


def _both(value: float, dimension: str) -> str:
    return f"{show(value, dimension, 'us')} ({show(value, dimension, 'si')})"
