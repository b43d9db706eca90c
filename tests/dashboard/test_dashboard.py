"""The pages of the dashboard, without a browser."""

from __future__ import annotations

import re

import pytest
from dashboard.app import SCRIPT, field, opened, press, said, turn, verdict
from streamlit.testing.v1 import AppTest

from costsim import read_study
from costsim.dashboard.parts_many import sample_table
from costsim.dashboard.personas import PERSONAS
from costsim.dashboard.registry import load_pages
from costsim.study.case import write_study

PAGES = [one.key for one in load_pages()]


def linked(app: AppTest) -> str:
    """The study in the page's address."""
    found = app.query_params["study"]
    return found if isinstance(found, str) else found[0]


@pytest.mark.parametrize(
    "persona",
    [pytest.param(one, marks=pytest.mark.long) if one in ("installer", "planner") else one for one in PERSONAS],
)
def test_every_page_draws_for_every_persona(persona: str) -> None:
    app = opened(persona=persona, study=PERSONAS[persona].study)
    for key in PAGES:
        turn(app, key)
        assert app.title, key
        assert not app.error, key
    assert app.session_state["study_name"] == PERSONAS[persona].study


def test_the_decision_stands_on_top_with_its_cards() -> None:
    app = opened()
    assert re.match(r"Natural gas costs least to run: about \$7\d0 a year, \$\d+ less than ", verdict(app))
    assert len(verdict(app).split()) <= 25
    labels = [one.label for one in app.metric]
    assert labels == [
        "Cheapest to run",
        "Hours too cold",
        "How likely",
        "Cheapest over 20 years",
        "First cost",
        "Carbon",
    ]
    assert any("80% range of 500 scenarios" in one.value for one in app.markdown)
    odds = next(one.value for one in app.metric if one.label == "How likely")
    # over the years first, where rounding tells them from the odds of the lower bills
    assert re.fullmatch(r"(Lower bills\\?:|Cheapest over 20 years\\?: Natural gas,) (about \d\d|more than 99)%", odds)
    texts = [one.value for one in app.markdown]
    lines = [odds, *texts]
    assert any("Cheapest over 20 years" in text and "Natural gas, " in text for text in lines)
    assert any("Lower bills" in text for text in lines)
    assert any("on bills alone" in text and "over 20 years with the first costs" in text for text in texts)


def test_an_example_says_so_above_the_headline_until_it_is_changed() -> None:
    app = opened()
    order = [(one.type, one.value) for one in app.main if one.type in ("markdown", "title")]
    first = next(at for at, (_, value) in enumerate(order) if "Example house" in value)
    assert first < next(at for at, (kind, _) in enumerate(order) if kind == "title")
    app.session_state["typed"]["title"] = "Mine"
    app.run()
    assert not any("Example house" in one.value for one in app.markdown)


def test_an_installer_reads_first_what_the_existing_unit_lacks() -> None:
    app = opened(persona="installer", study="net_loft")
    assert re.match(
        r"The 10.5 kW electric alone is too small in [\d,]+ hours a year, by up to [\d.]+ kBtu/h", verdict(app)
    )
    assert app.metric[0].label == "Hours too cold"
    assert app.metric[1].label == "Heat missing at worst"


def test_a_persona_brings_its_study_unless_yours_is_there() -> None:
    app = opened("house")
    app.selectbox(key="persona").set_value("planner").run()
    assert app.session_state["study_name"] == "valley_row"
    field(app, "Thermostat setting").set_value("65 F").run()
    app.selectbox(key="persona").set_value("household").run()
    assert not app.exception
    assert app.session_state["study_name"] == "valley_row"
    assert field(app, "Thermostat setting").value == "65"


def test_the_link_brings_study_persona_and_units_back() -> None:
    app = opened("house", units="si")
    assert linked(app) == "lantern_cottage"
    assert app.session_state["units"] == "SI"
    field(app, "Thermostat setting").set_value("19 °C").run()
    other = opened("house", study=linked(app), persona="installer", units="si")
    assert field(other, "Thermostat setting").value == "19"
    assert other.session_state["typed"] == app.session_state["typed"]
    assert other.session_state["persona"] == "installer"


