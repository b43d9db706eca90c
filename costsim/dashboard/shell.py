"""The frame of every page: navigation and study at the side, what is wrong on top, then the page itself."""

from __future__ import annotations

import copy
from collections.abc import Callable

import streamlit as st
from streamlit.navigation.page import Page
from streamlit.runtime.scriptrunner import get_script_run_ctx

from costsim.dashboard import state
from costsim.dashboard.access import draw_access
from costsim.dashboard.answers import answers_code, begun, draft_code, take_answers, take_draft
from costsim.dashboard.budget import shown
from costsim.dashboard.fault_names import named_field, plain, said_of
from costsim.dashboard.files_of_study import draw_files
from costsim.dashboard.following import follow_house, followed
from costsim.dashboard.last_house import keep_last_house, offer_last_house
from costsim.dashboard.mending import NOT_OPEN, computed_without
from costsim.dashboard.opened import computed
from costsim.dashboard.papers import in_link, missing
from costsim.dashboard.personas import PERSONAS
from costsim.dashboard.registry import GROUPS, Answer, Context, PageOfBoard, load_pages
from costsim.dashboard.style import STYLE
from costsim.dashboard.synthetic_weather import in_link as town_in_link
from costsim.dashboard.synthetic_weather import open_from_link
from costsim.dashboard.time_limit import in_time
from costsim.dashboard.trial import kept_study
from costsim.dashboard.what_if import draw_trial
from costsim.dashboard.widgets import PATTERNS, say, tell
from costsim.engine.block import make_later, warm_up
from costsim.errors import CostsimError, Fault, InputError
from costsim.results.warnings import rule_of_thumb
from costsim.simulation import simulate
from costsim.study.case import built_in_studies
from costsim.units.fields import in_words
from costsim.units.table import CURRENCIES
from costsim.views.wording import for_reader
from costsim.words import ask, languages, speak, tr, trn

FIRST = "decide"
WARNED = ("decide", "layout", "cold-days")
"""Pages on which a room that stays cold is told before all else."""


def show() -> None:
    """Draw the page that is open; where our code fails, one sentence stands there, and what failed is in the terminal."""
    try:
        _draw()
    except Exception:
        st.error(
            tr(
                "Something went wrong in the program, not in what you typed. Save your study first (“Open or save” at the side),"
                " then reload this page. If it happens again, run “costsim doctor” in the terminal."
            )
        )
        raise  # to Streamlit, which writes it to the terminal; its own box is hidden by the style


def _draw() -> None:
    ask(_language)
    speak(_language())
    st.html(f"<style>{STYLE}</style>")
    state.typed()
    if "link_with" not in st.session_state:
        open_from_link(str(st.query_params.get("town", "")))
        if st.query_params.get("answers"):
            take_answers(str(st.query_params["answers"]))
        if st.query_params.get("draft"):
            take_draft(str(st.query_params["draft"]))
        st.session_state["link_with"] = str(st.query_params.get("with", ""))
    persona, system = _sidebar()  # which saves and links what the address has brought
    _remember_in_link(persona, system)
    context = _context(persona, system)
    _navigation(context).run()
    _remember_in_link(persona, system)  # with what the page has just been told
    keep_last_house()
    make_later()
    warm_up()


def _remember_in_link(persona: str, system: str) -> None:
    papers = in_link() or st.session_state["link_with"]
    state.remember_in_link(kept_study(), persona, system, papers, town_in_link(), answers_code(), draft_code())


def _language() -> str:
    """The language of this session; English where there is none."""
    return (
        str(st.session_state.get("language", "en")) if get_script_run_ctx(suppress_warning=True) is not None else "en"
    )


def _navigation(context: Context) -> Page:
    """All pages in their groups; each is drawn by its own function, with what is wrong above it.

    Without symbols: Streamlit fetches that of the open page from another machine for the browser's tab.
    """
    groups: dict[str, list[Page]] = {name: [] for name in GROUPS}
    pages = {
        listed.key: st.Page(
            _drawer(listed, context), title=tr(listed.title), url_path=listed.key, default=listed.key == FIRST
        )
        for listed in load_pages()
    }
    st.session_state["pages"] = pages
    for listed in load_pages():
        groups[listed.group].append(pages[listed.key])
    return st.navigation({tr(name): group_pages for name, group_pages in groups.items() if group_pages}, expanded=True)


