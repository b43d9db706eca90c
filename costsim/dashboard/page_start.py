"""Your house in five questions: from nothing to a first answer."""

from __future__ import annotations

import functools
from typing import Any

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from costsim.dashboard import state
from costsim.dashboard.answers import PREFIX, answers, drop_draft, keep_draft, remember, restore
from costsim.dashboard.asked import asked
from costsim.dashboard.emitter_question import EMITTERS_ASKED, Emitters, ask_emitters
from costsim.dashboard.field_text import as_shown
from costsim.dashboard.following import follow_sources, followed
from costsim.dashboard.loss_question import Calculation, ask_loss
from costsim.dashboard.opened import computed, weather_named
from costsim.dashboard.price_question import Services, ask_prices
from costsim.dashboard.quantity_entry import Form
from costsim.dashboard.quoted_size import TANK, put_sizes, put_tanks, say_what_stays, size_field, size_label, tank_words
from costsim.dashboard.refit import remember_use
from costsim.dashboard.registry import Context, page
from costsim.dashboard.renewal import QUOTE, Renewal, ask_renewal
from costsim.dashboard.service_question import ask_service, put_service, service_labels
from costsim.dashboard.todays_question import (
    ask_efficiency,
    ask_new_efficiency,
    ask_size_now,
    ask_used,
    ask_used_at,
    ask_warmth,
)
from costsim.dashboard.warmth import warmth_of, warmth_shown
from costsim.dashboard.weather_choice import ask_place, say_sunless, to_choose
from costsim.errors import InputError
from costsim.study.case import built_in_studies, read_study
from costsim.units.fields import QuantityField
from costsim.units.reading import Reading
from costsim.views.first_study import INSULATION, first_study, fuels_of, keep_typed
from costsim.views.templates import FIRST, TEMPLATES, offered
from costsim.views.todays_heater import asked_at
from costsim.views.yearly_use import scaled_to_use
from costsim.words import tr

AREA = QuantityField("area", "Heated floor area", above=0, at_most=1e6, example="1500 ft2", usual=(20.0, 1000.0))


@page("start", "Five questions", group="Decide", place=5)
def draw(context: Context) -> None:
    """Draw the page."""
    # a house of one's own does not begin with the currency of an invented one abroad
    coin = "$" if state.untouched_demo() and context.system == "us" else state.currency() or "$"
    form = Form((), context.system, coin)
    restore(EMITTERS_ASKED)
    st.title(tr("Your house in five questions"))
    st.caption(tr("Not sure? Guess. You can change everything later, and nothing leaves this computer."))
    st.header(tr("1 · Where is it?"), anchor="q1")
    place = ask_place(context.system)
    st.header(tr("2 · How large is it?"), anchor="q2")
    left, right = st.columns(2)
    with left:
        area = asked(
            tr("Heated floor area"), "start/area", AREA, form, "1,500 sq ft" if context.system == "us" else "140 m²"
        )
    insulation = right.selectbox(
        tr("How well is it insulated?"),
        list(INSULATION),
        index=1,
        format_func=lambda key: tr(INSULATION[key][0]),
        key="start/insulation",
    )
    with left:
        thermostat, nights = ask_warmth(tr("How warm will you keep it?"), "start/thermostat", form)
    calculation = ask_loss(str(place or ""), thermostat.text, form)
    st.header(tr("3 · What heats it now?"), anchor="q3")
    left, right = st.columns(2)
    now = str(left.selectbox(tr("Today's heating"), list(FIRST), format_func=_name, key="start/now"))
    left.caption(state.literal(tr(TEMPLATES[now].about)))
    with right:
        emitters = ask_emitters(form)
    used, hot_water = ask_used(now, form)
    planned = warmth_of({"indoor_temperature": thermostat.text, "setback": nights})
    used_at, then_nights = ask_used_at(planned, form) if st.session_state.get("start/used") else (Reading(""), [])
    efficiency, size_now = ask_efficiency(now, form), ask_size_now(now, form)
    renewal = ask_renewal(form)
    st.header(tr("4 · What would you like to compare?"), anchor="q4")
    choices = offered(now)
    chosen = st.session_state.get("start/considered") or []  # nothing that nobody chose is compared
    st.session_state["start/considered"] = [key for key in chosen if key in choices]
    considered = st.pills(tr("One or more"), choices, selection_mode="multi", format_func=_name, key="start/considered")
    about = " ".join(f"{_name(key)}: {tr(TEMPLATES[key].about)}" for key in considered or [])
    nothing = tr("Nothing is chosen yet: the answer would tell of {name} alone.", name=_name(now))
    st.caption(state.literal(about or nothing))
    say_sunless(str(place or ""), considered or [])
    if any(key.startswith("wood") for key in [now, *(considered or [])]):
        st.caption(
            tr(
                "Wood here is a boiler that heats water. A wood stove heats only its own room and cannot be chosen: enter in question 3 the"
                " fuel you use in a year beside it, and the answer is for the rest of the heat. Sizes then count on the stove, unless a"
                " heat-loss calculation is entered in question 2."
            )
        )
    quotes, sizes, tanks = _quotes(list(considered or []), form, now)
    newer = ask_new_efficiency(considered or [], form)
    say_what_stays(list(considered or []), now, size_now, context.system)
    service = ask_service(list(considered or []), form)
    sizes[now] = size_now
    st.header(tr("5 · What do you pay?"), anchor="q5")
    keys = fuels_of([now, *(considered or [])])
    services = ask_prices(keys, form)
    remember(
        {
            str(key): st.session_state[key]
            for key in st.session_state
            if str(key).startswith(PREFIX) and "file" not in str(key)
        }
    )
    keep_draft()
    if state.study_name() not in built_in_studies():
        st.caption(
            tr(
                "This makes the study anew from these answers. Costs, rates, uncertainty and other electricity that you typed on"
                " other pages stay; what else you typed there is replaced. Undo brings it back."
            )
        )
    wrong = st.container()  # above the button, where it is seen
    if st.button(tr("Show my answer"), type="primary"):
        _finish(
            context, str(place or ""), area, thermostat, nights, then_nights, calculation,
            str(insulation), now, list(considered or []), services, quotes, coin,
            emitters, used, used_at, hot_water, efficiency, newer, sizes, tanks, service, renewal, wrong,
        )  # fmt: skip


