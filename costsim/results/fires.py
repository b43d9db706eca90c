"""A fire that cannot be put out: its heat without power, its warm return, its flue, and the heat that nobody can use."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from costsim.engine.lower import LoweredStudy
from costsim.physics.fluids import mixed
from costsim.physics.fuels import FUELS
from costsim.results.caution import Caution, Site
from costsim.results.result import OptionResult, SourceSeason
from costsim.results.return_water import LEAST_RETURN_C, USUAL_MOST_C, must_stay_dry
from costsim.sources import HeatSource
from costsim.study.case import Case, Option
from costsim.study.fluid import antifreeze_of
from costsim.units.quantity import show, show_both
from costsim.words import tr

LEAST_CHARGE_SHARE = 0.1
HELPS_SHARE = 0.75
"""What is left of the heat thrown away where a change helps; a choice of ours."""
MILD_SHARE = 0.25
"""Share of the design load on what is called a mild day; a choice of ours."""
DUMPED_SHARE = 0.05
"""Share of a fire's heat that may be thrown away in a year without a word; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Charge:
    """One full charge of a fire against what can take its heat: tank, and house while it burns on a design night [J].

    `tank_j` is what the tank takes from the water that the house needs at design, `water_c`, to its highest temperature; `mild_tank_j`
    from that of a mild day, `mild_c` [°C], when the house takes `MILD_SHARE` of `house_j`.
    """

    name: str
    heat_j: float
    tank_j: float
    house_j: float
    mild_tank_j: float
    water_c: float
    mild_c: float

    @property
    def night_j(self) -> float:
        """What tank and house take on a design night."""
        return self.tank_j + self.house_j

    @property
    def mild_j(self) -> float:
        """What tank and house take on a mild day."""
        return self.mild_tank_j + MILD_SHARE * self.house_j


def burns_on(sources: Sequence[HeatSource]) -> list[HeatSource]:
    """Sources whose fire no control can put out."""
    return [source for source in sources if source.burns_fuel and source.unstoppable]


def solid(sources: Sequence[HeatSource]) -> list[HeatSource]:
    """Sources that burn wood, pellets or another solid fuel."""
    return [source for source in sources if source.burns_fuel and FUELS[source.fuel_key].solid]


def least_return_c(source: HeatSource, return_c: float) -> float | None:
    """How warm the water that comes back to a fire must be held where the house returns it cooler [°C]; None where nothing must."""
    if solid([source]):
        return USUAL_MOST_C
    return LEAST_RETURN_C if must_stay_dry(source) and return_c < LEAST_RETURN_C else None


def flues_apart(sources: Sequence[HeatSource]) -> tuple[str, str]:
    """Names of what burns solid fuel, and of what burns gas or oil beside it; both empty where one of them is not there."""
    logs = solid(sources)
    others = [source for source in sources if source.burns_fuel and source not in logs]
    return (names(logs), names(others)) if logs and others else ("", "")


def names(sources: Sequence[HeatSource]) -> str:
    """Each name once."""
    return ", ".join(dict.fromkeys(source.label for source in sources))


def charges_of(
    case: Case, option: Option, *, top_c: float, water_c: float, mild_c: float, load_w: float
) -> list[Charge]:
    """Each fire's full charge beside what takes it.

    Parameters
    ----------
    case : Case
    option : Option
    top_c, water_c, mild_c : float
        The tank's highest temperature, and the water that the house needs at design and on a mild day [°C].
    load_w : float
        Design load [W].
    """
    tank = option.tank_of(case)

    def room_j(from_c: float) -> float:
        if tank is None or top_c <= from_c:
            return 0.0
        water = mixed(*antifreeze_of(case, option.floor), (top_c + from_c) / 2.0)
        return float(tank.volume_m3 * water.density_kg_m3 * water.heat_capacity_j_kgk * (top_c - from_c))

    night, mild = room_j(water_c), room_j(mild_c)
    return [
        Charge(source.label, fire.heat_j, night, load_w * fire.burns_s, mild, water_c, mild_c)
        for source in burns_on(option.sources)
        if (fire := source.hand_fired()) is not None and fire.heat_j > 0
    ]


def mild_water_c(*, indoor_c: float, water_c: float, exponent: float) -> float:
    """Water that the house needs on a mild day [°C], by the outdoor reset (`Emitter.exponent`).

    Examples
    --------
    Baseboards at 75 °C over rooms of 20 °C, at a quarter of the load: 20 + 55 × 0.25^(1/1.3).

    >>> round(mild_water_c(indoor_c=20.0, water_c=75.0, exponent=1.3), 1)
    38.9
    """
    excess_k: float = (water_c - indoor_c) * MILD_SHARE ** (1.0 / exponent)
    return indoor_c + excess_k


def heat_words(heat_j: float, system: str) -> str:
    """Heat of a day, fine enough to be told apart."""
    return show(heat_j, "heat", system, 2 if system == "us" else 0)


