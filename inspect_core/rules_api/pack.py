"""A rule pack: rules, limits, references and cautions that ship together; and reading their data files."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from inspect_core.quantities import Dimension, Quantity, QuantityError, parse
from inspect_core.rules_api.changes import Section
from inspect_core.rules_api.limits import PLAIN, LimitDef, in_percent
from inspect_core.rules_api.provisions import Provision, none, read_provisions
from inspect_core.rules_api.repairs import Repair, read_repair
from inspect_core.rules_api.rule import Rule
from inspect_core.rules_api.vocabulary import STATUSES
from inspect_core.site.convert import noun
from inspect_core.site.problems import InputError, Problem
from inspect_core.site.reader import Document, Path, read_text

API_VERSION = 1


@dataclass(frozen=True, slots=True)
class Reference:
    """Text for a reference key. ``adopted`` only where a local pack has put in its own citation."""

    key: str
    text: str
    adopted: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning that stands beside advice, and defers to local code and licensed practice.

    ``measuring``: it is about going there and looking as well, so that it stands beside what is still to be measured.
    """

    key: str
    text: str
    measuring: bool = False


LEVELS = ("model", "state", "county", "city", "firm")
"""Who speaks in a pack, from the widest to the narrowest; the order in which packs stack."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a pack came from: ``kind`` is python or yaml; ``where`` the distribution or the folder as it was named.

    ``root`` is the package whose files make up the content hash of a Python pack; for a YAML pack ``digest`` is the
    hash and ``document`` the pack file.
    """

    kind: str
    where: str
    root: str = ""
    digest: str = ""
    document: Document | None = None


@dataclass(frozen=True, slots=True)
class Pack:
    """What one pack brings. ``api`` is the :data:`API_VERSION` that it was written for.

    A limit, reference or caution whose id is already there takes its place when this pack stands later.
    ``sections`` hold changes with their own dates and conditions, and changes to rules of the packs below.
    ``effective`` and ``expires`` (dates of the permit) bound the whole pack. ``amendable_by`` are the levels that may
    stand on it (``None``: all); ``series`` is a name that its editions share, so that a site may ask for the one that
    its permit date falls in. ``provisions`` gives the list of requirements that `explain --provisions` goes through; it
    is asked for only then.
    """

    id: str
    version: str
    title: str
    api: int
    rules: tuple[Rule, ...] = ()
    limits: Mapping[str, LimitDef] = field(default_factory=dict)
    references: Mapping[str, Reference] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    hold_points: tuple[str, ...] = ()
    edition: str = ""
    place: str = ""
    stands_on: tuple[str, ...] = ()
    level: str = ""
    series: str = ""
    effective: str = ""
    expires: str = ""
    amendable_by: tuple[str, ...] | None = None
    invented: bool = False
    note: str = ""
    sections: tuple[Section, ...] = ()
    repairs: Mapping[str, Repair] = field(default_factory=dict)
    provisions: Callable[[], tuple[Provision, ...]] = field(default=none, compare=False, repr=False)
    origin: Origin | None = field(default=None, compare=False, repr=False)


def load_data(package: str, pack_id: str) -> dict[str, Any]:
    """Limits, references, cautions and repairs from the YAML files in a package's ``data`` folder, and the provisions
    of its ``provisions.csv``, for :class:`Pack`.

    Raises :class:`~inspect_core.site.InputError` with file, line and column of everything that is wrong.
    """
    folder = files(package).joinpath("data")
    limits: dict[str, LimitDef] = {}
    references: dict[str, Reference] = {}
    cautions: dict[str, Caution] = {}
    repairs: dict[str, Repair] = {}
    problems: list[Problem] = []
    for file in sorted(_yaml_files(folder), key=lambda f: f.name):
        document = read_text(file.read_bytes(), file.name)
        reader = _DataReader(document, pack_id, problems)
        for section, value in reader.mapping(document.data, ()).items():
            if section == "limits":
                reader.each(value, (section,), limits, reader.limit)
            elif section == "references":
                reader.each(value, (section,), references, reader.reference)
            elif section == "cautions":
                reader.each(value, (section,), cautions, reader.caution)
            elif section == "repairs":
                reader.each(value, (section,), repairs, reader.repair)
            else:
                reader.wrong((section,), f"unknown section {section}", "limits, references, cautions or repairs")
    if problems:
        raise InputError(problems)
    found: dict[str, Any] = {"limits": limits, "references": references, "cautions": cautions, "repairs": repairs}
    if folder.joinpath("provisions.csv").is_file():
        found["provisions"] = partial(read_provisions, package)  # a long list, which a check never needs
    return found


def _yaml_files(folder: Traversable) -> Iterable[Traversable]:
    return (f for f in folder.iterdir() if f.name.endswith(".yaml"))


_LIMIT_KEYS = frozenset(
    [
        "says",
        "quantity",
        "value",
        "values",
        "words",
        "by",
        "source",
        "status",
        "provisions",
        "editions",
        "changed_because",
        "citation",
        "effect",
    ]
)


