"""The envelope, air-tightness and set-point of a building in HPXML, versions 2 to 4: areas, R-values and U-factors in US units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from costsim.errors import Fault, InputError
from costsim.study.building import Building
from costsim.study.xml_tree import Element, read_tree

U_UNIT, FEET = "Btu/(h ft2 degF)", "ft2"
MOST_UNUSED = 400
ACH50_OVER_NATURAL = 20.0
"""Air changes at 50 Pa over natural ones, a rule of thumb: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Layering:
    """How an assembly's U-factor is estimated from the nominal R-value of its insulation, by parallel paths [h ft² °F/Btu].

    Parameters
    ----------
    base_r : float
        Films and boards without insulation.
    framing : float
        Share of the area that is framing.
    """

    base_r: float
    framing: float

    def u_factor(self, nominal_r: float) -> float:
        """U-factor of the assembly; framing as deep as the insulation, 1.25 an inch of wood (value from memory).

        Examples
        --------
        A 2x4 wall with R-13: energy codes list 0.082.

        >>> round(Layering(2.9, 0.25).u_factor(13.0), 3)
        0.081
        """
        wood = 4.4 if nominal_r <= 15.0 else 6.9
        hollow = 1.0 if nominal_r == 0 else 0.0  # the air in an empty cavity
        framed = 0.0 if nominal_r == 0 else self.framing
        return (1.0 - framed) / (self.base_r + hollow + nominal_r) + framed / (self.base_r + wood)


WALL, CEILING, FLOOR, CONCRETE = Layering(2.9, 0.25), Layering(1.7, 0.10), Layering(2.9, 0.12), Layering(2.0, 0.0)
KINDS: tuple[tuple[str, str, Layering], ...] = (
    ("Walls/Wall", "wall", WALL),
    ("RimJoists/RimJoist", "rim joist", WALL),
    ("FoundationWalls/FoundationWall", "foundation wall", CONCRETE),
    ("Floors/Floor", "floor", FLOOR),
    ("FrameFloors/FrameFloor", "floor", FLOOR),
    ("Slabs/Slab", "slab", CONCRETE),
    ("Roofs/Roof", "roof", CEILING),
    ("Windows/Window", "window", WALL),
    ("Skylights/Skylight", "skylight", WALL),
    ("Doors/Door", "door", WALL),
)
SHARES = {
    "outside": 1.0, "": 1.0, "ambient": 1.0, "attic - vented": 1.0, "attic - unvented": 0.9, "garage": 0.6, "ground": 0.5,
    "basement - unconditioned": 0.5, "crawlspace - vented": 0.8, "crawlspace - unvented": 0.6, "crawlspace": 0.7,
    "unconditioned basement": 0.5, "vented crawlspace": 0.8, "unvented crawlspace": 0.6, "vented attic": 1.0, "unvented attic": 0.9,
    "attic": 1.0,
}  # fmt: skip
"""Of the temperature difference that a surface to such a space sees: common practice, no source."""
_INSIDE = ("living space", "conditioned space", "basement - conditioned", "attic - conditioned", "crawlspace - conditioned", "other housing unit",
           "conditioned basement", "other heated space")  # fmt: skip


def read_hpxml(raw: bytes, file: str, building: str = "") -> Building:
    """Read a building's envelope.

    Parameters
    ----------
    raw : bytes
        The file.
    file : str
        Its name for messages.
    building : str
        Identity of the building to take; by default the first one that is no proposal.

    Raises
    ------
    InputError
        It is no HPXML, or holds no such building.
    """
    root = read_tree(raw, file)
    if root.name != "HPXML":
        raise InputError(
            Fault("", f"is XML of '{root.name}', not HPXML", "give HPXML, or a CSV list of surfaces", file)
        )
    chosen, notes = _chosen(list(root.all("Building")), building, file)
    details = chosen.first("BuildingDetails") or Element("BuildingDetails")
    house, volume_ft3 = _house(details, notes)
    enclosure = details.first("Enclosure") or Element("Enclosure")
    infiltration = _infiltration(enclosure, volume_ft3, notes)
    surfaces, without = _surfaces(enclosure, notes)
    if not surfaces and not without:
        remedy = "export the envelope too, or give a CSV list of surfaces"
        raise InputError(Fault("Enclosure", "holds no wall, roof, floor, window or door", remedy, file))
    paths = list(dict.fromkeys(path.partition("/")[2] for path in details.unused()))
    more = [f"… and {len(paths) - MOST_UNUSED} more"] if len(paths) > MOST_UNUSED else []
    return Building(
        f"{file}, building '{_identity(chosen)}'", tuple(surfaces), infiltration, house, tuple(without), tuple(notes),
        (*paths[:MOST_UNUSED], *more),
    )  # fmt: skip


