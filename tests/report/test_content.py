"""What stands on the report: the same numbers as the JSON, every assumption, every input, and no more than is known."""

from __future__ import annotations

import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from cases import study, wavy_weather
from report.reports import DEMOS, demo_basis, demo_case, demo_report, system_of, table_with, words

from costsim.cli.main import main
from costsim.errors import InputError
from costsim.report.basis import Basis
from costsim.report.blocks import Facts, Heading, Items, Signatures, Text, table
from costsim.report.content import report_of
from costsim.report.figures import cost_chart, duration_chart, short_chart
from costsim.report.reader import to_confirm
from costsim.report.sheet import by_line
from costsim.report.typed import typed_rows
from costsim.report.water import surface_c
from costsim.study.case import Case, case_from
from costsim.units.quantity import KWH_J, to_display
from costsim.views.tables import money
from costsim.views.wording import for_reader

FIGURE = re.compile(r"[^\w-]?\s?([\d,]+(?:\.\d+)?)(?:\s?[^\w])?")
"""Of an axis, money or not."""
ALL = pytest.mark.parametrize(
    "name",
    [pytest.param(name, marks=[pytest.mark.long] if name in ("net_loft", "valley_row") else []) for name in DEMOS],
)


def compared(name: str, folder: Path) -> dict:
    """The JSON that `costsim compare --json` writes."""
    assert main(["compare", name, "--json", str(folder / "r.json")]) == 0
    return json.loads((folder / "r.json").read_text(encoding="utf-8"))


@ALL
def test_the_numbers_on_the_page_are_those_of_the_json(name: str, tmp_path: Path) -> None:
    data, page, system = compared(name, tmp_path), demo_report(name).sign, system_of(name)
    costs = {row[0]: row for row in table_with(page, "first cost").rows}
    carried = {row[0]: row for row in table_with(page, "unmet hours").rows}
    assert list(costs) == list(carried) == [option["name"] for option in data["options"]]
    for option in data["options"]:
        cost, short = costs[option["name"]], carried[option["name"]]
        figures = [money(option[key], data["currency"]) for key in ("cost_total", "cost_fixed", "cost_energy")]
        assert [cost[1], cost[3], cost[4]] == figures
        rated = sum(source["rated_kw"] for source in option["sources"])
        assert short[1] == f"{to_display(rated * 1e3, 'power', system):,.1f}"
        assert short[4] == f"{option['unmet_hours']:,}"
        if option["unmet_hours"]:
            assert short[5] == f"{to_display(option['unmet_kwh'] * KWH_J, 'heat', system):,.2f}"
            assert short[6] == f"{to_display(option['worst_unmet_kw'] * 1e3, 'power', system):,.1f}"
            assert short[7] == option["worst_unmet_at"]


@ALL
def test_the_sentence_is_the_one_that_compare_prints(name: str, capsys) -> None:
    assert main(["compare", name, "--units", system_of(name)]) == 0
    own, second = demo_report(name).sign[:2]  # what is signed has its own figures first
    assert isinstance(own, Text)
    assert isinstance(second, Text)
    assert " ".join(second.text.split()) in " ".join(capsys.readouterr().out.split())


@ALL
def test_the_band_is_the_one_of_the_doubt(name: str, tmp_path: Path) -> None:
    assert main(["uncertainty", name, "--json", str(tmp_path / "d.json")]) == 0
    data = json.loads((tmp_path / "d.json").read_text(encoding="utf-8"))
    rows = {row[0]: row for row in table_with(demo_report(name).sign, "first cost").rows}
    for option in data["options"]:
        low, _, high = (money(value, demo_case(name).currency) for value in option["cost_10_50_90"])
        assert rows[option["name"]][2] == f"{low} to {high}"


@ALL
def test_every_assumption_of_the_json_stands_on_the_sheet(name: str, tmp_path: Path) -> None:
    rows = set(table_with(demo_report(name).sheet, "key that changes it").rows)
    expected = compared(name, tmp_path)["assumptions"]
    assert len(expected) > 10
    for item in expected:
        value, source = (to_confirm(for_reader(item[key], system_of(name))) for key in ("value", "source"))
        assert (item["what"], value, source, item["key"] or "–") in rows


