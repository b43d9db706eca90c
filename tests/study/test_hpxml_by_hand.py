"""HPXML read by hand, branch by branch: areas, U-factors, shares, air and what is said of each."""

from __future__ import annotations

import pytest

from costsim.errors import InputError
from costsim.study import hpxml as reader
from costsim.study.building import Building, fragment, in_feet
from costsim.study.hpxml import CEILING, CONCRETE, FLOOR, MOST_UNUSED, WALL, read_hpxml
from costsim.study.xml_tree import LONGEST_TEXT, Element, read_tree

WALLS = '<Walls><Wall><SystemIdentifier id="w"/><Area>1000</Area><UFactor>0.05</UFactor></Wall></Walls>'


def of(enclosure: str = WALLS, construction: str = "", systems: str = "") -> Building:
    text = (
        f'<HPXML><Building><BuildingID id="b"/><BuildingDetails><BuildingSummary><BuildingConstruction>{construction}'
        f"</BuildingConstruction></BuildingSummary><Enclosure>{enclosure}</Enclosure><Systems>{systems}</Systems>"
        "</BuildingDetails></Building></HPXML>"
    )
    return read_hpxml(text.encode(), "b.xml")


def part(kind: str, inside: str, number: str = "a") -> str:
    return f'<{kind}s><{kind}><SystemIdentifier id="{number}"/>{inside}</{kind}></{kind}s>'


def u_of(building: Building, name: str = "a") -> float:
    found = next(one for one in (*building.surfaces, *building.without_area) if one["name"] == name)
    value, _, unit = found["u_value"].partition(" ")
    assert unit == "Btu/(h ft2 degF)"
    return float(value)


def said(building: Building) -> str:
    return "\n".join(building.notes)


def test_parallel_paths_by_hand() -> None:
    """Framing: a quarter of a wall, an eighth of a floor, a tenth of a ceiling, none of concrete; 2x4 up to R-15, then 2x6."""
    assert WALL.u_factor(15.0) == pytest.approx(0.75 / (2.9 + 15) + 0.25 / (2.9 + 4.4))
    assert WALL.u_factor(15.1) == pytest.approx(0.75 / (2.9 + 15.1) + 0.25 / (2.9 + 6.9))
    assert FLOOR.u_factor(19.0) == pytest.approx(0.88 / (2.9 + 19) + 0.12 / (2.9 + 6.9))
    assert CEILING.u_factor(38.0) == pytest.approx(0.9 / (1.7 + 38) + 0.1 / (1.7 + 6.9))
    assert CONCRETE.u_factor(10.0) == pytest.approx(1 / 12.0)
    assert WALL.u_factor(0.0) == pytest.approx(1 / 3.9)  # films, boards and the air between, no framing apart


@pytest.mark.parametrize(
    ("inside", "wanted"),
    [
        ("<UFactor>1.99</UFactor>", 1.99),
        ("<UFactor>2</UFactor><RValue>4</RValue>", 0.25),  # 2 is no wall's
        ("<UFactor>0</UFactor><RValue>4</RValue>", 0.25),
        ("<Insulation><AssemblyEffectiveRValue>20</AssemblyEffectiveRValue></Insulation>", 0.05),
        ("<UFactor>0.07</UFactor><Insulation><AssemblyEffectiveRValue>20</AssemblyEffectiveRValue></Insulation>", 0.07),
        ("<RValue>0.31</RValue>", 1 / 0.31),
        ("<RValue>0.3</RValue>", 1 / 3.9),  # too little to be true: by its insulation, which is none
        ("<RValue>199</RValue>", 1 / 199),
        ("<RValue>200</RValue>", 1 / 3.9),
        ("<Insulation><Layer><NominalRValue>10</NominalRValue></Layer><Layer><NominalRValue>3</NominalRValue></Layer></Insulation>",
         0.75 / 15.9 + 0.25 / 7.3),
        ("<Insulation><Layer><NominalRValue>-5</NominalRValue></Layer><Layer><NominalRValue>13</NominalRValue></Layer></Insulation>",
         0.75 / 15.9 + 0.25 / 7.3),
        ("<Insulation><Layer><NominalRValue>900</NominalRValue></Layer></Insulation>", 0.75 / 202.9 + 0.25 / 9.8),
        ("<Insulation><Layer></Layer></Insulation>", 1 / 3.9),
    ],
)  # fmt: skip
def test_a_walls_u_factor_is_the_best_that_is_told(inside: str, wanted: float) -> None:
    found = of(part("Wall", f"<Area>10</Area>{inside}"))
    assert u_of(found) == pytest.approx(wanted, rel=1e-4)
    estimated = "U-factors estimated" in said(found)
    assert estimated == (abs(wanted - 1 / 3.9) < 1e-9 or "Nominal" in inside)


