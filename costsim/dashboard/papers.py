"""Bills and tables of homes that belong to the study of this session: they are saved with it and come back with it."""

from __future__ import annotations

import streamlit as st

from costsim.dashboard.state import literal, opened
from costsim.study.bundle import Papers
from costsim.words import tr

MOST_BYTES = 60_000_000
"""Of a purpose's files; larger ones are read, but neither kept nor saved."""
WORDS = {"bills": "bills", "bills_weather": "weather of the bills' days", "homes": "table of homes"}
WHERE = {"bills": "House", "bills_weather": "House", "homes": "Many homes"}


def papers() -> Papers:
    """What was uploaded, by what it is for and by name."""
    papers_now: Papers = st.session_state.setdefault("papers", {})
    return papers_now


def take(kind: str, files: list[tuple[str, bytes]]) -> dict[str, bytes]:
    """Keep what has just been uploaded for a purpose in place of what was there; give what there is now."""
    files_now = dict(files)
    if files_now and sum(map(len, files_now.values())) <= MOST_BYTES:
        papers()[kind] = files_now
    return files_now or papers().get(kind, {})


def draw_kept(kind: str) -> None:
    """Say which files of a purpose are in the study, with a button that takes them out."""
    names = list(papers().get(kind, {}))
    if not names:
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        st.caption(literal(tr("In use: {names}. Saved with the study.", names=", ".join(names))))
        st.button(
            tr("Remove"),
            key=f"papers/{kind}",
            help=tr("Remove the {words}", words=tr(WORDS[kind])),
            type="tertiary",
            on_click=_drop,
            args=(kind,),
        )


def _drop(kind: str) -> None:
    papers().pop(kind, None)
    st.session_state["papers_seen"] = st.session_state.get("papers_seen", 0) + 1


def upload_key(kind: str) -> str:
    """Key of a purpose's upload field, another one once its files were taken out or another study was opened."""
    return f"{kind}/files/{st.session_state.get('papers_seen', 0)}"


def replace_papers(papers_now: Papers) -> None:
    """Take the files of a study that has just been opened."""
    st.session_state["papers"], st.session_state["link_with"] = papers_now, ""
    st.session_state["papers_seen"] = st.session_state.get("papers_seen", 0) + 1


def in_link() -> str:
    """What a link names though it cannot carry it, such as ``bills:gas.csv,homes:street.csv``."""
    return ",".join(f"{kind}:{name}" for kind, files in papers().items() for name in files)[:600]


def missing(text: str) -> list[str]:
    """What a link names and this session does not hold, as sentences.

    Examples
    --------
    >>> missing("")
    []
    """
    lines = []
    for part in text.split(",") if text else []:
        kind, _, name = part.partition(":")
        if kind in WORDS and name and name not in papers().get(kind, {}) and name not in opened():
            lines.append(
                tr(
                    "This link was made with {name} ({words}), which a link does not carry: open it on the"
                    " {where} page, or open the saved study instead.",
                    name=name,
                    words=tr(WORDS[kind]),
                    where=tr(WHERE[kind]),
                )
            )
    return lines[:10]