def _drawer(page: PageOfBoard, context: Context) -> Callable[[], None]:
    def draw() -> None:
        st.session_state["page"] = page.key
        for line in st.session_state.pop("link_faults", []):
            st.warning(state.literal(tr("The link was not opened: {line}", line=line)))
        for line in missing(st.session_state["link_with"]):
            st.info(state.literal(line))
        _told(context, page)
        if page.key != FIRST:
            offer_last_house(page.key)
        short = _short_rooms(context) if page.key in WARNED else ()
        draw_trial(context.system)
        with st.container(key="stale" if context.stale else "fresh"):
            try:
                in_time(lambda: page.draw(context))
            except CostsimError as error:  # what shows only once a page asks more of a study that could be computed
                tell(error, tr("This page cannot be drawn for this study:"))
        if page.key == FIRST:  # below the answer, whose cards fill the first screen
            offer_last_house(page.key)
        _cautions(context, page, short)
        st.caption(
            tr("Planning estimate only.")
            if page.key == FIRST and context.answer is not None  # its line of cautions says the rest
            else tr(
                "Planning estimate only. Use licensed trades and check local codes. Any fuel burner needs"
                " fresh air and a CO alarm, every closed system a relief valve, and water pipes protection"
                " from freezing."
            )
        )
        draw_access()

    draw.__name__ = f"draw_{page.key.replace('-', '_')}"
    return draw


def _cautions(context: Context, page: PageOfBoard, short: tuple[str, ...]) -> None:
    """Cautions on the result where it is decided; elsewhere one quiet line that leads there."""
    if context.answer is None or (page.key == "start" and state.study_name() in built_in_studies()):
        return
    texts = [warning for warning in dict.fromkeys(context.answer.result.warnings) if warning not in short]
    if not state.untouched_demo():  # Decide asks above its cards to settle that
        texts = [warning for warning in texts if warning != rule_of_thumb()]
    if page.key != FIRST:
        if texts:
            label = trn(
                "{count} caution on this study: see Decide", "{count} cautions on this study: see Decide", len(texts)
            )
            st.page_link(st.session_state["pages"][FIRST], label=label)
        return
    for text in texts:
        st.warning(state.literal(plain(for_reader(f"{text[:1].upper()}{text[1:]}", context.system))))


def _short_rooms(context: Context) -> tuple[str, ...]:
    """Say before all else which rooms stay cold because their water, or their floor, is not warm enough."""
    short = context.answer.result.lowered.water.short if context.answer is not None else ()
    for text in short:
        st.error(state.literal(plain(for_reader(f"{text[:1].upper()}{text[1:]}", context.system))))
    return short


def _told(context: Context, page: PageOfBoard) -> None:
    """What is wrong, one line each, with the page on which it is mended; the last good answer is named as such."""
    if not context.faults:
        return
    head = tr("This study cannot be computed as it stands.")
    if context.stale:
        head = f"{head} {tr('The answer below is the last one that could be.')}"
    elif context.answer is not None:
        head = tr("Not used until you correct it; everything else is computed as typed:")
    st.error(head)
    for line in shown([f"{_where(fault, page)}{said_of(fault)}" for fault in context.faults]):
        say(line)
    for name in dict.fromkeys(name for fault in context.faults for name in NOT_OPEN.findall(fault.problem)):
        _ask_for(name)


def _ask_for(name: str) -> None:
    """Let the file be opened here that a study names and a link could not carry; whatever it is called, it takes that name."""
    loaded = st.file_uploader(state.literal(tr("Open {name}", name=name)), key=f"ask/{state.revision()}/{name}")
    if loaded is not None:
        state.opened()[name] = loaded.getvalue()
        st.rerun()


def _where(fault: Fault, page: PageOfBoard) -> str:
    top = fault.field.split(".")[0].split("[")[0]
    home = next((listed for listed in load_pages() if top in listed.edits), None)
    elsewhere = tr("{page} page, ", page=tr(home.title)) if home is not None and home.key != page.key else ""
    return f"{elsewhere}{named_field(fault.field, state.typed())}: " if fault.field else ""


def _sidebar() -> tuple[str, str]:
    with st.sidebar:
        persona = _persona()
        _studies()
        _history()
        left, right = st.columns(2, gap="xsmall")
        with left:
            state.follow_units(str(st.query_params.get("units", "")))
            if st.session_state.get("units") is None:  # going to another page in the middle of a run forgets it
                st.session_state["units"] = state.units_system().upper()
            chosen = st.segmented_control(tr("Units"), ["US", "SI"], key="units", required=True)
            system = str(chosen or state.units_system()).lower()
            st.session_state["units_kept"] = system.upper()
        with right:
            _currency()
        st.toggle(
            tr("Patterns in charts"),
            key=PATTERNS,
            help=tr("Stripes and dots beside the colors, for color-blind readers and prints without color."),
        )
        draw_files(persona, system)
        if len(spoken := languages()) > 1:
            st.selectbox(tr("Language"), spoken, key="language")
        st.toggle(tr("Show every setting"), key="show_all", help=tr("Opens everything behind “More”."))
    return persona, system


