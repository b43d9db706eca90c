"""The cautions that belong to a case, in plain words, each with the standard to look up and what makes it apply.

Numbers and scopes of standards are values from memory unless a caution's source says where they were seen. Editions differ
from place to place, so none is named: the locally adopted one counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from costsim.physics.floor import BUILD_UPS, SURFACE_LIMIT_C
from costsim.results.schedules import absence_words
from costsim.results.uses import hot_water_words
from costsim.sources import HeatSource
from costsim.sources.electric import continuous_amps
from costsim.sources.traits import KindCaution
from costsim.study.case import Case
from costsim.units.quantity import show

SCALD_C = 49.0
"""Water from a tap that scalds within minutes, 120 °F: the limit of ASSE 1016 and 1070 mixing valves, value from memory."""
OXYGEN_LIMIT = "0.1 g/(m³ d) at 40 °C"
"""Oxygen that may pass a tube that counts as tight, by its inner volume: DIN 4726, seen on a trade reference page."""
LIGHT_FLOOR_KG_M2 = 40.0
"""A layer up to this weight, such as wooden panels, loads a floor no more than a covering; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Parameters
    ----------
    key : str
        Short name, the same in every language and report.
    title, short, text : str
        What it is about, what to do in a line, and the whole of it with the figures of the case.
    standards : str
        By number; the locally adopted edition counts.
    source : str
        What in the case makes it apply, and where its figures come from.
    """

    key: str
    title: str
    short: str
    text: str
    standards: str
    source: str

    @property
    def check(self) -> str:
        """What to look up."""
        return f"Check the locally adopted edition of {self.standards}."


@dataclass(frozen=True, slots=True)
class Site:
    """What the cautions must know beside what was typed: temperatures [°C] and the reader's units."""

    coldest_c: float
    freeze_c: float
    max_temperature_c: float
    system: str

    def temperature(self, value_c: float) -> str:
        """Write a temperature for the reader."""
        return show(value_c, "temperature", self.system, 0)


Maker = Callable[[Case, Site], Iterator[Caution]]
_MAKERS: list[Maker] = []


def _caution(maker: Maker) -> Maker:
    _MAKERS.append(maker)
    return maker


def cautions_of(
    case: Case, *, coldest_c: float, freeze_c: float, max_temperature_c: float, system: str
) -> tuple[Caution, ...]:
    """List the cautions that belong to a case, and no others.

    Parameters
    ----------
    case : Case
    coldest_c, freeze_c, max_temperature_c : float
        Coldest hour of the weather, freezing point of what circulates, and highest tank temperature [°C].
    system : str
        ``"us"`` or ``"si"``.

    Returns
    -------
    tuple of Caution
        Those that can kill first.
    """
    site = Site(coldest_c, freeze_c, max_temperature_c, system)
    return tuple(caution for maker in _MAKERS for caution in maker(case, site))


def sources_of(case: Case, trait: str = "") -> list[HeatSource]:
    """Every source in any option that has a trait, such as ``"burns_fuel"``; each unit once, and all without one."""
    every = [source for option in case.options for source in option.sources if not trait or getattr(source, trait)]
    return list({(source.label, source.kind, source.nameplate_w()): source for source in every}.values())


def _names(sources: list[HeatSource]) -> str:
    return ", ".join(dict.fromkeys(source.label for source in sources))


@_caution
def _carbon_monoxide(case: Case, _: Site) -> Iterator[Caution]:
    burning = sources_of(case, "burns_fuel")
    air = " and ".join(dict.fromkeys(source.air_standard for source in burning if source.air_standard)) or "the code"
    if burning:
        yield Caution(
            "carbon_monoxide",
            "Carbon monoxide and combustion air",
            "Its own air from outdoors, a flue that draws, an alarm on every floor where people sleep.",
            f"{_names(burning)}: a fire without enough air or with a poor flue makes carbon monoxide, which kills and cannot be"
            " smelled. Give it its own air from outdoors, a flue that draws, and an alarm on every floor where people sleep;"
            " test the draft with all exhaust fans running.",
            f"NFPA 72 (alarms) and {air} (air and venting) or the fuel-gas and mechanical codes, EN 50291-1",
            f"the study burns fuel in {_names(burning)}; standards from memory",
        )


@_caution
def _of_deadly_kinds(case: Case, _: Site) -> Iterator[Caution]:
    yield from _of_kinds(case, deadly=True)


def _of_kinds(case: Case, *, deadly: bool) -> Iterator[Caution]:
    """What the sources say themselves; those that say the same are named together."""
    told: dict[str, list[tuple[HeatSource, KindCaution]]] = {}
    for source in sources_of(case):
        for one in source.cautions():
            if one.deadly == deadly:
                told.setdefault(one.key, []).append((source, one))
    for pairs in told.values():
        names, first = _names([source for source, _ in pairs]), pairs[0][1]
        sentences = dict.fromkeys(sentence for _, one in pairs for sentence in one.sentences)
        yield Caution(
            first.key,
            first.title,
            first.short,
            f"{names}: {' '.join(sentences)}",
            max((one.standards for _, one in pairs), key=len),
            first.ground.format(names=names),
        )


