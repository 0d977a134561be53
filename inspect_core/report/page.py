"""What our HTML pages share: templates with everything escaped, and a policy that lets a page load nothing."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import Any


@cache  # compiling one takes as long as filling it in
def template(name: str) -> Any:
    """A Jinja template of this package; whatever it prints is escaped unless it is Markup of our own making."""
    import jinja2  # no other format needs it

    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(own_file),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template(name)


def own_file(name: str) -> str:
    """A template, style or script that ships with us."""
    return files("inspect_core.report").joinpath("templates", name).read_text("utf-8")


def policy(styles: Iterable[str], scripts: Iterable[str], *, pictures: bool = False) -> str:
    """A content security policy: these inline styles and scripts by their hash, embedded pictures, and nothing else."""
    return "; ".join(
        [
            "default-src 'none'",
            f"style-src {' '.join(map(_hash, styles))}",
            f"script-src {' '.join(map(_hash, scripts)) or chr(39) + 'none' + chr(39)}",
            *(["img-src data:"] if pictures else []),
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