def charge_words(charge: Charge, system: str) -> str:
    """Compare a charge with what takes it, on a mild day and on a design night, where the tank has come down to what the house then needs."""
    heat = heat_words(charge.heat_j, system)
    if charge.tank_j <= 0 and charge.mild_tank_j <= 0:
        return tr("A full charge gives {heat}, and there is no tank to take it.", heat=heat)
    text = tr(
        "A full charge gives {heat}. While it burns, tank and house take {night} on a design night, from water of {water}, and {mild_heat} on a"
        " mild day of {share} of that load, from {mild}; less where the tank has not come down to that.",
        heat=heat,
        night=heat_words(charge.night_j, system),
        water=show(charge.water_c, "temperature", system, 0),
        mild_heat=heat_words(charge.mild_j, system),
        mild=show(charge.mild_c, "temperature", system, 0),
        share=f"{MILD_SHARE:.0%}",
    )
    night, mild = charge.night_j / charge.heat_j, charge.mild_j / charge.heat_j
    if night >= 1.0 and mild >= 1.0:
        return text
    return tr(
        "{text} Load less: {night} % of a charge finds room on a design night, {mild} % on a mild day.",
        text=text,
        night=f"{100.0 * min(night, 1.0):.0f}",
        mild=f"{100.0 * min(mild, 1.0):.0f}",
    )


def fires(case: Case, site: Site) -> Iterator[Caution]:
    """The cautions on fires of wood and pellets."""
    every = [source for option in case.options for source in option.sources]
    burning, logs = burns_on(every), solid(every)
    if burning:
        yield _heat_dump(case, site, burning)
    if logs:
        yield _warm_return(site, logs)
    pairs = [pair for option in case.options if (pair := flues_apart(option.sources))[0]]
    if pairs:
        yield _flues(*(", ".join(dict.fromkeys(part)) for part in zip(*pairs, strict=True)))


def _heat_dump(case: Case, site: Site, burning: list[HeatSource]) -> Caution:
    sentences = []
    if site.load_w and site.needed_c is not None and site.mild_c is not None:
        sentences = [
            charge_words(charge, site.system)
            for option in case.options
            for charge in charges_of(
                case,
                option,
                top_c=_top_c(case, option, site),
                water_c=site.needed_c,
                mild_c=site.mild_c,
                load_w=site.load_w,
            )
        ]
    charges = " ".join(dict.fromkeys(sentences))
    words = {"names": names(burning)}
    short = tr(
        "An automatic heat dump at the boiler that works without power, sized by its manual, tried with the power off; a relief valve as"
        " large as its plate says.",
        **words,
    )
    return Caution(
        "heat_dump",
        tr("A fire that no switch puts out: heat dump"),
        f"{short} {charges}".strip(),
        tr(
            "{names}: once lit, a charge burns to its end. No high limit stops it when a pump fails, the tank is full or the power is"
            " out; water that stands in the boiler then turns to steam. Fit an automatic heat dump: a loop or radiator above the boiler"
            " that takes its heat by gravity, through a valve that opens without power, or the cooling that its manual names, sized by"
            " that manual; and a relief valve for what its plate or manual says, since a fire peaks far above the mean of a charge, with"
            " nothing shut between it and the boiler. {charges}",
            charges=charges,
            **words,
        ).strip(),
        tr("the boiler's manual, ASME BPVC IV (relief), EN 303-5, CSA B365"),
        tr(
            "{names} burns its charge to the end; heat that leaves with and without power seen as a demand of a boiler importer"
            " (woodboilers.com, over-heat dump zones); numbers of standards from memory",
            **words,
        ),
    )


def _top_c(case: Case, option: Option, site: Site) -> float:
    tank = option.tank_of(case)
    return tank.max_temperature_c if tank is not None else site.max_temperature_c


def _warm_return(site: Site, logs: list[HeatSource]) -> Caution:
    words = {"names": names(logs), "least": site.temperature(USUAL_MOST_C)}
    back = (
        tr(" The heating water comes back at about {back} at design.", back=site.temperature(site.return_c))
        if site.return_c is not None and site.return_c < USUAL_MOST_C
        else ""
    )
    return Caution(
        "solid_return",
        tr("Warm return to a boiler for wood or pellets"),
        tr(
            "{names}: a loading unit or thermostatic mixing valve at the boiler holds its return at {least} or more, or as its manual"
            " says; cooler water makes creosote and corrosion.{back}",
            back=back,
            **words,
        ),
        tr(
            "{names}: where water comes back to the boiler below about {least}, smoke condenses on its walls to acid and creosote, which"
            " eat the boiler and feed chimney fires. A loading unit or a thermostatic mixing valve with a bypass at the boiler"
            " holds its return at {least} or more, or as its manual says; boiler and tank run hotter than the rooms' water, which a mixing"
            " valve of its own keeps down.{back}",
            back=back,
            **words,
        ),
        tr("the boiler's manual, EN 303-5, NFPA 211"),
        tr(
            "the study burns {names}; 140 °F (60 °C) seen in a pellet boiler's manual (Harman PB 105, page 24), acid and creosote in a"
            " trade article (pmmag.com, wood-gasification boilers)",
            **words,
        ),
    )


