"""The sales notebook in a real browser: open, run all, move a slider, write the page.

JupyterLab is started by the command `energymodel notebook` itself. A missing browser is a failure
with ENERGYMODEL_BROWSER=required; otherwise these tests are skipped and say why.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

LONGEST_START_S = 90.0
LONGEST_STEP_MS = 60_000
COMMAND = "from energymodel.cli.main import run; run()"
ANSWER = ".energymodel-view .answer"
VIEW = ".energymodel-view svg"
# Time from the key press until the results on the page are others.
CLOCK = """() => {
  const view = document.querySelector('.energymodel-view').parentElement;
  const before = view.innerHTML;
  window.answered = new Promise(resolve => {
    let pressed = null;
    document.addEventListener(
      'keydown', () => { pressed = performance.now(); }, {once: true, capture: true});
    const watch = new MutationObserver(() => {
      if (view.innerHTML === before) return;
      watch.disconnect();
      resolve(performance.now() - pressed);
    });
    watch.observe(view, {childList: true, subtree: true, characterData: true});
  });
}"""

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def chromium() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    lacks = [] if found else ["Chromium is not installed"]
    lacks += [] if find_spec("playwright") else ["the library playwright is not installed"]
    if lacks and os.environ.get("ENERGYMODEL_BROWSER") == "required":
        pytest.fail(f"a browser is required here: {'; '.join(lacks)}")
    if lacks:
        pytest.skip(f"no browser test: {'; '.join(lacks)}")
    return str(found)


def test_there_is_a_browser_for_the_slow_tests(chromium: str) -> None:
    done = subprocess.run([chromium, "--version"], capture_output=True, text=True, check=False)
    assert done.returncode == 0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "notebooks"


@pytest.fixture
def address(folder: Path, tmp_path: Path, chromium: str) -> Iterator[str]:
    """JupyterLab through the command, with nothing of the user's own around it."""
    own = {
        name: str(tmp_path / name.lower())
        for name in ("HOME", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR")
    }
    printed = tmp_path / "printed.txt"
    with printed.open("w") as out:
        server = subprocess.Popen(
            [sys.executable, "-c", COMMAND, "notebook", str(folder), "--no-browser"],
            env={**os.environ, **own, "PYTHONUNBUFFERED": "1"},
            stdout=out,
            stderr=subprocess.STDOUT,
        )
        try:
            yield _printed_address(server, printed)
        finally:
            server.terminate()
            try:
                code = server.wait(30)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()
                raise
    assert code == 0, printed.read_text("utf-8")
    assert "JupyterLab ended" in printed.read_text("utf-8")


def _printed_address(server: subprocess.Popen[bytes], printed: Path) -> str:
    until = time.monotonic() + LONGEST_START_S
    while time.monotonic() < until and server.poll() is None:
        found = re.search(r"http://127\.0\.0\.1:\S+", printed.read_text("utf-8"))
        if found:
            return found[0]
        time.sleep(0.1)
    pytest.fail(f"JupyterLab did not start: {printed.read_text('utf-8')}")


@pytest.fixture
def page(chromium: str, address: str) -> Iterator[Page]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        shown = browser.new_page(viewport={"width": 1400, "height": 1200})
        shown.set_default_timeout(LONGEST_STEP_MS)
        shown.goto(address)
        shown.wait_for_selector(".jp-Notebook .jp-CodeCell")
        shown.get_by_text("(ipykernel) | Idle").wait_for()
        yield shown
        browser.close()


def _handle(page: Page, label: str) -> Locator:
    """Handle of the slider that stands behind a label."""
    named = page.locator(".widget-label", has_text=re.compile(f"^{label}$"))
    return page.locator(".widget-hbox", has=named).last.locator(".noUi-handle")


def _pressed_ms(page: Page, handle: Locator) -> float:
    page.evaluate(CLOCK)
    handle.press("ArrowRight")
    taken: float = page.evaluate("() => window.answered")
    return taken


@pytest.mark.slow
def test_from_the_command_to_a_page_with_the_customers_numbers_without_touching_code(
    page: Page, folder: Path, record_property: Callable[[str, object], None]
) -> None:
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_text("Run All Cells", exact=True).click()
    page.wait_for_selector(ANSWER)
    picture = page.locator(".energymodel-form img").first
    picture.wait_for()
    before = (page.locator(ANSWER).inner_text(), page.locator(".energymodel-view svg").inner_html())
    drawn = picture.get_attribute("src")

    price = _handle(page, "electricity")
    price.focus()
    taken = [_pressed_ms(page, price) for _ in range(5)]
    record_property("slider_to_numbers_ms", sorted(round(one) for one in taken))
    assert page.locator(ANSWER).inner_text() != before[0]
    assert page.locator(".energymodel-view svg").inner_html() != before[1]

    typed = page.locator(".widget-hbox", has=page.get_by_text("electricity", exact=True)).last
    typed = typed.locator("input[type=number]")
    kept = typed.input_value()
    for value in ("0.184", kept):  # between two steps of the slider, and back
        shown = page.locator(VIEW).inner_html()
        typed.fill(value)
        typed.press("Tab")
        page.wait_for_function(
            f"old => document.querySelector('{VIEW}').innerHTML !== old", arg=shown
        )
        assert typed.input_value() == value

    load = _handle(page, "heating load")
    load.focus()
    _pressed_ms(page, load)
    page.wait_for_function("old => document.querySelector('.energymodel-form img').src !== old",
                           arg=drawn)  # fmt: skip

    named = page.locator(".widget-hbox", has=page.get_by_text("prepared for", exact=True)).last
    named.locator("input").fill("Customer 17")
    named.locator("input").press("Tab")
    page.get_by_role("button", name="Write the page (PDF)").click()
    page.wait_for_selector('.jp-OutputArea a[href*="room.pdf"]')
    text = " ".join(one.extract_text() for one in PdfReader(folder / "room.pdf").pages)
    assert "Customer 17" in text
    assert "0.165" in text  # five steps of 0.005 above 0.14
    assert page.locator(".jp-RenderedText[data-mime-type*=stderr]").count() == 0