@_caution
def _electrical_work(case: Case, site: Site) -> Iterator[Caution]:
    electric = sources_of(case, "continuous_load")
    if electric:
        lines = [line for line in map(_circuit, electric) if line]
        figures = f" {' '.join(dict.fromkeys(lines))}" if lines else ""
        yield Caution(
            "electrical_work",
            "Breaker, wire and service",
            "By a licensed electrician; wire and breaker for 125 % of the current, and room in the service.",
            f"{_names(electric)}: for a licensed electrician. Heat runs for hours, so wire and breaker must be sized for 125 % of the"
            f" current, and the service needs room for it beside everything else in the house.{figures}",
            "NFPA 70 (articles 210, 220 and 424), CSA C22.1, IEC 60364",
            "the study heats with electricity; 125 % seen in a worked example of NEC 210.19, 210.20 and 424, other numbers from memory",
        )


def _circuit(source: HeatSource) -> str:
    """Amperes of one unit whose voltage was given."""
    volts, breaker = getattr(source, "volts_v", None), getattr(source, "breaker_a", None)
    efficiency = getattr(source, "efficiency_share", None)
    if volts is None or breaker is None or not efficiency:
        return ""
    load = source.nameplate_w() / efficiency
    amps, enough = load / volts, continuous_amps(load_w=load, volts_v=volts)
    verdict = "is enough" if breaker >= enough else "is too small"
    return (
        f"{source.label}: {load / 1e3:.1f} kW at {volts:g} V is {amps:.1f} A and asks for a circuit of {enough:.1f} A;"
        f" the breaker of {breaker:g} A {verdict}."
    )


@_caution
def _pressure(case: Case, site: Site) -> Iterator[Caution]:
    if case.tank is not None and case.tank.circuit == "open":
        yield Caution(
            "open_vent",
            "Open, vented tank",
            "A vent that cannot freeze or be shut, room to grow, relief on every unit that valves can part from it.",
            f"Vent and overflow stay free, never freeze, and end where steam at {site.temperature(site.max_temperature_c)} hurts nobody.",
            "the boiler and mechanical codes on open systems, EN 12828, EN 303-5",
            "tank.circuit is open; rules from memory",
        )
        yield Caution(
            "open_corrosion",
            "Oxygen in an open circuit",
            "No iron or steel that is not made for it; an inhibitor that is tested every year.",
            "Iron and steel rust: bronze, copper, stainless steel or plastic wherever it is wet, or an exchanger.",
            "the makers' water quality sheets, VDI 2035, EN 14868",
            "tank.circuit is open; standards from memory",
        )
        return
    yield Caution(
        "pressure_relief",
        "Pressure relief and expansion",
        "A relief valve on every unit, nothing shut before it; an expansion vessel for the whole volume.",
        f"Water heated to {site.temperature(site.max_temperature_c)} in a closed circuit grows and can burst what holds it. Every unit that heats"
        " needs a relief valve of its own, none before it, set for the weakest part and piped to a safe place, an expansion vessel"
        " sized for the whole volume, and boilers a low-water and a high-limit control.",
        "ASME BPVC section IV and CSD-1 or the boiler and mechanical codes, EN 12828, EN ISO 4126-1",
        "the circuit is sealed (tank.circuit); relief rules seen in a published mechanical code, other numbers from memory",
    )


@_caution
def _freezing(case: Case, site: Site) -> Iterator[Caution]:
    if site.coldest_c >= 0.0:
        return
    coldest, freeze = site.temperature(site.coldest_c), site.temperature(site.freeze_c)
    short = f"The mixture freezes at {freeze}, this year's coldest hour is {coldest}, other years' are colder; measure it every year."
    exposed = sources_of(case, "outdoors")
    outdoors = (
        f" What stands outdoors ({_names(exposed)}) needs antifreeze of its own behind an exchanger, or must drain by itself."
        if exposed
        else ""
    )
    if case.floor is None or case.floor.antifreeze == "none":
        where = "none outdoors" if outdoors else "no tube outside the heated house"
        short = f"Plain water, coldest hour {coldest}: {where}, and a plan for a power cut."
        text = (
            f"The coldest hour of the weather is {coldest} and plain water freezes at {freeze}. Every tube with it must lie inside the"
            " heated house, and a long power cut in the cold needs a plan: drain it, or fill it with antifreeze."
        )
    elif site.freeze_c > site.coldest_c:
        short = f"The mixture freezes at {freeze}, the coldest hour is {coldest}: MORE ANTIFREEZE IS NEEDED."
        text = f"The mixture begins to freeze at {freeze}, but the coldest hour of the weather is {coldest}: more antifreeze is needed."
    else:
        text = (
            f"The mixture begins to freeze at {freeze}; the coldest hour of this weather year is {coldest}, and other winters are"
            " colder: leave a margin. Measure it every year with its inhibitors."
        )
    yield Caution(
        "freezing",
        "Freeze protection",
        short + outdoors,
        text + outdoors,
        "the mechanical or residential code on hydronic piping, and the maker's table of the antifreeze",
        "coldest hour of the weather file; freezing point tabulated from CoolProp",
    )


