"""Which template an option began from, also where it was renamed since."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from costsim.views.templates import TEMPLATES
from costsim.words import tr

Burners = tuple[tuple[str, str], ...]


def template_keys(options: Sequence[Mapping[str, Any]]) -> list[str]:
    """Key of each option's template: by its name, else by what its sources are and burn; empty where it is none's.

    Examples
    --------
    >>> template_keys([{"name": "Propane"}, {"name": "Mine", "source": [{"kind": "gas", "fuel": "natural_gas"}]}, {"name": "?"}])
    ['propane', 'gas', '']
    """
    names = {tr(template.name): key for key, template in TEMPLATES.items()}
    keys = [names.get(str(typed_option.get("name")), "") for typed_option in options]
    for at, option in enumerate(options):
        if not keys[at] and (burners := _burners(option.get("source", []))):
            like = (key for key, template in TEMPLATES.items() if _burners(template.sources(1e4, "us")) == burners)
            keys[at] = next((key for key in like if key not in keys), "")
    return keys


def _burners(sources: Sequence[Mapping[str, Any]]) -> Burners:
    return tuple((str(source.get("kind")), str(source.get("fuel", ""))) for source in sources)
