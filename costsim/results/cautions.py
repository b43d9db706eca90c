"""The cautions that belong to a case, in plain words, each with the standard to look up and what makes it apply.

Numbers and scopes of standards are values from memory unless a caution's source says where they were seen. Editions differ
from place to place, so none is named: the locally adopted one counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from costsim.physics.floor import SURFACE_LIMIT_C
from costsim.physics.fluids import FILL_C, mixed
from costsim.results.amperes import circuit, of_the_service
from costsim.results.caution import Caution, Site
from costsim.results.filled import drinking_water_words, freezing_words
from costsim.results.fires import fires, names
from costsim.results.of_fuel import of_fuel
from costsim.results.return_water import return_water
from costsim.results.schedules import absence_words
from costsim.results.uses import hot_water_words
from costsim.sources import HeatSource
from costsim.sources.traits import KindCaution
from costsim.study.case import Case
from costsim.study.emitter_parts import emitters_differ
from costsim.study.fluid import antifreeze_of
from costsim.units.quantity import show
from costsim.words import tr

SCALD_C = 49.0
"""Water from a tap that scalds within minutes, 120 °F: the limit of ASSE 1016 and 1070 mixing valves, value from memory."""
OXYGEN_LIMIT = "0.1 g/(m³ d) at 40 °C"
"""Oxygen that may pass a tube that counts as tight, by its inner volume: DIN 4726, seen on a trade reference page."""
LIGHT_FLOOR_KG_M2 = 40.0
"""A layer up to this weight, such as wooden panels, loads a floor no more than a covering; common practice, no source."""


Maker = Callable[[Case, Site], Iterator[Caution]]
_MAKERS: list[Maker] = []


def _caution(maker: Maker) -> Maker:
    _MAKERS.append(maker)
    return maker


def cautions_of(
    case: Case, *, coldest_c: float, freeze_c: float, max_temperature_c: float, system: str, supply_c: float | None = None,
    return_c: float | None = None, needed_c: float | None = None, load_w: float = 0.0, mild_c: float | None = None,
) -> tuple[Caution, ...]:  # fmt: skip
    """List the cautions that belong to a case, and no others.

    Parameters
    ----------
    case : Case
    coldest_c, freeze_c, max_temperature_c, supply_c, return_c, needed_c, load_w, mild_c : float
        Coldest hour, freezing point of what circulates, highest water, water at design without a tank, what comes back, and water at
        design with or without one [°C]; design load [W]; water on a mild day [°C].
    system : str
        ``"us"`` or ``"si"``.

    Returns
    -------
    tuple of Caution
        Those that can kill first.
    """
    site = Site(coldest_c, freeze_c, max_temperature_c, system, supply_c, return_c, needed_c, load_w, mild_c)
    return tuple(caution for maker in _MAKERS for caution in maker(case, site))


def sources_with(case: Case) -> list[HeatSource]:
    """Every source in any option; units of one name may differ in flue or circuit."""
    return [source for option in case.options for source in option.sources]


def _flues(burning: Sequence[HeatSource]) -> str:
    """How the flues of what burns are kept sound: those that work by draft, and sealed ones."""
    sealed = [source.condenses() for source in burning]
    parts = []
    if not all(sealed):
        parts.append(tr("Where a flue works by draft, test the draft with all exhaust fans running."))
    if any(sealed):
        parts.append(
            tr(
                "A sealed condensing unit takes vent and air pipe as its manual says, drained, with no other unit on it."
            )
        )
    return " ".join(parts)


@_caution
def _carbon_monoxide(case: Case, _: Site) -> Iterator[Caution]:
    burning = [source for source in sources_with(case) if source.burns_fuel]
    air = " and ".join(dict.fromkeys(source.air_standard for source in burning if source.air_standard)) or tr(
        "the code"
    )
    if burning:
        yield Caution(
            "carbon_monoxide",
            tr("Carbon monoxide and combustion air"),
            tr("Its own air from outdoors, a sound flue, alarms outside every sleeping area and on every floor."),
            tr(
                "{burning}: a fire without enough air or with a poor flue makes carbon monoxide, which kills"
                " and cannot be smelled. Give it its own air from outdoors and a sound flue, with alarms outside"
                " every sleeping area and on every floor. {flues}",
                burning=names(burning),
                flues=_flues(burning),
            ),
            tr(
                "NFPA 72 (alarms) and {air} (air and venting) or the fuel-gas and mechanical codes, EN 50291-1", air=air
            ),
            tr("the study burns fuel in {burning}; standards from memory", burning=names(burning)),
        )


@_caution
def _of_deadly_kinds(case: Case, _: Site) -> Iterator[Caution]:
    yield from _of_kinds(case, deadly=True)


_MAKERS.extend((fires, return_water))


def _of_kinds(case: Case, *, deadly: bool) -> Iterator[Caution]:
    """What the sources and their fuels say; those that say the same are named together."""
    cautions: dict[str, list[tuple[HeatSource, KindCaution]]] = {}
    for source in sources_with(case):
        for caution in (*source.cautions(), *of_fuel(source)):
            if caution.deadly == deadly:
                cautions.setdefault(caution.key, []).append((source, caution))
    for pairs in cautions.values():
        called, first = names([source for source, _ in pairs]), pairs[0][1]
        sentences = dict.fromkeys(sentence for _, caution in pairs for sentence in caution.sentences)
        yield Caution(
            first.key,
            first.title,
            first.short,
            f"{called}: {' '.join(sentences)}",
            max((caution.standards for _, caution in pairs), key=len),
            tr(first.ground, names=called),
        )


@_caution
def _electrical_work(case: Case, site: Site) -> Iterator[Caution]:
    electric = [source for source in sources_with(case) if source.continuous_load]
    if electric:
        lines = [line for line in map(circuit, electric) if line]
        short = tr("By a licensed electrician; wire and breaker for 125 % of the current, and room in the service.")
        most = of_the_service(case)
        figures = f" {' '.join(dict.fromkeys(lines))}" if lines else ""
        yield Caution(
            "electrical_work",
            tr("Breaker, wire and service"),
            short if not most else f"{short} {most}",
            tr(
                "{electric}: for a licensed electrician. Heat runs for hours, so wire and breaker must be"
                " sized for 125 % of the current, and the service needs room for it beside everything else"
                " in the house.{figures}",
                electric=names(electric),
                figures=figures,
            ),
            tr("NFPA 70 (articles 210, 220 and 424), CSA C22.1, IEC 60364"),
            tr(
                "the study heats with electricity; 125 % seen in a worked example of NEC 210.19, 210.20 and"
                " 424, other numbers from memory"
            ),
        )


@_caution
def _pressure(case: Case, site: Site) -> Iterator[Caution]:
    tanks = {option.tank_of(case) for option in case.options}
    if any(tank is not None and tank.circuit == "open" for tank in tanks):
        yield Caution(
            "open_vent",
            tr("Open, vented tank"),
            tr(
                "A vent that cannot freeze or be shut, room to grow, relief on every unit that valves can part from it."
            ),
            tr(
                "Vent and overflow stay free, never freeze, and end where steam at {max_temperature} hurts nobody.",
                max_temperature=site.temperature(site.max_temperature_c),
            ),
            tr("the boiler and mechanical codes on open systems, EN 12828, EN 303-5"),
            tr("the circuit is open; rules from memory"),
        )
        yield Caution(
            "open_corrosion",
            tr("Oxygen in an open circuit"),
            tr("No iron or steel that is not made for it; an inhibitor that is tested every year."),
            tr("Iron and steel rust: bronze, copper, stainless steel or plastic wherever it is wet, or an exchanger."),
            tr("the makers' water quality sheets, VDI 2035, EN 14868"),
            tr("the circuit is open; standards from memory"),
        )
    if all(tank is not None and tank.circuit == "open" for tank in tanks):
        return
    yield Caution(
        "pressure_relief",
        tr("Pressure relief and expansion"),
        tr("A relief valve on every unit, nothing shut before it; an expansion tank for the whole volume."),
        tr(
            "Water heated to {max_temperature} in a closed circuit grows and can burst what holds it."
            " Every unit that heats needs a relief valve of its own, none before it, set for the weakest"
            " part and piped to a safe place, an expansion tank sized for the whole volume, and"
            " boilers a low-water and a high-limit control.",
            max_temperature=site.hottest,
        ),
        tr("ASME BPVC section IV and CSD-1 or the boiler and mechanical codes, EN 12828, EN ISO 4126-1"),
        tr("the circuit is sealed; relief rules seen in a published mechanical code, other numbers from memory"),
    )


@_caution
def _filled(case: Case, site: Site) -> Iterator[Caution]:
    outdoors = [source for source in sources_with(case) if source.outdoors]
    yield from (Caution(*words) for words in (*freezing_words(case, site, outdoors), drinking_water_words(case)))
    yield from (Caution(*words) for words in (*hot_water_words(case, site.temperature), *absence_words(case)))


@_caution
def _tubes(case: Case, site: Site) -> Iterator[Caution]:
    if case.floor is None and not (case.floor_heats and emitters_differ(case.house)):
        return
    yield Caution(
        "oxygen",
        tr("Oxygen barrier of the tubes"),
        tr("Tubes with a barrier, or no iron anywhere in the circuit."),
        tr(
            "Oxygen passes through plain plastic tube and rusts iron pumps, tanks and boilers. Use tube"
            " with a barrier (no more than {oxygen_limit}), or no iron anywhere in the circuit.",
            oxygen_limit=OXYGEN_LIMIT,
        ),
        tr("ASTM F876 and F877, DIN 4726, ISO 17455, EN ISO 15875"),
        tr(
            "the study has plastic tubes in its floor; limit of DIN 4726 seen on a trade reference page,"
            " other numbers from memory"
        ),
    )
    limits = {zone: site.temperature(value) for zone, value in SURFACE_LIMIT_C.items()}
    yield Caution(
        "floor_surface",
        tr("Warm floors have a limit"),
        tr("No warmer than {limits} where people stay; ask the maker of the covering.", limits=limits["occupied"]),
        tr(
            "The surface may reach {limits} where people stay and {limits_2} along outer walls. Wood,"
            " carpet and glue often allow less: ask the maker of the covering, and fit a limit"
            " thermostat before the floor.",
            limits=limits["occupied"],
            limits_2=limits["perimeter"],
        ),
        "EN 1264-2, ISO 11855-2, ASHRAE 55",
        tr("the study has a heated floor; limits of EN 1264-2"),
    )


def _tank_weights(case: Case, site: Site) -> list[str]:
    """What each tank holds weighs, cold and with its antifreeze; options are named where they differ."""
    weights: dict[str, list[str]] = {}
    for option in case.options:
        tank = option.tank_of(case)
        if tank is not None:
            cold = mixed(*antifreeze_of(case, option.floor), FILL_C)
            mass = show(tank.volume_m3 * cold.density_kg_m3, "mass", site.system, 0)
            words = tr("the tank's content: {mass}", mass=mass)
            weights.setdefault(words, []).append(option.name)
    alone = len(weights) == 1
    return [text if alone else f"{text} ({', '.join(names)})" for text, names in weights.items()]


@_caution
def _weight(case: Case, site: Site) -> Iterator[Caution]:
    """What floor and tank weigh: what the tank holds and the floor, each by its density."""
    layers = (
        dict.fromkeys(case.floor.build_up_of(group) for group in case.floor.loops) if case.floor is not None else ()
    )
    parts = [
        f"{tr(layer.title)}: {show(layer.mass_kg_m2, 'mass_per_area', site.system, 0)}"
        for layer in layers
        if layer.mass_kg_m2 > LIGHT_FLOOR_KG_M2
    ]
    parts += _tank_weights(case, site)
    if parts:
        yield Caution(
            "weight",
            tr("Weight of floor and tank") if layers else tr("Weight of the tank"),
            tr("{parts}: on a structure that was checked for it.", parts="; ".join(parts)),
            tr(
                "{parts}. A floor of timber or a ceiling may not carry that: have the structure checked by"
                " somebody licensed for it.",
                parts="; ".join(parts),
            ),
            tr("the building code on loads, ASCE 7, EN 1991-1-1"),
            tr("the study has a heavy floor or a tank; densities and standards from memory"),
        )


@_caution
def _scalding(case: Case, site: Site) -> Iterator[Caution]:
    if site.max_temperature_c > SCALD_C:
        yield Caution(
            "scalding",
            tr("Scalding"),
            tr("A mixing valve wherever this tank makes hot water for taps."),
            tr(
                "The {value} may reach {max_temperature}; water above {scald} scalds. Wherever it also makes"
                " hot water for taps, fit a mixing valve; insulate bare pipes within reach.",
                value=tr("tank") if any(option.tank_of(case) for option in case.options) else tr("water"),
                max_temperature=site.hottest,
                scald=site.temperature(SCALD_C),
            ),
            tr("the plumbing code with ASSE 1017 and 1070, CSA B125, EN 15092 and EN 1111"),
            tr("highest tank temperature of the study; limit of 49 °C (120 °F) from memory"),
        )


@_caution
def _of_other_kinds(case: Case, _: Site) -> Iterator[Caution]:
    yield from _of_kinds(case, deadly=False)