def _identity(building: Element) -> str:
    identity = building.first("BuildingID")
    return identity.identity if identity else ""


def _chosen(buildings: list[Element], wanted: str, file: str) -> tuple[Element, list[str]]:
    if not buildings:
        raise InputError(Fault("Building", "the file holds none", "export the building with its envelope", file))
    events = [(building, _identity(building), building.value("ProjectStatus/EventType")) for building in buildings]
    listed = ", ".join(f"'{name}'" + (f" ({event})" if event else "") for _, name, event in events[:20])
    if wanted:
        meant = [building for building, name, _ in events if name == wanted]
        if len(meant) != 1:
            raise InputError(Fault("--building", f"'{wanted}' is none of {listed}", "give one of these names", file))
        return meant[0], []
    as_is = [building for building, _, event in events if "proposed" not in event.lower()] or [buildings[0]]
    if len(as_is) > 1:
        names = tuple(name for building, name, _ in events if building in as_is)
        remedy = f"choose one with --building '{names[0]}'"
        raise InputError(Fault("Building", f"the file holds several: {listed}", remedy, file, "building", names))
    notes = [f"of the buildings {listed} the one that is no proposal was taken; --building chooses another"]
    return as_is[0], notes if len(buildings) > 1 else []


def _house(details: Element, notes: list[str]) -> tuple[dict[str, str], float | None]:
    facts = details.first("BuildingSummary/BuildingConstruction") or Element("")
    house: dict[str, str] = {}
    area = facts.number("ConditionedFloorArea")
    if area and area > 0:
        house["floor_area"] = f"{area:g} {FEET}"
    volume = facts.number("ConditionedBuildingVolume") or facts.number("BuildingVolume")
    height = facts.number("AverageCeilingHeight")
    if not volume and area:
        volume = area * (height or 8.0)
        notes.append(f"no volume is told: floor area times {height or 8.0:g} ft was taken")
    control = details.first("Systems/HVAC/HVACControl") or Element("")
    point = control.number("SetpointTempHeatingSeason")
    if point is not None:
        house["indoor_temperature"] = f"{point:g} degF"
    else:
        notes.append("the file tells no set-point of the heating season")
    return house, volume if volume and volume > 0 else None


def _infiltration(enclosure: Element, volume_ft3: float | None, notes: list[str]) -> dict[str, str]:
    """Volume and natural air changes from what was measured; empty where neither can be had."""
    for measured in enclosure.all("AirInfiltration/AirInfiltrationMeasurement"):
        value = measured.number("BuildingAirLeakage/AirLeakage")
        unit, pressure = measured.value("BuildingAirLeakage/UnitofMeasure").lower(), measured.number("HousePressure")
        if not value or value <= 0 or not volume_ft3:
            continue
        if unit in ("achnatural", "cfmnatural"):
            changes = value if unit == "achnatural" else value * 60.0 / volume_ft3
        elif unit in ("ach", "cfm") and pressure is not None and 0 < pressure <= 100:
            at_test = value if unit == "ach" else value * 60.0 / volume_ft3
            changes = at_test * (50.0 / pressure) ** 0.65 / ACH50_OVER_NATURAL
            notes.append(
                f"{value:g} {unit.upper()} at {pressure:g} Pa: natural air changes by the rule of a twentieth of those at 50 Pa "
                "(common practice, no source)"
            )
        else:
            continue
        return {"volume": f"{volume_ft3:g} ft3", "changes": f"{changes:.5g} /h"}
    notes.append("air changes are not told: put infiltration into the study")
    return {}