@pytest.mark.parametrize(
    "code",
    [*(pytest.param(one, marks=pytest.mark.long) for one in ("x", "eJw", "a" * 8000)), "eNqrVkrLz1eyUkpKLFKqBQA1xQWu"],
)
def test_a_broken_link_is_told_and_the_first_house_shown(code: str) -> None:
    app = opened(study=code)
    assert any("link was not opened" in one.value for one in app.warning)
    assert app.session_state["study_name"] == "lantern_cottage"


def test_a_study_without_its_weather_says_what_to_open_and_where() -> None:
    app = opened()
    app.session_state["typed"]["place"]["weather"] = "my_town.csv"
    app.session_state["good"] = None
    turn(app, "decide")
    assert "'my_town.csv': is not open in this session" in said(app)
    assert "House page" in said(app)
    assert "Nothing to decide yet" in verdict(app)
    assert not app.metric


def test_no_other_file_of_the_machine_is_read() -> None:
    app = opened()
    app.session_state["typed"]["place"]["weather"] = "/etc/passwd"
    turn(app, "decide")
    assert "leads out of the study" in said(app)
    app.session_state["typed"]["place"]["weather"] = "greensboro.csv"
    del app.session_state["typed"]["house"]["other_electricity"]
    app.session_state["typed"]["house"]["other_electricity_profile"] = "/etc/passwd"
    turn(app, "decide")
    assert "leads out of the study" in said(app)


def test_what_is_typed_is_shown_back_as_read_and_changes_the_answer() -> None:
    app = opened()
    before = verdict(app)
    turn(app, "house")
    field(app, "Heated floor area").set_value("1,500 sq ft").run()
    assert field(app, "Heated floor area").value == "1,500"
    assert app.session_state["typed"]["house"]["floor_area"] == "1500 ft2"
    turn(app, "prices")
    field(app, "Energy price").set_value("22c").run()
    assert app.session_state["typed"]["prices"]["electricity"]["energy"] == "0.22 $/kWh"
    assert verdict(turn(app, "decide")) != before


def test_undo_and_redo() -> None:
    app = opened("house")
    field(app, "Thermostat setting").set_value("65").run()
    press(app, "Undo")
    assert field(app, "Thermostat setting").value == "70"
    press(app, "Redo")
    assert field(app, "Thermostat setting").value == "65"


@pytest.mark.long
def test_another_currency_changes_the_sign_and_nothing_else() -> None:
    app = opened()
    before = verdict(app)
    next(one for one in app.selectbox if one.label == "Currency").set_value("€").run()
    assert verdict(app) == before.replace("$", "€")
    press(app, "Undo")
    assert verdict(app) == before


def test_a_european_study_begins_in_its_own_currency_and_units() -> None:
    app = opened(study="valley_row")
    assert next(one for one in app.selectbox if one.label == "Currency").value == "€"
    assert app.session_state["units"] == "SI"


