"""The commands that have modules of their own: importing them registers them."""

from __future__ import annotations

from costsim.cli import fit, layout, start, verify, weather

__all__ = ["fit", "layout", "start", "verify", "weather"]
