"""Decide: one decision, its cards, one picture of cost, and what happens if prices change."""

from __future__ import annotations

import streamlit as st

from costsim.analysis.breakeven import BreakEven
from costsim.analysis.each_source import each_left_out
from costsim.analysis.left_out import LargerUnit, cheaper_cold, larger_unit, left_out
from costsim.analysis.winning_price import WinningPrice
from costsim.dashboard import state
from costsim.dashboard.addition import draw_added, draw_addition
from costsim.dashboard.care import draw_care
from costsim.dashboard.doubts import doubts_of
from costsim.dashboard.explanations import how_cost
from costsim.dashboard.first_cost import draw_stale, without_stale
from costsim.dashboard.following import assumed_sizes
from costsim.dashboard.kept import is_kept, kept, runs_are_kept
from costsim.dashboard.odds import likely
from costsim.dashboard.refit import draw_refit, fitted_water
from costsim.dashboard.registry import Answer, Context, page
from costsim.dashboard.schematic_view import draw_schematic, draw_small_schematic
from costsim.dashboard.service import service_doubts
from costsim.dashboard.set_back import setback_line
from costsim.dashboard.trial import tried
from costsim.dashboard.warm_hours import draw_warm_hours
from costsim.dashboard.what_if import draw_what_if
from costsim.dashboard.widgets import chart, explain, pick, say, table
from costsim.physics.emitters import EMITTERS
from costsim.results.condensing import condensing_doubts
from costsim.views.answer import leading
from costsim.views.card import Card
from costsim.views.card_math import STEPS, Step, Sums, steps_of
from costsim.views.cards import cards
from costsim.views.cold_hours import cheaper_lines, left_out_sentence, rule_sentence
from costsim.views.cost_chart import cost_alt, cost_by_option, cost_finding, example_prices
from costsim.views.design_night import design_night_sentence
from costsim.views.each_option import option_lines, option_turns, short_lines
from costsim.views.each_source import source_lines, unpaid_lines
from costsim.views.emitter_marks import emitters_sentence
from costsim.views.glossary import OF_CARD, explained
from costsim.views.hot_tank import cool_tank_sentence, hot_tank_sentence
from costsim.views.payback import lasts_sentence, today_sentence
from costsim.views.planner_cards import collector_card, peak_card
from costsim.views.stops import stops_sentence
from costsim.views.tables import season_rows
from costsim.views.turning import cold_turns, competing_line, turning_line, turns_of, winning_lines
from costsim.views.verdict import Likelihood, decision
from costsim.views.wording import for_reader
from costsim.views.yearly_use import water_sentence
from costsim.words import tr

DECIDING = 2
"""Sentences that stand under the headline, those that change the decision first; the others are folded."""