@pytest.mark.parametrize(
    ("kind", "inside", "wanted"),
    [
        ("Window", "", 0.5), ("Window", "<GlassLayers>single-pane</GlassLayers>", 1.0),
        ("Window", "<GlassLayers>Double-Pane</GlassLayers>", 0.5), ("Skylight", "<GlassLayers>triple-pane</GlassLayers>", 0.3),
        ("Skylight", "<UFactor>0.6</UFactor>", 0.6), ("Door", "", 0.4),
        ("RimJoist", "", 1 / 3.9), ("Roof", "", 1 / 2.7), ("Floor", "", 1 / 3.9), ("FrameFloor", "", 1 / 3.9), ("Slab", "", 1 / 3.0),
        ("Slab", "<UnderSlabInsulation><AssemblyEffectiveRValue>12</AssemblyEffectiveRValue></UnderSlabInsulation>", 1 / 12),
        ("Slab", "<PerimeterInsulation><Layer><NominalRValue>10</NominalRValue></Layer></PerimeterInsulation>", 1 / 12),
        ("FoundationWall", "<Insulation><Layer><NominalRValue>8</NominalRValue></Layer></Insulation>", 1 / 10),
    ],
)  # fmt: skip
def test_every_kind_of_surface_has_its_own_layers(kind: str, inside: str, wanted: float) -> None:
    assert u_of(of(part(kind, f"<Area>10</Area>{inside}"))) == pytest.approx(wanted, rel=1e-4)


SHARE_OF = {
    "outside": None, "": None, "ambient": None, "attic - vented": None, "attic": None, "vented attic": None, "attic - unvented": "90 %",
    "unvented attic": "90 %", "garage": "60 %", "ground": "50 %", "basement - unconditioned": "50 %", "unconditioned basement": "50 %",
    "crawlspace - vented": "80 %", "vented crawlspace": "80 %", "crawlspace - unvented": "60 %", "unvented crawlspace": "60 %",
    "crawlspace": "70 %",
}  # fmt: skip
"""Part of the difference to outdoors that is left to such a space; common practice, no source."""


@pytest.mark.parametrize("beyond", SHARE_OF)
def test_spaces_between_take_a_part_of_the_difference(beyond: str) -> None:
    found = of(part("Wall", f"<ExteriorAdjacentTo>{beyond}</ExteriorAdjacentTo><Area>10</Area><UFactor>0.1</UFactor>"))
    (surface,) = found.surfaces
    assert surface.get("difference") == SHARE_OF[beyond]
    assert ("shares of the temperature difference" in said(found)) == (SHARE_OF[beyond] is not None)
    assert "taken like outdoors" not in said(found)
    assert set(SHARE_OF) == set(reader.SHARES)


@pytest.mark.parametrize("kind", ["Slab", "FoundationWall"])
@pytest.mark.parametrize(("beyond", "share"), [("", "50 %"), ("ground", "50 %"), ("outside", None), ("garage", "60 %")])
def test_slabs_and_foundation_walls_stand_in_the_ground_unless_told(kind: str, beyond: str, share: str | None) -> None:
    found = of(part(kind, f"<ExteriorAdjacentTo>{beyond}</ExteriorAdjacentTo><Area>10</Area><UFactor>0.1</UFactor>"))
    assert found.surfaces[0].get("difference") == share


