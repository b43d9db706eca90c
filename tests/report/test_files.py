"""The files: escaped, self-contained, whole, one page to sign, and the same bytes in two processes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import typst
from cases import study, wavy_weather
from report.reports import DEMOS, demo_report, words

from costsim.cli.main import main
from costsim.report import write
from costsim.report.blocks import Chart, Report, Signatures, Text
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.report.pdf import DATED, as_pdf, compiled
from costsim.report.write import form_of, note_on_letters

ALL = pytest.mark.parametrize("name", DEMOS)
FIRST = pytest.mark.parametrize("name", [DEMOS[0], *(pytest.param(one, marks=pytest.mark.long) for one in DEMOS[1:])])
"""The others among the long tests."""
EVIL = '<script>alert("x")</script> & #panic("y") *b* $z$ @ref \\ ` [t] // "q" _u_ = h'
BOTH = """
import sys
from costsim import load_weather, read_study
from costsim.report.content import report_of
from costsim.report.html import as_html
from costsim.report.pdf import as_pdf
case = read_study("lantern_cottage")
report = report_of(case, load_weather(case))
sys.stdout.buffer.write(as_html(report).encode() + as_pdf(report))
"""


class Reader(HTMLParser):
    """Collects tags, texts and addresses of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.texts: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.links += [value or "" for name, value in attrs if name in ("href", "src", "xlink:href", "action")]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def read(page: str) -> Reader:
    """Read an HTML page."""
    reader = Reader()
    reader.feed(page)
    return reader


def renamed(report: Report, text: str) -> Report:
    """The report with a text of somebody's own in title, note and answer."""
    return replace(report, title=text, note=text, sign=(Text(text, "answer"), *report.sign[1:]))


@FIRST
def test_html_stands_alone(name: str) -> None:
    page = as_html(demo_report(name))
    reader = read(page)
    assert not {"script", "link", "img", "iframe", "object", "form"} & set(reader.tags)
    assert reader.links == []
    assert not re.findall(r"https?://(?!www\.w3\.org/2000/svg)|url\((?!#)|@import", page)
    assert reader.tags.count("svg") == sum(isinstance(block, Chart) for block in demo_report(name).blocks)


@FIRST
def test_html_has_every_text_of_the_report(name: str) -> None:
    report = demo_report(name)
    texts = set(read(as_html(report)).texts)
    for block in report.blocks:
        if block.kind in ("table", "facts"):
            assert {cell for row in block.rows for cell in row if cell} <= texts


def test_html_escapes_what_was_typed() -> None:
    page = as_html(renamed(demo_report("lantern_cottage"), EVIL))
    reader = read(page)
    assert "<script" not in page
    assert "script" not in reader.tags
    assert reader.texts.count(EVIL) == 4  # in the window's title, on top, as note and as answer


def test_a_title_from_a_study_is_escaped_all_the_way(tmp_path: Path) -> None:
    from costsim.study.case import read_study, write_study

    data = read_study("lantern_cottage").typed
    typed = data | {"title": EVIL, "option": [data["option"][0] | {"name": '<b onload="x">'}, data["option"][2]]}
    prices = {key: data["prices"][key] for key in ("electricity", "natural_gas")}
    (tmp_path / "evil.toml").write_text(write_study(typed | {"prices": prices}), encoding="utf-8")
    assert main(["report", str(tmp_path / "evil.toml"), "-o", str(tmp_path / "evil.html")]) == 0
    page = (tmp_path / "evil.html").read_text(encoding="utf-8")
    assert "<script" not in page
    assert "<b " not in page
    assert EVIL in read(page).texts
    assert main(["report", str(tmp_path / "evil.toml"), "-o", str(tmp_path / "evil.pdf")]) == 0
    assert (tmp_path / "evil.pdf").read_bytes().startswith(b"%PDF-")


@ALL
def test_charts_are_sound_svg_that_name_themselves(name: str) -> None:
    for block in demo_report(name).blocks:
        if isinstance(block, Chart):
            root = ElementTree.fromstring(block.svg)
            assert root.tag.endswith("svg")
            assert root.get("aria-label")
            _, _, wide, high = (float(one) for one in root.get("viewBox", "").split())
            for shape in root.iter():
                for key, most in (("x", wide), ("x1", wide), ("x2", wide), ("y", high), ("y1", high), ("y2", high)):
                    assert -0.01 <= float(shape.get(key, "0")) <= most, f"{block.title}: {shape.attrib}"


