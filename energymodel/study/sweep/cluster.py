"""A sweep on several processes or machines, through dask (the `cluster` extra)."""

from __future__ import annotations

import logging
from collections.abc import Callable, Generator, Sequence
from contextlib import ExitStack
from importlib import import_module
from importlib.util import find_spec
from typing import Any
from uuid import uuid4

from energymodel.errors import InputError, install_line
from energymodel.study.sweep.piece import Piece

TRIM_THRESHOLD_BYTES = 128 * 1024 * 1024
MMAP_THRESHOLD_BYTES = 32 * 1024 * 1024
_PATIENCE_S = 10
_AHEAD = 3
_ENVIRONMENT = "distributed.nanny.pre-spawn-environ"


def check_installed() -> None:
    """Refuse to go on where dask is not installed.

    Raises
    ------
    InputError
        With the line that installs it.
    """
    if find_spec("distributed") is None:
        raise InputError(
            "several workers need dask, which is not installed",
            remedy=f"{install_line('cluster')}, or use one worker",
        )


def cluster_pieces(
    make: Callable[[int], Piece], numbers: Sequence[int], *, workers: int, scheduler: str | None
) -> Generator[Piece, None, None]:
    """Run pieces of a sweep on workers and give them out as they finish.

    Parameters
    ----------
    make
        Runs a piece; it goes to each worker once, the whole sweep with it.
    numbers
        Pieces to run.
    workers
        Local processes to start, where no scheduler is named.
    scheduler
        Address of a running scheduler, such as "tcp://10.0.0.5:8786".

    Yields
    ------
    Piece
        Each piece once.

    Raises
    ------
    InputError
        If dask is not installed, or no scheduler answers.

    Notes
    -----
    A piece whose worker is lost runs again on another one; no piece is given out twice. Scenario,
    variants and weather years go to each worker once. The workers of a named scheduler need this
    package, and must see the tariff and unit files that the scenario names under the same paths.

    The nanny of a dask worker makes malloc give memory back to the system in steps of 64 KiB,
    which makes code with many short-lived arrays slower, up to three times. Local workers are
    started with 128 MiB instead, and with 32 MiB from which an array is mapped by itself, since
    glibc stops adapting that size once the other is set. For workers of your own set the
    environment variables MALLOC_TRIM_THRESHOLD_ and MALLOC_MMAP_THRESHOLD_ before they start.

    Local workers are new processes, so a script that calls this needs the usual
    `if __name__ == "__main__":`.
    """
    check_installed()
    with ExitStack() as stack:
        client = _client(stack, workers, scheduler)
        name = f"energymodel-sweep-{uuid4().hex}"
        client.register_plugin(_plugin(make), name=name)
        stack.callback(client.unregister_worker_plugin, name)
        yield from _as_finished(client, numbers, name)


def _client(stack: ExitStack, workers: int, scheduler: str | None) -> Any:
    dask: Any = import_module("dask")
    distributed: Any = import_module("distributed")
    if scheduler is None:
        steps = {
            f"{_ENVIRONMENT}.MALLOC_TRIM_THRESHOLD_": TRIM_THRESHOLD_BYTES,
            f"{_ENVIRONMENT}.MALLOC_MMAP_THRESHOLD_": MMAP_THRESHOLD_BYTES,
        }
        stack.enter_context(dask.config.set(steps))
        local = distributed.LocalCluster(
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            dashboard_address=None,
            silence_logs=logging.CRITICAL,
        )
        cluster = stack.enter_context(local)
        return stack.enter_context(distributed.Client(cluster, set_as_default=False))
    try:
        made = distributed.Client(scheduler, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise InputError(
            f"no dask scheduler answers at {scheduler}: {error}",
            expected="the address that `dask scheduler` prints, such as tcp://10.0.0.5:8786",
        ) from None
    return stack.enter_context(made)


def _plugin(make: Callable[[int], Piece]) -> Any:
    """Make the plugin that brings the sweep to each worker, new ones included."""
    distributed: Any = import_module("distributed")

    class SweepOnWorker(distributed.WorkerPlugin):  # type: ignore[misc]
        def __init__(self) -> None:
            self.make = make

    return SweepOnWorker()


def run_piece(plugin: str, number: int) -> Piece:
    """Run a piece on a worker.

    Parameters
    ----------
    plugin
        Name under which the sweep stands there.
    number
        Of the piece.

    Returns
    -------
    Piece
        Whole.
    """
    distributed: Any = import_module("distributed")
    made: Piece = distributed.get_worker().plugins[plugin].make(number)
    return made


def _as_finished(client: Any, numbers: Sequence[int], name: str) -> Generator[Piece, None, None]:
    waiting = iter(numbers)
    finished = import_module("distributed").as_completed(loop=client.loop)

    def submit() -> None:
        number = next(waiting, None)
        if number is not None:
            finished.add(client.submit(run_piece, name, number, key=f"{name}-{number}"))

    threads = max(1, sum(client.nthreads().values()))
    for _ in range(threads * _AHEAD):
        submit()
    for future in finished:
        piece = future.result()
        submit()
        yield piece