def test_what_bounds_no_heated_space_is_left_out_and_said() -> None:
    for beyond, within, kept in (
        ("other housing unit", "", False), ("Living Space", "", False), ("outside", "garage", False), ("outside", "living space", True),
        ("moon", "conditioned space", True), ("conditioned basement", "living space", False), ("", "attic - vented", False),
    ):  # fmt: skip
        inside = f"<ExteriorAdjacentTo>{beyond}</ExteriorAdjacentTo><InteriorAdjacentTo>{within}</InteriorAdjacentTo>"
        found = of(WALLS + part("Door", f"{inside}<Area>10</Area>"))
        assert ("a" in {one["name"] for one in found.surfaces}) is kept
        assert ("a lies between" in said(found)) is not kept
        assert ("a bounds 'moon', which is taken like outdoors" in said(found)) == (beyond == "moon")


@pytest.mark.parametrize("area", ["", "<Area>0</Area>", "<Area>-3</Area>", "<Area>x</Area>"])
def test_a_surface_without_an_area_waits_for_it(area: str) -> None:
    found = of(part("Wall", f"{area}<UFactor>0.1</UFactor>"))
    assert found.surfaces == ()
    assert [one["name"] for one in found.without_area] == ["a"]
    assert '# area = "? ft2"' in fragment(found)
    assert not in_feet(found)


def test_openings_come_off_what_they_are_in() -> None:
    skylight = '<Skylights><Skylight><Area>30</Area><AttachedToRoof idref="r"/></Skylight></Skylights>'
    windows = (
        "<Windows>"
        + "".join(f'<Window><Area>{a}</Area><AttachedToWall idref="w"/></Window>' for a in (40, 60))
        + "</Windows>"
    )
    loose = '<Doors><Door><Area>20</Area></Door><Door><AttachedToWall idref="w"/></Door></Doors>'
    roof = '<Roofs><Roof><SystemIdentifier id="r"/><Area>500</Area></Roof></Roofs>'
    found = of(WALLS + roof + windows + skylight + loose)
    areas = {one["name"]: one["area"] for one in found.surfaces}
    assert areas == {
        "w": "900 ft2", "r": "470 ft2", "window 1": "40 ft2", "window 2": "60 ft2", "skylight 1": "30 ft2", "door 1": "20 ft2",
    }  # fmt: skip
    assert "w: windows and doors of 100 ft² were taken off its 1000 ft²" in found.notes
    assert in_feet(found)
    whole = of(WALLS + '<Windows><Window><Area>1000</Area><AttachedToWall idref="w"/></Window></Windows>')
    assert [one["name"] for one in whole.surfaces] == ["window 1"]


def test_a_roof_over_an_attic_counts_only_where_no_floor_does() -> None:
    roof = part("Roof", "<Area>900</Area>", "r")
    for link, counted in (("AttachedToFloor", False), ("AttachedToFrameFloor", False), ("AttachedToWall", True)):
        attic = f'<Attics><Attic><AttachedToRoof idref="r"/><{link} idref="x"/></Attic></Attics>'
        found = of(WALLS + roof + attic)
        assert ("r" in {one["name"] for one in found.surfaces}) is counted
        assert ("r lies over an attic whose floor counts instead" in found.notes) is not counted
    inside = part("Roof", "<InteriorAdjacentTo>conditioned space</InteriorAdjacentTo><Area>900</Area>", "r")
    attic = '<Attics><Attic><AttachedToRoof idref="r"/><AttachedToFloor idref="x"/></Attic></Attics>'
    assert "r" in {one["name"] for one in of(WALLS + inside + attic).surfaces}
    assert "q" in {one["name"] for one in of(WALLS + part("Roof", "<Area>9</Area>", "q") + attic).surfaces}


@pytest.mark.parametrize(
    ("kind", "share"),
    [
        ("<Basement><Conditioned>true</Conditioned></Basement>", "50 %"), ("<Basement><Conditioned>TRUE</Conditioned></Basement>", "50 %"),
        ("<Basement><Conditioned>false</Conditioned></Basement>", None), ("<Basement/>", None), ("<SlabOnGrade/>", "50 %"),
        ("<Crawlspace/>", None),
    ],
)  # fmt: skip
@pytest.mark.parametrize("link", ["AttachedToFloor", "AttachedToFrameFloor"])
def test_the_floor_of_a_heated_basement_lies_on_the_ground(kind: str, share: str | None, link: str) -> None:
    foundation = f'<Foundations><Foundation><FoundationType>{kind}</FoundationType><{link} idref="a"/></Foundation></Foundations>'
    found = of(part("Floor", "<Area>10</Area>") + foundation)
    assert found.surfaces[0].get("difference") == share


