"""Rules-driven inspection checklist engine for wood floors, with plug-in rule packs."""

__version__ = "0.1.0"
