"""Commands for a first day: `init`, `doctor`, `completion`, and the help of every command."""

from __future__ import annotations

import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from costsim import __version__
from costsim.cli.commands import EXAMPLES
from costsim.cli.main import COMMANDS, main, parser_of_commands
from costsim.study.case import read_study


def test_init_writes_a_study_that_runs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "mine.toml"
    given = ["--floor-area", "1,800 sq ft", "--heat-loss", "30 kBtu/h", "--design-outdoor", "10 degF"]
    assert main(["init", str(file), *given]) == 0
    case = read_study(file)
    assert case.house.floor_area_m2 == pytest.approx(1800 * 0.09290304)
    assert case.house.design_heat_loss_w == pytest.approx(30e3 * 0.29307107, rel=1e-6)
    assert main(["check", str(file)]) == 0
    assert "costsim compare" in capsys.readouterr().out


def test_init_replaces_nothing_unasked_and_writes_nothing_wrong(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.toml"
    assert main(["init", str(file), "--floor-area", "big"]) == 2
    assert "house.floor_area" in capsys.readouterr().err
    assert not file.exists()
    file.write_text("mine", encoding="utf-8")
    assert main(["init", str(file)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert file.read_text(encoding="utf-8") == "mine"
    assert main(["init", str(tmp_path / "mine.txt")]) == 2


def test_doctor_names_what_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["doctor"]) == 0
    shown = capsys.readouterr().out
    assert sys.version.split()[0] in shown
    for word in ("numba", "compiled code", "weather kept", "browser", "lantern_cottage", "Libertinus Serif"):
        assert word in shown
    assert f"costsim                {__version__}\n" in shown


@pytest.mark.parametrize("shell", ["bash", "zsh", "tcsh"])
def test_completion_knows_every_command(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert all(name in script for name in COMMANDS)


def test_bash_takes_the_completion(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["completion", "bash"])
    script = tmp_path / "costsim.bash"
    script.write_text(capsys.readouterr().out, encoding="utf-8")
    assert subprocess.run(["bash", "-n", str(script)], check=False).returncode == 0


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_help_has_an_example_that_parses(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main([name, "--help"])
    assert stopped.value.code == 0
    shown = capsys.readouterr().out
    assert f"costsim {EXAMPLES[name]}" in shown
    assert "exit codes: 0 done" in shown
    parsed = parser_of_commands().parse_args(shlex.split(EXAMPLES[name].split(" > ")[0]))
    assert parsed.command == name
