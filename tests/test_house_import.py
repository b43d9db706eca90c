"""A building from HPXML or a CSV of surfaces: losses by hand, nothing lost without a word, and files made to do harm."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from costsim.cli.main import main
from costsim.errors import InputError
from costsim.study.building import fragment, in_feet
from costsim.study.case import find_study, read_study
from costsim.study.hpxml import WALL, read_hpxml
from costsim.study.surface_list import read_surfaces
from costsim.units.quantity import BTU_J, FOOT_M

US_U = BTU_J / 3600.0 / FOOT_M**2 * 1.8  # one Btu/(h ft2 degF) in W/(m2 K)


def hpxml(enclosure: str = "", buildings: int = 1, facts: str = "", systems: str = "") -> bytes:
    """A small file by the published schema, with invented values."""
    body = "".join(
        f"""<Building><BuildingID id="b{i}"/><ProjectStatus><EventType>{"audit" if i == 1 else "proposed workscope"}</EventType>
        </ProjectStatus><BuildingDetails><BuildingSummary><BuildingConstruction><YearBuilt>1970</YearBuilt>
        <ConditionedFloorArea>1500</ConditionedFloorArea><ConditionedBuildingVolume>12000</ConditionedBuildingVolume>{facts}
        </BuildingConstruction></BuildingSummary><Enclosure>{enclosure}</Enclosure><Systems>{systems}</Systems></BuildingDetails></Building>"""
        for i in range(1, buildings + 1)
    )
    return f'<?xml version="1.0"?><HPXML xmlns="http://hpxmlonline.com/2023/09" schemaVersion="4.0">{body}</HPXML>'.encode()


ENVELOPE = """
<AirInfiltration><AirInfiltrationMeasurement><HousePressure>50</HousePressure><BuildingAirLeakage><UnitofMeasure>ACH</UnitofMeasure>
<AirLeakage>8</AirLeakage></BuildingAirLeakage></AirInfiltrationMeasurement></AirInfiltration>
<Walls><Wall><SystemIdentifier id="w1"/><ExteriorAdjacentTo>outside</ExteriorAdjacentTo>
<InteriorAdjacentTo>conditioned space</InteriorAdjacentTo><Area>1200</Area>
<Insulation><AssemblyEffectiveRValue>12.5</AssemblyEffectiveRValue></Insulation></Wall>
<Wall><SystemIdentifier id="w2"/><ExteriorAdjacentTo>garage</ExteriorAdjacentTo><Area>200</Area>
<Insulation><Layer><NominalRValue>13</NominalRValue></Layer></Insulation></Wall>
<Wall><SystemIdentifier id="w3"/><ExteriorAdjacentTo>other housing unit</ExteriorAdjacentTo><Area>300</Area></Wall></Walls>
<Floors><Floor><SystemIdentifier id="f1"/><ExteriorAdjacentTo>crawlspace - vented</ExteriorAdjacentTo><Area>1500</Area>
<Insulation><AssemblyEffectiveRValue>20</AssemblyEffectiveRValue></Insulation></Floor></Floors>
<Windows><Window><SystemIdentifier id="n1"/><Area>180</Area><UFactor>0.35</UFactor><SHGC>0.4</SHGC><AttachedToWall idref="w1"/></Window></Windows>
<Doors><Door><SystemIdentifier id="d1"/><Area>20</Area><RValue>5</RValue><AttachedToWall idref="w1"/></Door></Doors>
"""
CONTROL = "<HVAC><HVACControl><SetpointTempHeatingSeason>68</SetpointTempHeatingSeason></HVACControl></HVAC>"


def test_losses_by_hand_and_all_that_is_left_is_listed() -> None:
    found = read_hpxml(hpxml(ENVELOPE, systems=CONTROL), "b.xml")
    # net wall 1000 ft2 at; garage wall by its estimate at 60 %; floor R-20 at 80 %; windows and door; air 8/20 an hour
    ua = 1000 / 12.5 + 200 * WALL.u_factor(13) * 0.6 + 1500 / 20 * 0.8 + 180 * 0.35 + 20 / 5
    air = 0.34 * 12000 * FOOT_M**3 * 0.4
    assert found.loss_w_k == pytest.approx(ua * US_U * FOOT_M**2 + air, rel=2e-3)
    assert found.house == {"floor_area": "1500 ft2", "indoor_temperature": "68 degF"}
    told = " ".join(found.notes)
    for words in ("w1: windows and doors of 200 ft²", "w3 lies between", "w2 R-13", "rule of a twentieth"):
        assert words in told, words
    assert set(found.unused) == {
        "BuildingSummary/BuildingConstruction/YearBuilt", "Enclosure/Windows/Window/SHGC",
        "Enclosure/Walls/Wall/Area",  # of the wall to another housing unit
    }  # fmt: skip


def test_r_13_in_a_2x4_wall_is_what_energy_codes_list() -> None:
    """US energy codes list 0.082 for R-13 in 2x4 and 0.060 for R-19 in 2x6 framing (values from memory)."""
    assert WALL.u_factor(13.0) == pytest.approx(0.082, rel=0.03)
    assert WALL.u_factor(19.0) == pytest.approx(0.060, rel=0.03)


def test_several_buildings_are_told_or_asked() -> None:
    two = hpxml(ENVELOPE, buildings=2)
    assert "'b1' (audit), 'b2' (proposed workscope)" in read_hpxml(two, "b.xml").notes[0]
    assert "building 'b2'" in read_hpxml(two, "b.xml", "b2").name
    with pytest.raises(InputError, match="'b3' is none of 'b1'"):
        read_hpxml(two, "b.xml", "b3")
    both = two.replace(b"proposed workscope", b"audit")
    with pytest.raises(InputError, match="choose one with --building"):
        read_hpxml(both, "b.xml")


def test_surfaces_without_area_stand_in_the_fragment_to_be_completed() -> None:
    bare = ENVELOPE.replace("<Area>1500</Area>", "")
    found = read_hpxml(hpxml(bare), "b.xml")
    assert [one["name"] for one in found.without_area] == ["f1"]
    text = fragment(found)
    assert '# area = "? ft2"' in text
    assert len(tomllib.loads(text)["house"]["surface"]) == len(found.surfaces)


def test_what_little_a_file_tells_is_taken_by_hand() -> None:
    """No volume: 1,500 ft² times 8 ft. A heated basement's floor lies on the ground: half the difference, common practice."""
    on_ground = (
        "<Foundations><Foundation><FoundationType><Basement><Conditioned>{}</Conditioned></Basement></FoundationType>"
        '<AttachedToFloor idref="f1"/></Foundation></Foundations>'
    )
    floor = ENVELOPE.replace("<ExteriorAdjacentTo>crawlspace - vented</ExteriorAdjacentTo>", "")
    small = hpxml(floor + on_ground.format("true"), systems=CONTROL).replace(
        b"<ConditionedBuildingVolume>12000</ConditionedBuildingVolume>", b""
    )
    found = read_hpxml(small, "b.xml")
    assert found.infiltration["volume"].split()[0] == "12000"
    assert "no volume is told: floor area times 8 ft was taken" in found.notes
    shares = {one["name"]: one.get("difference") for one in found.surfaces}
    assert (shares["f1"], shares["w2"], shares["w1"]) == ("50 %", "60 %", None)
    cold = read_hpxml(hpxml(floor + on_ground.format("false"), systems=CONTROL), "b.xml")
    assert next(one for one in cold.surfaces if one["name"] == "f1").get("difference") is None
    bare = small.replace(b"<ConditionedFloorArea>1500</ConditionedFloorArea>", b"")
    nothing = read_hpxml(bare, "b.xml")
    assert nothing.house == {"indoor_temperature": "68 degF"}
    assert not nothing.infiltration
    glazed = ENVELOPE.replace("<Area>1200</Area>", "<Area>200</Area>")  # as much glass and door as wall
    assert "w1" not in {one["name"] for one in read_hpxml(hpxml(glazed), "b.xml").surfaces}
    assert "f1" in {one["name"] for one in found.surfaces}