def air(*measured: tuple[str, str, str]) -> str:
    one = "".join(
        f"<AirInfiltrationMeasurement>{f'<HousePressure>{p}</HousePressure>' if p else ''}<BuildingAirLeakage><UnitofMeasure>{unit}"
        f"</UnitofMeasure><AirLeakage>{value}</AirLeakage></BuildingAirLeakage></AirInfiltrationMeasurement>"
        for value, unit, p in measured
    )
    return f"{WALLS}<AirInfiltration>{one}</AirInfiltration>"


VOLUME = "<ConditionedBuildingVolume>12000</ConditionedBuildingVolume>"


@pytest.mark.parametrize(
    ("measured", "changes"),
    [
        ((("8", "ACH", "50"),), 0.4),  # a twentieth of what it is at 50 Pa
        ((("8", "ach", "100"),), 8 * 0.5**0.65 / 20),
        ((("8", "ACH", "100.1"),), None),
        ((("8", "ACH", "0"),), None),
        ((("8", "ACH", ""),), None),
        ((("0.5", "ACHnatural", ""),), 0.5),
        ((("100", "CFMnatural", ""),), 0.5),  # 6,000 ft³ an hour of 12,000
        ((("1600", "CFM", "50"),), 0.4),
        ((("0", "ACH", "50"),), None),
        ((("-1", "ACH", "50"),), None),
        ((("5", "ELA", "50"),), None),
        ((("5", "ELA", "50"), ("0.3", "ACHnatural", "")), 0.3),
        ((("0.2", "ACHnatural", ""), ("0.3", "ACHnatural", "")), 0.2),
    ],
)
def test_air_changes_by_hand(measured: tuple[tuple[str, str, str], ...], changes: float | None) -> None:
    found = of(air(*measured), VOLUME)
    assert ("air changes are not told" in said(found)) == (changes is None)
    if changes is None:
        assert found.infiltration == {}
        return
    assert found.infiltration["volume"] == "12000 ft3"
    value, unit = found.infiltration["changes"].split(" ")
    assert (float(value), unit) == (pytest.approx(changes, rel=1e-4), "/h")
    assert ("rule of a twentieth" in said(found)) == (measured[-1][2] != "")


@pytest.mark.parametrize(
    ("construction", "area", "volume"),
    [
        ("<ConditionedFloorArea>1500</ConditionedFloorArea>" + VOLUME, "1500 ft2", "12000 ft3"),
        (
            "<ConditionedFloorArea>1500</ConditionedFloorArea><BuildingVolume>13000</BuildingVolume>",
            "1500 ft2",
            "13000 ft3",
        ),
        ("<ConditionedFloorArea>1500</ConditionedFloorArea>", "1500 ft2", "12000 ft3"),  # eight feet high
        (
            "<ConditionedFloorArea>1500</ConditionedFloorArea><AverageCeilingHeight>9</AverageCeilingHeight>",
            "1500 ft2",
            "13500 ft3",
        ),
        ("<ConditionedFloorArea>0</ConditionedFloorArea>" + VOLUME, None, "12000 ft3"),
        ("<ConditionedFloorArea>-4</ConditionedFloorArea>", None, None),
        ("<ConditionedFloorArea>0.5</ConditionedFloorArea>" + VOLUME, "0.5 ft2", "12000 ft3"),
        ("", None, None),
    ],
)
def test_area_and_volume_as_told_or_by_the_height(construction: str, area: str | None, volume: str | None) -> None:
    found = of(air(("0.5", "ACHnatural", "")), construction)
    assert found.house.get("floor_area") == area
    assert found.infiltration.get("volume") == volume
    height = 9 if "Height" in construction else 8
    told = f"no volume is told: floor area times {height} ft was taken" in found.notes
    assert told == ("Area>1500" in construction and "Volume" not in construction) or "-4" in construction


def test_the_set_point_is_told_or_missed() -> None:
    control = "<HVAC><HVACControl><SetpointTempHeatingSeason>{}</SetpointTempHeatingSeason></HVACControl></HVAC>"
    assert of(systems=control.format("68.5")).house == {"indoor_temperature": "68.5 degF"}
    assert of(systems=control.format("0")).house == {"indoor_temperature": "0 degF"}
    assert "no set-point of the heating season" in said(of())
    assert "set-point" not in said(of(systems=control.format("68")))