@ALL
def test_every_value_typed_stands_on_the_sheet(name: str) -> None:
    case = demo_case(name)
    shown = table_with(demo_report(name).sheet, "read as").rows
    system = system_of(name)
    assert [list(row) for row in shown] == [
        [for_reader(cell, system) for cell in row] for row in typed_rows(case, system)
    ]
    assert len(shown) == len(list(leaves(case.typed))) - 2  # title and note stand on top


def leaves(data: object):
    """Every value of plain data; lists of texts count as one."""
    if isinstance(data, dict):
        for value in data.values():
            yield from leaves(value)
    elif isinstance(data, list) and data and isinstance(data[0], dict):
        for value in data:
            yield from leaves(value)
    else:
        yield data


def test_typed_values_are_given_in_si() -> None:
    rows = {key: value for key, _, value in typed_rows(demo_case("net_loft"))}
    assert rows["house.design_heat_loss"] == "23500 W"
    assert rows["floor.loops[1].length"] == "91.44 m"
    assert rows["tank.max_temperature"] == "65.5556 °C"
    assert rows["prices.propane.energy"] == "818.933 $/m³"  # 3.10 $ / 0.003785412 m³
    assert rows["option[3].source[1].curtailment.longest_run"] == "43200 s"


@ALL
def test_both_parts_have_what_their_readers_look_for(name: str) -> None:
    report = demo_report(name)
    page, sheet = words(report.sign), words(report.sheet)
    signers = next(block for block in report.sign if isinstance(block, Signatures))
    assert [who for who, _ in signers.rows] == ["Owner", "Installer", "Inspector"]
    for part in (
        "80% range",
        "as of ____",
        "locally adopted edition",
        "design heat loss",
        "TMY3" if name != "valley_row" else "synthetic",
    ):
        assert part in page
    for part in (
        "uncertainty band",
        "±25%",
        "EN 1264-2" if name != "lantern_cottage" else "ASME",
        "UA = ",
        "freezing point",
        "CoolProp",
    ):
        assert part in sheet


@ALL
def test_every_caution_stands_short_on_the_page_and_in_full_on_the_sheet(name: str) -> None:
    report, cautions = demo_report(name), demo_basis(name).cautions
    page = next(block for block in report.sign if isinstance(block, Items))
    assert [item[0] for item in page.items] == [one.title for one in demo_basis(name).signed.cautions]
    sheet = words(report.sheet)
    said = [for_reader(text, report.system) for one in cautions for text in (one.text, one.check)]
    assert all(text in sheet for text in said)


def test_eligibility_names_the_programme_and_the_reasons() -> None:
    page = words(demo_report("net_loft").sign)
    assert "Is “Interruptible winter heat” open to it?" in page
    assert "not eligible because no source is under the utility's control" in page
    assert not [b for b in demo_report("lantern_cottage").sign if isinstance(b, Heading) and "open to it" in b.text]


def test_loops_show_reynolds_head_and_surface() -> None:
    row = table_with(demo_report("net_loft").sheet, "Reynolds").rows[0]
    # net loft: 12 loops, 334 m² of floor, 70.3 W/m² at 18.9 °C: 8.92 ΔT^1.1 = 70.3 gives 6.53 K, so 25.4 °C = 77.8 °F,
    # EN 1264-2 by hand
    assert row[6] == "77.8"
    assert row[7] == "84.2"  # 29 °C, EN 1264-2
    assert surface_c(heat_w=70.27, area_m2=1.0, room_c=18.89) == pytest.approx(25.42, abs=0.02)


@ALL
def test_bills_added_up_over_the_months_keep_their_totals(name: str) -> None:
    for option in demo_basis(name).result.options:
        added = by_line(option)
        for key, bill in option.bills.items():
            assert added.bills[key].total == pytest.approx(bill.total, rel=1e-12)
            assert len(added.bills[key].lines) <= len(bill.lines)