def test_of_very_many_unused_entries_the_rest_is_counted() -> None:
    many = "".join(f"<Made{at}>1</Made{at}>" for at in range(403))
    unused = read_hpxml(hpxml(ENVELOPE, facts=many), "b.xml").unused
    # with the year built, the sun factor and the inner wall's area
    assert len(unused) == 401
    assert unused[-1] == "… and 6 more"


def test_feet_are_known_from_meters() -> None:
    assert in_feet(read_surfaces(b"name,area [ft2],u_value\nWall,1000,0.3 W/(m2 K)\n", "s.csv"))
    assert not in_feet(read_surfaces(b"name,area [m2],u_value\nWall,100,0.3 W/(m2 K)\n", "s.csv"))


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "b">]><HPXML>&a;</HPXML>', "document type"),
        (b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><HPXML>&a;</HPXML>', "document type"),
        (b"<a>" * 100 + b"</a>" * 100, "more elements than a building has"),
        (hpxml(ENVELOPE)[:-40], "is no whole XML"),
        (b"<html></html>", "not HPXML"),
        (b"<HPXML/>", "the file holds none"),
        (hpxml(), "holds no wall, roof, floor, window or door"),
    ],
)
def test_what_is_no_building_is_refused_in_one_line(raw: bytes, words: str) -> None:
    with pytest.raises(InputError) as caught:
        read_hpxml(raw, "b.xml")
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "name,area [ft2],u_value [Btu/(h ft2 degF)],difference\nWalls,1000,0.08,\nFloor,1500,0.05,80 %\n",
        "Surface;Area;R-value (h ft2 degF/Btu);Share [%]\nWalls;1000 ft2;12.5;100\nFloor;1500 ft2;20;80\n",
        "element\tarea\tU\tb\nWalls\t1000 ft2\t0.08 Btu/(h ft2 degF)\t1\nFloor\t1500 ft2\t0.05 Btu/(h ft2 degF)\t0.8\n",
    ],
)
def test_a_list_of_surfaces_is_read_in_the_units_it_tells(text: str) -> None:
    if "\tb\n" in text:
        text = text.replace("\t1\n", "\t100 %\n").replace("\t0.8\n", "\t80 %\n")
    found = read_surfaces(text.encode(), "s.csv")
    assert found.loss_w_k == pytest.approx((1000 * 0.08 + 1500 * 0.05 * 0.8) * US_U * FOOT_M**2, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Component,Area (sq ft),R-Value\nWalls,\"1,000\",R-12.5\nFloor,1200,20\n", "the R-values have no unit: h ft2 degF/Btu is taken"),
        ("Bauteil;Fläche [m²];U-Wert [W/m²K]\nWand;92,90304;0,4542611\nBoden;111,483648;0,2839132\n", ""),
        ("surface,gross area ft2,U-factor Btu/hr-ft2-F,orientation\nWall,1000,0.08,N\nFloor,1200,0.05,\n", ""),
        ("House, 2 Invented Rd\nprepared 2024\n\nSurface,Gross area,Net area (sq ft),U-factor\nWall,1100,1000,0.08\nFloor,1200,1200,0.05\nTotal,2300,2200,\n",
         "left out as a sum: line 7"),
        ("Bauteil;Fläche in m²;U-Wert in W/(m²K)\nWand;92,90304;0,4542611\nBoden;111,483648;0,2839132\nSumme;204,4;\n", "left out as a sum: line 4"),
        ("Onderdeel;Oppervlakte (m2);Rc-waarde (m2K/W);U-waarde\nGevel;92,90304;2,201377;\nVloer;111,483648;;0,2839132\n", "it goes with the areas"),
        ("Paroi;Surface (m²);U (W/m².K)\nMur nord;92,90304;0,4542611\nSol;111,483648;0,2839132\n", ""),
        ("Element\tArea sqft\tU\nWall\t1000\t0.08\nFloor\t1200\t0.05\n", "the U-values have no unit: Btu/(h ft2 degF) is taken"),
    ],
)  # fmt: skip
def test_lists_as_people_keep_them_are_read_at_first_try(text: str, told: str) -> None:
    found = read_surfaces(text.encode(), "s.csv")
    assert found.loss_w_k == pytest.approx((1000 * 0.08 + 1200 * 0.05) * US_U * FOOT_M**2, rel=1e-3)
    assert any(told in note for note in found.notes) or not told


