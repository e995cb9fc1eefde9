"""Sweeps on disk: whole pieces, taken up again, nothing lost or counted twice."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import pandas as pd
import pytest

from energymodel.errors import InputError
from energymodel.scenario.files import Scenario, read_scenario
from energymodel.study.sweep import groups as sweep_groups
from energymodel.study.sweep.files import read_exactly
from energymodel.study.sweep.store import Existing, Output
from energymodel.study.sweep.sweep import sweep

ROOM = """
[place]
weather = "greensboro-nc"
[room]
indoor = { heating = "70 degF", cooling = "75 degF" }
[room.heating]
design_load = "9.5 kBtu/h"
design_temperature = "15 degF"
balance_temperature = "60 degF"
[price.electricity]
energy = 0.14
per = "kWh"
[price.natural_gas]
energy = 1.25
per = "therm"
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Stove, gas"
heating = { kind = "room heater", fuel = "natural gas", afue = 0.7, output = "20 kBtu/h" }
installed_cost = 900
[sweep]
months = true
[sweep.grid]
price.electricity.energy = { from = 0.10, to = 0.24, steps = 8 }
room.heating.design_load = { from = "5 kBtu/h", to = "14 kBtu/h", steps = 6 }
room.heating.balance_temperature = ["60 degF", "72 degF"]
"""


class StoppedError(Exception):
    """The run is stopped from outside."""


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Scenario:
    monkeypatch.setattr(sweep_groups, "ROWS_PER_CHUNK", 32)
    file = tmp_path / "room.toml"
    file.write_text(ROOM, "utf-8")
    return read_scenario(file)


def _stopped_after(pieces: int):  # type: ignore[no-untyped-def]
    def progress(items: Sequence[int], doing: str) -> Iterator[int]:
        for count, item in enumerate(items):
            if count == pieces:
                raise StoppedError
            yield item

    return progress


def _sorted(frame: pd.DataFrame, *more: str) -> pd.DataFrame:
    order = ["variant", *more]
    plain = frame.assign(
        **{
            name: frame[name].astype(object)
            for name in frame.columns
            if frame[name].dtype == object or not pd.api.types.is_numeric_dtype(frame[name])
        }
    )
    return plain.sort_values(order, kind="stable", ignore_index=True)


def _same(one: pd.DataFrame, other: pd.DataFrame, *more: str) -> None:
    a, b = _sorted(one, *more), _sorted(other, *more)
    assert list(a.columns) == list(b.columns)
    for name in a.columns:
        left, right = a[name], b[name]
        if pd.api.types.is_float_dtype(left):
            pd.testing.assert_series_equal(left, right, rtol=0.0, atol=0.0)
        else:
            assert left.fillna("").astype(str).tolist() == right.fillna("").astype(str).tolist()


def test_parquet_parts_hold_what_a_run_in_memory_gives(room: Scenario, tmp_path: Path) -> None:
    memory = sweep(room)
    disk = sweep(room, out=tmp_path / "out")
    assert disk.years is None
    assert disk.written == (tmp_path / "out",)
    assert memory.years is not None
    assert memory.months is not None
    _same(pd.read_parquet(tmp_path / "out" / "years"), memory.years)
    _same(pd.read_parquet(tmp_path / "out" / "months"), memory.months, "option", "month")
    parts = sorted(path.name for path in (tmp_path / "out" / "years").iterdir())
    assert len(parts) > 3
    assert (disk.summary.cheapest == memory.summary.cheapest).all()


@pytest.mark.parametrize("ending", [".csv", ".parquet"])
def test_one_file_holds_all_pieces_and_the_parts_are_gone(
    room: Scenario, tmp_path: Path, ending: str
) -> None:
    memory = sweep(room)
    target = tmp_path / f"all{ending}"
    result = sweep(room, out=target)
    months = tmp_path / f"all-months{ending}"
    assert result.written == (target, months)
    read = read_exactly if ending == ".csv" else pd.read_parquet
    assert memory.years is not None
    assert memory.months is not None
    _same(read(target), memory.years)
    assert len(read(months)) == len(memory.months)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        f"all-months{ending}", f"all{ending}", "room.toml",
    ]  # fmt: skip


def test_option_names_are_coded_and_numbers_are_whole_doubles(
    room: Scenario, tmp_path: Path
) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    sweep(room, out=tmp_path / "out")
    part = next((tmp_path / "out" / "months").iterdir())
    schema = parquet.read_schema(part)
    assert str(schema.field("option").type).startswith("dictionary<values=string")
    assert str(schema.field("heating_cost").type) == "double"
    kinds = {str(parquet.read_schema(p)) for p in (tmp_path / "out" / "years").iterdir()}
    assert len(kinds) == 1


@pytest.mark.parametrize("stop", [0, 1, 3])
@pytest.mark.parametrize("name", ["out", "all.csv"])
def test_a_stopped_sweep_is_taken_up_and_ends_as_one_run(
    room: Scenario, tmp_path: Path, stop: int, name: str
) -> None:
    memory = sweep(room)
    with pytest.raises(StoppedError):
        sweep(room, out=tmp_path / name, progress=_stopped_after(stop))
    folder = tmp_path / (".all.csv.parts" if name == "all.csv" else name)
    (folder / "years" / ".part-00002.x.part").write_text("half", "utf-8")
    before = {path: path.stat().st_mtime_ns for path in (folder / "years").glob("part-*")}
    assert len(before) == stop
    ran: list[int] = []

    def note(items: Sequence[int], doing: str) -> Iterator[int]:
        ran.extend(items)
        yield from items

    output = Output(path=tmp_path / name, existing=Existing.RESUME)
    result = sweep(room, out=output, progress=note)
    assert (result.kept > 0) == (stop > 0)
    assert result.summary.variants == memory.plan.count
    assert (result.summary.cheapest == memory.summary.cheapest).all()
    assert memory.years is not None
    if name == "out":
        kept = {path: path.stat().st_mtime_ns for path in before}
        assert kept == before
        assert len(list((folder / "years").iterdir())) == stop + len(ran)
        _same(pd.read_parquet(folder / "years"), memory.years)
    else:
        _same(read_exactly(tmp_path / name), memory.years)


def test_a_finished_sweep_resumes_to_the_same_summary_without_a_run(
    room: Scenario, tmp_path: Path
) -> None:
    first = sweep(room, out=tmp_path / "out")
    again = sweep(room, out=Output(path=tmp_path / "out", existing=Existing.RESUME))
    assert again.kept == again.plan.count
    assert again.option_years_per_second == 0.0
    assert (again.summary.cost == first.summary.cost).all()
    assert again.summary.refused == first.summary.refused == 48


def test_pieces_of_another_sweep_are_not_kept(room: Scenario, tmp_path: Path) -> None:
    sweep(room, out=tmp_path / "out")
    room.path.write_text(ROOM.replace("energy = 1.25", "energy = 1.26"), "utf-8")
    other = read_scenario(room.path)
    with pytest.raises(InputError, match="belongs to another sweep"):
        sweep(other, out=Output(path=tmp_path / "out", existing=Existing.RESUME))
    result = sweep(other, out=Output(path=tmp_path / "out", existing=Existing.REPLACE))
    assert result.kept == 0


def test_a_file_that_the_scenario_names_is_part_of_the_sweep(
    room: Scenario, tmp_path: Path
) -> None:
    table = tmp_path / "variants.csv"
    text = ROOM[: ROOM.index("[sweep]")] + '[sweep]\ntable = "variants.csv"\n'
    room.path.write_text(text, "utf-8")
    table.write_text("price.electricity.energy\n0.1\n0.2\n", "utf-8")
    sweep(room.path, out=tmp_path / "out")
    table.write_text("price.electricity.energy\n0.1\n0.3\n", "utf-8")
    with pytest.raises(InputError, match="belongs to another sweep"):
        sweep(room.path, out=Output(path=tmp_path / "out", existing=Existing.RESUME))


def test_what_is_there_is_refused_and_left_alone(room: Scenario, tmp_path: Path) -> None:
    sweep(room, out=tmp_path / "out")
    with pytest.raises(InputError, match="a sweep is here already"):
        sweep(room, out=tmp_path / "out")
    other = tmp_path / "mine"
    other.mkdir()
    (other / "notes.txt").write_text("keep", "utf-8")
    for existing in Existing:
        with pytest.raises(InputError, match="other things than a sweep"):
            sweep(room, out=Output(path=other, existing=existing))
    assert (other / "notes.txt").read_text("utf-8") == "keep"
    file = tmp_path / "a.csv"
    file.write_text("keep", "utf-8")
    with pytest.raises(InputError, match="this file exists"):
        sweep(room, out=file)
    assert file.read_text("utf-8") == "keep"
    with pytest.raises(InputError, match="there is no folder"):
        sweep(room, out=tmp_path / "none" / "out")
    with pytest.raises(InputError, match="this is a file"):
        sweep(room, out=room.path)


def test_the_plan_file_says_what_is_in_the_folder(room: Scenario, tmp_path: Path) -> None:
    result = sweep(room, out=tmp_path / "out")
    plan = json.loads((tmp_path / "out" / "_sweep.json").read_text("utf-8"))
    assert plan["digest"] == result.plan.digest
    assert plan["variants"] == 96
    assert plan["options"] == ["Baseboard", "Stove, gas"]


def test_a_name_of_another_kind_of_table_does_not_become_a_folder(
    room: Scenario, tmp_path: Path
) -> None:
    with pytest.raises(InputError, match=r"\.csv or \.parquet"):
        sweep(room, out=tmp_path / "all.xlsx")
    assert not (tmp_path / "all.xlsx").exists()


def test_nothing_is_left_where_every_variant_is_refused(room: Scenario, tmp_path: Path) -> None:
    room.path.write_text(ROOM.replace("{ from = 0.10, to = 0.24, steps = 8 }", "[-1.0]"), "utf-8")
    with pytest.raises(InputError, match="every one"):
        sweep(room.path, out=tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads /proc")
def test_a_million_option_years_by_month_stay_under_500_mb(tmp_path: Path) -> None:
    import subprocess
    import sys

    file = tmp_path / "big.toml"
    grid = """
[sweep.grid]
price.electricity.energy = { from = 0.05, to = 0.40, steps = 250 }
price.natural_gas.energy = { from = 0.5, to = 4.0, steps = 200 }
room.heating.design_load = { from = "5 kBtu/h", to = "14 kBtu/h", steps = 10 }
"""
    file.write_text(ROOM[: ROOM.index("[sweep.grid]")] + grid, "utf-8")
    code = (
        "import sys; from pathlib import Path; from energymodel.study.sweep.sweep import sweep;"
        "result = sweep(sys.argv[1], out=sys.argv[2]); assert result.plan.count == 500_000;"
        # the peak of this process alone: ru_maxrss would hold that of the process it came from
        "lines = Path('/proc/self/status').read_text().splitlines();"
        "print(next(line.split()[1] for line in lines if line.startswith('VmHWM')))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(file), str(tmp_path / "out")],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert int(done.stdout) < 500 * 1024
    parquet = pytest.importorskip("pyarrow.parquet")
    rows = [parquet.read_metadata(p).num_rows for p in (tmp_path / "out" / "months").iterdir()]
    assert sum(rows) == 12_000_000
