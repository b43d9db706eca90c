"""The parts' ratings held against what the case asks of them.

A comparison is one line with both numbers; what was not given is said to be not given.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from costsim.physics.expansion import EN_MARGIN_PA
from costsim.study.ratings import (
    GRAVITY_M_S2,
    USUAL_FILL_PA,
    Needs,
    Ratings,
    handbook_vessel_m3,
    height_of,
    least_fill_pa,
    open_room_m3,
    relief_pa,
    swelling_m3,
    vessel_m3,
    water_m3,
)
from costsim.units.quantity import GALLON_M3, show
from costsim.words import tr

Verdict = Literal["pass", "fail", "take care", "not given"]
PARTS = {"tube": "tube", "tank": "tank", "pump": "pump", "vessel": "expansion tank"}
RATED = (
    "expansion tank: pressure",
    "expansion tank: temperature",
    "expansion tank: volume",
    "fill pressure: highest",
    "fill pressure: lowest",
    "freezing point of what circulates",
    "open tank: highest temperature",
    "open tank: room over the cold water",
    "pump: pressure",
    "pump: temperature",
    "relief valve: discharge",
    "relief valve: set pressure",
    "relief valve: temperature",
    "tank: pressure",
    "tank: temperature",
    "tube: pressure",
    "tube: temperature",
)
"""What a line is about, as readers know it."""
BOILING_MARGIN_K = 10.0
"""How far below boiling an open tank stays; common practice, no source."""
HARD_WINTER_K = 5.0
"""By how much the coldest hour of a hard winter may lie below a typical year's; common practice, no source."""


@dataclass(frozen=True, slots=True)
class RatingCheck:
    """One line: what was given, what is needed, both in SI of `dimension`, and the verdict with its ground."""

    what: str
    given: float | None
    relation: Literal["at least", "at most"]
    needed: float | None
    dimension: str
    verdict: Verdict
    ground: str

    def given_text(self, system: str) -> str:
        """What was given, for a reader."""
        return self._text(self.given, system) or tr("not given")

    def needed_text(self, system: str) -> str:
        """What is needed, for a reader."""
        needed = self._text(self.needed, system)
        if not needed:
            return tr("cannot be told")
        return tr("at least {amount}" if self.relation == "at least" else "at most {amount}", amount=needed)

    def _text(self, value: float | None, system: str) -> str:
        return "" if value is None else show(value, self.dimension, system, 1)


def unknown_water() -> str:
    """Say that what the circuit holds is not known, and where to type it."""
    return tr(
        "not known: type what boiler, radiators or baseboards, and mains hold, by their sheets, as “Water in units and mains” among"
        " the ratings on Layout (ratings.extra_water_volume)"
    )


def fire_relief(names: str) -> str:
    """Say what the relief valve of a fire that burns on must blow off: what its plate says, never the mean of its charge."""
    return tr(
        "what the plate or manual of {names} says: a fire peaks far above the mean of its charge, which is all that this study knows",
        names=names,
    )


def rating_checks(ratings: Ratings, needs: Needs, system: str = "si") -> tuple[RatingCheck, ...]:
    """Hold every rating against what the case needs.

    Parameters
    ----------
    ratings : Ratings
        As typed; an empty one gives lines that say what is needed.
    needs : Needs

    Returns
    -------
    tuple of RatingCheck

    Notes
    -----
    Every part must stand what the relief valve lets through, and the highest temperature of the tank, since one mixed tank
    feeds all. A vessel takes ``V = (V_swell + V_reserve) (p_e + p_a)/(p_e − p_0)`` by Boyle's law, its gas filled to the
    fill pressure. An open circuit has no vessel and no fill pressure: its tank takes the swelling, stays well below boiling,
    and its parts stand the height of water and the pumps' highest head.
    """
    if needs.open_circuit:
        return (*_open_checks(ratings, needs), *_relief_checks(ratings, needs), _freeze_check(needs))
    checks = [*_part_checks(ratings, needs), *_relief_checks(ratings, needs), *_fill_checks(ratings, needs, system)]
    return (*checks, *_vessel_checks(ratings, needs, system), _freeze_check(needs))