def _flues(logs: str, others: str) -> Caution:
    words = {"logs": logs, "others": others}
    return Caution(
        "flues_apart",
        tr("Wood and gas or oil: a flue each"),
        tr("{logs} and {others}: never on one flue.", **words),
        tr(
            "{logs} and {others} must not share a flue: creosote narrows and burns in it, air and smoke pass from one to the other, and a"
            " blocked flue sends carbon monoxide into the house. A chimney for solid fuel serves that one alone.",
            **words,
        ),
        tr("IFGC 503.5.7.1 (IRC G2427.5.6.1), NFPA 211, NFPA 31, CSA B365"),
        tr(
            "one option burns both; IRC G2427.5.6.1 seen on a public copy (up.codes), other numbers from memory",
        ),
    )


def dumped_warnings(
    common: LoweredStudy, options: Sequence[OptionResult], what_if: Callable[[Option], OptionResult] | None = None
) -> list[str]:
    """Say how much of a fire's heat is thrown away in a year, where that is more than `DUMPED_SHARE`, and what helps.

    `what_if` computes the year of an option that is changed: only what it shows to help is advised, without it nothing is.
    """
    texts = []
    known = {typed_option.name: typed_option for typed_option in common.case.options}
    for option in options:
        if (typed := known.get(option.name)) is None:
            continue
        for at, (season, source) in enumerate(zip(option.sources, typed.sources, strict=False)):
            if not burns_on([source]) or _thrown(season) <= DUMPED_SHARE:
                continue
            tried: list[tuple[str, str, float]] = []
            if what_if is not None:
                tried = [
                    (text, why, _thrown(what_if(changed).sources[at]))
                    for text, why, changed in _remedies(common.case, typed, source)
                ]
            warnings = [
                tr("{what} leaves {left} %", what=what, left=f"{100.0 * left:.0f}")
                if left <= HELPS_SHARE * _thrown(season)
                else tr("{what} hardly helps, {left} %{why}", what=what, left=f"{100.0 * left:.0f}", why=why)
                for what, why, left in sorted(tried, key=lambda remedy: remedy[2])
            ]
            text = tr(
                "{option}: {share} % of the heat of {source} is thrown away ({heat} in {hours} hours of the year), since the tank is full",
                option=option.name,
                share=f"{100.0 * _thrown(season):.0f}",
                source=season.name,
                heat=f"{show(season.dumped_j, 'heat', 'si', 0)} ({show(season.dumped_j, 'heat', 'us', 1)})",
                hours=f"{season.facts.get('dumping_hours', 0):,}",
            )
            texts.append(tr("{text}; computed anew: {told}", text=text, told="; ".join(warnings)) if warnings else text)
    return texts


def _by_the_clock(source: HeatSource) -> str:
    """Why a larger tank does not help: loads come by the clock, each of no less than the smallest charge."""
    fire = source.hand_fired()
    if fire is None:
        return ""
    return tr(
        " (each load comes by the clock and is {least} % of a charge or more, however warm the tank still is: fewer or smaller loads on mild days)",
        least=f"{100.0 * fire.least_share:.0f}",
    )


def _thrown(season: SourceSeason) -> float:
    """Share of a fire's heat that is thrown away."""
    made = season.heat_j + season.dumped_j
    return season.dumped_j / made if made > 0 else 0.0


def _remedies(case: Case, option: Option, source: HeatSource) -> Iterator[tuple[str, str, Option]]:
    """What may leave less to be thrown away, why it may not, and the option changed by it: smaller loads, a tank twice as large."""
    tank = option.tank_of(case)
    fire = source.hand_fired()
    if fire is not None and fire.least_share > LEAST_CHARGE_SHARE:
        least = max(fire.least_share / 2.0, LEAST_CHARGE_SHARE)
        smaller = source.with_least_charge(least)
        fires = tuple(smaller if kept is source else kept for kept in option.sources)
        yield (
            tr(
                "loading as little as {least} where that is enough",
                least=show_both(least * fire.full_kg, "mass", 0),
            ),
            "",
            option.model_copy(update={"source": fires}),
        )
    if tank is not None:
        size = show_both(2.0 * tank.volume_m3, "volume", 0)
        larger = tank.model_copy(update={"volume_m3": 2.0 * tank.volume_m3})
        changed = option.model_copy(update={"tank": larger})
        yield tr("a tank of {size}, twice as large,", size=size), _by_the_clock(source), changed
