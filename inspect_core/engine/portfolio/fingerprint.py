"""The name of a finding that stays the same from run to run, whatever its line and its wording."""

from __future__ import annotations

import hashlib


def fingerprint(file: str, rule: str, subject: str) -> str:
    """Twenty hex digits of rule id, subject and the site file's path relative to the root."""
    return hashlib.sha256("\0".join((rule, subject, file)).encode("utf-8", "surrogatepass")).hexdigest()[:20]
