"""Steinmark, an invented metric jurisdiction: a local rule pack with rules of its own computation."""

from inspect_core.rules_api import API_VERSION, Pack, RuleChange, Section, hookimpl, load_data, rules_in
from steinmark_floors import cuts

ID = "steinmark"


@hookimpl
def inspect_pack() -> Pack:
    """The pack; called once in each run."""
    ours = "Steinmark says where notches may be in its own way (see steinmark-notch-reach)"
    return Pack(
        id=ID,
        version="9.1",
        title="Steinmark Building Regulation 9, floors",
        api=API_VERSION,
        place="Steinmark",
        level="state",
        edition="SBR 9 (invented)",
        effective="2025-01-01",
        stands_on=("wood-floor-base",),
        invented=True,
        note="Invented for demonstration.",
        rules=rules_in(cuts),
        sections=(
            Section(
                title="Cuts",
                rule_changes=(
                    RuleChange("notch-place", off=True, because=ours, citation="SBR 9 clause 7.3 (invented)"),
                    RuleChange("notch-tension-side", off=True, because=ours, citation="SBR 9 clause 7.3 (invented)"),
                ),
            ),
            Section(title="The place", parameters={"place.country": "Steinmark"}),
        ),
        **load_data("steinmark_floors", ID),
    )
