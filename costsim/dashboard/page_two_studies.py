"""Two studies side by side: this one and another, option by option, and what they say differently."""

from __future__ import annotations

import copy
from pathlib import PurePath
from typing import Any

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.fault_names import named_field
from costsim.dashboard.files_of_study import told_what_it_is
from costsim.dashboard.opened import computed
from costsim.dashboard.registry import Answer, Context, page
from costsim.dashboard.widgets import say, table, tell
from costsim.errors import CostsimError, Fault, InputError
from costsim.study.bundle import unpack
from costsim.study.case import built_in_studies, parse_study
from costsim.units.fields import in_words
from costsim.views.two_studies import differing_rows, option_rows, titles, verdict_sentence
from costsim.words import tr

COPY = "copy_of_mine"
"""Under which a session keeps it."""


@page("two-studies", "Two studies", group="Share", place=95)
def draw(context: Context) -> None:
    """Draw the page."""
    st.title(tr("Two studies side by side"))
    if context.answer is None:
        return
    say(tr("Choose a second study; yours stays as it is."))
    _own_copy()
    left, right = st.columns(2)
    with left:
        name = st.selectbox(tr("An example house"), list(built_in_studies()), index=None, format_func=in_words, key="two/name")  # fmt: skip
    with right:
        loaded = st.file_uploader(tr("Or a saved study (.toml or .zip)"), key="two/file")
    pinned, copied = st.session_state.get("baseline"), st.session_state.get(COPY)
    try:
        if loaded is not None:
            other = _saved(loaded.name, loaded.getvalue())
        elif name:
            other = computed(state.built_in(name), name)
        elif copied and copied != state.typed():
            st.caption(tr("Yours as it stands now, beside the copy you kept of it."))
            other = computed(copied, "copy")
        elif pinned and pinned[1] != state.typed():
            st.caption(tr("Shown against the prices you kept on the Decide page."))
            other = computed(pinned[1], "baseline")
        else:
            return
    except CostsimError as error:
        tell(error, tr("The second study cannot be computed:"))
        return
    st.header(
        state.literal(tr("{title} and {title_2}", title=context.answer.case.title, title_2=other.case.title)),
        anchor=False,
    )
    names = titles(context.answer.case, other.case)
    say(verdict_sentence(context.answer.result, other.result, names))
    table(*option_rows(context.answer.result, other.result, names))
    st.header(tr("What they say differently"), anchor=False)
    headings, rows = differing_rows(context.answer.case.typed, other.case.typed, names, named_field)
    if rows:
        table(headings, rows)
    else:
        say(tr("Nothing: the two studies are the same."))


def _own_copy() -> None:
    """Let a copy of this study be kept, so that it can be changed on any page and compared with what it was."""
    copied = st.session_state.get(COPY)
    with st.container(horizontal=True, vertical_alignment="center"):
        st.button(
            tr("Keep a copy of mine as it is now"),
            icon=":material/content_copy:",
            on_click=_keep,
            help=tr("Lasts until you close or reload this page; a saved study lasts for good."),
        )
        if copied is not None:
            st.button(tr("Forget the copy"), on_click=_forget, type="tertiary")
    if copied == state.typed():
        st.caption(
            tr(
                "A copy is kept. Change yours on any page, such as its thermostat or an option, and come back:"
                " both stand here side by side."
            )
        )


def _keep() -> None:
    st.session_state[COPY] = copy.deepcopy(state.typed())


def _forget() -> None:
    st.session_state.pop(COPY, None)


def _saved(file: str, raw: bytes) -> Answer:
    """A saved study with the files that it carries, none of which stay in this session.

    Raises
    ------
    InputError
        It cannot be read.
    """
    name, files = PurePath(file).name, dict[str, bytes]()
    study: dict[str, Any]
    if name.lower().endswith(".zip"):
        study, files, _ = unpack(raw, file=name)
    else:
        told_what_it_is(name, raw)
        study = parse_study(raw, file=name)
    if clash := [shared for shared in files if shared in state.opened() and state.opened()[shared] != files[shared]]:
        raise InputError(_another(clash[0], name))
    mine = dict(state.opened())
    state.opened().update(files)
    try:
        return computed(study, name)
    finally:
        state.opened().clear()
        state.opened().update(mine)


def _another(name: str, file: str) -> Fault:
    return Fault(
        "", tr("carries another '{name}' than the one open here", name=name), tr("rename one of the two files"), file
    )
