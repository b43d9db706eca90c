"""What must be said of hot water and the other uses of the tank."""

from __future__ import annotations

from collections.abc import Callable

from costsim.engine.lower import LoweredStudy
from costsim.engine.outdoor_uses import AFTER_H, BEFORE_H, SLAB_J_M2K
from costsim.engine.uses import cold_by_month_c
from costsim.physics.wet_surface import FILM_C
from costsim.results.result import Assumption
from costsim.study import tapping
from costsim.study.case import Case
from costsim.study.outdoor_uses import PoolOrTub, Profile, SnowMelt
from costsim.study.uses import AnyUse, HotWater, Zone
from costsim.units.quantity import show_both
from costsim.words import tr

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
    held = (
        tr(
            " This study keeps {name} at only {storage_temperature}.",
            name=cool[0].name,
            storage_temperature=temperature(cool[0].storage_temperature_c),
        )
        if cool
        else ""
    )
    safe, scalds = temperature(LEGIONELLA_C), temperature(SCALDS_ABOVE_C)
    words = (
        "legionella",
        tr("Hot water at the taps"),
        tr("Stored drinking water at {safe} or more, tempered to {scalds} at the tap.", safe=safe, scalds=scalds)
        if any(use.exchanger == "stored" for use in taps)
        else tr(
            "Drinking water is heated as it is drawn and not stored here; where it is stored, {safe} or more. Tempered to {scalds} at"
            " the tap.",
            safe=safe,
            scalds=scalds,
        ),
        tr(
            "Drinking water that is stored warm can breed Legionella: keep a cylinder at {safe} or more,"
            " and temper it to {scalds} before the tap, because water that hot scalds in seconds. Heat"
            " it through an exchanger that keeps heating water out of it; a licensed plumber installs"
            " it.{held}",
            safe=safe,
            scalds=scalds,
            held=held,
        ),
        tr("the plumbing code with ASSE 1017 and 1070, ASHRAE 188 and Guideline 12, EN 806"),
        tr("the study's own uses of heat; limits and standards from memory"),
    )
    return [words, *others]


def _outdoor_words(case: Case) -> list[tuple[str, str, str, str, str, str]]:
    """Cautions of pools and of slabs outdoors."""
    words = []
    if any(isinstance(use, PoolOrTub) for use in case.use):
        words.append(
            (
                "pool",
                tr("Pool or tub"),
                tr("An exchanger made for pool water, bonding, and a limit of 104 °F (40 °C) on a tub."),
                tr(
                    "Pool water corrodes: heat it through an exchanger made for it, which keeps it out of the"
                    " heating water. Metal parts and water are bonded and on ground-fault protection; a tub is"
                    " held to 104 °F (40 °C) by a limit of its own, because hotter water can kill. Electrician"
                    " and pool builder are licensed trades."
                ),
                tr("NFPA 70 article 680, UL 1563, ANSI/APSP/ICC 5 and 6; EN 16582 and IEC 60364-7-702"),
                tr("the study's own uses of heat; limits and standards from memory"),
            )
        )
    if any(isinstance(use, SnowMelt) for use in case.use):
        words.append(
            (
                "snow_melt",
                tr("Water outdoors"),
                tr("Antifreeze below the coldest hour, behind an exchanger, and drainage for the melt water."),
                tr(
                    "A slab outdoors freezes where the heat fails: fill its loops with inhibited glycol good for"
                    " the coldest night, behind an exchanger with its own relief valve and expansion tank, and drain the"
                    " melt water to where it does not freeze again and nobody slips. Warm water into a frozen"
                    " slab can crack it."
                ),
                tr("the mechanical code on snow melting, ASHRAE Handbook HVAC Applications"),
                tr("the study's own uses of heat; standards from memory"),
            )
        )
    return words


def use_assumptions(common: LoweredStudy) -> list[Assumption]:
    """What is assumed of hot water and other uses of the tank."""
    if not common.case.use:
        return [Assumption(tr("hot water and other buildings"), tr("not in the heat demand"), tr("method"), "use")]
    entries = _hot_top(common)
    for at, use in enumerate(common.case.use, 1):
        key = f"use[{at}]"
        if use.priority == "after_house":
            text = tr("takes what the sources leave idle in the hour, no heat that the tank holds")
            entries.append(
                Assumption(tr("{name}: after the house", name=use.name), text, tr("method"), f"{key}.priority")
            )
        if not isinstance(use, HotWater):
            entries += [Assumption(use.name, text, source, f"{key}{field}") for text, source, field in _of_other(use)]
            continue
        amount = (
            tr("15 gal a day for each person: common practice, no source") if use.people else tr("typed in the study")
        )
        if use.people is None and use.daily_volume_m3 is None:
            amount = tr(
                "load profile {load_profile}, from water at 50 °F (10 °C): {source}",
                load_profile=use.load_profile,
                source=tapping.SOURCE,
            )
        hot = tr(
            "{volume} a day at {tap_temperature}",
            volume=show_both(use.volume_m3, "volume"),
            tap_temperature=show_both(use.tap_temperature_c, "temperature"),
        )
        entries.append(Assumption(use.name, hot, amount, f"{key}.daily_volume"))
        if use.cold_temperature_c is None:
            months = cold_by_month_c(common.weather, common.calendar)
            text = tr(
                "{min} to {max} by month",
                min=show_both(float(months.min()), "temperature"),
                max=show_both(float(months.max()), "temperature"),
            )
            where = tr("Burch and Christensen 2007, from the weather's monthly air")
            entries.append(Assumption(tr("{name}: cold water", name=use.name), text, where, f"{key}.cold_temperature"))
        if not use.profile:
            usual = use.load_profile == "usual_day"
            text = (
                tr("a usual day of a home")
                if usual
                else tr("load profile {load_profile}", load_profile=use.load_profile)
            )
            where = tr("ASHRAE 90.2, value from memory") if usual else tapping.SOURCE
            entries.append(Assumption(tr("{name}: hours", name=use.name), text, where, f"{key}.load_profile"))
    return entries


