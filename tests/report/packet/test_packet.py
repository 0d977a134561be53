"""The packet: everything in one file that loads nothing, photos only from beside the site file, names stay text."""

from __future__ import annotations

import base64
import hashlib
import re
import zlib
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from inspect_core.cli.app import cli
from inspect_core.engine import LoadedPacks, Report, inspect, load_packs
from inspect_core.report.packet import packet_html, read_photos, with_missing_photos
from inspect_core.report.packet.content import Table
from inspect_core.report.view import message
from inspect_core.rules_api import DOES_NOT_APPLY
from inspect_core.site import load_site, site_from_text

SAMPLES = sorted((Path(__file__).parents[3] / "sample_sites").glob("*.site.yaml"))
NAMES = [file.name.split(".")[0] for file in SAMPLES]
LOADING = {"src", "href", "srcset", "data", "poster", "action", "formaction", "xlink:href"}


class Page(HTMLParser):
    """Texts and attributes of a page, as a browser would see them."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.fixture(scope="module")
def loaded() -> LoadedPacks:
    return load_packs()


def packet(report: Report, folder: Path) -> str:
    photos = read_photos(report.site, folder)
    return packet_html(with_missing_photos(report, photos), photos)


@pytest.mark.parametrize("file", SAMPLES, ids=NAMES)
def test_every_finding_of_every_sample_is_in_it_and_it_loads_nothing(loaded: LoadedPacks, file: Path) -> None:
    report = inspect(load_site(file), loaded)
    photos = read_photos(report.site, file.parent)
    report = with_missing_photos(report, photos)
    text = packet_html(report, photos)
    page = Page(text)
    boxes = [value for tag, name, value in page.attributes if (tag, name) == ("input", "type")]
    words = " ".join(page.words)
    running = " ".join("".join(page.words).split())
    asked = [finding for finding in report.findings if finding.outcome != DOES_NOT_APPLY]
    assert words.count("looked at: ") == len(asked)
    for finding in asked:
        assert f"looked at: {finding.subject}, {finding.rule.id}" in words
    for finding in report.findings:  # what does not apply has a line with its reason, and nothing to tick
        if finding.outcome == DOES_NOT_APPLY:
            line = report.site.locate(finding.path)[0]
            said = f"{finding.subject}: {message(report, finding)} {finding.rule.id}, line {line}"
            assert " ".join(said.split()) in running
    assert set(boxes) == {"checkbox"}
    for tag, name, value in page.attributes:
        if name in LOADING:
            assert value.startswith(("#", "data:image/jpeg;base64,")), (tag, name, value)
        assert not name.startswith("on")
        assert name != "style"  # the policy forbids it
    assert "@import" not in text
    assert not re.search(r"url\((?!#)", text)


def test_the_policy_lets_in_just_what_is_there(loaded: LoadedPacks) -> None:
    text = packet(inspect(load_site(SAMPLES[0]), loaded), SAMPLES[0].parent)
    (policy,) = [v for tag, name, v in Page(text).attributes if tag == "meta" and "default-src" in v]
    assert policy.startswith("default-src 'none'; ")
    styles = re.findall(r"<style>(.*?)</style>", text, re.S)
    scripts = re.findall(r"<script>(.*?)</script>", text, re.S)
    assert (len(styles), len(scripts)) == (2, 1)
    for inline in (*styles, *scripts):
        digest = base64.b64encode(hashlib.sha256(inline.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in policy


def test_same_bytes(loaded: LoadedPacks) -> None:
    first, second = (packet(inspect(load_site(SAMPLES[1]), loaded), SAMPLES[1].parent) for _ in range(2))
    assert first == second


def test_limits_are_in_the_files_units(loaded: LoadedPacks, tmp_path: Path) -> None:
    def limit(units: str) -> str:
        site = site_from_text(f"format: 1\nunits: {units}\nsite: {{name: x}}\nareas: [{{id: a}}]\n", "x")
        (line,) = (
            line for line in packet(inspect(site, loaded), tmp_path).split("\n") if "<b>joist-spacing</b>" in line
        )
        return line.partition(": tile: ")[2].partition(".")[0]

    assert (limit("in"), limit("mm")) == ("16 in; other: 24 in", "406")


def test_tables_of_others_are_laid_out(loaded: LoadedPacks) -> None:
    report = inspect(load_site(SAMPLES[0]), loaded)
    table = Table("Take-off", ("item", "count"), (("<b>boards</b>", "3"),), ("nothing else",))
    text = packet_html(report, read_photos(report.site, Path("nowhere")), [table])
    assert "&lt;b&gt;boards&lt;/b&gt;" in text
    assert "nothing else" in text


# --- photos -----------------------------------------------------------------------------------------------------------


def site_with(*files: str) -> str:
    rows = "".join(
        f"  - {{id: e{n}, file: '{name}', shows: a joist end, of: [J1], hold_point: under-floor, date: 2026-01-0{n}}}\n"
        for n, name in enumerate(files, 1)
    )
    return f"format: 1\nunits: in\nsite: {{name: Bench}}\nevidence:\n{rows}areas: [{{id: a}}]\n"


def picture(path: Path, size: tuple[int, int] = (1600, 1200), form: str = "JPEG", **more: object) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("RGB", size, (200, 40, 40)).save(path, form, **more)


def test_photos_are_scaled_turned_and_stripped(loaded: LoadedPacks, tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter
    exif[0x010E] = "where somebody lives"
    picture(tmp_path / "photos/a.jpg", exif=exif)
    picture(tmp_path / "b.png", (300, 200), "PNG")
    report = inspect(site_from_text(site_with("photos/a.jpg", "b.png"), str(tmp_path / "x.site.yaml")), loaded)
    photos = read_photos(report.site, tmp_path)
    assert photos.problems == ()
    shown = {name: Image.open(BytesIO(base64.b64decode(one.data))) for name, one in photos.found.items()}
    assert shown["e1"].size == (675, 900)
    assert shown["e2"].size == (300, 200)
    assert not shown["e1"].getexif()
    text = packet(report, tmp_path)
    assert text.count("data:image/jpeg;base64,") == 2
    assert "Date stated: 2026-01-01" in text


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("missing.jpg", "not there"),
        ("../outside.jpg", "outside the folder"),
        ("link.jpg", "outside the folder"),
        ("folder", "not there"),
        ("broken.jpg", "not a picture"),
        ("cut.jpg", "damaged"),
        ("huge.png", "damaged or far too large"),
        ("loop.jpg", "can.t be read|not there"),
    ],
)
def test_what_can_not_be_shown_is_a_finding(loaded: LoadedPacks, tmp_path: Path, name: str, why: str) -> None:
    base = tmp_path / "sites"
    picture(tmp_path / "outside.jpg")
    (base / "folder").mkdir(parents=True)
    (base / "link.jpg").symlink_to(tmp_path / "outside.jpg")
    (base / "loop.jpg").symlink_to(base / "loop.jpg")
    (base / "broken.jpg").write_text("no picture", "utf-8")
    picture(base / "whole.jpg")
    (base / "cut.jpg").write_bytes((base / "whole.jpg").read_bytes()[:4000])
    header = b"IHDR" + (60_000).to_bytes(4, "big") * 2 + b"\x08\x02\x00\x00\x00"  # says that it is 60,000 pixels wide
    huge = b"\x89PNG\r\n\x1a\n\x00\x00\x00\r" + header + zlib.crc32(header).to_bytes(4, "big")
    (base / "huge.png").write_bytes(huge + b"\x00\x00\x00\x04IDAT" + b"\x00" * 40)
    report = inspect(site_from_text(site_with(name)), loaded)
    photos = read_photos(report.site, base)
    assert photos.found == {}
    ((_, said),) = photos.problems
    assert re.search(why, said)
    (finding,) = [f for f in with_missing_photos(report, photos).findings if f.rule.id == "evidence-file"]
    assert (finding.subject, finding.outcome, finding.severity, finding.rule.hold_point) == (
        "evidence e1",
        "falls-short",
        "correction",
        "under-floor",
    )
    assert report.site.locate(finding.path)[0] == 5
    assert "Not shown:" in packet(report, base)


def test_an_absolute_path_is_refused(loaded: LoadedPacks, tmp_path: Path) -> None:
    picture(tmp_path / "outside.jpg")
    report = inspect(site_from_text(site_with(str(tmp_path / "outside.jpg"))), loaded)
    (tmp_path / "sites").mkdir()
    assert read_photos(report.site, tmp_path / "sites").found == {}


def test_a_letter_is_kept_and_no_finding(loaded: LoadedPacks, tmp_path: Path) -> None:
    (tmp_path / "letter.pdf").write_bytes(b"%PDF-1.7\n")
    report = inspect(site_from_text(site_with("letter.pdf")), loaded)
    photos = read_photos(report.site, tmp_path)
    assert (photos.kept, photos.problems) == (("e1",), ())
    assert "Kept as letter.pdf, which is no picture" in packet(report, tmp_path)


# --- names, command ---------------------------------------------------------------------------------------------------


def test_names_stay_text(loaded: LoadedPacks, tmp_path: Path) -> None:
    name = '"><script>x</script><img src=x onerror=y> {{ 7 * 7 }} </title></style> \U0001f6bf'
    text = f"""format: 1
