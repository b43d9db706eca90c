"""A skip link before everything else, each new answer told to who cannot see it, and a menu that closes where it covers the page.

Streamlit has no setting for these. It closes the menu itself only where the browser says that it is a phone's, whatever the width.
"""

from __future__ import annotations

import json

import streamlit as st

from costsim.words import tr

SKIP, HIDDEN = "Skip to the answer", "position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)"
NARROW_PX = 768
"""Width up to which the open menu lies over the page."""
SCRIPT = f"""<script>
(() => {{
  if (document.getElementById('skip')) return;
  const skip = document.createElement('a'), told = document.createElement('div');
  skip.id = 'skip'; skip.href = '#stMain'; skip.textContent = 'SKIP';
  skip.onclick = event => {{
    event.preventDefault();
    const head = document.querySelector('[data-testid=stMain] h1') || document.querySelector('[data-testid=stMain]');
    head.tabIndex = -1; head.style.outlineOffset = '4px'; head.focus(); head.scrollIntoView({{block: 'start'}});
  }};
  told.id = 'told'; told.setAttribute('role', 'status'); told.style.cssText = '{HIDDEN}';
  document.body.prepend(skip, told);
  document.addEventListener('click', event => {{
    if (innerWidth > {NARROW_PX} || !event.target.closest?.('[data-testid=stSidebarNavLink]')) return;
    setTimeout(() => {{
      const open = document.querySelector('[data-testid=stSidebar][data-collapsed=false]');
      open?.querySelector('[data-testid=stSidebarCollapseButton] button')?.click();
    }}, 50);
  }});
  let last = '';
  setInterval(() => {{
    const app = document.querySelector('[data-testid=stApp]');
    const now = document.querySelector('[data-testid=stMain] h1')?.innerText || '';
    last ||= now;  // what the page opens with, even while it is still being drawn
    if (now === last || !now || app?.getAttribute('data-test-script-state') === 'running') return;
    told.textContent = last = now;
  }}, 300);
}})();
</script>"""
"""Static, without anything that was typed; it runs once a document and adds two elements before the page's own."""


def draw_access() -> None:
    """Put them on the page."""
    with st.container(key="access"):
        st.html(SCRIPT.replace("'SKIP'", json.dumps(tr(SKIP))), unsafe_allow_javascript=True)
