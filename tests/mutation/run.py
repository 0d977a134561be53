"""Would the tests notice? Changes one thing at a time in the code of the rules and the engineering, and runs the tests.

    python tests/mutation/run.py --list                          # modules, with how many changes each could take
    python tests/mutation/run.py --sample 150 --seed 1           # 150 changes drawn over all modules
    python tests/mutation/run.py rules.spans bearing --sample 40 # of two modules
    python tests/mutation/run.py --only rules.spans:88:3         # one of them again

A change (a mutant) is a comparison, a sum, a number, a truth value or a condition made otherwise. Nothing is written
into the tree: each mutant gets a forked process that imports the changed module. First everything runs once on the
unchanged code (it must pass) to see which rule case and which test reaches which line; a mutant meets those that reach
its line, the quickest first, and the first failure kills it. What no test notices survives: it is printed with its
line, and it is either a gap (write a test) or a change that changes nothing (say so in ``survivors.csv`` beside this
file; those listed there count as explained). Not part of the gate. Exit code 1 where an unexplained one survives.
"""

from __future__ import annotations

import argparse
import csv
import gc
import hashlib
import json
import os
import random
import sys
import tempfile
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2] / part) for part in ("", "rules", "tests/rules")]

from changes import ROOT, Place, modules, mutant, name_of, places  # noqa: E402
from reach import Reach, base_packs, case_runs, measured  # noqa: E402
from trial import GRACE, import_graph, in_child, result_of, trial  # noqa: E402

SURVIVORS = Path(__file__).with_name("survivors.csv")


def explained() -> dict[tuple[str, str], str]:
    """Survivors with a reason, by module and what was changed (a line number would not last)."""
    if not SURVIVORS.exists():
        return {}
    with SURVIVORS.open(encoding="utf-8", newline="") as rows:
        return {(row["module"], row["change"]): row["reason"] for row in csv.DictReader(rows)}


def reached(near: bool) -> Reach:
    """Which tests reach which line, measured in a child; kept in the temporary folder until a file changes."""
    digest = hashlib.sha256(str(near).encode())
    for folder in ("inspect_core", "rules", "tests", "sample_sites"):
        for file in sorted((ROOT / folder).rglob("*.*")):
            if file.suffix in (".py", ".yaml", ".csv", ".txt", ".md") and file.parent != SURVIVORS.parent:
                digest.update(str(file.relative_to(ROOT)).encode() + file.read_bytes())
    kept = Path(tempfile.gettempdir()) / f"inspect-core-reach-{os.getuid()}-{digest.hexdigest()[:16]}.json"
    if not kept.exists():
        print("running everything once on the unchanged code", flush=True)
        answer, _ = result_of(*in_child(lambda: json.dumps(vars(measured(near)))))
        if answer is None:
            sys.exit("no mutant was tried")
        kept.write_text(answer, "utf-8")
    data = json.loads(kept.read_text("utf-8"))
    lines = {file: {int(n): units for n, units in by_line.items()} for file, by_line in data["lines"].items()}
    return Reach(data["cost"], lines)


class Tally:
    """Tries mutants, prints a line for each, and keeps count."""

    def __init__(self, wanted: list[Place], reach: Reach) -> None:
        self.wanted, self.reach, self.reasons = wanted, reach, explained()
        self.tried, self.alive, self.known = Counter[str](), Counter[str](), Counter[str]()
        self.running: list[tuple[Place, int, int]] = []

    def run(self, jobs: int) -> None:
        for place in self.wanted:
            if len(self.running) >= jobs:
                self.settle()
            change = mutant(place)
            units = self.reach.units(str(place.file.relative_to(ROOT)), None if place.at_import else place.lines)
            seconds = GRACE + 3 * sum(self.reach.cost.get(unit, 0.0) for unit in units)
            process, pipe = in_child(lambda change=change: trial(change, self.reach), seconds)  # type: ignore[misc]
            self.running.append((place, process, pipe))
        while self.running:
            self.settle()

    def settle(self) -> None:
        """Wait for the one that has run longest."""
        place, process, pipe = self.running.pop(0)
        killer, seconds = result_of(process, pipe)
        module = name_of(place.file)
        self.tried[module] += 1
        if killer == "":
            reason = self.reasons.get((module, place.what), "")
            self.alive[module] += 1
            self.known[module] += bool(reason)
            word = f"survives ({reason})" if reason else "SURVIVES"
        else:
            word = f"killed by {killer or 'a process that ended by force'}"
        n = sum(self.tried.values())
        print(f"{n}/{len(self.wanted)} {place.name} {word}, {seconds:.1f} s: {place.what}", flush=True)

    def sums(self) -> None:
        for module, tried in sorted(self.tried.items()):
            print(f"{tried:5} tried, {tried - self.alive[module]:5} killed, {self.known[module]:3} explained  {module}")
        tried, alive, known = (sum(count.values()) for count in (self.tried, self.alive, self.known))
        share = 100 * (tried - alive) / tried if tried else 100
        print(f"{tried} mutants, {tried - alive} killed ({share:.1f} %), ", end="")
        print(f"{known} survive with a reason, {alive - known} unexplained")


def main() -> int:
    words = argparse.ArgumentParser(description="Changes the code one thing at a time and runs the tests.")
    words.add_argument(
        "modules",
        nargs="*",
        help="names of modules (rules.spans, engineering.lumber.factors, or the last word); all without any",
    )
    words.add_argument("--sample", type=int, help="so many of them, drawn at random; all without")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--only", help="one mutant by its name")
    words.add_argument("--near", action="store_true", help="only the rule cases: quicker, more survive")
    words.add_argument("--list", action="store_true", help="say how many there are in each module")
    words.add_argument("--part", default="1/1", help="k/n: every n-th of the sample, from the k-th")
    words.add_argument("--jobs", type=int, default=1, help="so many at once")
    asked = words.parse_args()
    found = [place for file in modules(asked.modules) for place in places(file)]
    if asked.list:
        for file in modules(asked.modules):
            print(f"{sum(1 for place in found if place.file == file):5} {name_of(file)}")
        return 0
    if asked.only:
        found = [place for place in found if place.name == asked.only]
    if asked.sample is not None:
        found = random.Random(asked.seed).sample(found, min(asked.sample, len(found)))
    k, n = map(int, asked.part.split("/"))
    case_runs()
    base_packs()  # imported here once, so that a mutant imports anew only what it changes
    import_graph()
    tally = Tally(found[k - 1 :: n], reached(asked.near))
    gc.freeze()
    tally.run(asked.jobs)
    tally.sums()
    return 1 if sum(tally.alive.values()) > sum(tally.known.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
