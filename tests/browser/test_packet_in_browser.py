"""The packet of every sample in a real browser: no complaint, wide and on a phone, printed whole, accessible."""

from __future__ import annotations

import base64
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from selenium import webdriver
from selenium.webdriver.common.by import By

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.report.packet import packet_html, read_photos, with_missing_photos
from inspect_core.site import load_site, site_from_text

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sites").glob("*.site.yaml"))
NAMES = [file.name.split(".")[0] for file in SAMPLES]
PHONE, WIDE = (360, 740), (1200, 900)
LETTER, A4 = (8.5, 11.0), (8.27, 11.69)
Show = Callable[..., webdriver.Chrome]
Console = Callable[[], list[str]]


def written(report: Report, folder: Path, out: Path) -> Path:
    photos = read_photos(report.site, folder)
    out.write_text(packet_html(with_missing_photos(report, photos), photos), "utf-8")
    return out


@pytest.fixture(scope="module", params=SAMPLES, ids=NAMES)
def made(
    request: pytest.FixtureRequest, packs: LoadedPacks, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Report, Path]:
    report = inspect(load_site(request.param), packs)
    return report, written(report, request.param.parent, tmp_path_factory.mktemp("packet") / "packet.html")


def overflows(browser: webdriver.Chrome) -> int:
    return int(browser.execute_script("return document.documentElement.scrollWidth - innerWidth"))  # type: ignore[no-untyped-call]


def test_it_opens_without_complaint_at_every_width(made: tuple[Report, Path], show: Show, console: Console) -> None:
    report, path = made
    for size in (WIDE, PHONE):
        browser = show(path, size)
        assert browser.title == f"Inspection packet: {report.site.name}"
        assert overflows(browser) <= 0
        assert browser.find_element(By.CSS_SELECTOR, "svg.plan").size["width"] > 300
        assert console() == []


def test_it_is_accessible(made: tuple[Report, Path], show: Show, violations: Callable[[], list[str]]) -> None:
    """Light; the colours of the dark are looked at in the test below, which need not be done for every floor."""
    _, path = made
    show(path, PHONE)
    assert violations() == []


def test_it_is_accessible_in_the_dark(
    packs: LoadedPacks, show: Show, violations: Callable[[], list[str]], tmp_path: Path
) -> None:
    (file,) = [file for file in SAMPLES if file.name.startswith("lock-cottage-found")]
    path = written(inspect(load_site(file), packs), file.parent, tmp_path / "packet.html")
    show(path, WIDE, dark=True)
    assert violations() == []


def test_it_prints_with_every_finding(made: tuple[Report, Path], show: Show, tmp_path: Path) -> None:
    report, path = made
    pdf = tmp_path / "packet.pdf"
    pdf.write_bytes(printed(show(path), A4))
    text = words_of(pdf)
    for finding in report.findings:
        assert squeezed(finding.subject) in text
        assert squeezed(finding.rule.id) in text


def test_it_prints_on_letter_paper_too(packs: LoadedPacks, show: Show, tmp_path: Path) -> None:
    (file,) = [file for file in SAMPLES if file.name.startswith("lock-cottage-repaired")]
    report = inspect(load_site(file), packs)
    pdf = tmp_path / "packet.pdf"
    pdf.write_bytes(printed(show(written(report, file.parent, tmp_path / "packet.html")), LETTER))
    text = words_of(pdf)
    assert all(squeezed(finding.rule.id) in text for finding in report.findings)


def printed(browser: webdriver.Chrome, sheet: tuple[float, float]) -> bytes:
    """The page that is open as a PDF; the sheet's width and height in inches."""
    size = {"paperWidth": sheet[0], "paperHeight": sheet[1], "preferCSSPageSize": False}
    return base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", size)["data"])


def words_of(pdf: Path) -> str:
    """Text of a PDF without blanks and line breaks, read by an independent program."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext (Debian's poppler-utils) on this machine: what is printed isn't read here")
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True, timeout=60)
    return squeezed(done.stdout.decode("utf-8"))


def squeezed(text: str) -> str:
    return "".join(text.replace("\N{HYPHEN}", "-").split())


def test_photos_and_hostile_names(packs: LoadedPacks, show: Show, console: Console, tmp_path: Path) -> None:
    Image.new("RGB", (640, 480), (20, 90, 160)).save(tmp_path / "a.jpg")
    name = "<script>document.title = 1</script> \U0001f6bf \u0627\u0644\u0633\u0644\u0627\u0645 " + "x" * 150
    text = f"""format: 1
units: in
site: {{name: '{name}'}}
evidence: [{{id: e1, file: a.jpg, shows: '{name}', of: [J1], hold_point: under-floor}}]
areas:
  - id: a
    outline: 96 x 96
    joists_run: north-south
    supports: [{{id: S1, line: sill, at: 0, width: 6}}, {{id: B1, line: beam, at: 90, width: 6}}]
    joists: [{{name: J, from: S1, to: B1, at: [0, 30], each: {{size: 2x8, note: '{name}'}}}}]
"""
    path = written(inspect(site_from_text(text), packs), tmp_path, tmp_path / "packet.html")
    browser = show(path, PHONE)
    assert browser.title.startswith("Inspection packet: <script>")
    assert overflows(browser) <= 0
    assert console() == []
    picture = browser.find_element(By.CSS_SELECTOR, "#photo-e1 svg")
    assert picture.size["width"] > 200
    thumbs = browser.find_elements(By.CSS_SELECTOR, ".thumbs svg")
    assert thumbs
    assert all(one.size["width"] > 50 for one in thumbs)