@pytest.mark.long
def test_a_table_of_homes_is_computed_and_its_faults_told() -> None:
    app = opened("many-homes", persona="planner", study="valley_row")
    table = sample_table(read_study("valley_row"), 4600.0, "SI")
    own = ("Utility", "A", "B", "A", "", "B")
    table = "\n".join(f"{line},{cell}" for line, cell in zip(table.strip().split("\n"), own, strict=True))
    app.file_uploader(key="homes/files/0").set_value(("homes.csv", table.encode(), "text/csv")).run()
    assert not app.exception
    assert any("5 homes computed, 0 set aside and in no total" in one.value for one in app.text)
    assert any("a year's cost" in frame.value.columns for frame in app.dataframe)
    assert any("Design heat loss" in frame.value.get("replaces", []).__str__() for frame in app.dataframe)
    first = next(frame.value for frame in app.dataframe if "all homes, a year" in frame.value.columns)
    assert "CO2 metric tons" in first.columns
    assert {one.label for one in app.get("download_button")} >= {"Totals as CSV", "Every home as CSV"}
    app.selectbox(key="many/by").set_value("Utility").run()
    groups = next(frame.value for frame in app.dataframe if "Utility" in frame.value.columns)
    assert set(groups["Utility"]) == {"A", "B", "(empty)"}
    assert len(groups) == 3 * len(read_study("valley_row").options)
    app.selectbox(key="many/sizes").set_value("sold").run()
    assert not app.exception
    assert any("next size up that is sold" in one.value for one in app.text)
    wrong = table.replace("Balance point [degC]", "Balance point")
    app.file_uploader(key="homes/files/0").set_value(("homes.csv", wrong.encode(), "text/csv")).run()
    assert not app.exception
    assert any("cannot be used" in one.value for one in app.error)
    assert any("homes.csv" in one.value and "unit" in one.value for one in app.text)
    assert not any("/tmp" in one.value for one in app.text)


@pytest.mark.long
def test_the_report_is_made_and_the_cautions_of_the_case_stand_there() -> None:
    app = opened("reports")
    assert any("ombustion" in one.label or "monoxide" in one.label for one in app.expander)
    ratings = "Ratings of the parts"
    assert ratings not in said(app), "a household's page is without them"
    press(app, "Make the report")
    made = app.session_state["report/made"]
    assert made[".pdf"][:5] == b"%PDF-"
    assert b"<html" in made[".html"]
    plates = b"must be read from the plates"
    assert plates not in made[".html"]
    assert b"letter}" in made[".html"]
    next(one for one in app.button_group if one.label == "Report").set_value("installer").run()
    next(one for one in app.button_group if one.label == "Paper").set_value("a4").run()
    assert ratings in said(app)
    press(app, "Make the report")
    signed = app.session_state["report/made"]
    assert plates in signed[".html"]
    assert b"a4}" in signed[".html"]
    next(one for one in app.button_group if one.label == "Length").set_value(True).run()
    press(app, "Make the report")
    short = app.session_state["report/made"]
    assert b"This is the short report" in short[".html"]
    assert plates not in short[".html"]
    assert len(short[".html"]) < 0.6 * len(signed[".html"])
    assert not any(one.key == "hours.parquet" for one in app.toggle), "a homeowner's hours are a spreadsheet"
    app.selectbox(key="persona").set_value("installer").run()
    app.toggle(key="hours.parquet").set_value(True).run()
    assert not app.exception


@pytest.mark.long
def test_ratings_typed_are_held_against_what_is_needed() -> None:
    app = opened("layout", persona="installer", study="net_loft")
    press(app, "Add: ratings of the parts")
    app.session_state["show_all"] = True
    app.run()
    field(app, "Tube: highest temperature").set_value("100 F").run()
    turn(app, "reports")
    checks = next(frame.value for frame in app.dataframe if "verdict" in frame.value.columns)
    assert "fail" in checks["verdict"].tolist()


@pytest.mark.long
def test_the_house_is_found_from_bills_and_taken_into_the_study() -> None:
    app = opened()
    before = verdict(app)
    app.session_state["house/bills"] = True
    turn(app, "house")
    app.toggle(key="bills/sample").set_value(True).run()
    assert any(one.value.startswith("By its natural gas bills") for one in app.text)
    assert not [one.value for one in app.text if "--" in one.value]
    press(app, "Use this for my house")
    assert "heat_loss_rate" in app.session_state["typed"]["house"]
    assert verdict(turn(app, "decide")) != before


def test_bills_that_cannot_be_used_are_told() -> None:
    app = AppTest.from_file(str(SCRIPT), default_timeout=90)
    app.session_state["house/bills"] = True
    turn(app, "house")
    app.file_uploader(key="bills/files/0").set_value([("my.csv", b"a,b,c\n1,2,3\n", "text/csv")]).run()
    assert any("cannot be used" in one.value for one in app.error)
    assert any(one.value.startswith("my.csv") for one in app.text)


