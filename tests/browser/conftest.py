"""A real browser for pages that we write: Chromium, driven by selenium, without a screen and without a network.

Where there is none, these tests are skipped and say why; they are the only ones that may be. What a page needs to be safe
and whole is also tested without a browser, beside the code that writes it.

`browser` is one Chromium for the whole run. `show` opens a file in it at a given width and returns it; `console` gives what
the page has complained of since the last look (blocked by its own policy, missing files, errors in a script).
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

CHROMIUM = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
ARGUMENTS = (
    "--headless=new",
    "--no-sandbox",  # a container has no second one to give
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--hide-scrollbars",
    "--no-first-run",
    "--disable-extensions",
    "--disable-background-networking",
    "--disable-component-update",
    "--host-resolver-rules=MAP * ~NOTFOUND",  # no page of ours may need a network, so there is none
    "--allow-file-access-from-files",
)
WIDE, PHONE = (1200, 900), (360, 740)

Show = Callable[..., webdriver.Chrome]
Console = Callable[[], list[str]]


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    """The one Chromium of this run."""
    chromium = next(filter(None, map(shutil.which, CHROMIUM)), None)
    driver = shutil.which("chromedriver")
    if chromium is None or driver is None:
        missing = "Chromium" if chromium is None else "chromedriver"
        pytest.skip(f"no {missing} on this machine: how the page looks and works in a browser isn't tested here")
    options = Options()
    options.binary_location = chromium
    for argument in (*ARGUMENTS, f"--user-data-dir={tmp_path_factory.mktemp('chromium')}"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    try:
        started = webdriver.Chrome(options=options, service=Service(driver, log_output=os.devnull))
    except WebDriverException as error:
        pytest.skip(f"Chromium does not start on this machine, so no page is tested in it: {error.msg}")
    started.set_page_load_timeout(60)
    started.set_script_timeout(120)
    yield started
    started.quit()


@pytest.fixture
def console(browser: webdriver.Chrome) -> Console:
    """What the page complained of since the last look, as text."""

    def told() -> list[str]:
        entries: list[dict[str, Any]] = browser.get_log("browser")  # type: ignore[no-untyped-call]
        return [f"{entry['level']}: {entry['message']}" for entry in entries]

    return told


@pytest.fixture
def show(browser: webdriver.Chrome, console: Console) -> Iterator[Show]:
    """Opens a page: ``show(path)``, ``show(path, PHONE)``, ``show(path, dark=True)``, ``show(path, script=False)``.

    The size is the page's own, without the frame of a window. Afterwards everything is as it was.
    """

    def opened(
        path: Path, size: tuple[int, int] = WIDE, *, dark: bool = False, script: bool = True, media: str = ""
    ) -> webdriver.Chrome:
        width, height = size
        screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
        scheme = [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": media, "features": scheme})
        browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": not script})
        browser.get("about:blank")
        console()
        browser.get(path.resolve().as_uri())
        return browser

    yield opened
    browser.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})
    browser.get("about:blank")


AXE = ".venv/node/node_modules/axe-core/axe.min.js"  # where .ci/run puts it


@pytest.fixture(scope="session")
def axe() -> str:
    """The accessibility checker's script; ``AXE_CORE`` may name the file."""
    file = Path(os.environ.get("AXE_CORE", Path(__file__).parents[2] / AXE))
    if not file.is_file():
        pytest.skip(f"axe-core is not installed (npm install --prefix .venv/node axe-core, or AXE_CORE): no {file}")
    return file.read_text("utf-8")


@pytest.fixture
def violations(browser: webdriver.Chrome, axe: str) -> Callable[[], list[str]]:
    """What the accessibility checker finds on the page that is open, a line for each thing.

    Of a long list of items that are made alike the first ones are looked at: the checker takes minutes for hundreds.
    """

    def found() -> list[str]:
        browser.execute_script(axe)  # type: ignore[no-untyped-call]
        result: list[dict[str, Any]] = browser.execute_async_script(  # type: ignore[no-untyped-call]
            "const done = arguments[arguments.length - 1];"
            "axe.run({exclude: [['.items > li:nth-child(n+6)']]}, {resultTypes: ['violations'], preload: false})"
            ".then(r => done(r.violations))"
        )
        return [f"{one['id']}: {one['nodes'][0]['html'][:160]} ({one['help']})" for one in result]

    return found
