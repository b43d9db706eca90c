"""Depth and size of a study are bounded before anything goes down into it."""

from __future__ import annotations

import base64
import json
import tomllib
import zlib
from pathlib import Path

import pytest

from costsim.cli.main import main
from costsim.dashboard.link import packed, unpacked
from costsim.errors import InputError
from costsim.files import MOST_DEPTH, check_nesting
from costsim.study.case import built_in_studies, parse_study


def deep(number: int) -> list[str]:
    """Ways to nest tables and lists in TOML."""
    return [
        "[" + ".".join(["a"] * number) + "]\n",
        "[[" + ".".join(["a"] * number) + "]]\nx = 1\n",
        ".".join(["a"] * number) + " = 1\n",
        ".".join(['"a"'] * number) + " = 1\n",
        " . ".join(["'a'"] * number) + " = 1\n",
        "a = " + "[" * number + "]" * number,
        "a = " + "{a=" * number + "1" + "}" * number,
        "a = " + '[{a="[",b=' * number + "1" + "}]" * number,
        "x = '''[[[ ''''' \n a = " + "[" * number,
        'x = """ \\""" [ """\n a = ' + "{a=[" * number,
        "# a ' comment \" of [\na = " + "[" * number,
    ]


@pytest.mark.parametrize("number", [MOST_DEPTH + 2, 700, 100_000])
@pytest.mark.parametrize("at", range(11))
def test_deep_studies_are_one_plain_line(number: int, at: int) -> None:
    text = deep(number)[at]
    with pytest.raises(InputError, match=r"nested more than|is not TOML|MB large") as caught:
        parse_study(text.encode(), file="deep.toml")
    assert len(caught.value.faults) == 1
    assert "nested" in str(caught.value) or number == 100_000


def test_the_command_line_and_a_link_say_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "deep.toml").write_text(deep(700)[0])
    assert main(["compare", str(tmp_path / "deep.toml")]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    text = '{"a":' * 700 + "1" + "}" * 700
    code = base64.urlsafe_b64encode(zlib.compress(text.encode())).decode().rstrip("=")
    with pytest.raises(InputError, match="nested more than"):
        unpacked(code)


def test_no_study_of_a_person_is_too_deep() -> None:
    for path in built_in_studies().values():
        check_nesting(path.read_text(encoding="utf-8"), "")
    data = {
        "title": "[[[[[[{{{{[[[[[[[[[[[[[[[[[ a.b.c.d.e.f.g.h.i.j.k.l.m.n.o.p.q.r.s.t",
        "note": "\"\"\"[[['''" * 20,
        "n": [1.5] * 40,
    }
    assert unpacked(packed(data)) == data
    check_nesting(json.dumps(data), "")
    text = 'title = "' + '[{.\\" ' * 40 + '"\nnote = """' + '["\n' * 40 + '"""\nx = [1.5, 2.5]\n# ' + "[" * 40 + "\n"
    check_nesting(text, "")
    assert len(tomllib.loads(text)) == 3
