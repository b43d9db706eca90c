"""The dashboard: it reads the case, draws the form, calls the library and draws charts. It computes nothing."""

from __future__ import annotations

from costsim.dashboard.shell import show

__all__ = ["show"]
