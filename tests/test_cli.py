"""The command line as a user runs it: the installed script in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import energymodel
from energymodel.datafiles import data_file

SCRIPT = Path(sys.executable).with_name("energymodel")
COMMAND = (
    [str(SCRIPT)]
    if SCRIPT.is_file()
    else [sys.executable, "-c", "from energymodel.cli.main import run; run()"]
)
Done = subprocess.CompletedProcess[str]
BAD = """
[place]
weathr = "greensboro-nc"
[room]
indoor = { heating = "70", cooling = "75 degF" }
[[option]]
name = "x"
heating = { kind = "stov" }
[price.electricity]
energy = 0.14
per = "kWh"
"""


def run(*arguments: object, folder: Path | None = None, **environment: str) -> Done:
    search = os.pathsep.join(entry or str(Path.cwd()) for entry in sys.path)
    return subprocess.run(
        [*COMMAND, *map(str, arguments)],
        capture_output=True,
        encoding="utf-8",
        cwd=folder,
        env={**os.environ, "PYTHONPATH": search, "PYTHONIOENCODING": "utf-8", **environment},
        timeout=60,
        check=False,
    )


@pytest.fixture(scope="module")
def demo() -> Done:
    return run("compare", COLUMNS="60", FORCE_COLOR="")


@pytest.fixture(scope="module")
def starter(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Done]:
    folder = tmp_path_factory.mktemp("my files")
    return folder / "my room.toml", run("new", "my room.toml", folder=folder)


@pytest.fixture(scope="module")
def detailed(starter: tuple[Path, Done]) -> Done:
    return run("compare", starter[0], "--units", "si", "--details", NO_COLOR="1")


def is_plain(text: str) -> bool:
    return "\x1b" not in text and all(len(line) <= 100 for line in text.splitlines())


def refused(done: Done) -> str:
    """What a refused command says: on standard error only, with exit code 2, no traceback."""
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    return done.stderr


def test_compare_alone_prints_the_demo_plainly_where_nobody_watches(demo: Done) -> None:
    assert demo.returncode == 0
    assert demo.stderr == ""
    assert is_plain(demo.stdout)
    assert "invented demo" in demo.stdout
    assert "(there now)" in demo.stdout
    assert "lowest yearly cost" in demo.stdout
    assert "Estimate, not a quotation or guarantee" in demo.stdout
    assert "°F" in demo.stdout
    assert "°C" not in demo.stdout


def test_a_small_columns_variable_cuts_nothing_from_piped_output(demo: Done) -> None:
    heads = next(line for line in demo.stdout.splitlines() if line.startswith("Option"))
    assert heads.split()[-1] == "hour"
    assert "…" not in demo.stdout


def test_new_writes_a_scenario_and_says_how_to_run_it(starter: tuple[Path, Done]) -> None:
    file, done = starter
    assert done.returncode == 0
    assert done.stderr == ""
    assert "energymodel compare 'my room.toml'" in done.stdout
    assert file.read_bytes() == data_file("scenarios", "starter.toml").read_bytes()


def test_the_new_scenario_runs_as_it_is_in_si_units_with_details(detailed: Done) -> None:
    assert detailed.returncode == 0
    assert detailed.stderr == ""
    assert is_plain(detailed.stdout)
    table, _, rest = detailed.stdout.partition("Defaults used")
    assert "°C" in table
    assert "kW at" in table
    assert "°F" not in table
    assert "Btu" not in table.split("Option")[0]
    for title in ("Notices", "Cautions", "Sources"):
        assert f"\n{title}\n" in rest


def test_new_writes_a_whole_house_when_asked(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    done = run("new", file, "--house")
    assert done.returncode == 0
    assert file.read_bytes() == data_file("scenarios", "house.toml").read_bytes()


def test_new_leaves_an_existing_file_alone_unless_told(tmp_path: Path) -> None:
    file = tmp_path / "room.toml"
    file.write_text("mine")
    assert "this file exists" in refused(run("new", file))
    assert file.read_text() == "mine"
    done = run("new", file, "--replace")
    assert done.returncode == 0
    assert file.read_text().startswith("# A room")
    assert [path.name for path in tmp_path.iterdir()] == ["room.toml"]


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("", "this is a folder"),
        ("none/room.toml", "there is no folder"),
        ("x" * 300, "cannot be written: File name too long"),
    ],
)
def test_new_says_why_a_file_cannot_be_written(tmp_path: Path, name: str, what: str) -> None:
    assert what in refused(run("new", tmp_path / name, "--replace"))
    assert list(tmp_path.iterdir()) == []


def test_a_faulty_scenario_gives_one_block_with_every_fault(tmp_path: Path) -> None:
    (tmp_path / "room.toml").write_text(BAD)
    message = refused(run("compare", "room.toml", folder=tmp_path))
    assert message.startswith("energymodel: room.toml: 3 faults found:\n- ")
    faults = [line for line in message.splitlines() if line.startswith("- ")]
    assert [fault.split(": ")[0] for fault in faults] == [
        "- place.weathr",
        "- room.indoor.heating",
        '- option[1] ("x").heating.kind',
    ]
    assert [path.name for path in tmp_path.iterdir()] == ["room.toml"]


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (None, "there is no such file"),
        (b"title = \n", "not valid TOML"),
    ],
)
def test_a_file_that_is_no_scenario_is_refused(
    tmp_path: Path, content: bytes | None, what: str
) -> None:
    file = tmp_path / "room.toml"
    if content is not None:
        file.write_bytes(content)
    assert what in refused(run("compare", file))


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        (("compair",), "No such command 'compair'"),
        (("compare", "--unit"), "No such option"),
        (("compare", "--units", "metric"), "'metric' is not one of"),
        (("compare", "a.toml", "b.toml"), "unexpected extra argument"),
        (("new",), "Missing argument"),
    ],
)
def test_a_wrong_command_is_refused_with_usage(arguments: tuple[str, ...], what: str) -> None:
    message = refused(run(*arguments))
    assert what in message
    assert "Usage: energymodel" in message


def test_version_and_help_are_answered(tmp_path: Path) -> None:
    version = run("--version")
    assert (version.returncode, version.stdout) == (0, f"{energymodel.__version__}\n")
    text = run("compare", "--help", folder=tmp_path).stdout
    for option in ("--out", "--units", "--replace", "--details"):
        assert option in text


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="pipes break differently there")
def test_a_reader_that_stops_early_ends_it_quietly() -> None:
    with subprocess.Popen(
        [*COMMAND, "compare"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""


def _on_a_terminal(columns: int, **environment: str) -> str:
    """Run the demo on a terminal of a given width."""
    pty = pytest.importorskip("pty")
    fcntl, termios = pytest.importorskip("fcntl"), pytest.importorskip("termios")
    ours, theirs = pty.openpty()
    size = b"".join(number.to_bytes(2, sys.byteorder) for number in (40, columns, 0, 0))
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, size)
    kept = {
        name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS")
    }
    with subprocess.Popen(
        [*COMMAND, "compare"], stdout=theirs, env={**kept, "TERM": "xterm", **environment}
    ):
        os.close(theirs)
        return b"".join(iter(_reader(ours), b"")).decode()


def _reader(terminal: int) -> Callable[[], bytes]:
    def read() -> bytes:
        try:
            return os.read(terminal, 65536)
        except OSError:  # the other end is closed
            return b""

    return read


@pytest.mark.slow
def test_no_color_keeps_colours_off_a_terminal() -> None:
    shown = _on_a_terminal(120, NO_COLOR="1")
    assert "lowest" in shown
    assert not any(f"\x1b[3{digit}" in shown or f"\x1b[9{digit}" in shown for digit in range(8))


@pytest.mark.slow
def test_a_narrow_terminal_loses_no_number(demo: Done) -> None:
    shown = _on_a_terminal(80)
    row = next(line for line in demo.stdout.splitlines() if line.startswith("Baseboard + window"))
    for number in row.split()[-3:]:
        assert number in shown
