"""What the PDF maker is told, without drawing: fonts, letters beyond them, and which faults are not its own to mend."""

from __future__ import annotations

import json
from typing import Any

import pytest
import typst

from costsim.report import pdf
from costsim.report.blocks import Report, Text
from costsim.report.write import note_on_letters


def made(text: str) -> Report:
    return Report("Title", "", "by", "si", "a4", (Text(text),), (), ())


def test_the_fonts_told_are_those_of_the_package_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[dict[str, Any]] = []

    class Fonts:
        def __init__(self, **more: Any) -> None:
            asked.append(more)

        def families(self) -> tuple[str, ...]:
            return ("one", "two")

    monkeypatch.setattr(typst, "Fonts", Fonts)
    assert pdf.fonts() == ["one", "two"]
    assert asked == [{"include_system_fonts": False}]


def test_fonts_of_the_machine_are_asked_only_for_letters_the_package_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    """U+0530 begins Armenian, U+1DFF ends what has no shapes before Latin Extended Additional, U+2600 begins the symbols (Unicode blocks)."""
    told: list[dict[str, Any]] = []
    monkeypatch.setattr(typst, "compile", lambda page, **more: told.append(more) or b"drawn")
    for letter, has in (
        ("a", True),
        ("\u052f", True),
        ("\u0530", False),
        ("\u1dff", False),
        ("\u1e00", True),
        ("\u25ff", True),
        ("\u2600", False),
    ):
        assert pdf.covered(letter) is has
        assert pdf.compiled(made(letter), "pdf", ppi=30) == b"drawn"
        assert told[-1]["ignore_system_fonts"] is has
        assert (note_on_letters(made(letter), "a.pdf") == "") is has
        assert note_on_letters(made(letter), "a.html") == ""
    assert (told[0]["format"], told[0]["timestamp"], told[0]["ppi"]) == ("pdf", 0, 30)
    data = json.loads(told[0]["sys_inputs"]["report"])
    assert data["sign"] == [{"kind": "text", "text": "a", "weight": "plain"}]
    assert json.loads(told[0]["sys_inputs"]["labels"])["line"] == "name, date, signature"


def test_a_letter_without_a_shape_costs_the_claim_and_nothing_else(monkeypatch: pytest.MonkeyPatch) -> None:
    def drawn(fault: str) -> list[Any]:
        asked: list[Any] = []

        def compiled(report: Report, form: str, **more: Any) -> bytes:
            asked.append(more.get("pdf_standards"))
            if more:
                raise typst.TypstError(fault)
            return b"drawn"

        monkeypatch.setattr(pdf, "compiled", compiled)
        assert pdf.as_pdf(made("a")) == b"drawn"
        return asked

    assert drawn("the text could not be displayed with any font") == [["ua-1"], None]
    with pytest.raises(typst.TypstError, match="unknown variable"):
        drawn("unknown variable: x")
