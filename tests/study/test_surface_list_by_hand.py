"""Lists of surfaces read by hand, cell by cell: units, marks, sums, and the one line where something does not fit."""

from __future__ import annotations

import pytest

from costsim.errors import InputError
from costsim.study.building import Building
from costsim.study.surface_list import MOST_ABOVE, MOST_SURFACES, _parted, read_surfaces, unit_of

HEAD = "name,area [m2],u_value [W/(m2 K)]\n"


def read(text: str) -> Building:
    return read_surfaces(text.encode(), "s.csv")


def refused(text: str) -> str:
    with pytest.raises(InputError) as caught:
        read(text)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("sq ft", ("area", "ft2")), ("SqFt", ("area", "ft2")), ("sf", ("area", "ft2")), ("ft²", ("area", "ft2")), ("square feet", ("area", "ft2")),
        ("qm", ("area", "m2")), ("sqm", ("area", "m2")), ("m^2", ("area", "m2")), ("square meters", ("area", "m2")),
        ("W/m²K", ("u_value", "W/(m2 K)")), ("W/m2·°C", ("u_value", "W/(m2 K)")), ("Btu/hr-ft2-F", ("u_value", "Btu/(h ft2 degF)")),
        ("m2K/W", ("r_value", "m2K/W")), ("hr-ft2-F/Btu", ("r_value", "h ft2 degF/Btu")), ("m²·°C/W", ("r_value", "m²·°C/W")),
        ("kWh", ("", "")), ("", ("", "")), ("W/m", ("", "")), ("K", ("", "")), ("m2", ("area", "m2")),
    ],
)  # fmt: skip
def test_units_as_people_write_them(text: str, found: tuple[str, str]) -> None:
    assert unit_of(text) == found


