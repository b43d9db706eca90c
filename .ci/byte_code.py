"""An editable install leaves the checkout's byte code ready, as a wheel's install does, so that no first start waits for it."""

from __future__ import annotations

import compileall
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class ByteCode(BuildHookInterface):
    """Called by the builder."""

    PLUGIN_NAME = "byte-code"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile what is installed from here; a folder that cannot be written to is left as it is."""
        if version == "editable":
            compileall.compile_dir(Path(self.root) / "costsim", quiet=2)
