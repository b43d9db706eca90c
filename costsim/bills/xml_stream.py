"""XML read element by element and forgotten at once: no tree, no document type, and no tag, name or depth without measure.

A file that was made to do harm is refused after what it takes to see it, whatever it would unpack to.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import IO
from xml.parsers import expat

Links = dict[str, list[str]]
Put = Callable[[dict[str, str], Links], None]
"""What is done with a piece: the texts of its facts by name, and the links of its Atom entry by kind (and its title)."""

CHUNK = 1 << 16
MOST_TAG, MOST_NAMES, MOST_DEEP, MOST_LINKS = 1 << 20, 10_000, 64, 10_000
KINDS_OF_LINKS = ("self", "up", "related")


class DocumentTypeError(ValueError):
    """The file declares a document type, and with it perhaps entities that grow when they are read."""


class Pieces:
    """A reader of pieces by their local names, so that it does not matter which prefixes a file uses or whether it is Atom.

    Parameters
    ----------
    puts : dict
        What to do with each piece, by its name.
    facts : collection of str
        Names of elements inside pieces whose texts are wanted; of several, the last counts.
    many : str
        Name of the piece of which an entry may hold any number. It is put as it is read, with no links; all others are put
        where their entry ends, with the links of the whole entry, which may stand before or behind the content.
    closed : callable
        Called at the end of each entry, after its pieces were put, with its links.
    """

    def __init__(
        self, puts: dict[str, Put], facts: Collection[str], many: str, closed: Callable[[Links], None]
    ) -> None:
        self._puts, self._wanted, self._many, self._closed = puts, frozenset(facts), many, closed
        self._links: Links = {}
        self._waiting: list[tuple[str, dict[str, str]]] = []
        self._inside = False
        self._open: list[dict[str, str]] = []
        self._text: list[str] | None = None
        self._deep = 0
        self._parser = parser = expat.ParserCreate(namespace_separator="}")
        parser.buffer_text = True
        parser.StartDoctypeDeclHandler = self._document_type
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._characters

    def read(self, stream: IO[bytes]) -> None:
        """Read to the end of the file.

        Raises
        ------
        expat.ExpatError, ValueError, LookupError
            It is no XML, or beyond measure; and whatever a put raises.
        """
        fed = seen = 0
        while part := stream.read(CHUNK):
            self._parser.Parse(part, False)
            fed, seen = fed + len(part), max(seen, self._parser.CurrentByteIndex)
            if fed - seen > MOST_TAG:
                raise ValueError("a tag or comment of more than 1 MB")
            if len(self._parser.intern) > MOST_NAMES:
                raise ValueError(f"more than {MOST_NAMES:,} different names of elements")
        self._parser.Parse(b"", True)

    def _document_type(self, *_: object) -> None:
        raise DocumentTypeError

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition("}")[2]
        self._deep += 1
        if self._deep > MOST_DEEP:
            raise ValueError(f"elements inside each other more than {MOST_DEEP} deep")
        if name in self._puts:
            self._open.append({})
        titled = name == "title" and self._inside and not self._open
        self._text = [] if titled or (self._open and name in self._wanted) else None
        if name == "entry":
            self._links, self._inside = {}, True
        elif name == "link" and attributes.get("rel") in KINDS_OF_LINKS:
            links = self._links.setdefault(attributes["rel"], [])
            links.append(attributes.get("href", ""))
            if len(links) > MOST_LINKS:
                raise ValueError(f"an entry with more than {MOST_LINKS:,} links")

    def _characters(self, text: str) -> None:
        if self._text is not None:
            self._text.append(text)

    def _end(self, tag: str) -> None:
        name = tag.rpartition("}")[2]
        self._deep -= 1
        if self._text is not None:
            if name == "title" and not self._open:
                self._links["title"] = ["".join(self._text).strip()[:80]]
            for piece in self._open:
                piece[name] = "".join(self._text).strip()
            self._text = None
        if name in self._puts:
            facts = self._open.pop()
            if self._inside and name != self._many:
                self._waiting.append((name, facts))
                if len(self._waiting) > MOST_LINKS:
                    raise ValueError(f"an entry with more than {MOST_LINKS:,} parts")
            else:
                self._puts[name](facts, {})
        if name == "entry":
            for waiting, facts in self._waiting:
                self._puts[waiting](facts, self._links)
            self._closed(self._links)
            self._waiting, self._inside = [], False
