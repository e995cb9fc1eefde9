"""`energymodel notebook DIR`: the notebooks in a folder of yours, opened in JupyterLab."""

from __future__ import annotations

import json
import os
import secrets
import shlex
import signal
import socket
import subprocess
import sys
import tempfile
import time
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Annotated

import typer

from energymodel.errors import InputError, install_line

INSTALL = install_line("notebooks")
FIRST = "sales_engineer.ipynb"
LONGEST_START_S, LONGEST_END_S = 60.0, 10.0
LOG_LINES = 15
SETTINGS = {
    "@jupyterlab/apputils-extension:notification": {
        "checkForUpdates": False,
        "doNotDisturbMode": False,
        "fetchNews": "false",
    },
    "@jupyterlab/notebook-extension:tracker": {"windowingMode": "none"},
}
"""No news, no questions; every cell stays on the page, so that a form keeps its place."""


def notebook(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="Folder for the notebooks; made if need be.")
    ],
    *,
    no_open: Annotated[
        bool, typer.Option("--no-open", help="Only copy; do not start JupyterLab.")
    ] = False,
    browser: Annotated[
        bool,
        typer.Option("--browser/--no-browser", help="Open the browser, or print the address only."),
    ] = True,
    replace: Annotated[
        bool, typer.Option("--replace", help="Replace notebooks that exist in the folder.")
    ] = False,
) -> None:
    """Copy the notebooks into a folder and open them in JupyterLab."""
    check_extra()
    for line in copied(folder, replace=replace):
        print(line)
    if no_open:
        print(f"Open them: energymodel notebook {shlex.quote(str(folder))}")
        return
    raise typer.Exit(opened(folder, browser=browser))


def check_extra() -> None:
    """Refuse where the libraries of the notebooks are not installed."""
    missing = [name for name in ("jupyterlab", "ipywidgets") if find_spec(name) is None]
    if missing:
        raise InputError(
            f"the notebooks need {' and '.join(missing)}, which is not installed",
            remedy=f"install the extra, {INSTALL}",
        )


def copied(folder: Path, *, replace: bool) -> list[str]:
    """Copy the notebooks and say what was done; nothing is copied over without `replace`."""
    from energymodel.datafiles import shipped_folder
    from energymodel.new_file import write_new

    if folder.exists() and not folder.is_dir():
        raise InputError("this is a file, not a folder", where=str(folder))
    if not folder.exists() and not folder.parent.is_dir():
        raise InputError(f"there is no folder {folder.parent}", where=str(folder))
    sources = sorted(shipped_folder("notebooks").glob("*.ipynb"))
    kept = [one.name for one in sources if (folder / one.name).exists() and not replace]
    new = [one for one in sources if one.name not in kept]
    try:
        folder.mkdir(exist_ok=True)
        for source in new:
            write_new(folder / source.name, source.read_bytes())
    except OSError as error:
        raise InputError(
            f"cannot be written: {error.strerror or error}", where=str(folder)
        ) from None
    lines = [f"Copied to {folder}: {', '.join(one.name for one in new)}"] if new else []
    if kept:
        lines.append(f"Kept as they are (--replace renews them): {', '.join(kept)}")
    return lines


def opened(folder: Path, *, browser: bool) -> int:
    """Run JupyterLab in the folder until it is stopped; return what to exit with."""
    port, token = _free_port(), secrets.token_urlsafe(24)
    signal.signal(signal.SIGTERM, _stop)
    with tempfile.TemporaryFile() as log, tempfile.TemporaryDirectory() as settings:
        process = subprocess.Popen(  # noqa: S603 - our own command line, without a shell
            _command(folder, port, browser=browser),
            env={**_with_settings(Path(settings)), "JUPYTER_TOKEN": token},
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
        try:
            if _answers(process, port):
                address = f"http://127.0.0.1:{port}/lab/tree/{FIRST}?token={token}"
                print(f"JupyterLab: {address}\nCtrl-C ends it.", flush=True)
            process.wait()
        except KeyboardInterrupt:
            print("\nJupyterLab ended; the notebooks are saved where they lie.")
            return 0
        finally:
            _end(process)
        return _failed(log, process.returncode)


def _command(folder: Path, port: int, *, browser: bool) -> list[str]:
    """JupyterLab on this machine alone, without news and questions."""
    as_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={folder.resolve()}",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--LabApp.default_url=/lab/tree/{FIRST}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        *(["--allow-root"] if as_root else []),
        *([] if browser else ["--no-browser"]),
    ]


def _with_settings(folder: Path) -> dict[str, str]:
    """Put defaults where JupyterLab looks for them; what the user has set goes before."""
    target = folder / "labconfig" / "default_setting_overrides.json"
    target.parent.mkdir()
    target.write_text(json.dumps(SETTINGS), "utf-8")
    others = os.environ.get("JUPYTER_CONFIG_PATH")
    paths = [*([others] if others else []), str(folder)]
    return {**os.environ, "JUPYTER_CONFIG_PATH": os.pathsep.join(paths)}


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _answers(process: subprocess.Popen[bytes], port: int) -> bool:
    """Wait until the server takes connections; False where it ends or stays silent."""
    until = time.monotonic() + LONGEST_START_S
    while process.poll() is None and time.monotonic() < until:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1.0).close()
        except OSError:
            time.sleep(0.1)
        else:
            return True
    return False


def _stop(_signal: int, _frame: object) -> None:
    raise KeyboardInterrupt


def _end(process: subprocess.Popen[bytes]) -> None:
    """Ask the server to end, with its kernels; insist where it does not."""
    if process.poll() is not None:
        return
    process.terminate()
    try:
        process.wait(LONGEST_END_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def _failed(log: IO[bytes], code: int) -> int:
    """Show the end of the log where the server ended by itself with a fault."""
    if code:
        log.seek(0)
        lines = log.read().decode("utf-8", "replace").splitlines()[-LOG_LINES:]
        print("\n".join(["energymodel: JupyterLab ended:", *lines]), file=sys.stderr)
    return 2 if code else 0
