"""The site description: schema, loading with positions, typed model, derived geometry."""

from inspect_core.site.area import Area, Site
from inspect_core.site.load import load_site, schema, schema_text, site_from_document, site_from_text
from inspect_core.site.problems import InputError, Problem

__all__ = [
    "Area",
    "InputError",
    "Problem",
    "Site",
    "load_site",
    "schema",
    "schema_text",
    "site_from_document",
    "site_from_text",
]
