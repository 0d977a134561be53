"""The survey form in a real browser: filled in, opened, kept, downloaded; what it writes is checked as any site file is."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import pytest
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.quantities import Dimension, QuantityError, Units, parse
from inspect_core.report.form import describe, form_html, sheet_html
from inspect_core.site import load_site
from inspect_core.site.reader import read_file, read_text

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sites").glob("*.site.yaml"))
NAMES = [file.name.split(".")[0] for file in SAMPLES]
FILLER = Path(__file__).with_name("fill_form.js").read_text("utf-8")
PHONE, WIDE = (360, 740), (1200, 900)
HOSTILE = "</script><b onmouseover='x()'>{{7*7}} \U0001f6bf \u202e\u0627\u0644\u0633 \u2019\"'# : - " + "x" * 60
Show = Callable[..., webdriver.Chrome]
Console = Callable[[], list[str]]
Answer = TypeVar("Answer")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("form") / "form.html"
    path.write_text(form_html(), "utf-8")
    return path


@pytest.fixture
def form(page: Path, show: Show) -> webdriver.Chrome:
    """The form on a phone, without a draft from the test before."""
    browser = show(page, PHONE)
    run(browser, "localStorage.clear(); store = null; location.reload()")
    browser.get("about:blank")
    return show(page, PHONE)


def run(browser: Any, script: str, *arguments: object) -> Any:
    return browser.execute_script(script, *arguments)


PATIENCE_S = 30.0
"""How long a page may take on a busy machine; nothing waits longer than it must."""


def until(answer: Callable[[], Answer], what: str) -> Answer:
    """The first answer that is not empty."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if found := answer():
            return found
        time.sleep(0.02)
    raise AssertionError(what)


def said(browser: webdriver.Chrome) -> str:
    return browser.find_element(By.ID, "said").text


def opened(browser: webdriver.Chrome, file: Path) -> str:
    """Opens a site file through the page's own button; what the page then says."""
    run(browser, "document.getElementById('said').textContent = ''")
    browser.find_element(By.ID, "open").send_keys(str(file))
    return until(lambda: said(browser), f"the page said nothing of {file.name}")


