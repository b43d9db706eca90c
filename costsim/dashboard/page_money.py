"""Money: first costs, life-cycle cost and payback, and the size that suffices."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard import parts_decision, parts_size, state
from costsim.dashboard.first_cost import draw_stale
from costsim.dashboard.form import draw_model
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.registry import Context, page
from costsim.study.case import Case, Option
from costsim.study.economics import Economics
from costsim.words import tr

COSTS = ("first_cost", "rebate", "maintenance", "replacement", "replacement_year")


def unkept(case: Case) -> list[str]:
    """Names of the options for which neither maintenance nor a replacement is counted."""
    return [option.name for option in case.options if not option.maintenance_per_year and not option.replacement_money]


@page("money", "Money", group="Risk", place=80, edits=("economics",))
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Money"))
    answer = context.answer
    if answer is not None:
        parts_size.money(answer.case, answer.weather, answer.result, context.system)
        with st.expander(tr("Verdicts, and how sure they are"), key="money/verdicts", on_change="rerun") as box:
            if box.open:
                parts_decision.verdicts(answer.case, answer.weather, answer.result)
    form = Form(context.faults, context.system, state.currency() or "$")
    st.header(tr("Costs besides the bills"))
    if answer is not None and (names := unkept(answer.case)):
        st.caption(
            state.literal(
                tr(
                    "No maintenance and no replacement within {years} years is counted for {names}. Enter below what you know.",
                    years=answer.case.economics.study_period,
                    names=", ".join(names),
                )
            )
        )
    hide = [name for name in Option.model_fields if (Option.model_fields[name].alias or name) not in COSTS]
    for at, option in enumerate(state.get(("option",)) or []):
        st.markdown(f"**{state.literal(str(option.get('name', at + 1)))}**")
        if answer is not None and at < len(answer.case.options):
            labels = [source.label for source in answer.case.options[at].sources]
            draw_stale(at, labels, context.system, place="money")
        draw_model(
            Form(form.faults, form.system, form.currency, columns=5), ("option", at), Option, main=COSTS, hide=hide
        )
    st.header(tr("Discount rate and study period"))
    draw_model(form, ("economics",), Economics, main=("discount_rate", "study_period"))
    if answer is not None:
        with st.expander(tr("The right size"), key="money/size", on_change="rerun") as box:
            if box.open:
                parts_size.size(answer.case, answer.weather, answer.result, context.system)