def _surfaces(enclosure: Element, notes: list[str]) -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    openings = _openings(enclosure)
    under_attic, on_ground = _roofs_over_attics(enclosure), _floors_on_ground(enclosure)
    surfaces: list[dict[str, str]] = []
    without: list[dict[str, str]] = []
    estimated: list[str] = []
    for path, kind, layering in KINDS:
        for number, element in enumerate(enclosure.all(path), 1):
            name = _name(element, kind, number)
            beyond, within = element.value("ExteriorAdjacentTo").lower(), element.value("InteriorAdjacentTo").lower()
            if beyond in _INSIDE or (within and within not in _INSIDE):
                notes.append(
                    f"{name} lies between '{within or 'inside'}' and '{beyond or 'outside'}' and bounds no heated space"
                )
                continue
            if kind == "roof" and not within and name in under_attic:
                notes.append(f"{name} lies over an attic whose floor counts instead")
                continue
            made = {"name": name, "u_value": f"{_u_factor(element, layering, name, estimated):.5g} {U_UNIT}"}
            grounded = kind in ("slab", "foundation wall") or name in on_ground
            share = SHARES.get("ground" if grounded and beyond in ("", "ground") else beyond)
            if share is None:
                notes.append(f"{name} bounds '{beyond}', which is taken like outdoors")
            elif share != 1.0:
                made["difference"] = f"{share * 100:g} %"
            area = element.number("Area")
            if area is None or area <= 0:
                without.append(made)
                continue
            net = area - openings.get(name, 0.0)
            if name in openings:
                notes.append(f"{name}: windows and doors of {openings[name]:g} ft² were taken off its {area:g} ft²")
            if net > 0:
                surfaces.append(
                    {"name": name, "area": f"{net:g} {FEET}", **{k: v for k, v in made.items() if k != "name"}}
                )
    if estimated:
        notes.append(
            "U-factors estimated from the nominal R-value of the insulation, with usual boards, films and framing (values from memory): "
            + ", ".join(estimated[:20])
        )
    if any("difference" in surface for surface in (*surfaces, *without)):
        notes.append(
            "shares of the temperature difference to ground and unheated spaces are common practice, without a source"
        )
    return surfaces, without


def _name(element: Element, kind: str, number: int) -> str:
    identity = element.first("SystemIdentifier")
    return (identity.identity if identity else "") or f"{kind} {number}"


def _u_factor(element: Element, layering: Layering, name: str, estimated: list[str]) -> float:
    u_factor = element.number("UFactor")
    if u_factor and 0 < u_factor < 2:
        return u_factor
    for path in ("Insulation/AssemblyEffectiveRValue", "UnderSlabInsulation/AssemblyEffectiveRValue", "RValue"):
        whole = element.number(path)
        if whole and 0.3 < whole < 200:
            return 1.0 / whole
    nominal = sum(max(r, 0.0) for r in _layers(element))
    estimated.append(f"{name} R-{nominal:g}")
    if element.name in ("Window", "Skylight"):
        return {"single-pane": 1.0, "double-pane": 0.5, "triple-pane": 0.3}.get(
            element.value("GlassLayers").lower(), 0.5
        )
    return layering.u_factor(min(nominal, 200.0)) if element.name != "Door" else 0.4


def _layers(element: Element) -> Iterator[float]:
    for path in ("Insulation/Layer", "PerimeterInsulation/Layer"):
        for layer in element.all(path):
            yield layer.number("NominalRValue") or 0.0


def _openings(enclosure: Element) -> dict[str, float]:
    """Area of windows and doors by the wall or roof that they are attached to [ft²]."""
    openings: dict[str, float] = {}
    for path, link in (
        ("Windows/Window", "AttachedToWall"),
        ("Doors/Door", "AttachedToWall"),
        ("Skylights/Skylight", "AttachedToRoof"),
    ):
        for opening in enclosure.all(path):
            to, area = opening.first(link), opening.number("Area")
            if to is not None and to.identity and area:
                openings[to.identity] = openings.get(to.identity, 0.0) + area
    return openings


def _roofs_over_attics(enclosure: Element) -> set[str]:
    return {
        roof.identity
        for attic in enclosure.all("Attics/Attic")
        if attic.first("AttachedToFloor") is not None or attic.first("AttachedToFrameFloor") is not None
        for roof in attic.all("AttachedToRoof")
    }


def _floors_on_ground(enclosure: Element) -> set[str]:
    """Floors of heated basements and slabs."""
    floors: set[str] = set()
    for foundation in enclosure.all("Foundations/Foundation"):
        heated = foundation.value("FoundationType/Basement/Conditioned").lower() == "true"
        if heated or foundation.first("FoundationType/SlabOnGrade") is not None:
            floors |= {
                link.identity for name in ("AttachedToFloor", "AttachedToFrameFloor") for link in foundation.all(name)
            }
    return floors