def _hot_top(common: LoweredStudy) -> list[Assumption]:
    """How a stratified tank is kept hot for its uses."""
    if common.uses is None or common.water.zones_kept <= 0.0:
        return []
    if common.water.kept_hot <= 0.0:
        text = tr("no part of it; what runs heats their water, as a heater behind the tank does")
    else:
        text = tr(
            "{share} from the top at up to {needs}, in hours in which they draw, for hot water between draws too, by what runs and need not store;"
            " the sun below it",
            share=f"{common.water.kept_hot:.0%}",
            needs=show_both(min(float(common.uses.needs_c.max()), common.water.max_temperature_c), "temperature", 0),
        )
    typed = common.case.tank is not None and "kept_hot_share" in common.case.tank.model_fields_set
    source = tr("typed in the study") if typed else tr("common practice, no source")
    return [Assumption(tr("tank, kept hot for its uses"), text, source, "tank.kept_hot")]


def _of_snow(use: SnowMelt) -> list[tuple[str, str, str]]:
    """What is assumed of a drive that melts snow."""
    melting = tr("warming and melting the snow, and what the bare part loses to air and sky")
    placed = tr(
        "1 mm of water an hour, spread evenly over hours from 5 to 34 °F (-15 to 1 °C), since no"
        " weather file says when snow falls"
    )
    ready = (
        tr("off until snow falls")
        if use.idle_below_c is None
        else tr("idles below {idle_below}", idle_below=show_both(use.idle_below_c, "temperature"))
    )
    return [
        (melting, tr("ASHRAE Handbook HVAC Applications, snow melting, value from memory"), ".area"),
        (
            tr(
                "before each snowfall the slab is warmed to {film} in {before} h, {stores} kJ/(m² K), beside what it loses then; it is kept"
                " wet and bare for {after} h after",
                film=show_both(FILM_C, "temperature", 0),
                before=BEFORE_H,
                stores=f"{SLAB_J_M2K / 1e3:.0f}",
                after=AFTER_H,
            ),
            tr("common practice, no source"),
            ".snowfall",
        ),
        (
            placed,
            tr("common practice, no source; 112 hours and 43 in of snow a winter in Boston agree with it"),
            ".snowfall",
        ),
        (ready, tr("typed in the study") if use.idle_below_c is not None else tr("default"), ".idle_below"),
        (
            tr("{back_loss_share} lost downward and at edges", back_loss_share=f"{use.back_loss_share:.0%}"),
            tr("common practice, no source"),
            ".back_loss",
        ),
    ]


def _of_other(use: AnyUse) -> list[tuple[str, str, str]]:
    """What is assumed of a use other than hot water: value, source and field."""
    if isinstance(use, Zone):
        text = tr(
            "{design_heat_loss} at design, in step with the cold below its set-point",
            design_heat_loss=show_both(use.design_heat_loss_w, "power"),
        )
        return [(text, tr("typed in the study"), "")]
    if isinstance(use, Profile):
        return [
            (
                tr(
                    "hourly heat from {hours}, water at {supply_temperature}",
                    hours=use.hours,
                    supply_temperature=show_both(use.supply_temperature_c, "temperature"),
                ),
                tr("typed in the study"),
                "",
            )
        ]
    if isinstance(use, SnowMelt):
        return _of_snow(use)
    assert isinstance(use, PoolOrTub)
    lost = tr(
        "evaporation {activity_share} of Carrier's equation, heat to the air by Bowen's ratio, radiation to the sky",
        activity_share=f"{use.activity_share:.0%}",
    )
    rows = [(lost, tr("ASHRAE Transactions 104 (1998), paper 4146"), ".activity")]
    if use.indoor_air_c is None:
        if use.humidity_share is None:
            rows.append(
                (
                    tr("dew point: the coldest hour of the day"),
                    tr("FAO Irrigation and Drainage Paper 56, equation 48"),
                    ".humidity",
                )
            )
        rows.append(
            (
                tr("wind at the water {shelter_share} of the weather's", shelter_share=f"{use.shelter_share:.0%}"),
                tr("common practice, no source"),
                ".shelter",
            )
        )
        rows.append((tr("85% of the sun on open water stays in it"), tr("common practice, no source"), ""))
    if use.cover:
        rows.append(
            (
                tr("cover {cover_u_value}", cover_u_value=show_both(use.cover_u_value_w_m2k, "u_value")),
                tr("common practice, no source"),
                ".cover_u_value",
            )
        )
    return rows
