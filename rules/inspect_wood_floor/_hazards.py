"""What the rules on hazards share: what the site says of them, and the house's age. No rules, no limits."""

from __future__ import annotations

from inspect_core.rules_api import Limit, Named
from inspect_core.site import Site
from inspect_core.site.model import Hazards

NOTHING_SAID = Hazards()
SAFE = ("none-found",)


def hazards_of(site: Site) -> Hazards:
    """What the site says; everything unknown where it says nothing."""
    return site.hazards if site.hazards is not None else NOTHING_SAID


def about_hazard(site: Site, what: str) -> Named:
    """A subject among the hazards."""
    return Named(what, hazards_of(site).path)


def built_before(site: Site, first: Limit) -> bool | None:
    """Whether the house was built before a year; ``None`` when its age is not known."""
    return None if site.built is None or first.value is None else site.built < first.value.low