def test_ratings_given_are_judged_on_the_sheet() -> None:
    typed = demo_case("net_loft").typed | {
        "ratings": {
            "tube_temperature": "140 degF",
            "tank_temperature": "180 degF",
            "relief_pressure": "30 psi",
            "tube_pressure": "100 psi",
        }
    }
    case = case_from(typed, file="ratings", files=demo_case("net_loft").files)
    from costsim import load_weather

    report = report_of(case, load_weather(case))
    assert "Rating fails: tube: temperature 140.0 °F, at least 150.0 °F needed." in words(report.sign)
    rows = {row[0]: row for row in table_with(report.sheet, "verdict").rows}
    assert rows["tube: temperature"][1:4] == ("140.0 °F", "at least 150.0 °F", "fail")
    assert rows["tank: temperature"][3] == "pass"
    assert rows["tube: pressure"][1:4] == ("100.0 psi", "at least 30.0 psi", "pass")
    assert rows["pump: pressure"][3] == "not given"
    assert rows["freezing point of what circulates"][3] == "take care"


def test_a_price_date_stands_where_it_is_given_and_is_refused_where_it_is_none() -> None:
    weather = wavy_weather(5.0 - 12.0 * np.cos(np.arange(8760) * 2 * np.pi / 8760))
    plain: Case = study({"kind": "electric", "output": "9 kW"})
    dated = case_from(plain.typed | {"price_date": "2026-11"})
    assert "as of 2026-11" in words(report_of(dated, weather).sign)
    with pytest.raises(InputError, match="price_date"):
        case_from(plain.typed | {"price_date": "last week"})


def test_one_option_that_is_short_and_one_with_nothing_but_a_source_both_make_a_report() -> None:
    weather = wavy_weather(5.0 - 25.0 * np.cos(np.arange(8760) * 2 * np.pi / 8760))
    report = report_of(study({"kind": "electric", "output": "3 kW"}), weather, "si")
    page = words(report.sign)
    assert "None of these options keeps the house warm" in page
    assert "Heat missing by month" in words(report.sheet)
    assert any(isinstance(block, Facts) for block in report.sheet)


def test_a_table_refuses_rows_that_do_not_fit() -> None:
    with pytest.raises(ValueError, match="do not fit"):
        table("t", ["a", "b"], [["1"]], "wr")


def shapes(svg: str, kind: str) -> list[dict[str, str]]:
    """Attributes of all shapes of a kind, with their words."""
    root = ET.fromstring(svg)
    return [{**one.attrib, "words": one.text or ""} for one in root.iter() if one.tag.endswith("}" + kind)]


def axis(texts: list[dict[str, str]], along: str, anchor: str, shift: float = 0.0) -> Callable[[float], float]:
    """What a place on the drawing means, by the figures beside an axis."""
    marks = [one for one in texts if one["text-anchor"] == anchor and FIGURE.fullmatch(one["words"])]
    at = np.array([float(one[along]) - shift for one in marks])
    value = np.array([float(FIGURE.fullmatch(one["words"])[1].replace(",", "")) for one in marks])  # type: ignore[index]
    assert len(marks) >= 3
    slope, start = np.polyfit(at, value, 1)
    assert slope * at + start == pytest.approx(
        value, abs=0.02 * value.max()
    )  # evenly spaced, and nothing else among them
    return lambda place: slope * place + start


def bars(svg: str) -> list[tuple[float, float, float, float, str]]:
    """Left, top, width, height and colour of the filled boxes, without the legend's."""
    found = [one for one in shapes(svg, "rect") if not one["fill"].startswith("url")]
    boxes = [(*(float(one[key]) for key in ("x", "y", "width", "height")), one["fill"]) for one in found]
    return [one for one in boxes if (one[2], one[3]) != (12.0, 9.0)]


