"""What costsim runs on here, with versions: `python tests/release/lock.py` writes `requirements.lock` and `sbom.json` (CycloneDX).

Read from the metadata of the installed packages, without asking anybody.
"""

from __future__ import annotations

import argparse
import json
import sys
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]


def needed(package: str = "costsim") -> dict[str, metadata.Distribution]:
    """Every package that one needs at run time, itself left out, by its plain name."""
    found: dict[str, metadata.Distribution] = {}
    waiting = [Requirement(package)]
    while waiting:
        asked = waiting.pop()
        extras = ["", *asked.extras]
        for line in metadata.distribution(asked.name).requires or []:
            one = Requirement(line)
            name = canonicalize_name(one.name)
            if name in found or (one.marker and not any(one.marker.evaluate({"extra": extra}) for extra in extras)):
                continue
            found[name] = metadata.distribution(one.name)
            waiting.append(one)
    return dict(sorted(found.items()))


def lock(found: dict[str, metadata.Distribution]) -> str:
    """Text of `requirements.lock`."""
    python = ".".join(map(str, sys.version_info[:2]))
    head = f"# Versions that the tests passed with on Python {python}; made by tests/release/lock.py.\n"
    return head + "".join(f"{name}=={one.version}\n" for name, one in found.items())


def bill_of_materials(found: dict[str, metadata.Distribution]) -> dict[str, object]:
    """The same as a CycloneDX 1.5 document."""
    own = metadata.distribution("costsim")
    parts = [
        {"type": "library", "name": name, "version": one.version, "licenses": [{"license": {"name": _licence(one)}}]}
        for name, one in found.items()
    ]
    return {
        "bomFormat": "CycloneDX", "specVersion": "1.5", "version": 1,
        "metadata": {"component": {"type": "application", "name": "costsim", "version": own.version}}, "components": parts,
    }  # fmt: skip


def _licence(one: metadata.Distribution) -> str:
    text = one.metadata.get("License-Expression") or ""
    classified = [
        line.split(" :: ")[-1] for line in one.metadata.get_all("Classifier") or [] if line.startswith("License ::")
    ]
    return text or "; ".join(classified) or (one.metadata.get("License") or "not said").split("\n")[0][:80]


def main() -> None:
    """Write both."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--folder", type=Path, default=ROOT)
    folder = parser.parse_args().folder
    found = needed()
    (folder / "requirements.lock").write_text(lock(found), encoding="utf-8")
    (folder / "sbom.json").write_text(json.dumps(bill_of_materials(found), indent=1) + "\n", encoding="utf-8")
    print(f"{len(found)} packages")


if __name__ == "__main__":
    main()
