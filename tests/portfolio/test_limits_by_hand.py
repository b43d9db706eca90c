"""Folders, lists and rows of a portfolio at their limits: everything around them is made up, every result worked by hand."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from portfolio.small import CASE

from costsim.engine import layout as k
from costsim.errors import InputError
from costsim.portfolio import compute, costs, headings, looks, plan, rows, run, summary, variants
from costsim.portfolio.columns import Column, Layout
from costsim.portfolio.homes import MOST_BYTES, MOST_UNPACKED, Block, about_rows, count_rows
from costsim.portfolio.own_columns import is_own, near
from costsim.portfolio.plan import PortfolioPlan
from costsim.portfolio.quantiles import DIGITS, SHARES, WEIGHT_BITS
from costsim.portfolio.rows import RejectedRow, read_row
from costsim.portfolio.store import Store, open_store
from costsim.portfolio.totals import MOST_LISTED, homes_csv

AREA = Column("Area [m2]", "house.floor_area", ("house", "floor_area"), "m2", True)
LOSS = Column("Loss [kW]", "house.design_heat_loss", ("house", "design_heat_loss"), "kW", True)

# folders


def test_a_folder_is_made_cleaned_and_overwritten_by_its_own_files_alone(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    open_store(folder, {"version": 1, "homes": "é"}, ["o"], ["c"])
    assert "é" in (folder / "run.json").read_text(encoding="utf-8")
    for name in ("homes", "hours", "sums"):
        (folder / name / ".part-1").touch()
        (folder / name / "mine.parquet").touch()
        (folder / name / ("part-00000.json" if name == "sums" else "part-00000.parquet")).touch()
    (folder / "totals.csv").touch()
    open_store(folder, {"version": 1, "homes": "é"}, ["o"], ["c"], overwrite=True)
    assert not list(folder.glob("*/.part-*"))
    assert (folder / "totals.csv").exists()  # the same run goes on
    for changed, told in (({"version": 2, "homes": "é"}, "version differs;"), ({"version": 2, "homes": "x"}, "version, homes differ;")):  # fmt: skip
        with pytest.raises(InputError, match=f"holds another run: {told}"):
            open_store(folder, changed, ["o"], ["c"])
    open_store(folder, {"version": 2}, ["o"], ["c"], overwrite=True)
    assert sorted(one.name for one in folder.rglob("*") if one.is_file()) == ["mine.parquet"] * 3 + ["run.json"]
    store = Store(folder, "m", ("o",), ("c",))
    store.drop([5])  # of which nothing is there
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match=r"cannot be used \("):
        open_store(tmp_path / "file", {}, [], [])


def test_the_first_three_reasons_are_told_where_no_row_can_be_used() -> None:
    reasons = [RejectedRow(at, "h", "Loss", "x", f"reason {at}") for at in range(2, 7)]
    store: Any = SimpleNamespace(aside=lambda numbers: iter(reasons), folder="out")
    assert [fault.problem for fault in run._no_row(store, [0], "f")] == [
        "no row could be used", "Loss: x", "Loss: x", "Loss: x",
    ]  # fmt: skip
    store.aside = lambda numbers: iter(())
    assert [fault.problem for fault in run._no_row(store, [0], "f")] == ["holds no row below its headings"]


def test_a_table_of_nothing_has_no_rows(tmp_path: Path) -> None:
    for text, lines, homes in (("", 0, 0), ("home", 0, 0), ("home\n", 1, 0), ("home\na\nb\n", 3, 2)):
        (tmp_path / "t.csv").write_text(text, encoding="utf-8", newline="")
        assert (count_rows(tmp_path / "t.csv"), about_rows(tmp_path / "t.csv")) == (lines, homes)
    assert (MOST_BYTES, MOST_UNPACKED) == (100e9, 500e6)


# lists and rows


def a_store(names: list[str], values: list[list[float]]) -> Any:
    """A folder with one part: names of homes, and columns of results by home."""
    weights = np.arange(2.0, 2.0 + len(names))
    return SimpleNamespace(
        kept=("Utility",),
        texts=lambda columns, number: [names, ["=City"] * len(names)],
        parts=lambda columns, numbers: iter([(weights / 4, np.array([weights, *np.array(values).T]))]),
    )


def test_every_home_is_listed_in_the_reader_s_units(monkeypatch: pytest.MonkeyPatch) -> None:
    """A million Btu are 1.05505585262e9 J, a tenth of it a therm; a kilowatt-hour is 3.6e6 J."""
    mmbtu = 1.05505585262e9
    columns = ("A: heat wanted [J]", "A: natural_gas [kWh]", "A: electricity [kWh]", "A: unmet [kWh]", "A: largest unmet [kW]", "A: unmet [h]")  # fmt: skip
    recipe: Any = SimpleNamespace(columns=columns, case=SimpleNamespace(prices={}, currency="$"))
    monkeypatch.setattr(
        "costsim.portfolio.totals._told_facts",
        lambda recipe: [("floor area", "area"), ("balance point", "temperature")],
    )
    values = [
        [
            1000 * 0.3048**2,
            10.0,
            2 * mmbtu,
            5 * mmbtu / 10 / 3.6e6,
            7.5,
            mmbtu / 2 / 3.6e6,
            3 * mmbtu / 1e3 / 3600 / 1e3,
            4.0,
        ]
    ] * 3
    found = homes_csv(recipe, a_store(["a", "=b", "c"], values), [0], "us")
    head = "A: heat wanted [MMBtu],A: natural gas [therms],A: electricity [kWh],A: unmet [MMBtu],A: largest unmet [kBtu/h],A: unmet [h]"
    head = f"floor area [ft2],balance point [degF],{head}"
    figures = "1000,50,2,5,7.5,0.5,3,4"
    assert found.splitlines() == [
        f"row,home,weight,Utility,{head}", f"2,a,0.5,'=City,{figures}", f"3,'=b,0.75,'=City,{figures}", f"4,c,1,'=City,{figures}",
    ]  # fmt: skip
    assert "A: heat wanted [kWh]" in homes_csv(recipe, a_store(["a"], values[:1]), [0], "si")
    assert MOST_LISTED == 50_000
    monkeypatch.setattr("costsim.portfolio.totals.MOST_LISTED", 4)
    assert len(homes_csv(recipe, a_store(["a", "b", "c"], values), [0, 1], "us").splitlines()) == 1 + 4


def test_a_thousand_things_to_look_at_are_listed_and_all_are_counted() -> None:
    numbers = list(range(2, 2004))
    seen: Any = SimpleNamespace(
        swallowed=0, homes=lambda aside: (numbers, lambda at: [str(row // 2) for row in numbers])
    )
    recipe: Any = SimpleNamespace(layout=SimpleNamespace(home=0, columns=(), headings=("Name",), uses=(), filled=()))
    found = looks.look_over(recipe, seen, set())
    assert (len(found["look"]), found["look_count"], found["looked_at"]) == (1000, 1001, 2002)
    assert found["look"][0]["rows"] == [2, 3]


def test_loads_of_very_small_areas_are_looked_at_too() -> None:
    recipe: Any = SimpleNamespace(case=CASE, layout=SimpleNamespace(columns=[(0, LOSS)], uses=()))
    si = {"house.design_heat_loss": np.array([250.0]), "house.floor_area": np.array([0.5])}  # 500 W/m²
    assert [one["rows"] for one in looks._per_area(recipe, [9], si)] == [[9]]


@pytest.mark.parametrize(
    ("path", "known"),
    [
        (("house", "floor_area"), True), (("house", "nothing"), False), (("house", "zone", 0, "area"), False), (("prices", "gas", "energy"), True),
        (("prices", "gas", "block", 0, "energy"), False), (("option", 0, "energy"), False),
    ],
)  # fmt: skip
def test_figures_of_the_house_and_of_prices_have_what_is_usual(path: Any, known: bool) -> None:
    assert (looks._field_of(Column("x", "x", path, "m2", True)) is not None) is known


def test_a_home_to_try_is_one_of_the_first_twenty() -> None:
    asked: list[int] = []

    def blocks(size: int) -> Any:
        asked.append(size)
        return iter(())

    assert looks._first_cells(None, SimpleNamespace(blocks=blocks)) is None  # type: ignore[arg-type]
    assert asked == [20]


def test_why_a_figure_changes_nothing() -> None:
    def why(key: str, keys: tuple[str, ...], route: str = "entered") -> str:
        case = SimpleNamespace(house=SimpleNamespace(route_used=route), typed=CASE.typed)
        common = SimpleNamespace(route=SimpleNamespace(load_w=7600.0))
        recipe: Any = SimpleNamespace(case=case, common=common, layout=SimpleNamespace(keys=keys))
        return looks._idle_figure(recipe, Column("x", key, tuple(key.split(".")), "m2", True))

    # 7.6 kW are 25.9 kBtu/h
    assert why("house.floor_area", ()).startswith("the study's heat loss is typed (25.9 kBtu/h); add a column Heat loss [kBtu/h]")  # fmt: skip
    assert why("house.floor_area", (), "surfaces").startswith(
        "the study's heat loss is 25.9 kBtu/h by other figures; add"
    )
    assert why("house.floor_area", ("house.heat_loss_rate",)).startswith("the heat loss is a column of its own")
    assert why("house.gains", ()) == "the study is worked out by other figures; take the column out"


def test_a_home_without_a_weight_counts_once(plan: PortfolioPlan) -> None:
    layout = Layout(("home", "loss"), 0, None, ((1, LOSS),))
    recipe: Any = SimpleNamespace(layout=layout, case=CASE)
    assert read_row(recipe, 4, ["a", "5"]).weight == 1.0
    assert [len(rows.shown_cell("x" * count)) for count in (79, 80, 81, 200)] == [79, 80, 80, 80]
    assert rows.shown_cell("x" * 81) == "x" * 79 + "…"


def test_a_word_for_two_figures_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(headings, "NAMES", {"house.gains": ("loss",), "house.floor_area": ("loss",)})
    with pytest.raises(InputError, match="may be several things"):
        headings.as_key("Loss", CASE, "f")
    assert headings.as_key("Loss [W]", CASE, "f") == "house.gains [W]"


def test_headings_are_near_from_four_fifths_on_and_words_from_six_letters_on() -> None:
    """Likeness is twice the letters in common over all letters: "adres" and "address" 10 of 12; "pric" and "prices" 8 of 10."""
    assert near("adres", CASE) == "Home"
    assert near("stret", CASE) == "Home"  # of "street"
    assert is_own("adrs thing", CASE)
    assert not is_own("pric.x", CASE)
    assert is_own("opt.x", CASE)  # 6 of 9


# homes put together


def test_of_homes_that_leave_columns_empty_twelve_kinds_have_a_study() -> None:
    columns = tuple((at, Column(str(at), str(at), (str(at),), "", True)) for at in range(1, 16))
    layout = Layout(("home", *(str(at) for at, _ in columns)), 0, None, columns)
    block = Block(
        0, 0, (("h",) + ("1",) * 15, *(("h", *("" if at == kind else "1" for at in range(1, 16))) for kind in range(1, 16) for _ in range(6)), ("h", "")),
    )  # fmt: skip
    recipe: Any = SimpleNamespace(layout=layout)
    found = variants.blank_groups(recipe, block)
    assert [blank for blank, _ in found] == [(), *((at,) for at in range(1, 13)), (-1,)]
    assert found[0][1] == [0, 91]  # a short row is told of by whoever reads it
    assert found[-1][1] == list(range(73, 91))


def test_a_study_for_homes_that_leave_a_column_empty_reads_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Any] = []

    def prepare(case: Any, weather: Any, layout: Layout) -> Any:
        seen.append((layout.headings, layout.home, layout.weight, [column.key for _, column in layout.columns]))
        return SimpleNamespace(columns=("a",))

    monkeypatch.setattr(variants, "prepare", prepare)
    layout = Layout(("home", "area", "loss"), 0, None, ((1, AREA), (2, LOSS)))
    recipe: Any = SimpleNamespace(layout=layout, case=None, weather=None, columns=("a",), variants={})
    made = variants.without(recipe, (1,))
    assert made is variants.without(recipe, (1,))
    assert seen == [(layout.headings, 0, None, ["house.design_heat_loss"])]
    recipe.columns, recipe.variants = ("b",), {}
    assert variants.without(recipe, (1,)) is None
    assert (variants.WORTH, variants.KEPT, variants.MOST_BLANK) == (6, 16, 12)


def test_homes_are_computed_so_many_at_once() -> None:
    recipe: Any = SimpleNamespace(slow=(), at_once=2)
    found = compute._jobs(recipe, None, [3, 4, 5, 6, 7])  # type: ignore[arg-type]
    assert [(job.values, job.places) for job in found] == [(None, [3, 4]), (None, [5, 6]), (None, [7])]
    assert compute._jobs(recipe, None, []) == []  # type: ignore[arg-type]


# what is asked one by one


def asked(
    *,
    floor: Any = None,
    zones: tuple[Any, ...] = (),
    keys: tuple[str, ...] = (),
    sun: str = "",
    rule: str = "fixed",
    charging: str = "full",
) -> list[str]:
    """What keeps homes of such a study from being lowered together."""
    case = SimpleNamespace(
        floor=floor, house=SimpleNamespace(zone=[SimpleNamespace(area_m2=area) for area in zones]),
        solar_electric=SimpleNamespace(net_metering=sun) if sun else None,
    )  # fmt: skip
    options = [SimpleNamespace(option=SimpleNamespace(rule=one)) for one in ("fixed", rule)]
    recipe: Any = SimpleNamespace(case=case, layout=SimpleNamespace(keys=keys), own=(), options=options)
    return list(plan._asked_one_by_one(recipe, [SimpleNamespace(charging=charging)]))  # type: ignore[list-item]


def test_what_is_told_of_one_home_at_a_time() -> None:
    def floor(layout: Any, typed: bool, loads: bool = False) -> Any:
        return SimpleNamespace(layout=layout, loops_typed=typed, loads_typed=loads)

    assert asked() == asked(floor=floor(None, False)) == asked(floor=floor("loops", True)) == []
    assert asked(floor=floor("loops", False)) == ["floor.layout"]
    assert asked(floor=floor("loops", True, loads=True)) == ["floor.loops.load"]
    assert asked(zones=(None, 20.0)) == asked(zones=(None,), keys=("house.floor_area",)) == []
    assert asked(zones=(None, 20.0), keys=("house.floor_area",)) == ["house.zone.area"]
    assert asked(sun="none") == asked(sun="month", rule="cheapest_now") == asked(rule="cheapest_now") == []
    assert asked(sun="none", rule="cheapest_now") == ["solar_electric"]
    assert asked(charging="forecast") == ["option.source.charging"]


# sums


def test_sums_of_weights_are_exact_for_a_hundred_million_homes() -> None:
    """Whole numbers up to 2^53 are exact in a float; each pass of the quantiles counts at most 2^13 digits, 64 bits in all."""
    assert 1e8 * 2.0**WEIGHT_BITS <= 2.0**53
    assert [high - low for high, low in zip((64, *DIGITS), DIGITS, strict=False)] == [13, 13, 13, 13, 12]
    assert SHARES == (0.05, 0.25, 0.5, 0.75, 0.95)


def test_a_summary_is_written_for_people_to_read(tmp_path: Path) -> None:
    open_store(tmp_path, {"version": "1"}, [], [])
    known = json.loads((tmp_path / "run.json").read_text(encoding="utf-8"))
    assert known == {"fingerprint": known["fingerprint"], "version": "1"}
    assert (tmp_path / "run.json").read_text(encoding="utf-8").splitlines()[2] == '  "version": "1"'


# columns that change nothing


def price(service: str) -> Column:
    """A column of what a service costs."""
    return Column(f"{service} price", f"prices.{service}.energy", ("prices", service, "energy"), "$/kWh", True)


def test_a_price_that_no_option_pays_changes_nothing() -> None:
    """Pumps buy electricity whatever heats; the option buys gas."""
    options = [SimpleNamespace(sheet=SimpleNamespace(keys=("natural_gas",)))]
    table: Any = SimpleNamespace(path="homes.csv")

    def idle(*services: str) -> list[dict[str, str]]:
        layout = SimpleNamespace(columns=[(at, price(one)) for at, one in enumerate(services, 1)])
        recipe: Any = SimpleNamespace(options=options, layout=layout)
        return looks.idle_columns(recipe, table)

    assert idle("natural_gas", "electricity", "off_peak") == [
        {"column": "off_peak price", "why": "no option of the study buys off peak"}
    ]
    assert idle("natural_gas") == idle("electricity") == []
    with pytest.raises(
        InputError, match="off_peak price: changes nothing in this study, and all homes would be the same"
    ):
        idle("off_peak")


# rows of a home for itself


def test_rows_of_a_home_stand_after_those_of_its_house_by_source() -> None:
    """Sources 7 and 5 are the first and the second of the option; what the house has comes first, others have none."""
    recipe: Any = SimpleNamespace(house=(k.ROOM, k.DEGREES), own=((5, k.CAPACITY), (7, k.TARGET), (9, k.CHARGE)))
    found = plan._own_at(recipe, (7, 5)).tolist()
    assert len(found) == k.SOURCES + 2 * k.SOURCE_ROWS
    there = {at: place for at, place in enumerate(found) if place >= 0}
    assert there == {
        k.ROOM: 0, k.DEGREES: 1, k.SOURCES + k.SOURCE_ROWS + k.CAPACITY: 2, k.SOURCES + k.TARGET: 3,
    }  # fmt: skip
    assert set(found) == {-1, 0, 1, 2, 3}
    # the same source twice has the same row twice
    assert plan._own_at(recipe, (5, 5)).tolist().count(2) == 2


@pytest.mark.parametrize(
    ("key", "metered", "fast"),
    [
        ("house.floor_area", False, True), ("house.other_electricity", False, True), ("house.other_electricity", True, False), ("house.gains", True, True),
        ("house.setback", False, False), ("house.zone.area", False, False), ("tank.volume", False, False), ("prices.wood.energy", True, True),
        ("prices.wood.fixed", False, True), ("prices.wood.heat_content", False, False), ("prices.wood.block.energy", False, False),
    ],
)  # fmt: skip
def test_which_columns_are_lowered_for_all_homes_together(key: str, metered: bool, fast: bool) -> None:
    case: Any = SimpleNamespace(house=SimpleNamespace(other_electricity_profile="p.csv" if metered else ""))
    assert plan._is_fast(key, case) is fast


def test_a_service_of_a_source_is_billed_though_nothing_was_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten dollars a month for gas that nobody burned; electricity of pumps that stood still costs nothing."""
    monkeypatch.setattr(costs, "charges_of", lambda common, owners: [(owner, None) for owner in owners])
    monkeypatch.setattr(costs, "row_count", lambda common, key: 1)
    monkeypatch.setattr(costs, "there_anyway", lambda case, key: False)
    monkeypatch.setattr(costs, "_known", lambda common, homes: False)
    monkeypatch.setattr(costs, "price_month_period", lambda tariff, bought, peaks, calendar: np.array([tariff]))
    common = SimpleNamespace(tariffs={"natural_gas": 120.0, "electricity": 60.0}, calendar=None, case=None)
    ready: Any = SimpleNamespace(offers=[SimpleNamespace(price_key="natural_gas")])
    homes: Any = SimpleNamespace(prices={})
    years: Any = SimpleNamespace(energy_j=np.zeros((1, 2, 12, 1)), peaks_w=np.zeros((1, 2, 12)))
    monkeypatch.setattr(costs, "len", lambda table: 1, raising=False)
    recipe: Any = SimpleNamespace(common=common)
    assert costs.costs_of(recipe, ready, homes, years).tolist() == [120.0]
    years.energy_j[0, 1] = 1.0
    assert costs.costs_of(recipe, ready, homes, years).tolist() == [180.0]


