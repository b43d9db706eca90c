"""The parts of the page, one at a time: each reads results, calls the library and draws."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.breakeven import breakeven_prices, price_map
from costsim.analysis.capacity import OptionCapacity, capacity_report
from costsim.analysis.outages import coldest_week
from costsim.analysis.uncertainty import uncertainty
from costsim.dashboard import state
from costsim.dashboard.explanations import how_cold, how_heat, how_sure
from costsim.dashboard.kept import is_kept, kept
from costsim.dashboard.kinds import starter
from costsim.dashboard.odds import likely
from costsim.dashboard.registry import Answer
from costsim.dashboard.trial import tried
from costsim.dashboard.widgets import chart, explain, long_work, on_phone, pick, say, small_table, table
from costsim.report.facts import fact_text
from costsim.results.result import CAUSES, Result
from costsim.study.case import Case
from costsim.study.program import Program
from costsim.units.fields import in_words
from costsim.units.quantity import show
from costsim.views import charts
from costsim.views.answer import called
from costsim.views.cold_rooms import coldest, coldest_rooms, fall_sentence, room_rows
from costsim.views.headline import roughly
from costsim.views.own_generation import own_generation_rows
from costsim.views.price_map import PriceAxis, left_out_of_map, map_chart
from costsim.views.rounding import show_missing
from costsim.views.tables import bill_rows, money
from costsim.views.tank_lines import tank_sections
from costsim.views.text_capacity import failure_lines
from costsim.views.text_uncertainty import breakeven_rows, moved_together, sensitivity_rows, winter_rows
from costsim.views.verdict import carries
from costsim.views.wording import for_reader
from costsim.weather import Weather
from costsim.words import tr

DRAWING = "Running scenarios of loads, prices and winters …"


def heat(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Monthly heat, load-duration curve, and what each source really gives."""
    option = pick(result, "option/heat")
    chart(charts.monthly_chart(result, option, system), "months")
    chart(charts.duration_chart(option, system), "duration")
    look = _closer(case, weather, option.name)
    chart(charts.capacity_chart(look, result.route.load_w, system), "capacity")
    for source in look.sources:
        for why, watts in source.derates:
            say(tr("{name} loses {watts} to {why}", name=source.name, watts=show(watts, "power", system), why=tr(why)))
    for season in option.sources:
        if season.facts:
            say(f"{season.name}: {fact_text(season.facts, system)}")
    explain(how_heat(case, result, system))


def _closer(case: Case, weather: Weather, name: str) -> OptionCapacity:
    report = kept("capacity", case, weather, lambda: capacity_report(case, weather))
    return next(option for option in report.options if option.option == name)