def _persona() -> str:
    if (saved := st.session_state.pop("persona_saved", "")) in PERSONAS:  # of a study that was just opened
        st.session_state["persona"] = saved
    asked = str(st.session_state.get("persona_kept", st.query_params.get("persona", "")))
    st.session_state.setdefault("persona", asked if asked in PERSONAS else next(iter(PERSONAS)))
    chosen = st.selectbox(
        tr("I am a"),
        list(PERSONAS),
        key="persona",
        format_func=lambda key: tr(PERSONAS[key].label),
        on_change=_entered,
        help=tr(
            "Decides which figures come first. While you have typed nothing, the demo is replaced by that reader's demo."
        ),
    )
    st.session_state["persona_kept"] = chosen  # going to another page in the middle of a run forgets the box
    return str(chosen)


def _entered() -> None:
    if state.untouched_demo() and not begun():
        state.load_built_in(PERSONAS[st.session_state["persona"]].study)
        state.keep_units()


def _studies() -> None:
    names, now = list(built_in_studies()), state.study_name()
    choices = names if now in names else [now, *names]
    widget = f"study shown/{state.revision()}"
    st.session_state[widget] = now
    own = str(state.get(("title",)) or "").strip()[:60] or in_words(now)  # a link has no name but its study's
    st.selectbox(
        tr("Study"),
        choices,
        format_func=lambda study: in_words(study) if study in names else own,
        key=widget,
        on_change=_started,
        args=(widget,),
    )


def _started(widget: str) -> None:
    name = str(st.session_state[widget])
    if name in built_in_studies() and name != state.study_name():
        mine = state.study_name() not in built_in_studies() or not state.untouched_demo()
        state.load_built_in(name)
        if mine:
            st.toast(tr("Undo brings back the study you had; “Open or save” keeps it for good."))


def _history() -> None:
    with st.container(horizontal=True):
        st.button(
            tr("Undo"),
            icon=":material/undo:",
            disabled=not state.can_undo(),
            on_click=state.undo,
            help=tr("Undo the last change"),
        )
        st.button(
            tr("Redo"),
            icon=":material/redo:",
            disabled=not state.can_redo(),
            on_click=state.redo,
            help=tr("Redo what you undid"),
        )


def _currency() -> None:
    """Another currency's sign for all prices; nothing is converted."""
    coins = list(dict.fromkeys(CURRENCIES.values()))
    now = state.currency() or coins[0]
    widget = f"currency/{state.revision()}/{now}"
    st.session_state[widget] = now
    st.selectbox(
        tr("Currency"),
        coins,
        key=widget,
        on_change=_coined,
        args=(widget,),
        help=tr("Changes the currency sign of all prices; amounts are not converted."),
    )


def _coined(widget: str) -> None:
    state.set_currency(str(st.session_state[widget]))


def _context(persona: str, system: str) -> Context:
    """Compute the study as typed, each wrong entry set aside; else the last one that could be, with what is wrong with the new one."""
    faults: tuple[Fault, ...] = ()
    study, name = state.typed(), state.study_name()
    good = st.session_state.get("good")
    good = good if good and good[2] == name else None
    try:
        answer = in_time(lambda: computed(study, name))
    except CostsimError as error:
        faults = tuple(error.faults) if isinstance(error, InputError) else (Fault("", str(error), ""),)
        try:
            without_faults = in_time(
                lambda: computed_without(
                    study, faults, good[3] if good else None, system, lambda case: computed(case, name)
                )
            )
        except CostsimError:
            without_faults = None
        if without_faults is None:
            last = Answer(good[0], good[1], simulate(good[0], good[1])) if good else None
            return Context(last, faults, last is not None, persona, system)
        answer, faults = without_faults
    if not faults and follow_house(followed(answer)):
        answer = computed(state.typed(), name)
    # not the result: hours of every option are much to keep for each visitor
    st.session_state["good"] = (answer.case, answer.weather, name, copy.deepcopy(dict(answer.case.typed)))
    return Context(answer, faults, False, persona, system)
