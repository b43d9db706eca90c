"""Parts of the page for who sizes and pays: the right size, the next square metre, perfect control, money over years."""

from __future__ import annotations

from datetime import date

import streamlit as st

from costsim.analysis.collector_sweep import marginal_collector_area, sweep_areas_m2
from costsim.analysis.foresight import controller_gap
from costsim.analysis.lifecycle import life_cycle
from costsim.analysis.sizing import SIZES, can_size, named_option, smallest
from costsim.dashboard.explanations import how_money
from costsim.dashboard.fault_names import plain
from costsim.dashboard.state import literal
from costsim.dashboard.widgets import chart, explain, long_kept, on_phone, pick, say, table, tell
from costsim.errors import CostsimError
from costsim.results.result import Result
from costsim.study.case import Case, Option
from costsim.views import charts
from costsim.views.cards import years_finding
from costsim.views.payback import leading_extra
from costsim.views.text_sizing import collector_rows, printed_size
from costsim.views.text_uncertainty import gap_rows, lifecycle_rows, step_lines
from costsim.views.years_chart import years_alt, years_basis, years_chart, years_lines, years_rows
from costsim.weather import Weather
from costsim.words import tr

PLAIN = {"output": "Output of {name}", "breaker": "Breaker of {name}", "tank": "Tank"}


def size(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Smallest size that leaves no more unmet hours than are borne, collector areas, and what better control could save."""
    option = named_option(case, pick(result).name)
    st.markdown(tr("**The smallest that keeps the house warm**"))
    things = [(what, at) for what in SIZES if what != "area" for at in can_size(case, option, what)]
    if things:
        _smallest(case, weather, option, things, system)
    else:
        say(tr("Nothing in this option has an output, a breaker or a tank that could be made larger."))
    if can_size(case, option, "area"):
        st.markdown(tr("**Collectors: what more area gives**"))
        steps = long_kept("areas", tr("Trying areas …"), case, weather, lambda: marginal_collector_area(
            case, weather, option=option.name, areas_m2=sweep_areas_m2(case, option.name)), option.name)  # fmt: skip
        if steps is not None:
            chart(charts.collector_chart(steps, case.currency, system), "metres")
            table(*collector_rows(case, steps, system))
    st.markdown(tr("**What better control could save**"))
    if st.toggle(tr("Compare with a controller that knows all weather and prices ahead"), key="foresight"):
        _foresight(case, weather, result, option)


def _smallest(case: Case, weather: Weather, option: Option, things: list[tuple[str, int]], system: str) -> None:
    def name(part: tuple[str, int]) -> str:
        what, at = part
        return tr(PLAIN[what], name="" if what == "tank" else literal(option.sources[at].label))

    left, right = st.columns([2, 1])
    chosen = left.selectbox(tr("What to size"), things, format_func=name, key=f"size/{option.name}")
    hours = int(right.number_input(tr("Hours too cold that you accept"), 0, 1000, 0, key="size/hours"))
    smallest_size = long_kept("smallest", tr("Trying sizes …"), case, weather, lambda: smallest(
        case, weather, option=option.name, what=chosen[0], source=chosen[1], hours=hours), option.name, chosen, hours)  # fmt: skip
    if smallest_size is not None:
        say(plain(printed_size(case, smallest_size, system)))


def _foresight(case: Case, weather: Weather, result: Result, option: Option) -> None:
    try:
        gap = long_kept("foresight", tr("Solving the whole year at once …"), case, weather,
            lambda: controller_gap(result.lowered, option), option.name)  # fmt: skip
    except CostsimError as error:
        tell(error)
        return
    if gap is None:
        return
    table(*gap_rows(case, [gap]))
    st.caption(
        tr(
            "Energy at each hour's price, without fixed charges. No controller reaches the best year,"
            " and none does better."
        )
    )


def money(case: Case, weather: Weather, result: Result, system: str) -> None:
    """First cost, yearly cost, what has been paid by each year as lines, and what an addition earns."""
    outlays, steps = life_cycle(case, result)
    say(years_finding(case, result, system))
    start = date.today().year
    lines, extra = years_lines(case, result, outlays), leading_extra(result)
    chart(
        years_chart(result, lines, extra, start, narrow=on_phone()),
        "years",
        years_alt(result, lines, start),
        saved=True,
    )
    st.caption(literal(years_basis(case, result, lines, extra, start)))
    headings, rows = lifecycle_rows(case, outlays)
    # what is paid by each year stands in the table of the lines, counted as they are
    table([*headings[:3], headings[-1]], [[*row[:3], row[-1]] for row in rows])
    for line in step_lines(case, outlays, steps):
        say(line)
    with st.expander(tr("The lines in figures")):
        table(*years_rows(result, lines, start))
    explain(how_money(case, result, system))