def _line(
    what: str,
    given: float | None,
    relation: Literal["at least", "at most"],
    needed: float | None,
    dimension: str,
    ground: str,
) -> RatingCheck:
    verdict: Verdict = "not given"
    if given is not None and needed is not None:
        slack = given - needed if relation == "at least" else needed - given
        verdict = "pass" if slack >= -1e-9 * max(1.0, abs(needed)) else "fail"
    return RatingCheck(what, given, relation, needed, dimension, verdict, ground)


def _part_checks(ratings: Ratings, needs: Needs) -> Iterator[RatingCheck]:
    """Pressure and temperature of what the water flows through."""
    there = {"tube": needs.floor, "tank": needs.tank}
    for key, name in PARTS.items():
        if there.get(key, True):
            pressure, heat = getattr(ratings, f"{key}_pressure_pa"), getattr(ratings, f"{key}_temperature_c")
            relief, ground = relief_pa(ratings), _untyped_relief(ratings, tr("the relief valve's set pressure"))
            line = _line(f"{name}: pressure", pressure, "at least", relief, "pressure", ground)
            # against a valve that nobody typed nothing passes
            untyped = ratings.relief_pressure_pa is None and line.verdict == "pass"
            yield replace(line, verdict="take care") if untyped else line
            yield _line(
                f"{name}: temperature",
                heat,
                "at least",
                needs.max_temperature_c,
                "temperature",
                tr("highest tank temperature"),
            )


def _untyped_relief(ratings: Ratings, ground: str) -> str:
    """A ground that rests on the relief valve, and that its pressure is the usual one where none is typed."""
    if ratings.relief_pressure_pa is not None:
        return ground
    return tr("{ground}: 30 psi (2.1 bar) sized here", ground=ground)


def _open_checks(ratings: Ratings, needs: Needs) -> Iterator[RatingCheck]:
    """What an open circuit asks of its parts and its tank."""
    height = height_of(ratings, needs)
    still = needs.density_kg_m3 * GRAVITY_M_S2 * height + needs.pump_head_pa if height is not None else None
    for key in ("tube", "pump"):
        if key == "pump" or needs.floor:
            pressure, heat = getattr(ratings, f"{key}_pressure_pa"), getattr(ratings, f"{key}_temperature_c")
            yield _line(f"{key}: pressure", pressure, "at least", still, "pressure",
                        tr("height of water and the pump's highest head; a vented tank adds none"))  # fmt: skip
            yield _line(
                f"{key}: temperature",
                heat,
                "at least",
                needs.max_temperature_c,
                "temperature",
                tr("highest tank temperature"),
            )
    yield _line("tank: temperature", ratings.tank_temperature_c, "at least", needs.max_temperature_c, "temperature",
                tr("highest tank temperature"))  # fmt: skip
    yield _line("open tank: highest temperature", needs.max_temperature_c, "at most", needs.boiling_c - BOILING_MARGIN_K,
                "temperature", tr("10 K (18 °F) below boiling at the site's altitude, so that it does not steam away"))  # fmt: skip
    total = water_m3(ratings, needs)
    ground = tr(
        "{si} L ({us} gal) that grow by {swell} % from cold to hot",
        si=f"{total * 1e3:,.0f}",
        us=f"{total / GALLON_M3:,.0f}",
        swell=f"{needs.swell_share * 100:.1f}",
    )
    room, headspace = open_room_m3(ratings, needs), ratings.tank_headspace_m3
    yield _line("open tank: room over the cold water", headspace, "at least", room, "volume", ground)


def _relief_checks(ratings: Ratings, needs: Needs) -> Iterator[RatingCheck]:
    """Set pressure, temperature and discharge of the relief valve."""
    weakest = min(
        (value for key in PARTS if (value := getattr(ratings, f"{key}_pressure_pa")) is not None), default=None
    )
    yield _line(
        "relief valve: set pressure",
        ratings.relief_pressure_pa,
        "at most",
        weakest,
        "pressure",
        tr("weakest part given above"),
    )
    yield _line(
        "relief valve: temperature",
        ratings.relief_temperature_c,
        "at least",
        needs.max_temperature_c,
        "temperature",
        tr("highest tank temperature"),
    )
    if needs.fires:
        text, given = fire_relief(needs.fires), ratings.relief_discharge_w
        verdict: Verdict = "not given" if given is None else "take care"
        yield RatingCheck("relief valve: discharge", given, "at least", None, "power", verdict, text)
        return
    yield _line(
        "relief valve: discharge",
        ratings.relief_discharge_w,
        "at least",
        needs.source_w,
        "power",
        tr(
            "all sources of the option at once, where one valve guards them all; each source's own not less"
            " than its output (ASME BPVC section IV)"
        ),
    )


