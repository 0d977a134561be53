"""Photos of the evidence list: found beside the site file, scaled, turned upright, written anew without hidden data."""

from __future__ import annotations

import base64
import warnings
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path

from inspect_core.engine import Finding, Report
from inspect_core.rules_api import CORRECTION, FALLS_SHORT, Named, Rule, fact
from inspect_core.site import Site
from inspect_core.site.model import Evidence

LARGEST = 60_000_000  # bytes of a file that is opened
LONGEST_SIDE = 900  # pixels in the packet
QUALITY = 78
MISSING_PHOTO = "evidence-file"
PICTURES = frozenset({"JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP"})


@dataclass(frozen=True, slots=True)
class Photo:
    """One picture ready to embed."""

    data: str  # base64 of a JPEG
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Photos:
    """Pictures by the id of their evidence, and why others can't be shown."""

    found: dict[str, Photo]
    kept: tuple[str, ...]  # ids of evidence whose file is there and is no picture
    problems: tuple[tuple[Evidence, str], ...]


def read_photos(site: Site, folder: Path) -> Photos:
    """Every file of the evidence list, looked for under ``folder`` (that of the site file) and nowhere else."""
    found: dict[str, Photo] = {}
    kept: list[str] = []
    problems: list[tuple[Evidence, str]] = []
    for evidence in site.evidence or ():
        if evidence.file is None:
            problems.append((evidence, "no file is named"))
            continue
        try:
            photo = _read(_inside(folder, evidence.file))
        except _UnusableError as why:
            problems.append((evidence, f"{evidence.file}: {why}"))
            continue
        if photo is None:
            kept.append(evidence.id)
        else:
            found[evidence.id] = photo
    return Photos(found, tuple(kept), tuple(problems))


class _UnusableError(Exception):
    """Why a file can't be shown."""


def _inside(folder: Path, name: str) -> Path:
    """The file, where it lies in the folder: no way up, no absolute path, no link that leads out."""
    if "\\" in name or "\x00" in name or ":" in name.split("/")[0]:
        raise _UnusableError("write the path with / and from the site file's folder")
    base = folder.resolve()
    try:
        path = (base / name).resolve()
        if not path.is_relative_to(base):
            raise _UnusableError("it lies outside the folder of the site file")
        if not path.is_file():
            raise _UnusableError("the file is not there")
        if path.stat().st_size > LARGEST:
            raise _UnusableError(f"it is larger than {LARGEST // 1_000_000} MB")
    except (OSError, RuntimeError, ValueError) as error:
        raise _UnusableError(f"it can't be read ({type(error).__name__})") from None
    return path


def _read(path: Path) -> Photo | None:
    """A photo, or ``None`` for a file that is no picture, such as a letter."""
    from PIL import Image, ImageOps, UnidentifiedImageError  # heavy, and only a packet with photos needs it

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path, formats=sorted(PICTURES)) as opened:
                opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
                picture = ImageOps.exif_transpose(opened).convert("RGB")
                picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
                out = BytesIO()
                picture.save(out, "JPEG", quality=QUALITY)
                return Photo(base64.b64encode(out.getvalue()).decode("ascii"), picture.width, picture.height)
    except UnidentifiedImageError:
        if path.suffix.lower() in (".jpg", ".jpeg", ".png", ".webp", ".gif", ".bmp", ".tif", ".tiff", ".heic", ".heif"):
            raise _UnusableError("it is not a picture that can be read; save it as JPEG") from None
        return None
    except (
        OSError,
        ValueError,
        SyntaxError,
        MemoryError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
    ):
        raise _UnusableError("the picture is damaged or far too large") from None


# --- a missing photo is a finding -------------------------------------------------------------------------------------


def with_missing_photos(report: Report, photos: Photos) -> Report:
    """The report with a finding for each piece of evidence whose file can't be shown."""
    extra = [_finding(report, evidence, why) for evidence, why in photos.problems]
    return replace(report, findings=(*report.findings, *extra)) if extra else report


def _finding(report: Report, evidence: Evidence, why: str) -> Finding:
    points = report.rules.hold_points
    point = evidence.hold_point if evidence.hold_point in points else points[-1]
    rule = Rule(
        id=MISSING_PHOTO,
        function=lambda site, limits: (),
        scope="site",
        hold_point=point,
        severity=CORRECTION,
        reference="evidence.file",
        summary="The file of each piece of evidence is kept beside the site file.",
        why="What is covered can be shown to nobody later but by its picture.",
        quantity="",
        remedy="Put the file there, or correct its name; what is still open can be photographed again.",
        topic="evidence",
    )
    subject = Named(f"evidence {evidence.id}", evidence.path)
    return Finding(
        rule, "packet", fact(subject, False, expected="its file is there", found=why), FALLS_SHORT, "", False
    )