@_caution
def _drinking_water(case: Case, site: Site) -> Iterator[Caution]:
    antifreeze = case.floor.antifreeze if case.floor else "none"
    poison = {
        "none": "",
        "propylene_glycol": " The heating water holds propylene glycol with inhibitors, which nobody should drink.",
        "ethylene_glycol": " The heating water holds ethylene glycol, which is POISONOUS: use propylene glycol wherever it could"
        " reach drinking water.",
    }[antifreeze]
    yield Caution(
        "drinking_water",
        "Backflow and drinking water",
        "A backflow preventer on the filling line; heating water never reaches a tap.",
        "Heating water must never reach the tap: a backflow preventer on the filling line, and a double-walled exchanger wherever"
        f" one tank serves both.{poison}",
        "the plumbing code with ASSE 1012 or 1013, CSA B64, EN 1717",
        "every closed circuit is filled from drinking water; standards from memory",
    )
    yield from (Caution(*words) for words in (*hot_water_words(case, site.temperature), *absence_words(case)))


@_caution
def _tubes(case: Case, site: Site) -> Iterator[Caution]:
    if case.floor is None:
        return
    yield Caution(
        "oxygen",
        "Oxygen barrier of the tubes",
        "Tubes with a barrier, or no iron anywhere in the circuit.",
        f"Oxygen passes through plain plastic tube and rusts iron pumps, tanks and boilers. Use tube with a barrier (no more than"
        f" {OXYGEN_LIMIT}), or no iron anywhere in the circuit.",
        "ASTM F876 and F877, DIN 4726, ISO 17455, EN ISO 15875",
        "the study has plastic tubes in its floor; limit of DIN 4726 seen on a trade reference page, other numbers from memory",
    )
    limits = {zone: site.temperature(value) for zone, value in SURFACE_LIMIT_C.items()}
    yield Caution(
        "floor_surface",
        "Warm floors have a limit",
        f"No warmer than {limits['occupied']} where people stay; ask the maker of the covering.",
        f"The surface may reach {limits['occupied']} where people stay and {limits['perimeter']} along outer walls. Wood, carpet and"
        " glue often allow less: ask the maker of the covering, and fit a limit thermostat before the floor.",
        "EN 1264-2, ISO 11855-2, ASHRAE 55",
        "the study has a heated floor; limits of EN 1264-2",
    )


@_caution
def _weight(case: Case, site: Site) -> Iterator[Caution]:
    """What floor and tank weigh: the tank by a litre of water a kilogram, the floor by its material's density."""
    parts, build_up = [], BUILD_UPS[case.floor.build_up] if case.floor is not None else None
    if build_up is not None and build_up.mass_kg_m2 > LIGHT_FLOOR_KG_M2:
        parts.append(f"{build_up.title}: {show(build_up.mass_kg_m2, 'mass_per_area', site.system, 0)}")
    if case.tank is not None:
        parts.append(f"the tank's water: {show(case.tank.volume_m3 * 1000.0, 'mass', site.system, 0)}")
    if parts:
        yield Caution(
            "weight",
            "Weight of floor and tank",
            f"{'; '.join(parts)}: on a structure that was checked for it.",
            f"{'; '.join(parts)}. A floor of timber or a ceiling may not carry that: have the structure checked by somebody licensed for it.",
            "the building code on loads, ASCE 7, EN 1991-1-1",
            "the study has a heavy floor or a tank; densities and standards from memory",
        )


@_caution
def _scalding(case: Case, site: Site) -> Iterator[Caution]:
    if site.max_temperature_c > SCALD_C:
        yield Caution(
            "scalding",
            "Scalding",
            "A mixing valve wherever this tank makes hot water for taps.",
            f"The {'tank' if case.tank else 'water'} may reach {site.temperature(site.max_temperature_c)}; water above {site.temperature(SCALD_C)} scalds."
            " Wherever it also makes hot water for taps, fit a mixing valve; insulate bare pipes within reach.",
            "the plumbing code with ASSE 1017 and 1070, CSA B125, EN 15092 and EN 1111",
            "highest tank temperature of the study; limit of 49 °C (120 °F) from memory",
        )


@_caution
def _of_other_kinds(case: Case, _: Site) -> Iterator[Caution]:
    yield from _of_kinds(case, deadly=False)