def _fill_checks(ratings: Ratings, needs: Needs, system: str) -> Iterator[RatingCheck]:
    """Fill pressure between what height asks for and what the relief valve leaves."""
    height = height_of(ratings, needs)
    least = least_fill_pa(height_m=height, density_kg_m3=needs.density_kg_m3) if height is not None else None
    most = relief_pa(ratings) - EN_MARGIN_PA
    fill = ratings.fill_pressure_pa
    low = tr("height of water and 0.3 bar (4.4 psi) at its top")
    high = _untyped_relief(ratings, tr("0.5 bar (7.3 psi) below the relief valve (EN 12828)"))
    tall = show(height or 0.0, "length", system)
    if height is None:
        low += tr("; type the height of the highest water above the gauge, among the ratings")
    elif ratings.height_m is None:
        low += tr("; {tall} from tank to highest level, as laid out", tall=tall)
    else:
        low += tr("; {tall} typed", tall=tall)
    if least is not None and least <= USUAL_FILL_PA:
        low += tr(
            "; gauges are usually set to {usual} (common practice)", usual=show(USUAL_FILL_PA, "pressure", system)
        )
    yield _line("fill pressure: lowest", fill, "at least", least, "pressure", low)
    yield _line("fill pressure: highest", fill, "at most", most, "pressure", high)


def _vessel_checks(ratings: Ratings, needs: Needs, system: str) -> Iterator[RatingCheck]:
    """Volume of the expansion tank by EN 12828, with what the ASHRAE Handbook asks for."""
    total, needed = swelling_m3(ratings, needs), vessel_m3(ratings, needs)
    typed = ratings.fill_pressure_pa is not None and ratings.relief_pressure_pa is not None
    if total is None:
        yield _line("expansion tank: volume", ratings.vessel_volume_m3, "at least", None, "volume", unknown_water())
        return
    water = f"{total / GALLON_M3:,.0f} gal" if system == "us" else f"{total * 1e3:,.0f} L"
    ground = tr(
        "{water} that grow by {swell}, a reserve, fill and relief pressure: EN 12828",
        water=water,
        swell=f"{needs.swell_share * 100:.1f} %",
    )
    less = handbook_vessel_m3(ratings, needs)
    if less is not None:
        ground += tr("; the ASHRAE Handbook's rule asks for {volume}", volume=show(less, "volume", system))
    ground += "" if typed else tr("; the usual 12 and 30 psi (0.8 and 2.1 bar) where none is typed")
    yield _line("expansion tank: volume", ratings.vessel_volume_m3, "at least", needed, "volume", ground)


def _freeze_check(needs: Needs) -> RatingCheck:
    """Freezing point against the coldest hour; plain water is for heated rooms only."""
    line = _line(
        "freezing point of what circulates",
        needs.freeze_c,
        "at most",
        needs.coldest_c,
        "temperature",
        tr("coldest hour of the weather"),
    )
    if line.verdict == "pass" and needs.antifreeze and needs.freeze_c > needs.coldest_c - HARD_WINTER_K:
        ground = tr("within 5 K (9 °F) of the weather's coldest hour; a hard winter is colder than a typical year")
        return RatingCheck(line.what, line.given, line.relation, line.needed, line.dimension, "take care", ground)
    if line.verdict == "pass":
        return line
    ground = tr("plain water: no tube outside the heated house, and a plan for a long power cut")
    if needs.antifreeze:
        ground = tr("slush in the coldest hour, in pipe outside the heated house; bursting by the maker's table")
    return RatingCheck(line.what, line.given, line.relation, line.needed, line.dimension, "take care", ground)
