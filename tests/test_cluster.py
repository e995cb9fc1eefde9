"""The same sweep on several worker processes, one of which may be lost."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator, Sequence
from pathlib import Path

import pandas as pd
import pytest

from energymodel.errors import InputError
from energymodel.study.sweep import groups as sweep_groups
from energymodel.study.sweep.sweep import sweep

pytest.importorskip("distributed")
pytestmark = [
    pytest.mark.slow,
    # sockets and tasks of a worker that was killed on purpose
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

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
[[option]]
name = "Baseboard"
present = true
heating = { kind = "electric resistance" }
[[option]]
name = "Inverter"
heating = { kind = "heat pump", unit = "inverter-standard-12" }
installed_cost = 3600
[sweep]
months = true
[sweep.grid]
price.electricity.energy = { from = 0.10, to = 0.24, steps = 10 }
room.heating.design_load = { from = "5 kBtu/h", to = "14 kBtu/h", steps = 6 }
room.heating.balance_temperature = ["60 degF", "72 degF"]
place.weather = ["greensboro-nc", "miami-fl"]
"""


@pytest.fixture
def room(tmp_path: Path) -> Path:
    file = tmp_path / "room.toml"
    file.write_text(ROOM, "utf-8")
    return file


def _same(one: pd.DataFrame | None, other: pd.DataFrame | None) -> None:
    assert one is not None
    assert other is not None
    order = [name for name in ("variant", "option", "month") if name in one]
    frames = [frame.sort_values(order, ignore_index=True) for frame in (one, other)]
    pd.testing.assert_frame_equal(*frames, check_exact=True)


def test_two_workers_give_the_numbers_of_one_process(room: Path) -> None:
    plain, spread = sweep(room), sweep(room, workers=2)
    _same(plain.years, spread.years)
    _same(plain.months, spread.months)
    assert plain.summary.refused == spread.summary.refused == 120


def test_a_lost_worker_loses_no_result_and_none_is_counted_twice(
    room: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from distributed import Client, LocalCluster

    text = ROOM.replace("steps = 10", "steps = 40")
    room.write_text(text, "utf-8")
    monkeypatch.setattr(sweep_groups, "ROWS_PER_CHUNK", 64)
    plain = sweep(room)
    pieces: list[int] = []
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        first = next(iter(client.scheduler_info()["workers"]))
        pid = client.run(os.getpid, workers=[first])[first]

        def kill_after_one(items: Sequence[int], doing: str) -> Iterator[int]:
            for number, item in enumerate(items):
                if number == 1:
                    os.kill(pid, signal.SIGKILL)
                pieces.append(item)
                yield item

        spread = sweep(
            room,
            out=tmp_path / "out",
            scheduler=cluster.scheduler_address,
            progress=kill_after_one,
        )
    years = pd.read_parquet(tmp_path / "out" / "years")
    assert plain.years is not None
    assert len(years) == len(plain.years)
    counts = years.groupby("variant").size()
    assert counts.to_numpy().tolist() == plain.years.groupby("variant").size().to_numpy().tolist()
    numbers = years.select_dtypes("number").sort_values("variant", kind="stable").to_numpy()
    expected = plain.years.select_dtypes("number").to_numpy()
    assert len(pieces) == len(set(pieces)) > 3
    order = years.sort_values("variant", kind="stable")
    assert order["option"].astype(str).tolist() == plain.years["option"].astype(str).tolist()
    pd.testing.assert_frame_equal(pd.DataFrame(numbers), pd.DataFrame(expected), check_exact=True)
    assert (spread.summary.cheapest == plain.summary.cheapest).all()


def test_local_workers_give_memory_back_in_large_steps() -> None:
    from contextlib import ExitStack

    from energymodel.study.sweep.cluster import (
        MMAP_THRESHOLD_BYTES,
        TRIM_THRESHOLD_BYTES,
        _client,
    )

    names = ("MALLOC_TRIM_THRESHOLD_", "MALLOC_MMAP_THRESHOLD_")
    with ExitStack() as stack:
        client = _client(stack, 1, None)
        found = [set(client.run(os.environ.get, name).values()) for name in names]
    assert found == [{str(TRIM_THRESHOLD_BYTES)}, {str(MMAP_THRESHOLD_BYTES)}]


def test_an_address_without_a_scheduler_is_told(
    room: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("energymodel.study.sweep.cluster._PATIENCE_S", 1)
    with pytest.raises(InputError, match="no dask scheduler answers"):
        sweep(room, scheduler="tcp://127.0.0.1:9")
