"""The inspection packet: one HTML file for paper or a phone."""

from inspect_core.report.packet.content import packet_html
from inspect_core.report.packet.photos import Photos, read_photos, with_missing_photos

__all__ = ["Photos", "packet_html", "read_photos", "with_missing_photos"]
