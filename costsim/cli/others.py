"""The commands that have modules of their own: importing them registers them."""

from __future__ import annotations

from costsim.cli import fit, house, layout, portfolio, report, start, verify, weather

__all__ = ["fit", "house", "layout", "portfolio", "report", "start", "verify", "weather"]