@page("decide", "Decide", group="Decide", place=10)
def draw(context: Context) -> None:
    """Draw the page."""
    answer = context.answer
    if answer is None:
        st.title(tr("Nothing to decide yet"))
        say(tr("Correct what is listed above, undo the last change, or start over with the five questions."))
        _begin()
        return
    answer = without_stale(answer, context.system)
    quick = is_kept("likely", answer.case, answer.weather) or runs_are_kept(answer.case, answer.weather)
    sure = likely(answer) if quick else None
    waits = not quick and len(answer.result.options) > 1
    _example()
    larger = _larger(answer) if context.persona == "installer" else None
    verdict = decision(answer.result, context.persona, context.system, larger, lambda _: _turns(answer))
    st.title(state.literal(verdict), anchor=False)
    draw_added()
    for at, option in enumerate(answer.case.options):
        draw_stale(at, [source.label for source in option.sources], context.system)
    rule = _cold_hours(answer, context.system, larger)
    mine = not state.untouched_demo()
    head, button = st.columns([4, 1], vertical_alignment="center") if mine else (st.container(), st.empty())
    said = [
        rule,
        stops_sentence(answer.result, context.system),
        lasts_sentence(answer.result),
        _assumed(answer, context.system),
        answer.case.note,
    ]
    said = [part for part in said if part] if mine else [rule]
    head.caption(state.literal(" · ".join(filter(None, [answer.case.title, *said[:DECIDING]]))))
    with button:
        if mine:
            _begin()
    _look_again(answer, context.system)
    draw_refit(answer, context.system)
    places = st.empty()
    with st.container(key="look"):
        cost, diagram = st.columns(2, gap="medium")
    picture = cost.empty()
    _cards(places, answer, sure, context, waits=waits)
    _picture(picture, answer, sure)
    turning = cost.empty()
    with diagram:
        _diagram(answer, context.system)
    draw_care(answer, context.system)
    if folded := said[DECIDING:]:
        with st.expander(tr("More about this answer")):
            for line in folded:
                st.caption(state.literal(line))
    worth = st.empty()
    if rule:
        with st.expander(tr("Hours too cold that still count as warm")):
            draw_warm_hours(answer.case.house.max_unmet_hours)
    draw_what_if(answer, context.system)
    box = st.expander(
        tr("Full diagram: pumps, valves, safety parts and zones"),
        key="decide/schematic",
        on_change="rerun",
        icon=":material/schema:",
    )
    if box.open:
        with box:
            draw_schematic(answer, pick(answer.result, "option/schematic"), context.system)
    figures = st.expander(tr("Every option and source in figures"), key="decide/figures", on_change="rerun")
    if figures.open:
        with figures:
            table(*season_rows(answer.result, context.system))
            explain(how_cost(answer.case, answer.result, context.system))
    if waits:
        # the first figures stand before the scenarios are run
        sure = likely(answer)
        _cards(places, answer, sure, context)
        if sure is not None:
            _picture(picture, answer, sure)
    _turning(turning, answer, context.system)
    _worth(worth, answer)


def _look_again(answer: Answer, system: str) -> None:
    """What the reader should look at again before the figures: guesses, doubts, and how hot the tank is."""
    _guessed(answer)
    for doubt in doubts_of(answer.case.typed):
        st.warning(state.literal(doubt))
    for doubt in filter(None, service_doubts(answer)):
        st.warning(state.literal(doubt), icon=":material/bolt:")
    for doubt in condensing_doubts(answer.result):
        st.warning(state.literal(doubt))
    if hot := hot_tank_sentence(answer.result, system):
        st.info(state.literal(f"{hot}."), icon=":material/water_heater:")
    if cool := cool_tank_sentence(answer.result, system):
        st.warning(state.literal(cool), icon=":material/water_heater:")
    if water := water_sentence(answer.result) if fitted_water() else "":
        st.info(state.literal(water), icon=":material/water_drop:")


def _larger(answer: Answer) -> LargerUnit | None:
    """A larger unit of the first option that closes its gap for less over the years than another option."""
    case, weather, result = answer.case, answer.weather, answer.result
    if result.options[0].keeps_warm:
        return None
    return kept("larger unit", case, weather, lambda: larger_unit(case, weather, result))


def _cold_hours(answer: Answer, system: str, larger: LargerUnit | None) -> str:
    """A cheaper option that is left out for its cold hours, with the size that would close them; gives the rule of hours.

    Where the headline names the `larger` unit of that option already, it is not said again.
    """
    case, weather, result = answer.case, answer.weather, answer.result
    left = kept("left out", case, weather, lambda: left_out(case, weather, result)) if cheaper_cold(result) else None
    if left and larger and left.stops_c is None and left.cheaper.cold.name == result.options[0].name:
        left = None
    if text := left_out_sentence(left, case.currency, system):
        st.warning(state.literal(text), icon=":material/ac_unit:")
    if text := design_night_sentence(result, system):
        st.warning(state.literal(text), icon=":material/ac_unit:")
    return rule_sentence(result)


def _example() -> None:
    """Say above the headline that the house is an example, with the way to one's own beside it."""
    if not state.untouched_demo():
        return
    with st.container(key="example"):
        text, button = st.columns([4, 1], vertical_alignment="center")
    text.markdown(f"**{tr('Example house')}** {tr('This house and its prices are invented, not yours.')}")
    with button:
        _begin()


def _turns(answer: Answer) -> tuple[BreakEven | None, tuple[WinningPrice, ...]]:
    return kept("turning", answer.case, answer.weather, lambda: turns_of(answer.result))