def cold(case: Case, weather: Weather, result: Result, system: str) -> None:
    """When an option falls short, its coldest week, and what happens when something fails."""
    rooms = kept("rooms", case, weather, lambda: coldest_rooms(case, result))
    for option in result.options:
        if not carries(option):
            say(fall_sentence(option, rooms[option.name], system))
    if any(option.unmet.hours for option in result.options):
        table(*room_rows(result, rooms, system))
    else:
        st.success(
            tr("In this weather year every option keeps the house warm. The Certainty page tries colder winters.")
        )
    for title, lines in tank_sections(result, system):
        st.markdown(f"**{title}**")
        for line in lines:
            say(line)
    short = any(not carries(option) for option in result.options)
    option = pick(result, "option/cold", coldest(result, rooms) if short else "")
    if option.unmet.hours:
        chart(charts.unmet_calendar_chart(result, option, system), "calendar")
        for cause, joule in option.unmet.by_cause_j.items():
            if joule > 1e3:
                say(
                    tr(
                        "{joule} of heat is missing: {causes}.",
                        joule=show_missing(joule, "heat", system, 2),
                        causes=tr(CAUSES[cause]),
                    )
                )
    first = coldest_week(weather.outdoor_c)
    if option.unmet.worst_hour is not None:
        first = min(max(0, option.unmet.worst_hour // 24 * 24 - 72), weather.n_hours - 168)
        outdoor = show(float(weather.outdoor_c[option.unmet.worst_hour]), "temperature", system)
        say(tr("In the worst hour it is {outdoor} outside.", outdoor=outdoor))
    chart(charts.week_chart(result, option, first, system), "week")
    look = _closer(case, weather, option.name)
    chart(charts.cooling_chart(look, system), "cooling")
    for line in failure_lines(look, system):
        say(_sentence(line))
    if look.verdict and case.program and case.program != Program(**starter(Program)):  # something is typed of it
        for reason in look.verdict.reasons:
            say(f"{case.program.name if case.program else ''}: {reason}")
    explain(how_cold(case, result, system))


def _sentence(line: str) -> str:
    text = line.strip()
    return f"{text[:1].upper()}{text[1:]}"


def bill(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Every line of every bill."""
    option = pick(result)
    say(
        tr(
            "{name} costs {cost_total} a year; each line of the bill is quantity times rate.",
            name=called(option.name),
            cost_total=money(option.cost_total, case.currency),
        )
    )
    for (headings, rows), key in zip(bill_rows(case, option, system), option.bills, strict=True):
        table(headings, rows, alt=tr("Bill of {service}", service=tr(in_words(key))))
    coin = case.currency
    totals = [[tr(in_words(key)), f"{coin}{bill.total:,.2f}"] for key, bill in option.bills.items()]
    headings, rows = own_generation_rows(result)
    if rows:
        table(headings, rows)
    small_table([tr("bill"), tr("a year")], [*totals, [tr("All bills"), f"{coin}{option.cost_total:,.2f}"]])


def sure(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Bands, probabilities, turning prices and the map over two prices."""
    bands = kept("uncertainty", case, weather, lambda: None) if is_kept("uncertainty", case, weather) else None
    if bands is None:
        bands = long_work("uncertainty", DRAWING, lambda on_progress: uncertainty(case, weather, progress=on_progress))
    if bands is None:
        return
    done = bands
    bands = kept("uncertainty", case, weather, lambda: done)
    if bands.pair[0] != bands.pair[1]:
        share = tr(
            "{first_is_cheaper} of {scenarios} scenarios",
            first_is_cheaper=roughly(bands.first_is_cheaper),
            scenarios=f"{bands.scenarios:,}",
        )
        first, second = map(called, bands.pair)
        say(
            tr(
                "On one year's bills {first} costs less than {second} in {share}.",
                first=first,
                second=second,
                share=share,
            )
        )
        odds = likely(Answer(case, weather, result))
        if odds is not None and odds.over_years is not None:
            say(
                tr(
                    "Over {years} years, with first costs, {first} costs less than {second} in {share}.",
                    years=odds.years,
                    first=called(odds.first),
                    second=called(odds.second),
                    share=tr(
                        "{first_is_cheaper} of {scenarios} scenarios",
                        first_is_cheaper=roughly(odds.over_years),
                        scenarios=f"{bands.scenarios:,}",
                    ),
                )
            )
        elif odds is not None:
            say(tr("Over the years nobody can say while a first cost is missing: enter it on Money."))
    chart(charts.range_chart(bands, case.currency), "bands")
    names = [option.name for option in bands.options]
    trial = tried()
    head = tr("winter, at the prices you are trying") if trial else tr("winter, at today's prices")
    table([head, *names], winter_rows(case, bands))
    chart(charts.sensitivity_chart(bands, case.currency), "sensitivity")
    with st.expander(tr("The same in figures")):
        table(*sensitivity_rows(case, bands, system))
    st.markdown(tr("**Break-even prices**"))
    turned = kept("breakeven", case, weather, lambda: breakeven_prices(case, weather))
    headings, rows = breakeven_rows(case, turned, system)
    if trial:
        headings = [tr("now, tried or paid") if heading == tr("today") else heading for heading in headings]
    if on_phone():  # who is cheaper decides; the other columns would push it past the edge
        headings, rows = _winners_first(headings, rows)
    table(headings, rows)
    for line in moved_together(case, turned):
        st.caption(state.literal(line))
    _map(case, weather, system)
    explain(how_sure(case, result, system))


def _winners_first(headings: list[str], rows: list[list[str]]) -> tuple[list[str], list[list[str]]]:
    """A table of break-even prices with the two columns of who is cheaper behind the price's name."""
    first, *others = ([row[0], *row[4:], *row[1:4]] for row in (headings, *rows))
    return first, others


def _map(case: Case, weather: Weather, system: str) -> None:
    axes = {key: _axis(case, key, system) for key in case.prices}
    if len(axes) < 2:
        return
    if free := left_out_of_map(list(axes.values())):
        st.caption(state.literal(free))
    keys = [key for key, axis in axes.items() if axis.today != 0]
    if len(keys) < 2:
        return
    left, right = st.columns(2)
    across = left.selectbox(
        tr("Horizontal price"), keys, index=0, key="map_across", format_func=lambda key: key.replace("_", " ")
    )
    up = right.selectbox(
        tr("Vertical price"),
        [key for key in keys if key != across],
        key="map_up",
        format_func=lambda key: key.replace("_", " "),
    )
    chart(
        map_chart(
            kept("map", case, weather, lambda: price_map(case, weather, across, up, steps=11), across, up),
            axes[across],
            axes[up],
            [option.name for option in case.options],
        ),
        "map",
    )


def _axis(case: Case, key: str, system: str) -> PriceAxis:
    price = case.prices[key]
    amount, unit = price.sold_price(key, price.base_per_j(key), system)
    return PriceAxis(tr(in_words(key)), amount, f"{case.currency}/{unit}")


def rests(case: Case, weather: Weather, result: Result, system: str) -> None:
    """Every assumption with value and source, each cell read whole."""
    small_table(
        [tr("assumption"), tr("value"), tr("source")],
        [[a.what, for_reader(a.value, system), for_reader(a.source, system)] for a in result.assumptions],
    )
