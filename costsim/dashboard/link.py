"""The study in the page's address, so that a link or a reload brings back everything that was typed."""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Mapping
from typing import Any

from costsim.errors import Fault, InputError
from costsim.files import check_nesting

MOST_CODE, MOST_TEXT = 7000, 200_000
"""Letters of a code that addresses carry safely, and of the study it may unpack to."""


def packed(study: Mapping[str, Any]) -> str:
    """A study as letters for an address; empty where it is too long for one.

    Examples
    --------
    >>> unpacked(packed({"title": "A house"}))
    {'title': 'A house'}
    """
    text = json.dumps(study, separators=(",", ":"), ensure_ascii=False)
    code = base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")
    return code if len(code) <= MOST_CODE else ""


def unpacked(code: str) -> dict[str, Any]:
    """The study in a code.

    Raises
    ------
    InputError
        The code is cut off, or was never one.
    """
    try:
        if len(code) > MOST_CODE:
            raise ValueError
        squeezed = zlib.decompressobj()
        text = squeezed.decompress(base64.urlsafe_b64decode(code + "=" * (-len(code) % 4)), MOST_TEXT)
        if squeezed.unconsumed_tail or not squeezed.eof:
            raise ValueError
        check_nesting(text.decode(), "link")
        study = json.loads(text)
    except (ValueError, zlib.error, RecursionError):
        study = None
    if not isinstance(study, dict):
        raise InputError(
            Fault("link", "holds no study, or was cut off", "copy the whole link, or open the study's file instead")
        )
    return study