def _quotes(keys: list[str], form: Form, now: str) -> tuple[dict[str, Reading], dict[str, Reading], dict[str, Reading]]:
    """What each considered option was quoted for, how large it is in that quote, and its tank."""
    if not keys:
        return {}, {}, {}
    st.caption(
        tr(
            "What were you quoted, installed and less any rebate, and for which size? Leave empty what you do not"
            " know yet: an empty size follows your house."
        )
    )
    found, sizes, tanks = {}, {}, {}
    for start in range(0, len(keys), 3):
        for key, column in zip(keys[start : start + 3], st.columns(min(3, max(2, len(keys)))), strict=False):
            with column:
                found[key] = asked(
                    tr("{name}, installed", name=_name(key)), f"start/quote/{key}", QUOTE, form, f"{form.currency}9,000"
                )
                measured, example = size_field(key, form.system, asked_at(key, now, form.system))
                if measured is not None:
                    sizes[key] = asked(
                        size_label(key, form.system, now), f"start/size/{key}", measured, form, example,
                        tons="ton" in example,
                    )  # fmt: skip
                if usual := tank_words(key, form.system):
                    example = "200 gal" if form.system == "us" else "800 L"
                    tanks[key] = asked(
                        tr("{name}: its tank", name=_name(key)), f"start/tank/{key}", TANK, form, example
                    )
                    if not tanks[key].text:
                        st.caption(state.literal(tr("Empty: {tank}, as assumed.", tank=usual)))
    return found, sizes, tanks


def _warmths(
    now: Reading, nights: list[dict[str, Any]], then: Reading, then_nights: list[dict[str, Any]], system: str
) -> dict[str, str]:
    """Settings with their set-backs, as answers that come back."""
    both = {"thermostat": (now, nights), "used_at": (then, then_nights)}
    return {
        f"{PREFIX}{key}": warmth_shown(warmth_of({"indoor_temperature": one.text, "setback": backs}), system)
        for key, (one, backs) in both.items()
        if one.text
    }


def _name(key: str) -> str:
    return tr(TEMPLATES[key].name)


def place_as_typed(weather: str) -> dict[str, Any]:
    """What was typed of the place on House, where the weather is the same and the house is not an invented one's."""
    now, demos = state.typed().get("place", {}), built_in_studies()
    mine = state.study_name() not in demos or weather in state.opened()
    if not mine or now.get("weather") != weather:
        return {}
    invented = read_study(state.study_name()).typed["place"] if state.study_name() in demos else {}
    return {key: value for key, value in now.items() if invented.get(key) != value}


def _to_correct(place: str, asked: dict[int, list[tuple[str, Reading]]]) -> list[str]:
    """Links to the questions that hold something to correct, with the fields' labels, the first one first."""
    found = [*filter(None, [to_choose(place)])]
    for number, readings in asked.items():
        if wrong := [f"“{state.literal(label)}”" for label, one in readings if one.question]:
            found.append(tr("[question {number}](#q{number}): {fields}", number=number, fields=", ".join(wrong)))
    return found