def downloaded(browser: webdriver.Chrome, folder: Path) -> Path:
    """Presses the page's download button and waits for the whole file.

    The browser first reserves the name with an empty file, writes beside it and then renames, so a name that
    exists is not yet a download.
    """
    folder.mkdir(exist_ok=True)
    before = set(folder.iterdir())
    browser.execute_cdp_cmd("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(folder)})
    browser.find_element(By.ID, "download").click()

    def whole() -> list[Path]:
        new = [file for file in folder.iterdir() if file not in before]
        return new if all(file.suffix == ".yaml" and file.stat().st_size for file in new) else []

    (file,) = until(whole, "nothing was downloaded")
    return file


def wait_for(browser: webdriver.Chrome, selector: str) -> Any:
    return until(lambda: browser.find_elements(By.CSS_SELECTOR, selector), f"no {selector}")[0]


def findings(file: Path, packs: LoadedPacks) -> list[tuple[str, str, str]]:
    return sorted((f.rule.id, f.subject, f.outcome) for f in inspect(load_site(file), packs).findings)


def fill(browser: Any, data: Any) -> None:
    problem = browser.execute_async_script(FILLER, data)
    assert problem is None, problem


def overflows(browser: webdriver.Chrome) -> int:
    return int(run(browser, "return document.documentElement.scrollWidth - innerWidth"))


def unfold(browser: webdriver.Chrome, which: str = "details:not(.more)") -> None:
    """Opens what there is to open, but for what is only asked for in rare cases."""
    opening = "{ if (one.build) one.build(); one.open = true; }"
    run(
        browser,
        f"for (let n = 0; n < 9; n++) for (const one of document.querySelectorAll(arguments[0])) {opening}",
        which,
    )


@pytest.mark.parametrize("file", SAMPLES, ids=NAMES)
def test_a_sample_opened_and_downloaded_is_the_same_site(
    file: Path, form: webdriver.Chrome, console: Console, packs: LoadedPacks, tmp_path: Path
) -> None:
    assert opened(form, file) == f"Opened {file.name}. Its comments are not kept."
    written = downloaded(form, tmp_path / "down")
    assert read_file(written).data == read_file(file).data
    assert findings(written, packs) == findings(file, packs)
    assert console() == []


@pytest.mark.parametrize("name", ["boat-house-shower"])  # any sample does; a long one takes a minute
def test_a_sample_filled_in_by_hand_has_the_same_findings(
    name: str, form: webdriver.Chrome, console: Console, packs: LoadedPacks, tmp_path: Path
) -> None:
    (file,) = (one for one in SAMPLES if one.name.startswith(name))
    fill(form, read_file(file).data)
    assert overflows(form) <= 0
    assert form.find_elements(By.CSS_SELECTOR, "[aria-invalid=true]") == []
    assert findings(downloaded(form, tmp_path / "down"), packs) == findings(file, packs)
    assert console() == []


def test_keys_alone_add_a_support_and_a_word_tells_of_a_slip(form: webdriver.Chrome, tmp_path: Path) -> None:
    for section in form.find_elements(By.CSS_SELECTOR, ".section .section > summary"):
        if section.text.startswith("Supports"):
            section.send_keys(Keys.ENTER)
    add = wait_for(form, "[data-at='areas/0/supports'] .add")
    add.send_keys(Keys.ENTER)
    line = form.switch_to.active_element
    assert line.get_attribute("value") == "S1"
    assert said(form) == "S1: unknown added." or said(form) == "S1 added."
    place = form.find_element(By.CSS_SELECTOR, "[data-at='areas/0/supports/0/at']")
    place.find_element(By.TAG_NAME, "input").send_keys("five and a half", Keys.TAB)
    assert "does not look like a length" in place.text
    place.find_element(By.TAG_NAME, "input").send_keys(Keys.CONTROL, "a", Keys.NULL, "-5 1/2", Keys.TAB)
    assert "does not look like a length" not in place.text
    (support,) = load_site(downloaded(form, tmp_path / "down")).areas[0].supports or ()
    assert support.at is not None
    assert (support.id, support.at.middle) == ("S1", -5.5)


def test_what_is_removed_comes_back(form: webdriver.Chrome, tmp_path: Path) -> None:
    opened(form, SAMPLES[0])
    before = read_file(downloaded(form, tmp_path / "before")).data
    unfold(form)
    away = form.find_element(By.CSS_SELECTOR, "[data-at='areas/0/supports/0'] > .choices > .away")
    run(form, "arguments[0].click()", away)
    assert said(form).endswith("removed.")
    assert form.switch_to.active_element.text == "Add a support"
    assert len(form.find_elements(By.CSS_SELECTOR, "[data-at='areas/0/supports'] > .items > li")) == 1
    run(form, "document.getElementById('undo').click()")
    assert read_file(downloaded(form, tmp_path / "after")).data == before


def test_the_draft_is_kept_until_somebody_starts_anew(form: webdriver.Chrome, page: Path, tmp_path: Path) -> None:
    opened(form, SAMPLES[0])
    kept = read_file(downloaded(form, tmp_path / "kept")).data
    form.refresh()
    assert said(form) == "The draft of last time is back."
    assert read_file(downloaded(form, tmp_path / "again")).data == kept
    run(form, "document.getElementById('anew').scrollIntoView({block: 'center'})")
    form.find_element(By.ID, "anew").click()
    form.switch_to.alert.dismiss()
    assert read_file(downloaded(form, tmp_path / "still")).data == kept
    form.find_element(By.ID, "anew").click()
    form.switch_to.alert.accept()
    assert set(read_file(downloaded(form, tmp_path / "anew")).data) == {"format", "units", "site", "areas"}


def test_without_a_store_the_page_says_so(page: Path, tmp_path: Path, show: Show, console: Console) -> None:
    closed = "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError') }})"
    browser = show(page, PHONE)
    added = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": closed})
    try:
        browser.refresh()
        assert "keeps no draft" in browser.find_element(By.ID, "kept").text
        assert load_site(downloaded(browser, tmp_path)).name == "My floor"
        assert console() == []
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)


def test_a_file_that_cannot_be_read_changes_nothing(form: webdriver.Chrome, tmp_path: Path) -> None:
    opened(form, SAMPLES[0])
    kept = downloaded(form, tmp_path / "kept").read_text("utf-8")
    for number, (text, line) in enumerate(
        [
            ("format: 1\nsite: {name: a\nareas: []\n", 3),
            ("format: 1\nformat: 1\n", 2),
            ("format: 1\nsite: &a {name: b}\n", 2),
            ("format: 1\nsite:\n\tname: a\n", 3),
            ("format: 1\nsite:\n  note: |\n    long\n", 3),
            ("format: 1\nunits: in\n  site: {}\n", 3),
            ("", 1),
        ]
    ):
        bad = tmp_path / f"bad-{number}.site.yaml"
        bad.write_text(text, "utf-8")
        assert opened(form, bad).startswith(f"Nothing was opened. line {line}: "), text
    assert downloaded(form, tmp_path / "after").read_text("utf-8") == kept


