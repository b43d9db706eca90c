"""The page Layout: tables of a floor given by areas, and sizes off the shelf once they are asked for."""

from __future__ import annotations

import copy
from types import SimpleNamespace

import pytest
from dashboard.app import field, opened, press, said, turn

from costsim.analysis.layout import layout
from costsim.dashboard import beginnings
from costsim.simulation import load_weather, simulate
from costsim.study.case import case_from, read_study
from costsim.study.layout import LayoutRoom
from costsim.views.text_layout import fill_lines, loop_rows, summary
from costsim.views.verdict import shown as option_of_cards


@pytest.mark.long
def test_a_floor_given_by_areas_shows_its_loops() -> None:
    app = opened("layout", persona="installer", study="two_levels")
    case = read_study("two_levels")
    found = layout(case, load_weather(case))
    assert summary(found, "us") in [one.value for one in app.text]
    headings, rows = loop_rows(found, "us")
    shown = next(frame.value for frame in app.dataframe if next(iter(frame.value.columns)) == headings[0])
    assert len(shown) == len(rows)
    assert any(one.value.startswith("Fill: ") for one in app.text)
    # a room that the entered water leaves cold is told before all else, with no word of it at the foot
    app.session_state["typed"]["tank"]["design_supply_temperature"] = "110 degF"
    app.run()
    for page in ("layout", "cold-days", "decide"):
        told = [one.value for one in turn(app, page).error]
        assert any("temperature for design in this study is too low" in one for one in told), page
        assert not any("for design in this study" in one.value for one in app.warning)


@pytest.mark.parametrize(("page", "key"), [("layout", "option"), ("prices", "option")])
def test_a_page_opens_the_option_that_the_cards_tell_of(page: str, key: str) -> None:
    app = opened(page)
    case = read_study("lantern_cottage")
    first, lead = case.options[0].name, option_of_cards(simulate(case, load_weather(case))).name
    assert (app.radio(key=key).value == lead, first == lead) == (True, False)
    app.radio(key=key).set_value(first).run()
    assert turn(app, page).radio(key=key).value == first  # what was chosen stays


@pytest.mark.long
def test_sizes_are_found_when_they_are_asked_for() -> None:
    app = opened("layout", persona="installer", study="two_levels")
    assert not [one for one in app.text if "A breaker" in one.value]
    app.session_state["layout/sizes"] = True
    app.run()
    assert not app.exception
    assert [one for one in app.text if "A breaker" in one.value]


def test_weak_antifreeze_is_told_in_the_readers_unit_and_without_shouting() -> None:
    two = read_study("two_levels")
    data = copy.deepcopy(two.typed)
    data["floor"]["concentration"] = "20 vol%"
    case = case_from(data, files=two.files)
    (line,) = (one for one in fill_lines(layout(case, load_weather(case)), "us") if one.startswith("Antifreeze"))
    assert "Slush begins at 18 °F" in line or "Slush begins at 19 °F" in line  # 20 % by volume, value from memory
    assert "Only where pipe lies outside the heated house ask for" in line
    assert ("°C" in line, "NOT" in line) == (False, False)


@pytest.mark.long
def test_a_floor_begins_with_the_houses_area_and_can_be_computed() -> None:
    app = opened("layout", persona="installer", study="lantern_cottage")
    app.session_state["typed"].pop("floor", None)
    app.session_state["typed"]["house"]["floor_area"] = "2100 ft2"
    app.run()
    app.number_input(key="layout/floors").set_value(2).run()
    press(app, "Add: floor")
    levels = app.session_state["typed"]["floor"]["layout"]["level"]
    assert [(one["name"], one["area"]) for one in levels] == [("Floor 1", "1050 ft2"), ("Floor 2", "1050 ft2")]
    assert not app.error
    assert "Pipe outside it would need propylene glycol, " in said(app)
    labels = [one.label for one in app.text_input]
    assert labels.index("Heated area of this floor") < labels.index("Name")
    area = field(app, "Heated area of this floor")
    area.set_value("").run()
    assert "enter the floor's heated area, such as area" in said(app)
    assert "[[" not in said(app)
    field(app, "Heated area of this floor").set_value("900").run()
    assert not app.error
    # what the second floor lies in, how far apart and how many loops are said on the page, beside its area
    where = next(one for one in app.selectbox if str(one.key).endswith("level[2].build_up"))
    where.set_value("joists").run()
    app.text_input(key=where.key.replace("build_up", "loops")).set_value("3 loops").run()
    assert "aluminum plates under a wooden subfloor, between joists" in said(app)
    assert "Floor 2: the longest of the 3 loops is" in said(app)
    app.button(key="append/floor.layout.level").click().run()
    assert app.session_state["typed"]["floor"]["layout"]["level"][2] == {"name": "Floor 3", "area": "1050 ft2"}
    assert not app.error
    # rooms split what the floor had, with names of their own
    app.session_state["show_all"] = True
    app.run()
    for _ in range(2):
        app.button(key="append/floor.layout.level[2].room").click().run()
        assert not app.error
    second = app.session_state["typed"]["floor"]["layout"]["level"][1]
    rooms = [(one["name"], one["area"]) for one in second["room"]]
    assert ("area" in second, rooms) == (False, [(f"Room {at}", "350 ft2") for at in (1, 2, 3)])  # 1,050 ft2 in three
    # beside rooms that somebody typed, the new one waits for its own area
    second["room"][0]["area"] = "500 ft2"
    app.run()
    app.button(key="append/floor.layout.level[2].room").click().run()
    assert [one.get("area") for one in app.session_state["typed"]["floor"]["layout"]["level"][1]["room"]] == [
        "500 ft2", "350 ft2", "350 ft2", None,
    ]  # fmt: skip


