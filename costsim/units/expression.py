"""Unit expressions such as Btu/(h ft2), read left to right into a size and powers of the base units."""

from __future__ import annotations

import difflib
import re

from costsim.units.table import CURRENCIES, HUNDREDTHS, REFUSED, UNITS, Dims

LONGEST_UNIT = 60
HIGHEST_POWER = 9
_TOKEN = re.compile(
    r"\s*((?:US|CA|C|AU|A|NZ)\$|vol%|inH2O|ftH2O|mH2O|[A-Za-z°µ_łčöø]+[A-Za-z_łčöø]*|[$€£¥¢%]|[0-9]+|\^|[²³]|[()/*·])"
)
_SUPERSCRIPT = {"²": 2, "³": 3}
_FOLDED: dict[str, list[str]] = {}
for _name in UNITS:
    _FOLDED.setdefault(_name.lower(), []).append(_name)


class UnitError(ValueError):
    """A text that is not a quantity of the expected dimension; the message says what would be right."""


def _unit(name: str) -> tuple[float, Dims]:
    if name in REFUSED:
        raise UnitError(f"the unit '{name}' has more than one meaning; {REFUSED[name]}")
    for candidate in (name, *_FOLDED.get(name.lower(), [])):
        if candidate in UNITS and (candidate == name or len(name) > 1):
            return UNITS[candidate]
    near = difflib.get_close_matches(name, UNITS, 3, 0.5)
    raise UnitError(f"the unit '{name}' is not known" + (f"; did you mean {' or '.join(near)}?" if near else ""))


def tokens(text: str) -> list[str]:
    """Take a unit apart into names, signs and powers."""
    parts, at = [], 0
    text = re.sub(r"\bper\b", "/", text.strip())
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None:
            raise UnitError(f"'{text[at:].strip()}' is not a unit")
        parts.append(match.group(1))
        at = match.end()
    return parts


class Expression:
    """A unit expression, read left to right; `loose` reads everything after a slash as the divisor."""

    def __init__(self, parts: list[str], loose: bool) -> None:
        self._tokens, self._at, self._loose = parts, 0, loose
        self.currencies: set[str] = set()

    def read(self) -> tuple[float, Dims]:
        """Read the whole expression."""
        size, dims = self._product()
        if self._at != len(self._tokens):
            raise UnitError(f"'{self._tokens[self._at]}' is out of place in the unit")
        return size, dims

    def _peek(self) -> str:
        return self._tokens[self._at] if self._at < len(self._tokens) else ""

    def _take(self) -> str:
        token = self._peek()
        self._at += 1
        return token

    def _product(self) -> tuple[float, Dims]:
        size, dims, sign = *self._factor(), 1
        while self._peek() not in ("", ")"):
            if self._peek() == "/":
                self._take()
                sign = -1
            elif self._peek() in ("*", "·"):
                self._take()
                sign = sign if self._loose else 1
            elif not self._loose:
                sign = 1
            factor, other = self._factor()
            size *= factor**sign
            dims = tuple(a + sign * b for a, b in zip(dims, other, strict=True))
        return size, dims

    def _factor(self) -> tuple[float, Dims]:
        token = self._take()
        if token == "(":
            size, dims = self._product()
            if self._take() != ")":
                raise UnitError("a bracket is not closed in the unit")
        elif token == "1" and self._peek() == "/":
            return 1.0, (0, 0, 0, 0, 0)
        elif token and token not in "/*·)^" and not token.isdigit():
            size, dims = self._named(token)
        else:
            raise UnitError("the unit is not complete")
        power = self._power()
        return size**power, tuple(power * d for d in dims)

    def _named(self, token: str) -> tuple[float, Dims]:
        if token in CURRENCIES or token in HUNDREDTHS:
            self.currencies.add(CURRENCIES.get(token) or HUNDREDTHS[token])
        after = self._peek()
        if token + after in UNITS and after.isdigit():
            self._take()
            return _unit(token + after)
        return _unit(token)

    def _power(self) -> int:
        if self._peek() == "^":
            self._take()
        if self._peek() in _SUPERSCRIPT:
            return _SUPERSCRIPT[self._take()]
        power = int(self._take()) if self._peek().isdigit() else 1
        if power > HIGHEST_POWER:
            raise UnitError(f"the power {power} in the unit is too high")
        return power