LENGTHS = (
    *("15 7/8", '15-7/8"', "8' 2-1/2\"", "8'", "2 ft 3 in", "400 mm", "2.4 m", "40 cm", "-5 1/2", "~16", "0.040 in"),
    *(
        "15 1/2 .. 16 1/4",
        "390 .. 410 mm",
        "7/8",
        ".75",
        "6 mil",
        "3/4 in",
        "8\u2032 2\u2033",
        "1' 0\"",
        "+3",
        "15\u00bd",
        "15 to 16",
    ),
    *("8' 14\"", "16 oz", "1,5", "", "about 8", "8 9", "in 8", "1/0", "8' .. 9' 2\" .. 10'"),
)


def test_lengths_are_read_as_the_check_reads_them(form: webdriver.Chrome) -> None:
    units: tuple[Units, Units] = ("in", "mm")
    for unit in units:
        read = run(form, "return arguments[0].map((one) => { const n = inches(one, arguments[1]); return Number.isFinite(n) ? n : null; })", LENGTHS, unit)  # fmt: skip
        for text, found in zip(LENGTHS, read, strict=True):
            try:
                wanted = parse(text, Dimension.LENGTH, unit)
            except QuantityError:
                continue  # the page may be more patient: the check has the last word
            assert wanted is not None
            assert found == pytest.approx(wanted.middle, rel=1e-12), (text, unit)


TEXTS = (
    "a: 1\nb:   # nothing\nc: ~\nd: null\ne: ~16\nf: -5 1/2\ng: 0.50\nh: 1e3\ni: 010\nj: 'it''s'\n",
    "a:\n- 1\n- - 2\n  - x y\n- k: v\n  l: [1, 'b, c', {d: \"\\u00e9\\n\"}]\nb: {c: [], d: {}}\n",
    "---\n# first\n\n'a b': {x: 8' 2\",\n  y: [1,\n   2 # two\n  ], z: no}\n\"q\": a#b # c\n",
    "a: every 16 from 0 to 112\nb: http://x/y\nc: [a:b, 12', -3]\nd: true\ne: Yes\nf: 1_000\ng: 2026-03-14\n",
    "\ufeffa: x\r\nb:\r\n  c: -\u00e9 \U0001f6bf\r\n  d: {e: , f: 1}\r\n",
)


@pytest.mark.parametrize("text", TEXTS)
def test_yaml_is_read_as_the_check_reads_it(form: webdriver.Chrome, text: str) -> None:
    plain = """const plain = (v) => v instanceof Map ? Object.fromEntries([...v].map(([k, x]) => [k, plain(x)]))
        : Array.isArray(v) ? v.map(plain) : v;"""
    wanted = read_text(text, "a").data
    assert run(form, plain + "return plain(readYaml(arguments[0]).data)", text) == wanted
    again = run(form, "return writeYaml(readYaml(arguments[0]).data)", text)
    assert read_text(again, "b").data == wanted


ODD = (
    "format: 1\nunits: x\nsite: y\nareas: z\n",
    "format: 1\nnew_key: {a: [1]}\nareas: [1, {id: a, supports: [x, {id: {}}], joists: {a: 1}, corners: [1, [2]], note: [1]}]\n",
    "format: 1\nareas: [{id: a, joists: [{name: [], at: {}, each: [], but: [], also: 3}, 4], outline: {a: b}, use: [k]}]\n",
)


@pytest.mark.parametrize("text", ODD, ids=["words", "strangers", "kinds"])
def test_a_file_that_the_schema_would_refuse_is_shown_and_kept(
    form: webdriver.Chrome, console: Console, tmp_path: Path, text: str
) -> None:
    odd = tmp_path / "odd.site.yaml"
    odd.write_text(text, "utf-8")
    assert opened(form, odd) == "Opened odd.site.yaml."
    unfold(form)
    assert console() == []
    assert read_file(downloaded(form, tmp_path / "down")).data == read_text(text, "odd").data