def _turning(place: st.delta_generator.DeltaGenerator, answer: Answer, system: str) -> None:
    """Below the picture of cost the price at which the answer turns and a line for each further option; all else on them is folded."""
    case, weather, result = answer.case, answer.weather, answer.result
    near, others = _turns(answer)
    cold = kept("cold turning", case, weather, lambda: cold_turns(result))
    turns = kept("option turns", case, weather, lambda: option_turns(result))
    lines = [line for break_even in (near, *cold) if (line := turning_line(case, break_even, system, tried()))]
    first, folded = lines[:1], lines[1:]
    folded += [*cheaper_lines(result, system)[1:], *option_lines(result, turns, system, tried())]
    folded += winning_lines(case, others, [near, *turns.values()], system, tried())
    with place.container():
        for line in (
            *first,
            competing_line(case, others, [near], system),
            *short_lines(result, turns),
            setback_line(answer),
        ):
            if line:
                st.markdown(state.literal(line))
        if folded:
            with st.expander(tr("Other options: how large they are, and at which price each would win")):
                for line in folded:
                    st.markdown(state.literal(line))


def _worth(place: st.delta_generator.DeltaGenerator, answer: Answer) -> None:
    """Whether each source of a mix pays; those that do not are said without being asked."""
    case = answer.case
    if all(len(option.sources) < 2 for option in case.options):
        return
    worth = kept("each source", case, answer.weather, lambda: each_left_out(answer.result))
    with place.container():
        for line in unpaid_lines(worth, case.currency):
            st.info(state.literal(line), icon=":material/savings:")
        with st.expander(tr("Does a second source pay?")):
            mixes = [option.name for option in case.options if len(option.sources) > 1]
            against = [today_sentence(answer.result, name) for name in mixes]
            for line in [*source_lines(worth, case.currency), *filter(None, against)]:
                st.markdown(state.literal(line))
            st.caption(
                tr(
                    "Bills of a year, each source left out in turn. What a source may add to the first cost is the worth today of the"
                    " bills it saves over the study period (Money); its maintenance comes on top."
                )
            )


def _guessed(answer: Answer) -> None:
    """Say at the top where the heat loss is a guess, and what would settle it."""
    if answer.result.lowered.route.key != "area" or state.untouched_demo():
        return
    with st.container(key="guessed"):
        text, use, bills = st.columns([7, 2, 2], vertical_alignment="center")
    text.warning(tr("We guessed your house's heat loss from its size; it is often 30 to 50% lower. Settle it:"))
    pages = st.session_state["pages"]
    if use.button(tr("Type yearly use"), key="guessed/use", width="stretch"):
        st.switch_page(pages["start"])
    if bills.button(tr("Upload bills"), key="guessed/bills", width="stretch"):
        st.session_state["house/bills"] = True
        st.switch_page(pages["house"])


def _assumed(answer: Answer, system: str) -> str:
    """How the heat is taken to reach the rooms, where no floor is described, or where the house has several kinds of emitter."""
    if sentence := emitters_sentence(answer.result, system):
        return sentence
    if answer.case.floor is not None:
        return ""
    emitter = EMITTERS[answer.case.house.emitter].title
    if "emitter" in answer.case.house.model_fields_set:
        return tr("Heat reaches the rooms by {emitter}, as you said.", emitter=emitter)
    return tr("Assumed: heat reaches the rooms by {emitter}. Change it on the House page.", emitter=emitter)


def _diagram(answer: Answer, system: str) -> None:
    """How the option that leads is connected, or another one."""
    names = [option.name for option in answer.result.options]
    best = names.index(leading(answer.result).name)
    head, choice = st.columns([4, 7], vertical_alignment="center")
    head.header(tr("How it is connected"), anchor=False)
    chosen = choice.selectbox(
        tr("Option in the diagram"),
        names,
        index=best,
        key=f"decide/drawn/{state.revision()}/{best}",
        label_visibility="collapsed",
    )
    draw_small_schematic(answer, answer.result.option(str(chosen)), system)