def building(name: str, event: str) -> str:
    return (
        f'<Building><BuildingID id="{name}"/><ProjectStatus><EventType>{event}</EventType></ProjectStatus>'
        f"<BuildingDetails><Enclosure>{WALLS}</Enclosure></BuildingDetails></Building>"
    )


def test_the_building_that_is_no_proposal_is_taken_or_asked_for() -> None:
    def read(*buildings: tuple[str, str], wanted: str = "") -> Building:
        return read_hpxml(f"<HPXML>{''.join(building(*one) for one in buildings)}</HPXML>".encode(), "b.xml", wanted)

    assert "the one that is no proposal" not in said(read(("one", "audit")))
    assert "building 'two'" in read(("one", "Proposed workscope"), ("two", "audit")).name
    assert "building 'one'" in read(("one", "proposed"), ("two", "proposed")).name  # nothing but proposals: the first
    assert read(("one", "audit"), ("two", ""), wanted="two").notes[0] != ""
    with pytest.raises(InputError) as caught:
        read(*((f"n{at}", "") for at in range(22)))
    (fault,) = caught.value.faults
    assert "'n19'" in str(fault)
    assert "'n20'" not in str(fault)
    assert "--building 'n0'" in str(fault)
    with pytest.raises(InputError, match="'twin' is none of"):
        read(("twin", ""), ("twin", ""), wanted="twin")


def test_what_is_not_used_is_listed_up_to_a_bound() -> None:
    for count in (MOST_UNUSED - 1, MOST_UNUSED, MOST_UNUSED + 1):
        unused = of(construction="".join(f"<Made{at}>1</Made{at}>" for at in range(count))).unused
        assert len(unused) == count
        assert ("more" in unused[-1]) == (count > MOST_UNUSED)
    assert unused[-1] == "… and 1 more"
    many = "".join(f"<Wall><SystemIdentifier id='w{at}'/><Area>9</Area></Wall>" for at in range(22))
    (told,) = (note for note in of(f"<Walls>{many}</Walls>").notes if note.startswith("U-factors estimated"))
    assert told.endswith(", w19 R-0")


def test_a_tree_of_xml_is_bounded_and_remembers_what_was_asked() -> None:
    tree = read_tree(b'<a id="1"><b idref="2"> x </b><b>y</b><c><d>7.5</d><d>1e13</d></c><e>nan</e></a>', "f")
    assert (tree.name, tree.identity) == ("a", "1")
    assert [one.text for one in tree.all("b")] == ["x", "y"]
    first = tree.first("b")
    assert first is not None
    assert first.identity == "2"
    assert (tree.value("b"), tree.value("none"), tree.number("c/d"), tree.number("b"), tree.number("e")) == (
        "x",
        "",
        7.5,
        None,
        None,
    )
    assert list(tree.unused()) == ["a/b", "a/c/d"]
    assert Element("n", text="1e12").number("") is None
    big = read_tree(b"<a><b>999999999999</b><c>1000000000000</c><d>-1e12</d></a>", "f")
    assert (big.number("b"), big.number("c"), big.number("d")) == (999999999999.0, None, None)
    deep = b"<a>" * 64 + b"</a>" * 64
    assert read_tree(deep, "f").name == "a"
    with pytest.raises(InputError, match="more elements"):
        read_tree(b"<a>" * 65 + b"</a>" * 65, "f")
    # a building has less than 20 MB; one byte more is refused before it is read
    for size, said in ((20_000_000, "is no whole XML file"), (20_000_001, "is 20 MB large")):
        with pytest.raises(InputError, match=said):
            read_tree(b"x" * size, "f")
    long = read_tree(b"<a>" + b"x" * LONGEST_TEXT + b"</a>", "f")
    assert len(long.text) == LONGEST_TEXT
    assert read_tree(b"<a>" + b"x" * (LONGEST_TEXT + 1) + b"</a>", "f").text == ""
    assert len(read_tree(b"<" + b"n" * 200 + b' id="' + b"i" * 200 + b'"/>', "f").name) == 100