units: in
site: {{name: '{name}'}}
evidence: [{{id: e1, file: '{name}', shows: '{name}'}}]
areas:
  - id: a
    name: '{name}'
    fixtures: [{{id: '{name[:30]}', kind: toilet, note: '{name}'}}]
"""
    plain = inspect(site_from_text(text.replace(f"id: '{name[:30]}'", "id: T1")), loaded)
    page = Page(packet(plain, tmp_path))
    clean = Page(packet(inspect(site_from_text(site_with("x.jpg")), loaded), tmp_path))
    assert page.tags.count("script") == clean.tags.count("script") == 1
    assert page.tags.count("img") == 0
    assert "onerror" not in {attribute for _, attribute, _ in page.attributes}
    assert name in " ".join(page.words)
    assert "{{ 7 * 7 }}" in " ".join(page.words)


def test_command_writes_it_whole(tmp_path: Path) -> None:
    out = tmp_path / "packet.html"
    done = CliRunner().invoke(cli, ["packet", str(SAMPLES[0]), "-o", str(out)])
    assert done.exit_code == 0, done.output
    assert out.read_text("utf-8").rstrip().endswith("</html>")
    assert [file.name for file in tmp_path.iterdir()] == ["packet.html"]


def test_command_says_where_it_can_not_write(tmp_path: Path) -> None:
    done = CliRunner().invoke(cli, ["packet", str(SAMPLES[0]), "-o", str(tmp_path / "no" / "packet.html")])
    assert done.exit_code == 2
    assert "can't be written" in done.output