def _finish(
    context: Context,
    place: str,
    area: Reading,
    thermostat: Reading,
    nights: list[dict[str, Any]],
    then_nights: list[dict[str, Any]],
    calculation: Calculation,
    insulation: str,
    now: str,
    considered: list[str],
    services: Services,
    quotes: dict[str, Reading],
    coin: str,
    emitters: Emitters,
    used: Reading,
    used_at: Reading,
    hot_water: bool,
    efficiency: Reading,
    newer: Reading,
    sizes: dict[str, Reading],
    tanks: dict[str, Reading],
    service: dict[str, Reading],
    renewal: Renewal,
    wrong: DeltaGenerator,
) -> None:
    others = [(size_label(key, context.system, now), one) for key, one in sizes.items() if key != now]
    if problems := _to_correct(
        place,
        {
            2: [
                (tr("Heated floor area"), area),
                (tr("How warm will you keep it?"), thermostat),
                *calculation.readings(),
            ],
            3: [
                (emitters.label(), emitters.area),
                (tr("Use of a year"), used),
                (tr("Thermostat in that year"), used_at),
                (tr("Its efficiency (AFUE), if you know it"), efficiency),
                (tr("Its size, if you know it"), sizes[now]),
                (renewal.label(), renewal.cost),
            ],
            4: [(tr("{name}, installed", name=_name(key)), one) for key, one in quotes.items()]
            + [(tr("Efficiency (AFUE) of the new one"), newer)]
            + others
            + [(tr("{name}: its tank", name=_name(key)), one) for key, one in tanks.items()]
            + [(service_labels()[key], one) for key, one in service.items()],
            5: services.readings(),
        },
    ):
        wrong.error(tr("First correct: {questions}", questions=" · ".join(problems)))
        return
    try:
        begin = functools.partial(
            first_study,
            weather_name=place,
            weather=weather_named(place),
            area=area.text or ("1500 ft2" if context.system == "us" else "140 m2"),
            insulation=insulation,
            heat_loss=calculation.loss.text,
            loss_at=calculation.at.text,
            loss_indoor=calculation.indoor.text,
            now=now,
            considered=considered,
            prices=services.texts(),
            tables=services.tables,
            windows=services.windows,
            renewal=renewal.keys(),
            system=context.system,
            currency=coin,
            quotes={key: one.text for key, one in quotes.items()},
            emitter=emitters.emitter,
            zones=emitters.zones,
            efficiency=efficiency.text,
            new_efficiency=newer.text,
        )
        now_at, then_at = thermostat.text, used_at.text or thermostat.text
        then_nights = then_nights if used_at.text else nights
        data = begin(thermostat=now_at, setback=nights)
        if used.text:
            found = scaled_to_use(
                functools.partial(begin, thermostat=then_at, setback=then_nights),
                used.text,
                hot_water=hot_water,
                weather=weather_named(place),
                system=context.system,
                files=state.files(),
            )
            rate = found.keys(context.system)
            data = begin(thermostat=now_at, rate=rate, setback=nights) | {"note": found.words}
            then = begin(thermostat=then_at, rate=rate, setback=then_nights)["house"]
            if calculation.loss.text:
                data["note"] += " " + tr(
                    "Your heat-loss calculation of {loss} stands beside it: bills go by the fuel, sizes by the larger of the two.",
                    loss=as_shown(calculation.loss.text, context.system),
                )
            if warmth_of(data["house"]) != warmth_of(then):
                later = warmth_shown(warmth_of(data["house"]), context.system)
                data["note"] += " " + tr("The answer is for {later}.", later=later)
            remember_use(used.text, hot_water, then, weather_named(place), data["house"])
        if hot_water:  # the service stays whatever heats the house
            data["prices"][TEMPLATES[now].prices[0]]["service"] = "there_anyway"
        before = place_as_typed(place)
        if calculation.loss.text and not calculation.at.text:
            before.pop("design_outdoor", None)
        data["place"] = before | data["place"]
        put_sizes(data, {key: one.text for key, one in sizes.items()}, context.system, now)
        put_tanks(data, {key: one.text for key, one in tanks.items()})
        typed = state.typed() if state.study_name() not in built_in_studies() else {}
        keep_typed(data, typed)
        put_service(data, typed, service)
    except InputError as error:
        wrong.error(state.literal(str(error)))
        return
    asked_for = services.texts()
    left = set(st.session_state.get("examples", ())) - set(asked_for)
    st.session_state["examples"] = left | {key for key, text in asked_for.items() if not text}
    read = {
        "thermostat": thermostat,
        "beside_area": emitters.area,
        "used": used,
        "used_at": used_at,
        "efficiency": efficiency,
        "new_efficiency": newer,
        "renew": renewal.cost,
    }
    read |= (
        {f"size/{key}": one for key, one in sizes.items()}
        | {f"tank/{key}": one for key, one in tanks.items()}
        | service
        | calculation.by_key()
    )
    # with its unit, since a bare number is read in the units of who opens a link
    remember(
        answers()
        | {f"{PREFIX}{key}": as_shown(one.text, context.system) for key, one in read.items() if one.text}
        | _warmths(thermostat, nights, used_at, then_nights, context.system)
    )
    state.replace(data, "my_house")
    drop_draft()
    state.keep_beside()
    house = followed(computed(data, "my_house"))
    st.session_state["followed_load_w"] = house.load_w
    follow_sources(data, house, context.system)
    st.switch_page(st.session_state["pages"]["decide"])
