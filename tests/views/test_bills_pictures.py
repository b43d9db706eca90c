"""Pictures of bills and meters, and tables of tariffs and homes, from made-up results."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from views.drawn import FRAMES, SYSTEMS, seen
from views.made import but

from costsim.views import text_portfolio
from costsim.views.charts_bills import fit_chart
from costsim.views.charts_verify import verify_alt, verify_chart, verify_finding
from costsim.views.text_layout import _unserved, floor_lines
from costsim.views.text_tariff import text_import, text_tariffs

NEAR = pytest.approx
DAY, A_MONTH = np.datetime64("2024-01-15"), np.timedelta64(30, "D")
BILLS = SimpleNamespace(
    n_periods=2, fuel="electricity", energy_j=np.array([400.0, 200.0]) * 3.6e6, days=np.array([30, 30]), start_day=np.array([DAY, DAY + A_MONTH]),
    end_day=np.array([DAY + A_MONTH, DAY + 2 * A_MONTH]), mean_w=np.array([500.0, 250.0]),
)  # fmt: skip


def fitted(**more: Any) -> Any:
    """A line of 30 W a kelvin below 16 °C, ± 50 W."""
    made = SimpleNamespace(
        bills=BILLS, mean_c=np.array([0.0, 10.0]), line=SimpleNamespace(balance_c=16.0), residual_j=np.array([3.6e6 * 30, -3.6e6 * 30]),
        curve=lambda at: (np.maximum(16.0 - at, 0.0) * 30.0, np.full(len(at), 50.0)),
    )  # fmt: skip
    return but(made, **more)


@pytest.mark.parametrize(("system", "warm"), [("si", lambda c: c), ("us", lambda c: c * 1.8 + 32)])
def test_bills_lie_over_their_temperatures_and_the_line_has_its_band(system: str, warm: Any) -> None:
    """A watt is 0.024 kWh a day."""
    figure = fit_chart(SimpleNamespace(now=fitted(), before=None), system)  # type: ignore[arg-type]
    band, line, bills, left = figure.data
    assert (len(line.x), line.x[0], line.x[-1]) == (
        81,
        NEAR(warm(-1.0)),
        NEAR(warm(17.0)),
    )  # a kelvin beyond on both sides
    assert line.y[0] == NEAR(17 * 30 * 0.024, rel=1e-5)
    assert line.y[-1] == 0.0
    assert list(band.x[:81]) == NEAR(list(line.x))
    assert list(band.x[81:]) == NEAR(list(line.x[::-1]))
    assert list(band.y[:81] - line.y) == NEAR([50 * 0.024] * 81, abs=1e-4)
    assert list(line.y[::-1] - band.y[81:]) == NEAR([50 * 0.024] * 81, abs=1e-4)
    assert band.fill == "toself"
    assert list(bills.x) == list(left.x) == NEAR([warm(0.0), warm(10.0)])
    assert list(bills.y) == NEAR([12.0, 6.0], rel=1e-5)
    assert list(left.y) == NEAR([1.0, -1.0], rel=1e-5)  # 30 kWh in thirty days
    assert bills.text[0] == "2024-01-15 to 2024-02-13"
    assert (bills.yaxis, left.yaxis, left.showlegend) == ("y", "y2", False)
    lines = figure.layout.shapes
    assert lines[0].x0 == lines[0].x1 == NEAR(warm(16.0))
    assert lines[1].y0 == lines[1].y1 == 0.0
    upper, lower = figure.layout.yaxis.domain, figure.layout.yaxis2.domain
    assert upper[1] - upper[0] > 2 * (lower[1] - lower[0])
    assert upper[0] > lower[1]
    assert figure.layout.yaxis.rangemode == "tozero"
    assert figure.layout.legend.y < 0
    warmer = fit_chart(SimpleNamespace(now=fitted(mean_c=np.array([0.0, 20.0])), before=None), system).data[1]  # type: ignore[arg-type]
    assert warmer.x[-1] == NEAR(warm(21.0))
    both = fit_chart(SimpleNamespace(now=fitted(), before=fitted()), system)  # type: ignore[arg-type]
    assert len(both.data) == 7
    before = both.data[4]
    assert (before.line.dash, both.data[5].marker.symbol) == ("dash", "circle-open")
    assert before.line.color == both.data[5].marker.color != line.line.color


def metered(*predicted_kwh: float, start: Any = None) -> Any:
    bills = but(BILLS, start_day=BILLS.start_day if start is None else start)
    return SimpleNamespace(bills=bills, predicted_j=np.array(predicted_kwh) * 3.6e6)


@pytest.mark.parametrize(
    ("predicted", "said"),
    [((402.0, 200.9), "predicts what was metered"), ((401.0, 202.1), "1% more than was metered, most of it in Feb 2024"),
     ((397.0, 199.9), "1% less than was metered, most of it in Jan 2024"), ((100.0, 350.0), "25% less than was metered, most of it in Jan 2024"),
     ((300.0, 500.0), "33% more than was metered, most of it in Feb 2024")],
)  # fmt: skip
def test_what_a_picture_of_the_meter_shows(predicted: tuple[float, ...], said: str) -> None:
    found = metered(*predicted)
    assert said in verify_finding(found)
    figure = verify_chart(found, "si")
    assert [list(one.y) for one in figure.data] == [NEAR([400.0, 200.0], rel=1e-5), NEAR(predicted, rel=1e-5)]
    assert list(figure.data[0].x) == ["Jan 2024", "Feb 2024"]
    assert figure.data[0].marker.color != figure.data[1].marker.color
    assert figure.layout.barmode == "group"
    alt = verify_alt(found, "si")
    assert "for 2 bills, Jan 2024 to Feb 2024" in alt
    worst = int(np.argmax(np.abs(np.array(predicted) - [400.0, 200.0])))
    assert (
        f"Furthest apart in {['Jan', 'Feb'][worst]} 2024: metered {[400, 200][worst]} kWh, predicted {predicted[worst]:.0f} kWh"
        in alt
    )


def test_two_bills_of_one_month_are_told_apart() -> None:
    found = metered(1.0, 2.0)
    found.bills.end_day = np.array([DAY + A_MONTH // 5, DAY + A_MONTH // 2])
    found.bills.start_day = np.array([DAY, DAY + A_MONTH // 5])
    assert list(verify_chart(found, "si").data[0].x) == ["Jan 2024", "2024-01-21"]


def test_the_tariff_that_is_cheapest_bears_the_mark() -> None:
    choice: Any = SimpleNamespace(
        currency="$", tariffs=["T1", "T2"], options=["A", "B"], costs=[[500.4, 600.0], [450.0, 700.0]], whole_bills=[[1500.0, 1600.0], [1450.0, 1700.0]],
        unmet_hours=[[0, 1234], [0, 1234]], best=lambda option: {"A": "T2", "B": "T1"}[option],
    )  # fmt: skip
    from costsim.views import text_tariff

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(text_tariff, "winners", lambda _: [("A", "T2", 450.0), ("B", "T1", 600.0)])
        text = text_tariffs(choice)
        patch.setattr(text_tariff, "winners", lambda _: [("A", "T2", 450.0), ("B", "T2", 600.0)])
        one = text_tariffs(choice)
    rows = [line.split() for line in text.split("\n") if line[:2] in ("T1", "T2")]
    assert [row[-1] == "*" for row in rows] == [False, True, True, False]
    assert rows[0][2:5] == ["$500", "$1,500", "0"]
    assert rows[1][4] == "1,234"
    assert text.startswith("Cheapest to run: A on T2, $450 a year for heating.")
    assert "A is cheapest on T2; B is cheapest on T1." in text
    assert "Every option is cheapest on T2." in one
    made: Any = SimpleNamespace(utility="U", name="N", left_out=["first", "second"])
    lines = text_import(made, "a.json").split("\n")
    assert lines[0] == "# U: N, from a.json"
    assert len(lines) == 4
    assert text_import(but(made, left_out=[]), "a.json").count("\n") == 1
    assert text_import(but(made, utility="", name=""), "a.json").startswith("# a tariff without a name")


def test_pairs_stand_under_what_they_are_instead_of() -> None:
    summary: Any = {
        "pairs": [
            {"first": "Gas", "second": "Pump"},
            {"first": "Gas", "second": "Wood"},
            {"first": "Oil", "second": "Wood"},
        ]
    }
    rows = text_portfolio._under_first(summary, [["x", "1", "2"], ["x", "3", "4"], ["x", "5", "6"]])
    assert rows == [
        ["rather than Gas:", "", ""],
        ["  Pump", "1", "2"],
        ["  Wood", "3", "4"],
        ["rather than Oil:", "", ""],
        ["  Wood", "5", "6"],
    ]
    assert text_portfolio._percent(None) == "–"
    assert text_portfolio._percent(0.1234) == "12.3%"
    assert text_portfolio._five({"quantiles": None}, str) == ["–"] * 5
    assert text_portfolio._five({"quantiles": [1, 2]}, str) == ["1", "2"]


def test_what_tubes_lie_in_is_told_to_the_digits_of_the_trade() -> None:
    level = SimpleNamespace(
        level="G",
        build_up="concrete_100",
        spacings_m=[0.1524, 0.2286, 0.1524],
        coverings_m2k_w=[0.0, 0.1],
        insulation_m2k_w=1.8,
    )
    found: Any = SimpleNamespace(floors=[level])
    (us,) = floor_lines(found, "us")
    assert "tubes 6.0 in or 9.0 in apart; over it no covering or a covering of 0.57 h" in us  # 0.1 m² K/W
    assert "below it 10.2 h" in us  # 1.8 m² K/W
    (si,) = floor_lines(found, "si")
    assert "tubes 152 mm or 229 mm apart; over it no covering or a covering of 0.10 m" in si
    assert "below it 1.8 m" in si
    room: Any = SimpleNamespace(circuit="B", why="flow", remedies=())
    for missing, told in ((0.5, False), (0.52, True)):
        assert ("missing" in _unserved(but(room, missing_w=missing), "si")) is told


@pytest.mark.parametrize("size", ["wide", "narrow"])
@pytest.mark.parametrize("name", SYSTEMS)
def test_letters_of_one_kind_have_one_size(name: str, size: str) -> None:
    assert FRAMES[size] is not None
    sheet = seen(name, size).drawing.sheet
    high: dict[str, set[float]] = {}
    for text, box in sheet.labels:
        kind = (
            "letters"
            if text in ("CV", "RV", "ET", "BFP", "HL", "MV", "TV", "T", "drinking water", "open vent")
            else "name"
            if text in names(name)
            else ""
        )
        high.setdefault(kind, set()).add(round(box.bottom - box.top, 3))
    assert len(high["letters"]) == 1
    assert len(high["name"]) == 1
    assert min(high["name"]) > max(high["letters"]) > 8 * 1.02  # no smaller than eight points


def names(system: str) -> set[str]:
    made = SYSTEMS[system]
    return {one.name for one in (*made.sources, *made.zones, *made.uses)}