def _begin() -> None:
    label = tr("My own house") if state.untouched_demo() else tr("Change my answers")
    if st.button(label, type="primary", width="stretch"):
        st.switch_page(st.session_state["pages"]["start"])


def _cards(
    place: st.delta_generator.DeltaGenerator,
    answer: Answer,
    sure: Likelihood | None,
    context: Context,
    *,
    waits: bool = False,
) -> None:
    common = answer.result.lowered
    persona, system = context.persona, context.system
    more = _planners(answer, system) if persona == "planner" else []
    sized = {} if state.untouched_demo() else assumed_sizes(answer, system)
    drawn = cards(
        answer.case, common, answer.result, sure, persona=persona, system=system, more=more, waits=waits, assumed=sized,
        heating_alone=bool(fitted_water() and water_sentence(answer.result)),
    )  # fmt: skip
    sums = Sums(answer.case, answer.result, sure, system, frozenset(st.session_state.get("examples", ())), persona)
    with place.container(key="cards-first" if waits else "cards"):
        for start in range(0, len(drawn), 3):
            for card, column in zip(drawn[start : start + 3], st.columns(3), strict=False):
                with column:
                    _card(card, sums, "first" if waits else "sure")


def _planners(answer: Answer, system: str) -> list[Card]:
    """Cards that take a computation of their own."""
    case, weather = answer.case, answer.weather
    best = leading(answer.result)
    collector = kept("collector", case, weather, lambda: collector_card(case, weather, system), system)
    return [collector, peak_card(st.session_state.get("many/summary"), best)]


ONE_LINE = 24
"""Letters of a card's label that leave room for "Show the math" beside it."""
MARK = {"good": "green", "bad": "red"}


def _card(card: Card, sums: Sums, phase: str) -> None:
    with st.container(border=True, height="stretch"):
        value, *more = card.value.split("\n")
        st.metric(card.label, state.literal(value), help=explained(OF_CARD.get(card.key, "")))
        for line in more:
            st.markdown(f"**{state.literal(line)}**")
        text = state.literal(card.note)
        st.markdown(f":{MARK[card.level]}[{text}]" if card.level == "bad" else text)
        _math(card, sums, phase)
        if card.key == "gap" and card.level == "bad" and sums.sure is not None:
            draw_addition(sums.result.options[0], sums.result.route.load_w, sums.system)


def _math(card: Card, sums: Sums, phase: str) -> None:
    """How a card's figure is made, one click or key away; worked out when it is opened. Cards are drawn anew in a second phase."""
    if not (card.math or card.key in STEPS) or (card.key == "sure" and sums.sure is None):
        return
    beside = len(card.label) <= ONE_LINE  # else it would lie on the label, and comes below the note
    with st.container(key=f"{'math' if beside else 'below'}-{card.key}-{phase}"):
        box = st.popover(
            tr("Show the math"),
            type="tertiary",
            key=f"math/{card.key}/{phase}",
            on_change="rerun",
            help=tr("How “{label}” is worked out", label=card.label),
        )
        if box.open:
            with box:
                for at, step in enumerate([Step(*step_parts) for step_parts in card.math] or steps_of(card.key, sums)):
                    text = state.literal(for_reader(step.formula, sums.system))
                    st.markdown(text if at else f"**{text}**")
                    st.caption(state.literal(for_reader(step.source, sums.system)))


def _picture(place: st.delta_generator.DeltaGenerator, answer: Answer, sure: Likelihood | None) -> None:
    with place.container():
        st.header(state.literal(cost_finding(answer.result)), anchor=False)
        st.caption(
            tr("A year's bills at the prices you are trying; thin line: 80% range")
            if tried()
            else tr("A year's bills at today's prices; thin line: 80% range"),
            help=tr(
                "8 of 10 scenarios of winters, heat losses, prices and efficiencies lie in it; the Certainty page shows them."
            ),
        )
        chart(
            cost_by_option(answer.result, sure),
            "cost" if sure else "cost-first",
            cost_alt(answer.result, sure),
            half=True,
        )
        examples = st.session_state.get("examples", set())
        if invented := example_prices(answer.case, examples, state.units_system()):
            st.info(state.literal(invented), icon=":material/edit:")
