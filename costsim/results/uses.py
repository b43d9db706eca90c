"""What must be said of hot water and the other uses of the tank."""

from __future__ import annotations

from collections.abc import Callable

from costsim.engine.lower import LoweredStudy
from costsim.engine.uses import cold_by_month_c
from costsim.results.result import Assumption
from costsim.study import tapping
from costsim.study.case import Case
from costsim.study.outdoor_uses import PoolOrTub, Profile, SnowMelt
from costsim.study.uses import AnyUse, HotWater, Zone
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
    taps, others = [use for use in case.use if isinstance(use, HotWater)], _outdoor_words(case)
    if not taps:
        return others
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
    return [words, *others]


def _outdoor_words(case: Case) -> list[tuple[str, str, str, str, str, str]]:
    """Cautions of pools and of slabs outdoors."""
    found = []
    if any(isinstance(use, PoolOrTub) for use in case.use):
        found.append(
            (
                "pool",
                "Pool or tub",
                "An exchanger made for pool water, bonding, and a limit of 104 °F (40 °C) on a tub.",
                "Pool water corrodes: heat it through an exchanger made for it, which keeps it out of the heating water. Metal parts"
                " and water are bonded and on ground-fault protection; a tub is held to 104 °F (40 °C) by a limit of its own, because"
                " hotter water can kill. Electrician and pool builder are licensed trades.",
                "NFPA 70 article 680, UL 1563, ANSI/APSP/ICC 5 and 6; EN 16582 and IEC 60364-7-702",
                "the study's own [[use]]; limits and standards from memory",
            )
        )
    if any(isinstance(use, SnowMelt) for use in case.use):
        found.append(
            (
                "snow_melt",
                "Water outdoors",
                "Antifreeze below the coldest hour, behind an exchanger, and drainage for the melt water.",
                "A slab outdoors freezes where the heat fails: fill its loops with inhibited glycol good for the coldest night, behind an"
                " exchanger with its own relief valve and vessel, and drain the melt water to where it does not freeze again and"
                " nobody slips. Warm water into a frozen slab can crack it.",
                "the mechanical code on snow melting, ASHRAE Handbook HVAC Applications",
                "the study's own [[use]]; standards from memory",
            )
        )
    return found


def use_assumptions(common: LoweredStudy) -> list[Assumption]:
    """What is assumed of hot water and other uses of the tank."""
    if not common.case.use:
        return [Assumption("hot water and other buildings", "not in the heat demand", "method", "use")]
    entries = []
    for at, use in enumerate(common.case.use, 1):
        key = f"use[{at}]"
        if use.priority == "after_house":
            text = "takes what the sources leave idle in the hour, no heat that the tank holds"
            entries.append(Assumption(f"{use.name}: after the house", text, "method", f"{key}.priority"))
        if not isinstance(use, HotWater):
            entries += [Assumption(use.name, text, source, f"{key}{field}") for text, source, field in _of_other(use)]
            continue
        amount = "15 gal a day for each person: common practice, no source" if use.people else "typed in the study"
        if use.people is None and use.daily_volume_m3 is None:
            amount = f"load profile {use.load_profile}, from water at 50 °F (10 °C): {tapping.SOURCE}"
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
            usual = use.load_profile == "usual_day"
            text = "a usual day of a home" if usual else f"load profile {use.load_profile}"
            where = "ASHRAE 90.2, value from memory" if usual else tapping.SOURCE
            entries.append(Assumption(f"{use.name}: hours", text, where, f"{key}.load_profile"))
    return entries


def _of_other(use: AnyUse) -> list[tuple[str, str, str]]:
    """What is assumed of a use other than hot water: value, source and field."""
    if isinstance(use, Zone):
        text = f"{_both(use.design_heat_loss_w, 'power')} at design, in step with the cold below its set-point"
        return [(text, "typed in the study", "")]
    if isinstance(use, Profile):
        return [
            (
                f"hourly heat from {use.hours}, water at {_both(use.supply_temperature_c, 'temperature')}",
                "typed in the study",
                "",
            )
        ]
    if isinstance(use, SnowMelt):
        melting = "warming and melting the snow, and what the bare part loses to air and sky"
        placed = "1 mm of water an hour, spread evenly over hours from 5 to 34 °F (-15 to 1 °C), since no weather file says when snow falls"
        ready = (
            "off until snow falls"
            if use.idle_below_c is None
            else f"idles below {_both(use.idle_below_c, 'temperature')}"
        )
        return [
            (melting, "ASHRAE Handbook HVAC Applications, snow melting, value from memory", ".area"),
            (
                placed,
                "common practice, no source; 112 hours and 43 in of snow a winter in Boston agree with it",
                ".snowfall",
            ),
            (ready, "typed in the study" if use.idle_below_c is not None else "default", ".idle_below"),
            (f"{use.back_loss_share:.0%} lost downward and at edges", "common practice, no source", ".back_loss"),
        ]
    assert isinstance(use, PoolOrTub)
    lost = f"evaporation {use.activity_share:.0%} of Carrier's equation, heat to the air by Bowen's ratio, radiation to the sky"
    found = [(lost, "ASHRAE Transactions 104 (1998), paper 4146", ".activity")]
    if use.indoor_air_c is None:
        if use.humidity_share is None:
            found.append(
                (
                    "dew point: the coldest hour of the day",
                    "FAO Irrigation and Drainage Paper 56, equation 48",
                    ".humidity",
                )
            )
        found.append(
            (f"wind at the water {use.shelter_share:.0%} of the weather's", "common practice, no source", ".shelter")
        )
        found.append(("85% of the sun on open water stays in it", "common practice, no source", ""))
    if use.cover:
        found.append(
            (f"cover {_both(use.cover_u_value_w_m2k, 'u_value')}", "common practice, no source", ".cover_u_value")
        )
    return found


def _both(value: float, dimension: str) -> str:
    return f"{show(value, dimension, 'us')} ({show(value, dimension, 'si')})"
