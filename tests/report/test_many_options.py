"""A study of many options: what is signed is one page still, and no option is left out of the report."""

from __future__ import annotations

import copy
import json
from importlib import resources

import pytest
import typst

from costsim import load_weather, read_study
from costsim.report.blocks import Signatures, Table, labels
from costsim.report.content import report_of
from costsim.report.pdf import as_text
from costsim.study.case import case_from
from costsim.views.first_answers import FirstAnswers
from costsim.views.first_study import first_study
from costsim.views.templates import add_template
from costsim.weather.synthesis import synthesize
from costsim.weather.towns import towns

MORE = ("gas", "heat_pump", "propane", "oil", "pellets")
SIGNED = "Sun, wood and electric"


@pytest.mark.long
def test_drawing_and_signatures_of_collectors_share_a_page_beside_eight_options() -> None:
    data = copy.deepcopy(dict(read_study("valley_row").typed))
    for key in MORE:
        add_template(data, key, load_w=5000.0, system="si", currency="€")
    data["uncertainty"] = {**data.get("uncertainty", {}), "scenarios": 100}
    case = case_from(data)
    names = [one.name for one in case.options]
    assert len(names) == 8
    report = report_of(case, load_weather(case), "us", option=SIGNED)
    page = (resources.files("costsim.report") / "page.typ").read_bytes()
    inputs = {"report": as_text(report), "labels": json.dumps(labels())}
    root = str(resources.files("costsim.report"))
    assert typst.query(page, "<signed>", field="value", one=True, root=root, sys_inputs=inputs) in ("1", "1\n")
    at = next(i for i, one in enumerate(report.sign) if isinstance(one, Signatures))
    for title in ("What it costs", "Does it keep the house warm?"):
        above, below = (
            next([row[0] for row in one.rows] for one in blocks if isinstance(one, Table) and one.title == title)
            for blocks in (report.sign[:at], report.sign[at:])
        )
        assert SIGNED in above
        assert len(above) == 4
        assert below == names


@pytest.mark.long
@pytest.mark.parametrize("considered", ["wood", "heat_pump"])
def test_what_five_questions_give_is_signed_on_one_page(considered: str) -> None:
    weather = synthesize(**towns()["Helena, MT"].for_synthesis())
    data = first_study(
        FirstAnswers(
            weather_name="helena.csv", weather=weather, area="1700 ft2", insulation="average", now="propane",
            considered=["new_propane", "off_peak_propane", "heat_pump", "wood"], prices={"propane": "2.30 $/gal"}, system="us",
            currency="$", thermostat="69 degF", renewal={"replacement": "8000 $", "replacement_year": 2},
        )
    )  # fmt: skip
    signed = data["option"][{"wood": 4, "heat_pump": 3}[considered]]["name"]
    report = report_of(case_from(data), weather, "us", option=signed)
    page = (resources.files("costsim.report") / "page.typ").read_bytes()
    inputs = {"report": as_text(report), "labels": json.dumps(labels())}
    root = str(resources.files("costsim.report"))
    assert typst.query(page, "<signed>", field="value", one=True, root=root, sys_inputs=inputs) in ("1", "1\n")