@FIRST
def test_pdf_draws_without_a_warning_on_one_page_to_sign(name: str) -> None:
    from costsim.report import pdf

    report = demo_report(name)
    pages = compiled(report, "png", ppi=30.0)
    assert isinstance(pages, list)
    assert 5 <= len(pages) <= 15  # the inspector's pages and the material list are part of it
    started = []

    def told(source: bytes, **more: object) -> object:
        more.pop("format")
        more.pop("timestamp")
        started.append(typst.query(source, "<signed>", field="value", one=True, **more))
        return b""

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typst, "compile", told)
        pdf.compiled(report, "pdf")
    assert started == ["1"]  # with the diagram; cautions and sources in full follow overleaf


@ALL
def test_the_diagram_stands_above_the_signatures_and_its_letters_are_legible(name: str) -> None:
    sign = demo_report(name).sign
    at = next(i for i, block in enumerate(sign) if isinstance(block, Signatures))
    drawn = [block for block in sign[:at] if isinstance(block, Chart)]
    assert len(drawn) == 1
    assert "Diagram of principle, not for installation." in drawn[0].about
    root = ElementTree.fromstring(drawn[0].svg)
    wide = float(root.get("viewBox", "").split()[2])
    sizes = [float(one.get("font-size", "")) for one in root.iter() if one.tag.endswith("text")]
    assert min(sizes) * 180.0 / wide / 25.4 * 72 > 6.0  # points, on the 180 mm of an A4 page between its margins


@ALL
def test_nothing_that_is_signed_rests_on_memory(name: str) -> None:
    report = demo_report(name)
    assert "from memory" not in words((*report.sign, *report.inspect))
    assert "to be confirmed by the inspector: ___" in words(report.sign)


@FIRST
def test_pdf_is_tagged_titled_dated_by_no_clock_and_needs_no_font_of_the_machine(name: str) -> None:
    report = demo_report(name)
    assert note_on_letters(report, "page.pdf") == ""
    data = as_pdf(report)
    # the profile for every reader, which refuses a letter without a shape
    assert b"pdfuaid" in data
    assert name != "lantern_cottage" or b"Does the gas meter ever pay?" in data
    assert DATED == 0
    assert not [mark for mark in (b"/CreationDate", b"/ModDate", b"xmp:CreateDate", b"xmp:ModifyDate") if mark in data]
    assert b"/ToUnicode" in data  # so that readers can take the text out


@pytest.mark.long
def test_the_same_study_gives_the_same_bytes_in_two_processes(tmp_path: Path) -> None:
    found = []
    for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo")):
        settings = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        done = subprocess.run([sys.executable, "-c", BOTH], cwd=tmp_path, env=settings, capture_output=True, check=True)
        found.append(done.stdout)
    assert found[0] == found[1]
    assert b"<!DOCTYPE html>" in found[0]
    assert b"%PDF-" in found[0]


def test_markup_is_taken_as_text_and_letters_beyond_the_fonts_are_told() -> None:
    # a typed text that was run would stop at panic, or miss its reference
    strange = renamed(demo_report("lantern_cottage"), f"{EVIL} 暖房 Дом Σπίτι")
    assert as_pdf(strange).startswith(b"%PDF-")
    assert ".html" in note_on_letters(strange, "page.pdf")
    assert note_on_letters(strange, "page.html") == ""


def test_control_characters_are_taken_out_of_text_and_drawing() -> None:
    case = study({"kind": "electric", "output": "9 kW"})
    odd = chr(8) + chr(27)
    # a study file with them is refused; whoever builds a case by hand may still bring them
    named = case.options[0].model_copy(update={"name": f"c{odd}d"})
    bad = case.model_copy(update={"title": f"a{odd}b", "option": (named,)})
    report = report_of(bad, wavy_weather(5.0 - 12.0 * np.cos(np.arange(8760) / 1394.0)))
    assert odd not in words(report.blocks)
    assert as_pdf(report).startswith(b"%PDF-")


def test_an_old_file_is_replaced_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    target = tmp_path / "page.html"
    target.write_text("old", encoding="utf-8")
    monkeypatch.setattr(write, "report_of", lambda *_, **__: demo_report("lantern_cottage"))

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "write_bytes", full_disk)
        assert main(["report", "-o", str(target)]) == 2
    assert "No space left on device" in capsys.readouterr().err
    assert target.read_text(encoding="utf-8") == "old"
    assert main(["report", "-o", str(target)]) == 0
    assert target.read_text(encoding="utf-8").endswith("</html>\n")
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("name", ["page.docx", "page", "page.pdf.txt"])
def test_another_ending_is_refused_before_anything_is_computed(name: str, capsys, tmp_path: Path) -> None:
    assert main(["report", "no_such_study.toml", "-o", str(tmp_path / name)]) == 2
    assert "end the name in .pdf or .html" in capsys.readouterr().err
    assert form_of("PAGE.PDF") is as_pdf
