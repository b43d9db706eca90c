"""Which tests execute a line: a map made once for each file of tests, and the tests that are asked of a mutant."""

from __future__ import annotations

import ast
import functools
import hashlib
import pickle
import re
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from mutation.collected import Answer, Collected
from mutation.mutants import Mutant

ROOT = Path(__file__).parents[2]
QUICK_SHARE = 0.25


@dataclass
class Reach:
    """What is known of the tests: seconds of each, and which of them execute a line of a module."""

    copy: Path
    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, dict[int, set[str]]] = field(default_factory=dict)
    mapped: set[str] = field(default_factory=set)

    def add(self, collected: Collected, files: Iterable[str]) -> None:
        """Map the tests of further files, or read what is known of them."""
        folder = Path(tempfile.gettempdir()) / "costsim-mutation" / _mark(self.copy / "costsim", "*.py")
        folder.mkdir(parents=True, exist_ok=True)
        helpers = _mark(self.copy / "tests", "[!t]*.py", but="mutation")
        held: dict[str, list[str]] = {}
        for test in collected.tests:
            held.setdefault(test.partition("::")[0], []).append(test)
        for name in files:
            if name in self.mapped or name not in held:
                continue
            self.mapped.add(name)
            content = (self.copy / name).read_bytes() + helpers.encode() + name.encode()
            known = folder / hashlib.sha256(content).hexdigest()[:32]
            if known.is_file():
                answer: Answer = pickle.loads(known.read_bytes())
            else:
                answer = collected.run(held[name], 100, mapped=True)
                if not answer.failed:
                    known.write_bytes(pickle.dumps(answer))
            if answer.failed:
                print(f"not mapped: {name} ({answer.failed})", flush=True)
            self.seconds.update(answer.seconds)
            for path, lines in answer.lines.items():
                module = self.lines.setdefault(path, {})
                for line, tests in lines.items():
                    module.setdefault(line, set()).update(test for test in tests if test)

    def at(self, path: str, lines: Iterable[int]) -> set[str]:
        """Tests that execute one of the lines."""
        module = self.lines.get(path, {})
        return {test for line in lines for test in module.get(line, ())}

    def of_statement(self, mutant: Mutant) -> set[str]:
        """Tests that execute a mutant's line, or its statement where the line itself leaves no trace."""
        path = f"costsim/{mutant.name}"
        return self.at(path, [mutant.line]) or self.at(path, statement(mutant))

    def of_names(self, mutant: Mutant) -> tuple[set[str], set[str]]:
        """Tests that use what the mutant's statement defines, by its name or by that of what is made of it: the near ones, and all.

        Near are those whose file has the name itself, or that execute a line of the mutant's own module that has it.
        """
        near: set[str] = set()
        found: set[str] = set()
        wanted, seen = defined(mutant.path, mutant.line), set[str]()
        while wanted:
            name = wanted.pop()
            seen.add(name)
            used = re.compile(rf"\b{re.escape(name)}\b")
            holding = {file for file in self.mapped if used.search((self.copy / file).read_text(encoding="utf-8"))}
            near |= {test for test in self.seconds if len(name) > 3 and test.partition("::")[0] in holding}
            for path in sorted((self.copy / "costsim").rglob("*.py")):
                text = path.read_text(encoding="utf-8")
                lines = [at for at, line in enumerate(text.splitlines(), 1) if used.search(line)]
                found |= self.at(path.relative_to(self.copy).as_posix(), lines)
                if path == self.copy / "costsim" / mutant.name:
                    near |= self.at(path.relative_to(self.copy).as_posix(), lines)
                    made = {other for line in lines for other in defined(mutant.path, line)}
                    wanted += sorted(made - seen - {*wanted})
        return near, near | found

    def of_module(self, mutant: Mutant) -> set[str]:
        """Tests that execute a function of the mutant's module."""
        path = f"costsim/{mutant.name}"
        return self.at(path, self.lines.get(path, {}))

    def of_files(self, names: Iterable[str]) -> set[str]:
        """All tests of some files."""
        asked = {*names}
        return {test for test in self.seconds if test.partition("::")[0] in asked}

    def by_group(self, groups: Sequence[set[str]], near: Sequence[Sequence[str]], most_s: float) -> list[str]:
        """Tests of the first group, then of the next: each in order within half of the seconds left, the last within all of them."""
        chosen: dict[str, None] = {}
        for at, group in enumerate(groups):
            left = most_s - sum(self.seconds.get(test, 1.0) for test in chosen)
            share = left if at == len(groups) - 1 else left / 2
            chosen |= dict.fromkeys(self.in_order(group - {*chosen}, near, share))
        return [*chosen]

    def in_order(self, tests: Iterable[str], near: Sequence[Sequence[str]], most_s: float) -> list[str]:
        """The quickest of all, then the nearest files, each with its quickest tests first, until the seconds are spent.

        `near` holds groups of files, the nearest first. The quickest have `QUICK_SHARE` of the seconds, so that a few large tests
        of a near file do not leave out dozens of small ones elsewhere.
        """
        quickest = sorted(tests, key=lambda one: (self.seconds.get(one, 1.0), one))
        files: dict[str, list[str]] = {}
        chosen: dict[str, None] = {}
        spent = 0.0
        for test in quickest:
            files.setdefault(test.partition("::")[0], []).append(test)
            if spent + self.seconds.get(test, 1.0) <= QUICK_SHARE * most_s:
                spent += self.seconds.get(test, 1.0)
                chosen[test] = None
        for name in sorted(
            files, key=lambda one: (_rank(one, near), sum(self.seconds.get(t, 1.0) for t in files[one]))
        ):
            for test in files[name]:
                if test in chosen:
                    continue
                spent += self.seconds.get(test, 1.0)
                if spent > most_s and chosen:
                    return [*chosen]
                chosen[test] = None
        return [*chosen]


def _rank(name: str, near: Sequence[Sequence[str]]) -> int:
    return next((at for at, group in enumerate(near) if name in group), len(near))


def _mark(folder: Path, pattern: str, but: str = "") -> str:
    """A digest of all files of a folder, without those of one below it."""
    digest = hashlib.sha256()
    for path in sorted(folder.rglob(pattern)):
        if path.parent.name != but:
            digest.update(path.relative_to(folder).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()[:32]


def statement(mutant: Mutant) -> range:
    """Lines of the innermost statement that holds the mutant; of one that holds others, its head."""
    held = [
        node
        for node in ast.walk(_parsed(mutant.path))
        if isinstance(node, ast.stmt) and node.lineno <= mutant.line <= (node.end_lineno or 0)
    ]
    inner = max(held, key=lambda node: (node.lineno, -(node.end_lineno or 0)))
    body = getattr(inner, "body", None)
    return range(inner.lineno, body[0].lineno if body else (inner.end_lineno or inner.lineno) + 1)


def defined(path: Path, line: int) -> list[str]:
    """Names that the statements around a line bind when the module is imported: constants, fields, functions."""
    names = []
    for node in ast.walk(_parsed(path)):
        if not isinstance(node, ast.stmt) or not node.lineno <= line <= (node.end_lineno or 0):
            continue
        targets = (
            node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
        )
        names += [one.id for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)]
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            names.append(node.name)
    return names


@functools.cache
def _parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))
