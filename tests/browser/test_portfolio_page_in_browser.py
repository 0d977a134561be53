"""The portfolio page in a real browser: wide and on a phone, dark, printed, with keys only, without script, with 1,000 sites."""

from __future__ import annotations

import base64
import copy
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webelement import WebElement

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.portfolio.judge import Asked, judged, with_fingerprints
from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report import Selection
from inspect_core.report.gate.html import html
from inspect_core.report.view import as_data
from inspect_core.site import load_site

SAMPLES = Path(__file__).parents[2] / "sample_sites"
PHONE = (360, 740)
Show = Callable[..., webdriver.Chrome]
Console = Callable[[], list[str]]


@pytest.fixture(scope="module")
def results(packs: LoadedPacks) -> list[SiteResult]:
    """A held site, a clear one, and one that can't be used."""
    made = []
    for name in ("lock-cottage-found", "lock-cottage-repaired"):
        document = as_data(inspect(load_site(SAMPLES / f"{name}.site.yaml"), packs), Selection())
        if name == "lock-cottage-repaired":
            document["findings"] = [f for f in document["findings"] if f["outcome"] in ("meets", "does-not-apply")]
        file = f"sites/{name}.site.yaml"
        with_fingerprints(file, document)
        made.append(judged(file, document, (), Asked()))
    problem = {
        "file": "sites/broken.site.yaml",
        "line": 3,
        "column": 1,
        "message": "sites/broken.site.yaml:3:1: no floor",
    }
    return [*made, SiteResult("sites/broken.site.yaml", None, (problem,), (), 2, 0)]


@pytest.fixture(scope="module")
def small(results: list[SiteResult], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("small") / "gate.html"
    path.write_text("".join(html(results, GateView(link_packets=True))), "utf-8")
    return path


@pytest.fixture(scope="module")
def large(results: list[SiteResult], tmp_path_factory: pytest.TempPathFactory) -> Path:
    def named(number: int) -> SiteResult:
        one = results[number % 3]
        if one.document is None:
            return replace(one, file=f"sites/{number:04}.site.yaml")
        document = {**one.document, "site": {**one.document["site"], "name": f"Floor {number}"}}
        return replace(one, file=f"sites/{number:04}.site.yaml", document=document)

    path = tmp_path_factory.mktemp("large") / "gate.html"
    path.write_text("".join(html(map(named, range(1000)), GateView())), "utf-8")
    return path


def rows(page: webdriver.Chrome) -> list[str]:
    """The first cell's words of each row that can be seen."""
    script = """return Array.from(document.querySelectorAll('#sites tbody tr')).filter(r => r.offsetHeight > 0)
                .map(r => r.cells[0].textContent)"""
    found: list[str] = page.execute_script(script)  # type: ignore[no-untyped-call]
    return found


def sort_button(page: webdriver.Chrome, words: str) -> WebElement:
    return next(b for b in page.find_elements(By.CSS_SELECTOR, "thead button") if b.text.strip().startswith(words))


def fits(page: webdriver.Chrome) -> bool:
    """Nothing has to be scrolled sideways."""
    script = "return document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    return bool(page.execute_script(script))  # type: ignore[no-untyped-call]


@pytest.mark.parametrize("size", [(1200, 900), (1000, 900), (834, 1100), PHONE, (320, 640)])
def test_it_opens_without_a_complaint_and_fits(
    show: Show, console: Console, small: Path, size: tuple[int, int]
) -> None:
    page = show(small, size)
    assert console() == []
    assert fits(page)
    assert page.find_element(By.TAG_NAME, "h1").text == "Gate: 1 of 3 sites clear"
    assert len(rows(page)) == 3 and rows(page)[0].startswith("sites/broken.site.yaml")
    assert page.find_element(By.ID, "shown").text == "3 of 3 sites shown."


def test_a_phone_shows_what_each_number_is(show: Show, small: Path) -> None:
    page = show(small, PHONE)
    script = "return getComputedStyle(document.querySelector('#sites td[data-l=\"under-floor\"]'), '::before').content"
    assert page.execute_script(script) == '"under-floor: "'  # type: ignore[no-untyped-call]
    boxes = [b.size for b in page.find_elements(By.CSS_SELECTOR, "#choose input, #choose select, thead button")]
    assert len(boxes) > 5 and all(box["height"] >= 24 for box in boxes)  # WCAG 2.2, 2.5.8: large enough for a finger


def test_sorting_with_keys_only(show: Show, small: Path) -> None:
    page = show(small)
    button = sort_button(page, "under-floor")
    head = button.find_element(By.XPATH, "..")
    button.send_keys(Keys.ENTER)
    assert head.get_attribute("aria-sort") == "descending"
    assert [name.partition("sites/")[2] for name in rows(page)] == [
        "lock-cottage-found.site.yaml" + rows(page)[0].partition(".site.yaml")[2],
        "lock-cottage-repaired.site.yaml",
        "broken.site.yaml" + rows(page)[2].rpartition(".site.yaml")[2],
    ]
    page.switch_to.active_element.send_keys(Keys.SPACE)
    assert head.get_attribute("aria-sort") == "ascending"
    assert rows(page)[2].startswith("Lock cottage, wash-house (as found)")
    sort_button(page, "site").send_keys(Keys.ENTER)
    assert head.get_attribute("aria-sort") is None
    assert rows(page) == sorted(rows(page), key=str.lower)


def test_finding_and_choosing(show: Show, small: Path) -> None:
    page = show(small)
    page.find_element(By.ID, "words").send_keys("COTTAGE")
    assert len(rows(page)) == 2
    page.find_element(By.ID, "state").send_keys("held")
    assert [name.partition("sites")[0] for name in rows(page)] == ["Lock cottage, wash-house (as found)"]
    assert page.find_element(By.ID, "shown").text == "1 of 3 sites shown."
    page.find_element(By.ID, "point").send_keys("under-floor")
    assert len(rows(page)) == 1
    page.find_element(By.ID, "state").send_keys("clear")
    assert rows(page) == []
    page.find_element(By.ID, "words").send_keys(Keys.ENTER)  # sends no form, leaves no page
    assert page.find_element(By.ID, "shown").text == "0 of 3 sites shown."


def test_without_script_it_is_a_table_to_read(show: Show, small: Path) -> None:
    page = show(small, script=False)
    page.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})  # so that we can look
    assert len(rows(page)) == 3
    assert page.find_elements(By.CSS_SELECTOR, "thead button") == []
    assert not page.find_element(By.ID, "choose").is_displayed()


