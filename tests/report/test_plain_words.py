"""Nothing that an owner signs is in the words of a study's file."""

from __future__ import annotations

import re

import pytest
from report.reports import DEMOS, demo_report, words

from costsim.report.blocks import Facts, Report, Signatures, Text
from costsim.report.reader import for_reader
from costsim.report.sign import BY_HAND
from costsim.study.case import Case
from costsim.views.wording import STUDY_TABLES, without_tables

OF_A_FILE = re.compile(r"\[\[?(?:" + "|".join(STUDY_TABLES) + r")[.\]]")


def test_every_table_of_a_study_has_its_plain_name() -> None:
    typed = {field.alias or name for name, field in Case.model_fields.items()}
    assert set(STUDY_TABLES) == typed - {"title", "note", "price_date"}
    for name in STUDY_TABLES:
        assert "[" not in without_tables(f"add [{name}], [[{name}.more]] or [{name}.more.yet]")


def test_a_warning_in_the_words_of_a_file_is_printed_in_plain_ones() -> None:
    told = Text("Add the grid's own to [prices.off_peak], or [[floor.loops]].")
    report = for_reader(Report("A house", "", "made", "us", "letter", (told,), (), ()))
    assert words(report.sign).split("\n")[0] == "Add the grid's own to a price of off peak (Prices page), or “Loops”."


@pytest.mark.long
@pytest.mark.parametrize("name", DEMOS)
def test_no_sheet_of_a_built_in_study_names_a_table_of_its_file(name: str) -> None:
    assert not [line for line in words(demo_report(name).blocks).split("\n") if OF_A_FILE.search(line)]


def test_the_page_to_sign_leaves_lines_for_what_no_study_knows() -> None:
    told = " ".join(" ".join(row) for row in BY_HAND)
    words_before = re.split(r"_{10,}", told)
    assert [one.strip() for one in words_before] == ["address of the house", "permit number", "license number", ""]


@pytest.mark.long
def test_they_stand_just_above_the_signatures() -> None:
    page = demo_report("net_loft").sign
    at = next(at for at, one in enumerate(page) if isinstance(one, Signatures))
    above = page[at - 1]
    assert isinstance(above, Facts)
    assert above.rows[-len(BY_HAND) :] == BY_HAND
