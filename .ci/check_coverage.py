"""Fail when line coverage falls under 95 % or branch coverage under 90 % (coverage.json from the test run)."""

import json
import sys
from pathlib import Path

LEAST = {"line": 95.0, "branch": 90.0}

totals = json.loads(Path("coverage.json").read_text("utf-8"))["totals"]
found = {
    "line": 100.0 * totals["covered_lines"] / totals["num_statements"],
    "branch": 100.0 * totals["covered_branches"] / totals["num_branches"],
}
for kind, share in found.items():
    print(f"{kind} coverage {share:.1f} %, at least {LEAST[kind]:.0f} %")
sys.exit(any(found[kind] < LEAST[kind] for kind in LEAST))