@pytest.mark.parametrize(
    ("text", "surface"),
    [
        (HEAD + "Wall,40,0.3\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("Area [ft2],R\n100,R-13\n", {"name": "line 2", "area": "100 ft2", "u_value": "0.436789 W/(m2 K)"}),  # 5.678263/13
        ("name,area [m2],r_value\nWall,40,2\n", {"name": "Wall", "area": "40 m2", "u_value": "0.5 W/(m2 K)"}),
        ("name,area [m2],typical\nWall,40,Wall uninsulated\n", None),
        ("name,area,u_value\nWall,40 m2,0.3 W/(m2 K)\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("name;area [m2];u_value [W/(m2 K)]\nWand;1.234,5;0,3\n", {"name": "Wand", "area": "1234.5 m2", "u_value": "0.3 W/(m2 K)"}),
        ('name,area [m2],u_value [W/(m2 K)]\nWall,"1,234",0.3\n', {"name": "Wall", "area": "1234 m2", "u_value": "0.3 W/(m2 K)"}),
        ("name;area [m2];u_value [W/(m2 K)]\nWand;40;0,250\n", {"name": "Wand", "area": "40 m2", "u_value": "0.25 W/(m2 K)"}),
        ("name;area [m2];r_value\nWand;40;2,500\n", {"name": "Wand", "area": "40 m2", "u_value": "0.4 W/(m2 K)"}),  # no 2500
        ("name;area [m2];r_value\nWand;40;2.500\n", {"name": "Wand", "area": "40 m2", "u_value": "0.4 W/(m2 K)"}),
        ("name,area [m2],u_value [W/(m2 K)]\nWall,40,0.250\n", {"name": "Wall", "area": "40 m2", "u_value": "0.25 W/(m2 K)"}),
        ("name,area [m2],u_value [W/(m2 K)],share [%]\nWall,40,0.3,60\n",
         {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)", "difference": "60 %"}),
        ("name,area [m2],u_value [W/(m2 K)],share\nWall,40,0.3,60 %\n",
         {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)", "difference": "60 %"}),
        ("name,gross area [m2],net area [m2],u_value [W/(m2 K)]\nWall,50,40,0.3\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("name,net area [m2],gross area [m2],u_value [W/(m2 K)]\nWall,40,50,0.3\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("what,area [m2],u_value [W/(m2 K)]\nSouth,40,0.3\n", {"name": "South", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("no,area [m2],what,u_value [W/(m2 K)]\n7,40,South,0.3\n", {"name": "South", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("# a remark\n\nname,area [m2],u_value [W/(m2 K)]\n,,\nWall,40,0.3\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("name,area (m2),U (W/(m2 K))\nWall,40,0.3\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("name,area in m2,U_value W/m2K\nWall,40,0.3\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
        ("name,area [sf],U\nWall,400,0.05\n", {"name": "Wall", "area": "400 ft2", "u_value": "0.05 Btu/(h ft2 degF)"}),
        ("name,area,U\nWall,400 sq ft,0.05\n", {"name": "Wall", "area": "400 ft2", "u_value": "0.05 Btu/(h ft2 degF)"}),
        ("name,area [m2],u,r\nWall,40,,4\n", {"name": "Wall", "area": "40 m2", "u_value": "0.25 W/(m2 K)"}),
        ("name,area [m2],u,r\nWall,40,0.3,9\n", {"name": "Wall", "area": "40 m2", "u_value": "0.3 W/(m2 K)"}),
    ],
)  # fmt: skip
def test_one_row_is_read_as_it_is_meant(text: str, surface: dict[str, str] | None) -> None:
    if surface is None:
        assert "is not known; use one of" in refused(text)
        return
    assert read(text).surfaces == (surface,)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"), ("name,area [m2],typical\n", "holds no surfaces"), (HEAD + "Wall,40\n", "line 2: has neither U-value nor typical kind"),
        (HEAD + "Wall,,0.3\n", "line 2, area [m2]"), (HEAD + "Wall,x,0.3\n", "line 2, area [m2]"),
        (HEAD + "Wall,40 kWh,0.3\n", "line 2, area [m2]: '40 kWh' is of another kind; write it like '40 m2'"),
        ("name,area [m2],r_value [m2 K/W]\nWall,40,0\n", "'0 m2 K/W' is no resistance; write a number above zero"),
        ("name,area [m2],r_value [m2 K/W]\nWall,40,-1\n", "is no resistance"),
        ("name,area,U\nA,40,0.3\n", "area: the areas have no unit"),
        ("name;area [m2];u_value [W/(m2 K)]\nA;1,234;0.3\nB;1.234;0.3\n", "can be read with a comma or a point"),
        ("title\nname,area [m2]\nWall,40\n", "has no columns of area and of U-value"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told_in_a_line(text: str, words: str) -> None:
    assert words in refused(text)


def test_sums_are_left_out_only_where_they_are_no_surfaces() -> None:
    text = HEAD + "Wall,40,0.3\nTotal,40,\nSum of all,40\nSumme,40,\n"
    found = read(text)
    assert [one["name"] for one in found.surfaces] == ["Wall"]
    assert "left out as a sum: line 3, 4, 5" in found.notes
    kept = read(HEAD + "Wall,40,0.3\nTotal wall of the hall,10,0.4\n")
    assert len(kept.surfaces) == 2
    assert not [note for note in kept.notes if "sum" in note]


def test_headings_may_stand_some_lines_down_and_lists_have_an_end() -> None:
    above = "".join(f"line {at},of a letter,\n" for at in range(MOST_ABOVE - 1))
    assert len(read(above + HEAD + "Wall,40,0.3\n").surfaces) == 1
    assert "has no columns" in refused("one more,,\n" + above + HEAD + "Wall,40,0.3\n")
    rows = "".join(f"W{at},40,0.3\n" for at in range(MOST_SURFACES))
    assert len(read(HEAD + rows).surfaces) == MOST_SURFACES
    assert f"has {MOST_SURFACES + 2} rows; a building has at most {MOST_SURFACES} surfaces" in refused(
        HEAD + rows + "X,40,0.3\n"
    )


def test_columns_that_are_not_used_are_listed() -> None:
    found = read("name,area [m2],u_value [W/(m2 K)],colour,,facing\nWall,40,0.3,red,,N\n")
    assert found.unused == ("column 'colour'", "column 'facing'")
    assert found.notes == ()
    told = read("name,area [m2],u_value\nWall,40,0.3\n").notes
    assert told == ("the U-values have no unit: W/(m2 K) is taken, as it goes with the areas",)


def test_the_loss_is_area_times_u_value() -> None:
    found = read(HEAD + "Wall,40,0.3\nRoof,100,0.2\n")
    assert found.loss_w_k == pytest.approx(40 * 0.3 + 100 * 0.2)


def test_a_unit_stands_in_brackets_or_behind_the_words() -> None:
    heads = {
        "Area (m2)": ("area", "m2"),
        "Area [sq ft]": ("area", "sq ft"),
        "Area in m2": ("area", "m2"),
        "U-value W/(m2 K)": ("u value", "W/(m2 K)"),
    }
    heads |= {"U (W/(m2 K))": ("u", "W/(m2 K)"), "Net_area (of walls)": ("net area", "of walls"), "Wall": ("wall", "")}
    assert {head: _parted(head) for head in heads} == heads