@pytest.mark.long
def test_smallest_size_and_perfect_control() -> None:
    app = opened()
    app.session_state["money/size"] = app.session_state["money/verdicts"] = True
    turn(app, "money")
    assert {"share of the scenarios", "share of the uncertainty", "share of the distance it comes back each year"} <= {
        one for frame in (*app.dataframe, *app.table) for one in frame.value.columns
    }
    assert any(one.value.startswith("Keeping ") for one in app.text)
    app.radio(key="option").set_value("Electric 7.2 kW").run()
    told = next(one.value for one in app.text if "the smallest output" in one.value)
    assert "25 hours too cold" in told
    assert "leaves 0 hours too cold" in told
    app.toggle(key="foresight").set_value(True).run()
    assert not app.exception
    assert any("could be saved" in frame.value.columns for frame in app.dataframe)


def test_titles_are_shown_letter_by_letter() -> None:
    app = opened()
    app.session_state["typed"]["option"][2]["name"] = "![x](http://example.invalid/x.png) <b>$5</b>"
    turn(app, "decide")
    shown = str(app.title[0].value)
    # a word joiner keeps an address from becoming a link
    assert shown.replace(chr(92), "").replace("\u2060", "").startswith("![x](http://example.invalid/x.png) <b>$5</b>")
    assert all(f"{chr(92)}{mark}" in shown for mark in "![](<$")


def test_two_studies_stand_side_by_side_with_what_they_say_differently() -> None:
    app = opened("two-studies")
    app.selectbox(key="two/name").set_value("your_house").run()
    assert not app.exception
    options, keys = (frame.value for frame in app.dataframe)
    mine, other = read_study("lantern_cottage"), read_study("your_house")
    names = dict.fromkeys(one.name for one in (*mine.options, *other.options))
    assert options["option"].tolist() == list(names)  # one row an option, a column for each study
    assert any("Lantern cottage: Natural gas, $" in one.value for one in app.text)
    assert keys.set_index("entry").loc["Heated floor area"].tolist() == ["1180 ft²", str(other.typed["house"]["floor_area"]).replace("ft2", "ft²")]  # fmt: skip
    assert not any(re.search(r"\w\[\d|^\w+\.\w", entry) for entry in keys["entry"])
    app.selectbox(key="two/name").set_value(None).run()
    saved = dict(mine.typed) | {
        "title": "Warmer",
        "house": dict(mine.typed["house"]) | {"design_heat_loss": "9 kW"},
    }
    app.file_uploader(key="two/file").set_value(("warmer.toml", write_study(saved).encode(), "application/toml")).run()
    assert not app.exception
    options, keys = (frame.value for frame in app.dataframe)
    assert sorted(keys["entry"]) == ["Design heat loss", "Title"]
    assert (options["Warmer: a year"] > options["Lantern cottage: a year"]).all()
    assert any("Lantern cottage costs $" in one.value and "a year less" in one.value for one in app.text)
    assert app.session_state["study_name"] == "lantern_cottage"
    app.file_uploader(key="two/file").set_value(("broken.toml", b"[house", "application/toml")).run()
    assert not app.exception
    assert any("cannot be computed" in one.value for one in app.error)


def test_the_bills_add_up_and_hours_of_one_price_are_said() -> None:
    app = opened("prices")
    assert "The price is the same at every hour: $0.128/kWh." in said(app)
    app.radio(key="option").set_value("Off-peak with electric by day").run()
    totals = app.table[0].value
    cells = [float(str(cell).replace("\\", "").replace("$", "").replace(",", "")) for cell in totals["a year"]]
    assert totals.index[-1] == "All bills"
    assert len(cells) == 3
    assert sum(cells[:-1]) == pytest.approx(cells[-1], abs=0.02)