def test_a_screen_reader_hears_a_table_on_a_phone_too(show: Show, small: Path) -> None:
    page = show(small, PHONE)
    tree: dict[str, Any] = page.execute_cdp_cmd("Accessibility.getFullAXTree", {})
    nodes = [node for node in tree["nodes"] if not node.get("ignored")]
    roles = [node["role"]["value"] for node in nodes]
    assert roles.count("table") == 2 and roles.count("rowheader") == 3 + 6
    heard = {node["role"]["value"]: node.get("name", {}).get("value", "") for node in nodes}
    assert heard["searchbox"] == "Find"
    names = [node["name"]["value"] for node in nodes if node["role"]["value"] == "link"]
    assert "packet of Lock cottage, wash-house (as found)" in names
    assert "status" in roles and "main" in roles and "contentinfo" in roles


def contrast(page: webdriver.Chrome) -> list[tuple[str, float]]:
    """Each text's contrast with the page (WCAG 2.2, 1.4.3: relative luminance)."""
    script = """
      const light = c => { const [r, g, b] = c.match(/\\d+(\\.\\d+)?/g).map(v => v / 255)
        .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
      const paper = light(getComputedStyle(document.body).backgroundColor);
      return Array.from(document.querySelectorAll('h1, h2, p, th, td, small, em, li, label, caption, footer, a')).map(e => {
        const ink = light(getComputedStyle(e).color), [a, b] = [Math.max(ink, paper), Math.min(ink, paper)];
        return [e.tagName, (a + 0.05) / (b + 0.05)]; });"""
    found: list[tuple[str, float]] = page.execute_script(script)  # type: ignore[no-untyped-call]
    return found


@pytest.mark.parametrize("dark", [False, True])
def test_light_and_dark_can_be_read(show: Show, small: Path, dark: bool) -> None:
    page = show(small, dark=dark)
    assert min(ratio for _, ratio in contrast(page)) >= 4.5
    colour = page.execute_script("return getComputedStyle(document.body).backgroundColor")  # type: ignore[no-untyped-call]
    assert (sum(map(int, colour[4:-1].split(","))) < 300) is dark


def test_it_prints(show: Show, small: Path) -> None:
    page = show(small, media="print")
    assert not page.find_element(By.ID, "choose").is_displayed()
    pdf = base64.b64decode(page.execute_cdp_cmd("Page.printToPDF", {"printBackground": False})["data"])
    assert pdf.startswith(b"%PDF-") and len(pdf) > 10_000


def test_a_thousand_sites_open_and_sort(show: Show, console: Console, large: Path) -> None:
    page = show(large)
    assert console() == [] and len(rows(page)) == 1000
    sort_button(page, "under-floor").click()
    assert rows(page)[0].startswith("Floor 0") and rows(page)[-1].startswith("sites/0998.site.yaml")
    page.find_element(By.ID, "words").send_keys("Floor 997")
    assert len(rows(page)) == 1
    assert fits(show(large, PHONE))


def test_a_hostile_name_runs_nothing(show: Show, console: Console, results: list[SiteResult], tmp_path: Path) -> None:
    one = copy.deepcopy(results[0])
    assert one.document is not None
    bad = "<img src=x onerror=\"document.title='owned'\"><script>document.title='owned'</script></style></table>"
    one.document["site"]["name"] = bad
    for finding in one.document["findings"]:
        finding["subject"] = bad
    path = tmp_path / "gate.html"
    path.write_text("".join(html([replace(one, file=f"sites/{bad}.site.yaml")], GateView(link_packets=True))), "utf-8")
    page = show(path)
    assert page.title == "Gate: 0 of 1 sites clear" and console() == []
    assert page.find_elements(By.TAG_NAME, "img") == [] and len(rows(page)) == 1
    assert rows(page)[0].startswith(bad)


def test_the_command_writes_it(show: Show, console: Console, tmp_path: Path) -> None:
    """With a packet beside it, the link leads there."""
    (tmp_path / "sites").mkdir()
    (tmp_path / "sites" / "a b.site.yaml").write_bytes((SAMPLES / "lock-cottage-found.site.yaml").read_bytes())
    (tmp_path / "sites" / "a b.packet.html").write_text("<!doctype html><title>the packet</title>", "utf-8")
    command = [sys.executable, "-m", "inspect_core", "gate", "sites", "--format", "html", "-o", "gate.html"]
    assert subprocess.run(command, cwd=tmp_path, timeout=120).returncode == 1
    page = show(tmp_path / "gate.html")
    assert console() == []
    page.find_element(By.PARTIAL_LINK_TEXT, "packet").click()
    assert page.title == "the packet"