def test_the_spread_of_a_difference_is_that_of_the_second_less_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(summary, "_places", lambda recipe, which: [0, 1] if which == summary.COST else [2, 3])
    recipe: Any = SimpleNamespace(columns=("a", "b", "c", "d"), options=("A", "B"))
    costs = [np.array([100.0, 200.0, 300.0]), np.array([110.0, 230.0, 360.0]), np.zeros(3), np.zeros(3)]
    store: Any = SimpleNamespace(parts=lambda columns, numbers: iter([(np.ones(3), costs)]))
    found = summary._quantiles(recipe, store, [0], cast(Any, SimpleNamespace(heaviest=1.0)))
    assert len(found) == 5
    assert (min(found[4]), max(found[4])) == pytest.approx((10.0, 60.0))  # 110 - 100 and 360 - 300


@pytest.mark.parametrize(("case", "table", "known"), [(True, {}, True), (False, {"other_electricity_j_year": 1.0}, True), (False, {}, False)])  # fmt: skip
def test_other_electricity_is_known_from_the_study_or_the_table(
    case: bool, table: dict[str, float], known: bool
) -> None:
    common: Any = SimpleNamespace(case=SimpleNamespace(other_electricity_known=case))
    assert costs._known(common, cast(Any, SimpleNamespace(house=table))) is known