def test_a_tank_that_is_proposed_is_not_charged_to_what_heats_the_house_today() -> None:
    """Who wants it there too marks it; undo brings either back."""
    app = opened("layout", persona="installer", study="lantern_cottage")
    typed = app.session_state["typed"]
    typed.pop("tank", None)
    typed["option"][0]["today"] = True
    app.run()
    press(app, "Add: tank")
    options = app.session_state["typed"]["option"]
    assert [bool(one.get("no_tank")) for one in options] == [True, *[False] * (len(options) - 1)]
    having = next(one for one in app.button_group if one.label == "Options with this tank")
    assert options[0]["name"] not in having.value
    having.set_value([one["name"] for one in options]).run()
    assert not any(one.get("no_tank") for one in app.session_state["typed"]["option"])
    assert not app.exception


@pytest.mark.parametrize(
    ("zone", "count", "areas"),
    [
        ([], 1, ["2400 ft2"]),
        ([], 2, ["1200 ft2", "1200 ft2"]),
        ([{"name": "Up", "area": "1400 ft2", "emitter": "baseboard"}], 1, ["1000 ft2"]),
        ([{"name": "Up", "area": "1400 ft2", "emitter": "baseboard"}], 2, ["500 ft2", "500 ft2"]),
        ([{"name": "Up", "load": "25 %", "emitter": "baseboard"}], 1, ["1800 ft2"]),
        ([{"name": "Beds", "area": "400 ft2"}], 1, ["2400 ft2"]),  # on the same floor
        ([{"name": "Up", "area": "much", "emitter": "baseboard"}], 1, ["2400 ft2"]),
    ],
)
def test_tubes_are_laid_where_no_other_emitter_heats(
    monkeypatch: pytest.MonkeyPatch, zone: list[dict[str, str]], count: int, areas: list[str]
) -> None:
    typed = {("house", "floor_area"): "2400 ft2", ("house", "zone"): zone}
    monkeypatch.setattr(beginnings, "state", SimpleNamespace(get=typed.get, units_system=lambda: "us"))
    assert [one["area"] for one in beginnings.floors(count)["level"]] == areas


def test_only_rooms_that_the_page_itself_split_are_split_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    path = ("floor", "layout", "level", 0, "room")
    rooms: list[dict[str, str]] = []
    fake = SimpleNamespace(get=lambda asked: rooms if asked == path else {}, units_system=lambda: "us")
    monkeypatch.setattr(beginnings, "state", fake)
    monkeypatch.setattr(beginnings, "st", SimpleNamespace(session_state={}))

    def offered(*areas: str) -> object:
        rooms[:] = [{"name": str(at), "area": area} for at, area in enumerate(areas)]
        return beginnings.beginning(path, LayoutRoom, "$").get("area")

    assert offered("120 ft2", "120 ft2") is None
    assert offered("150 ft2") is None
    # 1,200 ft2 that the page split in two, three and four
    beginnings.note_split(path, "1200 ft2")
    assert [offered(*["600 ft2"] * 2), offered(*["400 ft2"] * 3)] == ["400 ft2", "300 ft2"]
    assert offered("700 ft2", "500 ft2") is None
    assert offered("120 ft2", "120 ft2") is None
    assert offered("150 ft2") is None


@pytest.mark.long
def test_the_material_list_is_shown_and_saved_for_the_option_chosen() -> None:
    app = opened("layout", persona="installer", study="two_levels")
    assert not [one for one in app.table if "material" in [one.value.index.name]]
    app.session_state["layout/materials"] = True
    app.run()
    assert not app.exception
    (shown,) = (one.value for one in app.table if one.value.index.name == "material")
    assert "floor tube in all: 1/2 in PEX" in [one.replace("\\", "") for one in shown.index]
    assert any(one.value == "For Propane boiler. To choose another, see the schematic above." for one in app.text)
    assert any(one.value.startswith("For Propane boiler, with its tank of") for one in app.text)
    assert "Propane boiler: gas pipe" in [one.replace("\\", "") for one in shown.index]
    assert any("licensed trade" in one.value for one in app.caption)
    next(one for one in app.radio if one.label == "Which option").set_value("Electric boiler").run()
    assert not app.exception
    (shown,) = (one.value for one in app.table if one.value.index.name == "material")
    assert any(one.value.startswith("For Electric boiler, with its tank of") for one in app.text)
    assert "Propane boiler: gas pipe" not in [one.replace("\\", "") for one in shown.index]
