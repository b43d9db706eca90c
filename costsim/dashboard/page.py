"""The script that `server.py` runs for each visitor; the same two statements as app.py."""

import streamlit as st

from costsim.dashboard import show

st.set_page_config(page_title="costsim: what heating really costs", layout="wide", initial_sidebar_state="auto")
show()