def test_hostile_names_stay_text(form: webdriver.Chrome, console: Console, tmp_path: Path) -> None:
    data = {
        "format": 1,
        "units": "in",
        "site": {"name": HOSTILE, "note": f"two\nlines {HOSTILE}\\"},
        "evidence": [{"id": HOSTILE[:60], "shows": "yes"}],
        "areas": [
            {
                "id": HOSTILE[:60],
                "outline": "96 x 96",
                "supports": [{"id": "no", "at": 0, "width": 6, "species": HOSTILE[:60]}],
                "joists": [
                    {"name": "J", "from": "no", "at": "every 16 from 0 to 96", "but": {"J2": {"missing": HOSTILE}}}
                ],
                "layers": [{"kind": "tile", "material": "null"}, {"kind": "boards", "material": "12"}],
            }
        ],
    }
    fill(form, data)
    time.sleep(0.4)
    assert form.find_elements(By.CSS_SELECTOR, "#survey b[onmouseover], #survey script, svg b") == []
    assert overflows(form) <= 0
    first = downloaded(form, tmp_path / "first")
    assert read_file(first).data == data
    assert load_site(first).name == HOSTILE
    assert opened(form, first) == f"Opened {first.name}."
    assert read_file(downloaded(form, tmp_path / "second")).data == data
    assert console() == []


def dont_know(part: str, parts: dict[str, Any], seen: set[str]) -> dict[str, Any]:
    """A part of a site of which nobody knows anything: "unknown" wherever that can be said, one of each list.

    Each part of the schema is there once: at the first place that may have it.
    """
    found: dict[str, Any] = {}
    for field in parts[part]["fields"]:
        key, kind, inner = field["key"], field["kind"], field.get("part") or field.get("item", {}).get("part")
        if field.get("name"):
            found[key] = {"wall": "west"}.get(key, f"{part}-1")
        elif inner is not None and inner not in seen:
            seen.add(inner)
            value = dont_know(inner, parts, seen)
            found[key] = {"part": value, "list": [value], "map": {"S1": value}}[kind]
        elif kind in ("text", "length", "extent", "size", "number", "yesno", "places"):
            found[key] = "unknown"
        elif kind == "choice":
            found[key] = "unknown" if "unknown" in field["words"] else field["words"][0]
        elif kind == "pair" and field["item"]["kind"] == "length":
            found[key] = ["unknown", "unknown"]
        elif kind == "list" and field["item"]["kind"] in ("length", "choice"):
            found[key] = ["unknown"]
        elif kind == "map" and inner is None:
            found[key] = {"S1": "unknown"}
    return found


def test_dont_know_on_every_field_is_a_file_that_check_accepts(
    form: webdriver.Chrome, console: Console, packs: LoadedPacks, tmp_path: Path
) -> None:
    data = {"units": "in", **dont_know("", describe()["parts"], set())}
    data["areas"][0]["supports"][0]["id"] = "S1"
    fill(form, data)
    site = load_site(downloaded(form, tmp_path))
    assert site.areas[0].joists_run is None
    assert {f.outcome for f in inspect(site, packs).findings} <= {"not-measured", "does-not-apply"}
    assert console() == []


def test_a_tapped_joist_opens_its_exception(form: webdriver.Chrome) -> None:
    (file,) = (one for one in SAMPLES if one.name.startswith("lock-cottage-found"))
    opened(form, file)
    finger = wait_for(form, "#sketch .finger")
    run(form, "arguments[0].dispatchEvent(new MouseEvent('click', {bubbles: true}))", finger)
    assert form.switch_to.active_element.text == "J1"
    shown = run(form, "return [...document.querySelectorAll('#sketch text')].map((one) => one.textContent)")
    assert {"S1", "B1", "J1", "J7", "O1", "SH1", "D1"} <= set(shown)
    assert "missing joists 1" in form.find_element(By.ID, "sketch-says").text


def test_it_is_accessible_and_fits_a_phone(
    form: webdriver.Chrome, page: Path, show: Show, console: Console, violations: Callable[[], list[str]]
) -> None:
    (file,) = (one for one in SAMPLES if one.name.startswith("boat-house-shower"))
    opened(form, file)
    unfold(form, "details:not(.more, li:nth-child(n+2) > details, .how)")  # one of each kind is enough
    assert overflows(form) <= 0
    assert violations() == []
    browser = show(page, WIDE, dark=True)
    assert overflows(browser) <= 0
    assert violations() == []
    assert console() == []


def test_the_blank_sheet_is_accessible(
    tmp_path: Path, show: Show, console: Console, violations: Callable[[], list[str]]
) -> None:
    sheet = tmp_path / "sheet.html"
    sheet.write_text(sheet_html("mm"), "utf-8")
    browser = show(sheet, PHONE)
    assert overflows(browser) <= 0
    assert violations() == []
    assert console() == []