def test_areas_without_a_unit_are_one_question() -> None:
    with pytest.raises(InputError) as caught:
        read_surfaces(b"Name,Area,U\nWall,100,0.3\nRoof,80,0.2\n", "s.csv")
    assert str(caught.value) == (
        "s.csv: Area: the areas have no unit; write it into the heading, such as 'Area [ft2]' or 'Area [m2]'"
    )


def test_faults_of_a_list_are_told_all_at_once() -> None:
    text = "name,area,u_value,typical,note\nA,40,0.3 W/(m2 K),,x\nB,40 m2,,straw,\nC,40 m2,,,\nD,40 m,0.3 W/(m2 K),,\n"
    with pytest.raises(InputError) as caught:
        read_surfaces(text.encode(), "s.csv")
    lines = str(caught.value).split("\n")
    assert len(lines) == 4
    assert all(line.startswith("s.csv: line ") for line in lines)
    with pytest.raises(InputError, match="has no columns of area"):
        read_surfaces(b"name,size\nA,3\n", "s.csv")


def test_the_command_writes_a_study_that_can_be_checked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("b.xml").write_bytes(hpxml(ENVELOPE, systems=CONTROL))
    assert main(["house", "import", "b.xml", "--study", "lantern_cottage", "-o", "walls.toml"]) == 0
    text = capsys.readouterr().out
    assert "Not used" in text
    case = read_study("walls.toml")
    assert case.house.route_used == "envelope"
    comments = [line for line in find_study("lantern_cottage").read_text("utf-8").splitlines() if line.startswith("#")]
    assert comments
    assert set(comments) <= set(Path("walls.toml").read_text("utf-8").splitlines())
    assert case.house.indoor_temperature_c == pytest.approx(20.0)
    found = read_hpxml(Path("b.xml").read_bytes(), "b.xml")
    design = case.place.design_outdoor_c
    assert design is not None
    assert case.house.route("envelope", design, 0.0).load_w == pytest.approx(found.loss_w_k * (20.0 - design), rel=1e-6)
    assert main(["house", "import", "b.xml", "-o", "walls.toml"]) == 2
    assert "is there already" in capsys.readouterr().err
