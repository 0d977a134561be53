"""Evidence that a part names is listed, wherever in the file the part stands."""

from __future__ import annotations

import pytest

from inspect_core.site import InputError, site_from_text

SITE = """
format: 1
units: in
site: {name: Bench, invented: true}
evidence: [{id: photo-1}]
areas:
  - id: floor
    supports: [{id: S1, line: sill}, {id: B1, line: beam}]
    joists: [{name: J, from: S1, to: B1, at: [0], each: {PART}}]
    AREA
"""
JOIST = [
    "sisters: [{evidence: [NAME]}]",
    "hung: {S1: {by: hanger, evidence: [NAME]}}",
    "joints: {S1: {kind: lap, evidence: [NAME]}}",
    "holes: [{evidence: [NAME]}]",
    "notches: [{evidence: [NAME]}]",
    "condition: [{kind: rot, evidence: [NAME]}]",
    "cuts: [{evidence: [NAME]}]",
    "cuts: [{repair: {kind: sister, evidence: [NAME]}}]",
    "evidence: [NAME]",
]
AREA = [
    "wet_areas: [{id: W1, kind: shower, evidence: [NAME]}]",
    "wet_areas: [{id: W1, kind: shower, liner: {evidence: [NAME]}}]",
    "wet_areas: [{id: W1, kind: shower, flood_test: {evidence: [NAME]}}]",
    "fixtures: [{id: WC1, kind: toilet, flange: {evidence: [NAME]}}]",
    "crawl_space: {evidence: [NAME]}",
    "crawl_space: {ground_cover: {kind: polyethylene, evidence: [NAME]}}",
    "edges: [{wall: south, evidence: [NAME]}]",
    "footings: [{id: F1, evidence: [NAME]}]",
]
TEXTS = [SITE.replace("PART", part).replace("AREA", "") for part in JOIST]
TEXTS += [SITE.replace("PART", "size: 2x8").replace("AREA", part) for part in AREA]


@pytest.mark.parametrize("text", TEXTS, ids=[*JOIST, *AREA])
def test_a_name_that_is_listed(text: str) -> None:
    site_from_text(text.replace("NAME", "photo-1"))


@pytest.mark.parametrize("text", TEXTS, ids=[*JOIST, *AREA])
def test_a_name_that_nobody_has(text: str) -> None:
    with pytest.raises(InputError, match=r"there is no evidence photo-2; did you mean photo-1\?"):
        site_from_text(text.replace("NAME", "photo-2"))
