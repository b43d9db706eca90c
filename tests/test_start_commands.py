"""Commands for a first day: `init`, `doctor`, `completion`, and the help of every command."""

from __future__ import annotations

import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from costsim import __version__
from costsim.cli.commands import EXAMPLES
from costsim.cli.main import COMMANDS, main, parser_of_commands
from costsim.cli.weather import VERBS
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


def test_every_command_has_an_example() -> None:
    assert {*EXAMPLES} == {*COMMANDS}


@pytest.mark.parametrize(
    "name",
    ["", *sorted(COMMANDS), "house import", "tariff import", "tariff show", *(f"weather {verb}" for verb in VERBS)],
)
def test_help_has_an_example_that_parses_and_the_exit_codes(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main([*name.split(), "--help"])
    assert stopped.value.code == 0
    shown = capsys.readouterr().out
    assert "exit codes: 0 done" in shown
    if name:
        example = shown.split("example:\n  costsim ")[1].splitlines()[0]
        assert example.startswith(name)
        parsed = parser_of_commands().parse_args(shlex.split(example.split(" > ")[0]))
        assert [parsed.command, *([parsed.verb] if " " in name else [])] == name.split()


def test_the_command_starts_the_server_with_the_settings_of_the_repository(monkeypatch: pytest.MonkeyPatch) -> None:
    """From any folder; a bar of Streamlit's own would lie over the titles."""
    from streamlit.web import cli

    begun: list[str] = []
    monkeypatch.setattr(cli, "main", lambda: begun.extend(sys.argv))
    with pytest.raises(SystemExit):
        main(["dashboard"])
    settings = tomllib.loads((Path(__file__).parents[1] / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    flat = {f"{part}.{key}": value for part, keys in settings.items() for key, value in keys.items() if part != "theme"}
    flat |= {f"theme.{look}.{key}": value for look, keys in settings["theme"].items() for key, value in keys.items()}
    for key, value in flat.items():
        if key != "server.headless":  # the command opens a browser
            for one in value if isinstance(value, list) else [value]:
                assert f"--{key}={str(one).lower() if isinstance(one, bool) else one}" in begun
