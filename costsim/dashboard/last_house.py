"""The last house of one's own in this browser: its link is kept there, and offered where a dashboard is opened by its bare address."""

from __future__ import annotations

import functools
from typing import Any
from urllib.parse import urlencode

import streamlit as st

from costsim.dashboard import state
from costsim.dashboard.answers import begun
from costsim.words import tr

PAGES = ("decide", "start")
"""Where it is offered."""
SCRIPT = """
const KEY = "costsim-last-house";
export default function ({ parentElement, data }) {
  const held = () => { try { return JSON.parse(localStorage.getItem(KEY)); } catch { return null; } };
  if (data.search) {
    try { localStorage.setItem(KEY, JSON.stringify({ search: data.search, name: data.name })); } catch { }  // a browser may forbid it
    return;
  }
  const house = held(), place = parentElement.querySelector(".last-house");
  if (!house?.search) return;
  const link = document.createElement("a"), forget = document.createElement("button");
  link.href = `./?${house.search}`; link.target = "_self"; link.textContent = data.label.replace("{name}", house.name);
  forget.type = "button"; forget.textContent = data.forget;
  forget.onclick = () => { localStorage.removeItem(KEY); place.replaceChildren(); };
  place.replaceChildren(link, forget);
}
"""
CSS = """
.last-house { display: flex; flex-wrap: wrap; gap: 0.25rem 1rem; align-items: baseline; font-size: 1rem; }
.last-house a { font-weight: 600; color: inherit; text-decoration: underline; }
.last-house button { background: none; border: 0; padding: 0.5rem 0; color: inherit; opacity: 0.75; cursor: pointer; font: inherit;
  text-decoration: underline; }
"""


@functools.cache
def _component() -> Any:
    html = '<div class="last-house"></div>'
    return st.components.v2.component("costsim_last_house", html=html, css=CSS, js=SCRIPT, isolate_styles=False)


def offer_last_house(page: str) -> None:
    """Offer the last house that was worked on in this browser, where nothing has been opened or typed yet."""
    if page not in PAGES or not state.untouched_demo() or begun():
        return
    words = {"label": tr("Go on with {name}", name="{name}"), "forget": tr("Forget it")}
    with st.container(key="last-house"):
        _component()(data=words, key="offer last house")


def keep_last_house() -> None:
    """Let the browser keep the address of this house, where it is one's own and its address holds all of it."""
    asked = st.query_params.to_dict()
    if state.untouched_demo() or not asked.get("study"):
        return
    name = " ".join(str(state.get(("title",)) or "").split())[:60] or tr("my house")
    with st.container(key="last-house-kept"):
        _component()(data={"search": urlencode(asked), "name": name}, key="keep last house")
