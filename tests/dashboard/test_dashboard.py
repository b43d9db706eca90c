"""The logic of the screens, without a browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from costsim import read_study
from costsim.dashboard.parts_many import sample_table
from costsim.dashboard.personas import DOORS

APP = Path(__file__).parents[2] / "app.py"


@pytest.fixture
def app() -> AppTest:
    found = AppTest.from_file(str(APP), default_timeout=60).run()
    assert not found.exception
    return found


def field(app: AppTest, label: str):
    """The first text field of a label."""
    return next(one for one in app.text_input if one.label == label)


def sentence(app: AppTest) -> str:
    return app.subheader[0].value


def errors(app: AppTest) -> list[str]:
    return [one.value for one in app.error]


def test_the_answer_stands_on_top(app: AppTest) -> None:
    assert app.title[0].value == "Does the gas meter ever pay?"
    assert "likelier to be cheaper" in sentence(app)
    assert len([one for one in app.dataframe if one.proto.editing_mode == one.proto.READ_ONLY]) == 1


@pytest.mark.parametrize(("door", "part"), [(key, name) for key, door in DOORS.items() for name in door.names])
def test_every_part_behind_every_door_draws(door: str, part: str) -> None:
    app = AppTest.from_file(str(APP), default_timeout=60)
    app.query_params["door"], app.query_params["study"] = door, DOORS[door].study
    app.session_state["part"] = part
    app.run()
    assert not app.exception
    assert not errors(app)
    assert app.session_state["part"] == part
    assert app.session_state["study_name"] == DOORS[door].study


@pytest.mark.parametrize("study", ["lantern_cottage", "net_loft", "valley_row"])
def test_an_installer_sees_every_part_of_every_study(app: AppTest, study: str) -> None:
    app.sidebar.selectbox[0].set_value(study).run()
    app.session_state["door"] = "installer"
    for part in DOORS["installer"].names:
        app.session_state["part"] = part
        app.run()
        assert not app.exception
        assert not errors(app)
        assert app.session_state["part"] == part


def test_a_door_brings_its_house_unless_yours_is_there(app: AppTest) -> None:
    app.sidebar.radio(key="door").set_value("planner").run()
    assert app.session_state["study_name"] == "valley_row"
    field(app, "Indoor set-point").set_value("65 degF").run()
    app.sidebar.radio(key="door").set_value("owner").run()
    assert not app.exception
    assert field(app, "Indoor set-point").value == "65 °F"
    assert app.session_state["study_name"] == "valley_row"


def linked(app: AppTest) -> str:
    """The study in the page's address, which Streamlit's test driver gave in a list in 1.64."""
    found = app.query_params["study"]
    return found if isinstance(found, str) else found[0]


def test_the_link_brings_the_study_back(app: AppTest) -> None:
    assert linked(app) == "lantern_cottage"
    field(app, "Indoor set-point").set_value("66.5 degF").run()
    other = AppTest.from_file(str(APP), default_timeout=60)
    other.query_params["study"], other.query_params["door"] = linked(app), "installer"
    other.run()
    assert not other.exception
    assert field(other, "Indoor set-point").value == "66.5 °F"
    assert other.session_state["typed"] == app.session_state["typed"]
    assert sentence(other) == sentence(app)


@pytest.mark.parametrize("code", ["x", "eJw", "a" * 8000, "eNqrVkrLz1eyUkpKLFKqBQA1xQWu"])
def test_a_broken_link_is_told_and_the_first_house_shown(code: str) -> None:
    app = AppTest.from_file(str(APP), default_timeout=60)
    app.query_params["study"] = code
    app.run()
    assert not app.exception
    assert any("link was not opened" in one.value for one in app.warning)
    assert app.session_state["study_name"] == "lantern_cottage"


def test_no_other_file_of_the_machine_is_read(app: AppTest) -> None:
    app.session_state["typed"]["place"]["weather"] = "/etc/passwd"
    app.run()
    assert not app.exception
    assert any("leads out of the study" in one.value for one in app.text)
    app.session_state["typed"]["place"]["weather"] = "greensboro.csv"
    del app.session_state["typed"]["house"]["other_electricity"]
    app.session_state["typed"]["house"]["other_electricity_profile"] = "/etc/passwd"
    app.run()
    assert not app.exception
    assert any("leads out of the study" in one.value for one in app.text)


def test_another_currency_changes_the_sign_and_nothing_else(app: AppTest) -> None:
    before = sentence(app)
    next(one for one in app.selectbox if one.label == "Currency").set_value("€").run()
    assert not app.exception
    assert not errors(app)
    assert sentence(app) == before.replace("$", "€").replace("\\€", "€")
    next(one for one in app.button if one.label == "Undo").click().run()
    assert sentence(app) == before


def test_a_table_of_homes_is_computed_and_its_faults_told(tmp_path: Path) -> None:
    app = AppTest.from_file(str(APP), default_timeout=60)
    app.query_params["door"], app.query_params["study"] = "planner", "valley_row"
    app.session_state["part"] = "Many homes"
    app.run()
    assert not app.exception
    table = sample_table(read_study("valley_row"), 4600.0)
    app.file_uploader(key="many/file").set_value(("homes.csv", table.encode(), "text/csv")).run()
    assert not app.exception
    assert any("5 homes computed, 0 set aside" in one.value for one in app.text)
    assert any("a year's cost" in frame.value.columns for frame in app.dataframe)
    wrong = table.replace("house.design_heat_loss [kW]", "house.design_heat_loss")
    app.file_uploader(key="many/file").set_value(("homes.csv", wrong.encode(), "text/csv")).run()
    assert not app.exception
    assert any("cannot be used" in text for text in errors(app))
    assert any("homes.csv" in one.value and "unit" in one.value for one in app.text)
    assert not any("/tmp" in one.value for one in app.text)


def test_the_report_is_made_and_the_cautions_of_the_case_stand_there(app: AppTest) -> None:
    app.session_state["part"] = "To hand over"
    app.run()
    titles = [one.label for one in app.expander]
    assert any("ombustion" in title or "monoxide" in title for title in titles)
    next(one for one in app.button if one.label == "Make the report").click().run()
    assert not app.exception
    made = app.session_state["report/made"]
    assert made[".pdf"][:5] == b"%PDF-"
    assert b"<html" in made[".html"]
    app.toggle(key="hours.parquet").set_value(True).run()
    assert not app.exception


def test_ratings_typed_are_held_against_what_is_needed() -> None:
    app = AppTest.from_file(str(APP), default_timeout=60)
    app.query_params["door"], app.query_params["study"] = "installer", "net_loft"
    app.run()
    app.session_state["typed"]["ratings"] = {"tube_temperature": "100 degF"}
    app.session_state["part"] = "To hand over"
    app.run()
    assert not app.exception
    checks = next(frame.value for frame in app.dataframe if "verdict" in frame.value.columns)
    assert "fail" in checks["verdict"].tolist()


def test_the_house_is_found_from_bills_and_taken_into_the_study(app: AppTest) -> None:
    before = sentence(app)
    app.session_state["part"] = "From your bills"
    app.run()
    app.toggle(key="bills/sample").set_value(True).run()
    assert not app.exception
    assert any(one.value.startswith("By its natural gas bills") for one in app.text)
    next(one for one in app.button if one.label == "Take this house into the study").click().run()
    assert not app.exception
    assert not errors(app)
    assert "heat_loss_rate" in app.session_state["typed"]["house"]
    assert app.session_state["typed"]["uncertainty"]["load"].endswith("%")
    assert sentence(app) != before
    next(one for one in app.button if one.label == "Undo").click().run()
    assert sentence(app) == before


def test_bills_that_cannot_be_used_are_told(app: AppTest) -> None:
    app.session_state["part"] = "From your bills"
    app.run()
    app.file_uploader(key="bills/files").set_value([("my.csv", b"a,b,c\n1,2,3\n", "text/csv")]).run()
    assert not app.exception
    assert any("cannot be used" in text for text in errors(app))
    assert any(one.value.startswith("my.csv") for one in app.text)


def test_a_study_by_its_walls_draws_with_its_table(app: AppTest) -> None:
    app.session_state["typed"]["house"]["surface"] = [{"name": "Walls", "area": "140 m2", "typical": "frame_wall_2x6"}]
    app.session_state["revision"] += 1
    app.session_state["part"] = "What the house needs"
    app.run()
    assert not app.exception
    assert not errors(app)
    assert app.session_state["typed"]["house"]["surface"][0]["area"] == "140 m2"
    assert any("from areas, U-values and air changes" in one.value for one in app.text)


def test_smallest_size_and_perfect_control(app: AppTest) -> None:
    app.session_state["door"] = "installer"
    app.run()
    app.session_state["part"] = "The right size"
    app.run()
    app.radio(key="option").set_value("Electric 7.2 kW").run()
    told = next(one.value for one in app.text if "the smallest output" in one.value)
    assert "25 hours short" in told
    assert "leaves 0 hours short" in told
    app.number_input(key="size/hours").set_value(1000).run()
    assert any("1,000" in one.value or "leaves" in one.value for one in app.text)
    app.toggle(key="foresight").set_value(True).run()
    assert not app.exception
    assert any("could be saved" in frame.value.columns for frame in app.dataframe)


def test_a_changed_price_changes_the_answer(app: AppTest) -> None:
    before = sentence(app)
    next(one for one in app.text_input if one.value == "1.22 $/therm").set_value("6 $/therm").run()
    assert not app.exception
    assert sentence(app) != before
    assert sentence(app).startswith("Off-peak with electric by day")


def test_a_wrong_value_stays_and_is_explained(app: AppTest) -> None:
    before = sentence(app)
    field(app, "Heated floor area").set_value("1180").run()
    assert field(app, "Heated floor area").value == "1180"
    assert any("bare number" in text for text in errors(app))
    assert sentence(app) == before
    assert any("last study that could be computed" in one.value for one in app.warning)
    field(app, "Heated floor area").set_value("1180 ft2").run()
    assert not errors(app)


def test_a_value_that_cannot_be_keeps_the_page_and_every_price(app: AppTest) -> None:
    before, prices = sentence(app), {key: dict(value) for key, value in app.session_state["typed"]["prices"].items()}
    for wrong in ("75 degF", "200 degF"):
        field(app, "Outdoor design temperature").set_value(wrong).run()
        assert not app.exception
        assert errors(app)
        assert sentence(app) == before
    field(app, "Outdoor design temperature").set_value("15 degF").run()
    assert sentence(app) == before
    assert app.session_state["typed"]["prices"] == prices


def test_a_european_study_begins_in_its_own_currency_and_units(app: AppTest) -> None:
    app.sidebar.selectbox[0].set_value("valley_row").run()
    assert next(one for one in app.selectbox if one.label == "Currency").value == "€"
    assert app.sidebar.radio(key="units").value == "SI"


def test_undo_takes_the_last_change_back(app: AppTest) -> None:
    field(app, "Indoor set-point").set_value("65 degF").run()
    assert field(app, "Indoor set-point").value == "65 °F"
    next(one for one in app.button if one.label == "Undo").click().run()
    assert field(app, "Indoor set-point").value == "70 °F"


def test_units_change_what_is_shown(app: AppTest) -> None:
    assert "kBtu/h" in sentence(app)
    app.sidebar.radio(key="units").set_value("SI").run()
    assert "kW" in sentence(app)
    assert "kBtu/h" not in sentence(app)


def test_a_weather_of_another_place_moves_the_answer(app: AppTest) -> None:
    before = sentence(app)
    next(one for one in app.selectbox if one.label == "Weather of which place").set_value("sand_point.csv").run()
    assert not app.exception
    assert sentence(app) != before


def test_one_more_value_can_be_given(app: AppTest) -> None:
    more = next(one for one in app.selectbox if one.label == "Give one more value" and "Gains" in one.options)
    more.set_value("South glass that counts").run()
    assert not app.exception
    assert field(app, "South glass that counts").value == "4 m²"


def test_titles_are_shown_letter_by_letter(app: AppTest) -> None:
    app.session_state["typed"]["title"] = "![x](http://example.invalid/x.png) <b>$5</b>"
    app.run()
    assert not app.exception
    shown = app.title[0].value
    assert shown.replace(chr(92), "") == "![x](http://example.invalid/x.png) <b>$5</b>"
    assert all(f"{chr(92)}{mark}" in shown for mark in "![](<$")


def test_a_start_of_your_own_follows_area_weather_breaker_and_prices(app: AppTest) -> None:
    app.sidebar.selectbox[0].set_value("your_house").run()
    seen = [sentence(app)]
    for label, text in (
        ("Heated floor area", "900 ft2"),
        ("Energy price", "0.04 $/kWh"),
        ("Breaker", "25 A"),
        ("Heated floor area", "800 ft2"),
    ):
        field(app, label).set_value(text).run()
        assert not app.exception
        assert not errors(app)
        seen.append(sentence(app))
    next(one for one in app.selectbox if one.label == "Weather of which place").set_value("sand_point.csv").run()
    assert not app.exception
    seen.append(sentence(app))
    assert len(set(seen)) == len(seen)
    assert ["Electric on one breaker would leave you short" in text for text in seen[:4]] == [True, False, False, True]
    assert seen[2].startswith("Electric on one breaker is likelier to be cheaper")


def test_counts_have_no_decimals() -> None:
    app = AppTest.from_file(str(APP), default_timeout=60)
    app.query_params["door"], app.query_params["study"] = "installer", "net_loft"
    app.run()
    loops = next(one for one in app.number_input if one.label == "Loops")
    assert (loops.value, loops.step) == (12, 1)
    loops.set_value(10).run()
    assert not app.exception
    assert app.session_state["typed"]["floor"]["loops"][0]["count"] == 10


def test_the_screen_names_no_option_of_the_command_line(app: AppTest) -> None:
    app.session_state["part"] = "From your bills"
    app.run()
    app.toggle(key="bills/sample").set_value(True).run()
    told = [one.value for one in app.text]
    assert any("overrule it with 'Fuel'" in text for text in told)
    assert not [text for text in told if "--" in text]


def test_what_has_names_is_chosen_from_a_list() -> None:
    app = AppTest.from_file(str(APP), default_timeout=60)
    app.query_params["door"], app.query_params["study"] = "installer", "net_loft"
    app.run()
    chosen = next(one for one in app.selectbox if one.label == "Floor build-up")
    assert "65 mm cement screed" in chosen.options
    chosen.set_value("plates").run()
    assert not app.exception
    assert app.session_state["typed"]["floor"]["build_up"] == "plates"
    app.session_state["typed"]["floor"]["build_up"] = "screeed"
    app.run()
    assert field(app, "Floor build-up").value == "screeed"
    assert any("is not a known build-up; use one of concrete" in line for line in errors(app))