class _DataReader:
    """Turns one data file into records; what is wrong goes to ``problems``."""

    def __init__(self, document: Document, pack_id: str, problems: list[Problem]) -> None:
        self.document = document
        self.pack_id = pack_id
        self.problems = problems

    def wrong(self, path: Path, message: str, expected: str, example: str = "") -> None:
        mark = self.document.where(path)
        self.problems.append(
            Problem(
                self.document.file,
                mark.line,
                mark.column,
                path,
                "pack-data",
                message,
                expected,
                example,
                self.document.line(mark.line),
            )
        )

    def mapping(self, value: Any, path: Path) -> dict[str, Any]:
        if isinstance(value, dict):
            return value
        self.wrong(path, "a mapping belongs here", "keys and values")
        return {}

    def each(self, value: Any, path: Path, into: dict[str, Any], made: Callable[[str, Any, Path], Any]) -> None:
        for key, item in self.mapping(value, path).items():
            if key in into:
                self.wrong((*path, key), f"{key} stands in two files", "each id once")
            record = made(key, item, (*path, key))
            if record is not None:
                into[key] = record

    def reference(self, key: str, item: Any, path: Path) -> Reference | None:
        adopted = False
        if isinstance(item, dict):  # a local pack's own citation: {text: …, adopted: true}
            for name in item.keys() - {"text", "adopted"}:
                self.wrong((*path, name), f"unknown key {name}", "text, adopted")
            adopted, item = item.get("adopted") is True, item.get("text")
        text = self._text(item, path)
        return Reference(key, text, adopted) if text else None

    def caution(self, key: str, item: Any, path: Path) -> Caution | None:
        measuring = False
        if isinstance(item, dict):
            for name in item.keys() - {"text", "measuring"}:
                self.wrong((*path, name), f"unknown key {name}", "text, measuring")
            measuring, item = item.get("measuring") is True, item.get("text")
        text = self._text(item, path)
        return Caution(key, text, measuring) if text else None

    def repair(self, key: str, item: Any, path: Path) -> Repair | None:
        def wrong(below: tuple[str, ...], message: str, expected: str) -> None:
            self.wrong((*path, *below), message, expected)

        return read_repair(key, self.mapping(item, path), self.pack_id, wrong)

    def _text(self, item: Any, path: Path) -> str:
        if isinstance(item, str) and item.strip():
            return " ".join(item.split())
        self.wrong(path, "a text belongs here", "a sentence")
        return ""

    def _words(self, item: Any, path: Path) -> tuple[str, ...]:
        if isinstance(item, list) and all(isinstance(word, str) for word in item):
            return tuple(item)
        self.wrong(path, "a list of words belongs here", "words in brackets", "[plywood, osb]")
        return ()

    def limit(self, key: str, item: Any, path: Path) -> LimitDef | None:
        data = self.mapping(item, path)
        if data is not item:
            return None
        for name in data:
            if name not in _LIMIT_KEYS:
                self.wrong((*path, name), f"unknown key {name}", ", ".join(sorted(_LIMIT_KEYS)))
        for name in ("says", "source"):
            if not isinstance(data.get(name), str) or not data[name].strip():
                self.wrong(path, f"limit {key} has no {name}", f"{name}: a sentence")
        if data.get("status") not in STATUSES:
            self.wrong((*path, "status"), f"limit {key} has no known status", "; ".join(STATUSES))
        given = [name for name in ("value", "values", "words") if name in data]
        if len(given) != 1:
            self.wrong(path, f"limit {key} needs one of value, values, words", "value: 1 1/2 in")
            return None
        dimension, values = self._values(key, data, given[0], path)
        return LimitDef(
            id=key,
            says=str(data.get("says", "")),
            dimension=dimension,
            values=values,
            source=str(data.get("source", "")),
            status=str(data.get("status", "")),
            by=str(data.get("by", "")),
            provisions=self._words(data.get("provisions") or [], (*path, "provisions")),
            editions=str(data.get("editions", "")),
            changed_because=str(data.get("changed_because", "")),
            citation=str(data.get("citation", "")),
            set_by=self.pack_id,
            effect=str(data.get("effect", "")),
            percent=in_percent(dimension, data[given[0]]),
        )

    def _values(
        self, key: str, data: Mapping[str, Any], given: str, path: Path
    ) -> tuple[Dimension | None, dict[str, Quantity | tuple[str, ...]]]:
        if given == "words":
            return None, {PLAIN: self._words(data["words"], (*path, given))}
        word = data.get("quantity")
        try:
            dimension = Dimension(word)
        except ValueError:
            if given == "values" and word == "words":
                table = self.mapping(data["values"], (*path, given))
                return None, {k: self._words(v, (*path, given, k)) for k, v in table.items()}
            self.wrong((*path, "quantity"), f"limit {key} has no known quantity", ", ".join(d.value for d in Dimension))
            return None, {}
        raw = data[given]
        entries = self.mapping(raw, (*path, given)) if given == "values" else {PLAIN: raw}
        values: dict[str, Quantity | tuple[str, ...]] = {}
        for name, text in entries.items():
            here = (*path, given, name) if name != PLAIN else (*path, given)
            try:
                quantity = parse(text, dimension, "in")
            except QuantityError as error:
                self.wrong(
                    here, f"'{error.found}' can't be read as {noun(dimension.value)}", error.expected, error.example
                )
                continue
            if quantity is None:
                self.wrong(here, "a limit can't be unknown", f"a {dimension.value} with its unit")
                continue
            values[name] = quantity
        return dimension, values