@ALL
def test_bars_of_cost_show_fixed_energy_and_the_band(name: str) -> None:
    basis: Basis = demo_basis(name)
    svg = cost_chart(basis).svg
    texts = shapes(svg, "text")
    cost = axis(texts, "x", "middle")
    near = cost(1.0) - cost(0.0)  # a hundredth of a unit is lost in writing
    options, drawn = basis.result.options, bars(svg)
    spans = [one for one in shapes(svg, "line") if one["y1"] == one["y2"] and one["stroke-width"] == "1.6"][1:]
    assert len(drawn) == 2 * len(options)
    for option, fixed, energy, span in zip(options, drawn[::2], drawn[1::2], spans, strict=True):
        band = basis.band(option.name)
        assert cost(fixed[0]) == pytest.approx(0.0, abs=near)
        assert cost(fixed[0] + fixed[2]) == pytest.approx(option.cost_fixed, abs=near)
        assert energy[0] == pytest.approx(fixed[0] + fixed[2], abs=0.02)
        assert cost(energy[0] + energy[2]) == pytest.approx(option.cost_fixed + option.cost_energy, abs=near)
        assert (cost(float(span["x1"])), cost(float(span["x2"]))) == pytest.approx((band[0], band[2]), abs=near)
        assert fixed[1] < float(span["y1"]) < fixed[1] + fixed[3]
        total = next(
            one
            for one in texts
            if one.get("font-weight") and one["words"] == money(option.cost_total, basis.case.currency)
        )
        assert float(total["x"]) > max(float(span["x2"]), energy[0] + energy[2])
    assert max(one[0] + one[2] for one in drawn) < 640


@ALL
def test_the_load_curve_shows_every_hour_s_demand_and_what_sources_give(name: str) -> None:
    basis: Basis = demo_basis(name)
    svg = duration_chart(basis).svg
    texts = shapes(svg, "text")
    power, hour = axis(texts, "y", "end", 4.0), axis(texts, "x", "middle")
    [curve] = shapes(svg, "polyline")
    points = [tuple(map(float, pair.split(","))) for pair in curve["points"].split()]
    demand = np.sort(basis.common.demand_w)[::-1]
    near = abs(power(0.0) - power(1.0)) * 0.02 + 0.01
    assert hour(points[0][0]) == pytest.approx(0.0, abs=2)
    assert hour(points[-1][0]) == pytest.approx(len(demand) - 1, abs=2)
    for x, y in points[:: len(points) // 20]:
        at = round(hour(x))
        low, high = (
            to_display(float(demand[min(max(at + by, 0), len(demand) - 1)]), "power", basis.system) for by in (2, -2)
        )
        assert low - near <= power(y) <= high + near
    dashed = [one for one in shapes(svg, "line") if "stroke-dasharray" in one]
    levels = [power(float(one["y1"])) for one in dashed[::2]]  # each is drawn once across and once in the key
    given = [
        to_display(sum(source.day_w for source in basis.look(option.name).sources), "power", basis.system)
        for option in basis.case.options
    ]
    assert levels == pytest.approx(given, abs=near)
    assert all(float(one["y1"]) >= 14.0 for one in dashed)


def test_heat_missing_by_month_is_read_off_the_bars() -> None:
    shown = 0
    for name in DEMOS:
        basis: Basis = demo_basis(name)
        chart, short = short_chart(basis), [option for option in basis.result.options if option.unmet.hours]
        assert (chart is None) == (not short)
        if chart is None:
            continue
        heat, wide = axis(shapes(chart.svg, "text"), "y", "end", 4.0), (640.0 - 46 - 12) / 12
        near = abs(heat(0.0) - heat(1.0)) * 0.02 + 0.01
        drawn = {fill: np.zeros(12) for *_, fill in bars(chart.svg)}
        for x, y, width, high, fill in bars(chart.svg):
            month = int((x + width / 2 - 46.0) // wide)
            drawn[fill][month] = heat(y)
            assert heat(y + high) == pytest.approx(0.0, abs=near)
            assert 46 + month * wide <= x < x + width <= 46 + (month + 1) * wide
        wanted = [
            [
                to_display(float(one.hourly.unmet_w[basis.result.months == month].sum()) * 3600, "heat", basis.system)
                for month in range(1, 13)
            ]
            for one in short
        ]
        for row in drawn.values():
            assert any(row == pytest.approx(other, abs=near) for other in np.array(wanted))
        shown += 1
    assert shown
