"""YAML text to plain data that knows its places.

The loader runs over libyaml's events with its own stack: no recursion, no object is ever built from a tag,
and a short file can't grow in memory. It reads a strict subset of YAML:

- mappings, lists and scalars; no anchors, aliases, explicit tags, merge keys or second document;
- every key is a scalar and is kept as the text that was written: `1: x` has the key "1", `no: x` has "no";
- a plain scalar is null (`null`, `~` or nothing), a boolean (`true`, `false`), an int or a float by the core
  schema of YAML 1.2 (their capitalised spellings too), else text. So `no`, `on`, `1:30`, `2024-01-01` and
  `1_000` are text. Numbers with a leading zero (`010`) and in other bases (`0x1F`, `0o7`) stay text too,
  because programs disagree about their value.

Whatever is refused becomes a Problem with its place; as many as possible are collected in one run.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any, Final, NamedTuple, NoReturn, TypeAlias

import yaml

from inspect_core.site.problems import InputError, Problem, visible

MOST_BYTES: Final = 5_000_000
MOST_BYTES_WITHOUT_LIBYAML: Final = 500_000  # the pure parser is thirty times slower
DEEPEST: Final = 50
MOST_NODES: Final = 200_000
MOST_DIGITS: Final = 30
GIVE_UP_AFTER: Final = 1_000  # problems: a hostile file shouldn't cost more than a good one

WITH_LIBYAML: Final[bool] = bool(yaml.__with_libyaml__)

Path: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A place in a text: 1-based line and column, counted in code points."""

    line: int
    column: int


# The places of a mapping or list, beside its data: entry by key or index. An entry is (mark of the key or
# None, mark of the value, places of the value if it is a mapping or list). Marks are kept as the parser gave
# them (0-based), because few are ever looked at.
_Places: TypeAlias = "dict[str | int, _Entry]"
_Entry: TypeAlias = "tuple[Any, Any, _Places | None]"

_NO_PLACES: Final[_Places] = {}

# The key or index at which a value stands; None where a key is due.
_Key: TypeAlias = "str | int | None"


@dataclass(slots=True, eq=False)
class Document:
    """Plain data read from one file, and where each part of it stands."""

    file: str
    data: Any
    text: str = ""
    root: _Entry = (None, None, None)
    _lines: list[str] | None = None

    @property
    def keys(self) -> dict[Path, Mark]:
        """The place of each mapping key, by the path of its value. Built on each call: prefer `where`."""
        return {path: _mark(key) for path, (key, _, _) in self._entries() if key is not None}

    @property
    def values(self) -> dict[Path, Mark]:
        """The place of each value, by its path. Built on each call: prefer `where`."""
        return {path: _mark(value) for path, (_, value, _) in self._entries() if value is not None}

    def where(self, path: Path) -> Mark:
        """The place of the key at `path`, else of its value, else of the nearest part around it."""
        key, value, _ = self._nearest(path)
        return _mark(value if key is None else key)

    def where_value(self, path: Path) -> Mark:
        """As `where`, but the place of the value rather than of its key."""
        return _mark(self._nearest(path)[1])

    def nearest(self, path: Path) -> Path:
        """As much of `path`, from its root, as stands in the file."""
        return path[: self._descend(path)[1]]

    def _nearest(self, path: Path) -> _Entry:
        return self._descend(path)[0]

    def _descend(self, path: Path) -> tuple[_Entry, int]:
        """The deepest part along `path` that stands in the file, and how many steps lead there."""
        entry, depth = self.root, 0
        for step in path:
            child = (entry[2] or _NO_PLACES).get(step)
            if child is None:
                break
            entry, depth = child, depth + 1
        return entry, depth

    def line(self, number: int) -> str:
        """The text of the line `number` (1-based), without its end; "" if there is no such line."""
        if self._lines is None:
            self._lines = self.text.split("\n")
        return self._lines[number - 1] if 0 < number <= len(self._lines) else ""

    def problem(
        self, mark: Mark, path: Path, code: str, message: str, expected: str = "", example: str = ""
    ) -> Problem:
        """A Problem of this file, with the source line filled in."""
        source = self.line(mark.line)
        return Problem(self.file, mark.line, mark.column, path, code, message, expected, example, source)

    def _entries(self) -> Iterator[tuple[Path, _Entry]]:
        waiting: list[tuple[Path, _Entry]] = [((), self.root)]
        while waiting:
            path, entry = waiting.pop()
            yield path, entry
            waiting += [((*path, step), child) for step, child in reversed((entry[2] or _NO_PLACES).items())]


def _mark(mark: Any) -> Mark:
    return Mark(1, 1) if mark is None else Mark(mark.line + 1, mark.column + 1)


# --- files ---


def read_file(path: FilePath) -> Document:
    """Read a YAML file. Raises InputError for everything that keeps it from being used, never OSError."""
    name = str(path)
    limit = MOST_BYTES if WITH_LIBYAML else MOST_BYTES_WITHOUT_LIBYAML
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            _refuse_file(name, "is-a-directory", "this is a folder, not a file", "a file; `gate` checks a folder")
        if not stat.S_ISREG(status.st_mode):
            _refuse_file(name, "not-a-file", "this is not an ordinary file")
        if status.st_size > limit:
            _refuse_file(name, "too-large", *_too_large(status.st_size, limit))
        with path.open("rb") as stream:
            data = stream.read(limit + 1)
    except FileNotFoundError:
        _refuse_file(name, "no-such-file", "there is no such file")
    except PermissionError:
        _refuse_file(name, "no-permission", "this file may not be read: permission denied")
    except OSError as error:
        _refuse_file(name, "unreadable", f"this file can't be read: {error.strerror or error}")
    except ValueError:  # a NUL in the name
        _refuse_file(name, "no-such-file", "no file can have this name")
    return read_text(data, name)


def read_text(text: str | bytes, file: str) -> Document:
    """Read YAML text, or bytes in UTF-8, into a Document; `file` is the name for messages.

    Raises InputError with every problem found.
    """
    limit = MOST_BYTES if WITH_LIBYAML else MOST_BYTES_WITHOUT_LIBYAML
    if len(text) > limit:
        _refuse_file(file, "too-large", *_too_large(len(text), limit))
    if isinstance(text, bytes):
        text = _decoded(text, file)
    text = text.removeprefix("\ufeff")
    if "\r" in text:  # libyaml takes a lone CR for a line end too
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return _Loader(file, text).load()


_NOT_TEXT: Final = ("this is not a text file", "a YAML file, saved as UTF-8 text")


def _too_large(size: int, limit: int) -> tuple[str, str]:
    return (
        f"this file is too large: {size / 1e6:.1f} MB",
        f"at most {limit / 1e6:g} MB; a site description is usually a few kB",
    )


def _refuse_file(file: str, code: str, message: str, expected: str = "") -> NoReturn:
    raise InputError([Problem(file, 0, 0, (), code, message, expected)]) from None


def _decoded(data: bytes, file: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        _refuse_file(file, "not-utf-8", "this file is saved as UTF-16", "a text file saved as UTF-8")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        start = error.start
    if b"\0" in data:
        _refuse_file(file, "binary", *_NOT_TEXT)
    # Count lines and columns in what came before, which is good UTF-8.
    before = data[:start].decode("utf-8").removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    line_start = before.rfind("\n") + 1
    rest = re.split(rb"[\r\n]", data[start : start + 200], maxsplit=1)[0].decode("utf-8", "replace")
    raise InputError(
        [
            Problem(
                file,
                before.count("\n") + 1,
                len(before) - line_start + 1,
                (),
                "not-utf-8",
                f"this file is not UTF-8 text: the byte 0x{data[start]:02X} can't stand here",
                "a text file saved as UTF-8 (many editors offer this under 'Save as', 'Encoding')",
                source_line=before[line_start:] + rest,
            )
        ]
    ) from None


# --- scalars ---

_PLAIN_WORDS: Final[dict[str, bool | None]] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_NUMBER_STARTS: Final = frozenset("0123456789+-.")
_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)", re.ASCII)
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|(?:0|[1-9][0-9]*)(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?", re.ASCII)
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_INFINITY: Final = float("inf")


def _number(text: str) -> int | float | str:
    """The number that a plain scalar spells, or the text itself. Raises ValueError (message, expected)."""
    if _INT.fullmatch(text):
        if len(text) > MOST_DIGITS + 1 or len(text.lstrip("+-")) > MOST_DIGITS:
            raise ValueError("number-too-long", f"this number has {len(text.lstrip('+-'))} digits")
        return int(text)
    if _FLOAT.fullmatch(text):
        number = float(text)
        if abs(number) == _INFINITY:
            raise ValueError("not-finite", "this number is too large")
        return number
    if _NOT_FINITE.fullmatch(text):
        raise ValueError("not-finite", f"{text} is not a number that can be measured")
    return text


# --- the loop ---

# What YAML doesn't take as text, and the line ends that editors don't show as such (NEL, U+2028, U+2029).
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_FORBIDDEN_IN_VALUE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_SWALLOWED = re.compile(r"[ \t]+(#[^\s#].*)")
_SWALLOWED_AFTER_KEY = re.compile(r"""["']?[ \t]*:[ \t]+(#[^\s#].*)""")


class _GiveUp(Exception):  # noqa: N818
    """Nothing useful can be read after this point."""


class _Loader:
    def __init__(self, file: str, text: str) -> None:
        self.document = Document(file, None, text)
        self.problems: list[Problem] = []
        # Enclosing collections, outermost first: (data, places, key, key event) of each as it was left.
        self.stack: list[tuple[Any, _Places, Any, Any]] = []
        # The collection being filled: a dict, a list, or None outside the root. In a mapping `key` is None while a key
        # is due; in a list it is the index of the next item.
        self.data: Any = None
        self.places: _Places = {}
        self.key: Any = 0
        self.key_event: Any = None
        self.nodes = 0
        self.documents = 0
        self.last_quoted: Any = None  # the last event of a scalar in quotes

    def load(self) -> Document:
        try:
            self._run(self._without_forbidden(self.document.text))
        except _GiveUp:
            pass
        except yaml.YAMLError as error:
            self._syntax(error)
        if self.problems:
            raise InputError(self.problems)
        return self.document

    def _without_forbidden(self, text: str) -> str:
        """Report each forbidden character and put a stand-in there, so that the rest can still be read."""
        if _FORBIDDEN.search(text) is None:
            return text
        beginning = text[:1000]
        if "\0" in beginning and len(_FORBIDDEN.findall(beginning)) * 10 > len(beginning):
            _refuse_file(self.document.file, "binary", *_NOT_TEXT)
        for number, line in enumerate(text.split("\n"), 1):
            for found in _FORBIDDEN.finditer(line):
                message = f"there is an invisible control character here (U+{ord(found[0]):04X})"
                expected = "plain text; delete the character (it may have come along with copied text)"
                self._add(Mark(number, found.start() + 1), (), "control-character", message, expected)
                if len(self.problems) >= GIVE_UP_AFTER:
                    raise _GiveUp
        return _FORBIDDEN.sub("\ufffd", text)

    def _add(self, mark: Mark, path: Path, code: str, message: str, expected: str = "", example: str = "") -> None:
        self.problems.append(self.document.problem(mark, path, code, message, expected, example))

    def _run(self, text: str) -> None:
        """Hand each event of the parser to what its kind asks for."""
        get_event = (yaml.CSafeLoader if WITH_LIBYAML else yaml.SafeLoader)(text).get_event
        handlers: dict[type, Callable[[Any], None]] = {
            yaml.MappingStartEvent: self._begin,
            yaml.SequenceStartEvent: self._begin,
            yaml.MappingEndEvent: self._end,
            yaml.SequenceEndEvent: self._end,
            yaml.AliasEvent: self._alias,
            yaml.DocumentStartEvent: self._document,
        }
        kind: Any = None
        while kind is not yaml.StreamEndEvent:
            event = self._scalars(get_event)
            kind = event.__class__
            if kind in handlers:
                handlers[kind](event)
        if self.document.data is None and not self.problems:
            _refuse_file(self.document.file, "empty-file", "there is nothing in this file", "a site description")

    def _scalars(self, get_event: Callable[[], Any]) -> Any:
        """Take the scalars that come next, and return the first event of another kind.

        Most events are scalars: what the loop needs is kept in locals, and put back before anything is reported.
        """
        data, places, key = self.data, self.places, self.key
        is_map = data.__class__ is dict
        scalar_event, words, number_starts = yaml.ScalarEvent, _PLAIN_WORDS, _NUMBER_STARTS
        while (event := get_event()).__class__ is scalar_event:
            value: Any = event.value
            style = event.style
            self.nodes += 1
            if style or event.anchor is not None or event.tag is not None or self.nodes > MOST_NODES:
                self.key = key
                self._look_at(event)
            if key is None:
                if value in data or not value or value == "<<":
                    self._check_key(event)
                key = value
                self.key_event = event
                continue
            if not style:
                if value in words:
                    if not value:
                        self.key = key
                        self._check_swallowed(event)
                    value = words[value]
                elif value[0] in number_starts:
                    try:
                        value = _number(value)
                    except ValueError as error:
                        self.key = key
                        self._bad_number(event, *error.args)
            if is_map:
                data[key] = value
                places[key] = (self.key_event.start_mark, event.start_mark, None)
                key = None
            else:
                self._place(value, event.start_mark, None)
                key = self.key
        self.key = key
        return event

    def _look_at(self, event: Any) -> None:
        """What is rare with a scalar: quotes, an anchor, a tag, one too many."""
        self._check_node(event)
        if event.style:
            self.last_quoted = event
            if event.style == '"' and not event.value.isprintable():
                self._check_escapes(event)

    def _begin(self, event: Any) -> None:
        """A mapping or a list begins: it is placed at once, and filled from now on."""
        self.nodes += 1
        if event.anchor is not None or event.tag is not None or self.nodes > MOST_NODES:
            self._check_node(event)
        if len(self.stack) >= DEEPEST:
            self._too_deep(event)
        is_map = event.__class__ is yaml.MappingStartEvent
        inner: Any = {} if is_map else []
        inner_places: _Places = {}
        around = (self.data, self.places, self.key, self.key_event)
        if self.key is not None:
            self._place(inner, event.start_mark, inner_places)
        else:
            self._complex_key(event)
            around = (self.data, self.places, None, event)
        self.stack.append(around)
        self.data, self.places = inner, inner_places
        self.key, self.key_event = (None if is_map else 0), None

    def _end(self, event: Any) -> None:
        """Back to the collection around, where the next key or item is due."""
        self.data, self.places, key, self.key_event = self.stack.pop()
        if self.data.__class__ is dict:
            # After a collection in the place of a key (reported when it began) its value is due.
            self.key = None if key is not None else "?"
        else:
            self.key = key + 1

    def _alias(self, event: Any) -> None:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self._too_many_nodes(event)
        message = f"'*{event.anchor}' is a YAML alias, and aliases are not allowed"
        self._report(event, self.key, "alias", message, *self._instead(event))
        if self.key is None:
            self.key = "?"
            self.key_event = event
        else:
            self._place(None, event.start_mark, None)

    def _document(self, event: Any) -> None:
        self.documents += 1
        if self.documents > 1:
            self._several_documents(event)

    def _place(self, value: Any, mark: Any, places: _Places | None) -> None:
        """Put a value where it is due; then the next key or item is."""
        data = self.data
        if data.__class__ is dict:
            data[self.key] = value
            self.places[self.key] = (self.key_event.start_mark, mark, places)
            self.key = None
        elif data is None:
            self.document.data = value
            self.document.root = (None, mark, places)
        else:
            data.append(value)
            self.places[self.key] = (None, mark, places)
            self.key += 1

    # What the loop reports.

    def _path(self, key: _Key) -> Path:
        if not self.stack:
            return ()
        around = tuple(frame[2] for frame in self.stack[1:])
        return around if key is None else (*around, key)

    def _report(self, event: Any, key: _Key, code: str, message: str, expected: str = "", example: str = "") -> None:
        self._add(_mark(event.start_mark), self._path(key), code, message, expected, example)
        if len(self.problems) >= GIVE_UP_AFTER:
            raise _GiveUp

    def _too_many_nodes(self, event: Any) -> NoReturn:
        message = f"this file holds more than {MOST_NODES:,} keys and values"
        self._report(event, None, "too-many-nodes", message, "a site description of ordinary size")
        raise _GiveUp

    def _too_deep(self, event: Any) -> NoReturn:
        self._report(event, self.key, "too-deep", _TOO_DEEP, _AT_MOST_DEEP)
        raise _GiveUp

    def _several_documents(self, event: Any) -> NoReturn:
        self._several_documents_at(_mark(event.start_mark))
        raise _GiveUp

    def _several_documents_at(self, mark: Mark) -> None:
        message = "a second YAML document starts here"
        self._add(mark, (), "several-documents", message, "one document; remove the `---` or `...`")

    def _check_node(self, event: Any) -> None:
        if self.nodes > MOST_NODES:
            self._too_many_nodes(event)
        if event.anchor is not None:
            message = f"'&{event.anchor}' is a YAML anchor, and anchors are not allowed"
            self._report(event, self.key, "anchor", message, *self._instead(event))
        if event.tag is not None:
            message = f"'{_as_written(event.tag)}' is a YAML tag, and tags are not allowed"
            self._report(event, self.key, "tag", message, *self._instead(event))

    def _instead(self, event: Any) -> tuple[str, str]:
        """Expected and example for a value that starts with a character that means something to YAML."""
        mark = event.start_mark
        return "the value itself, written out; text that starts with this character stands in quotes", (
            self._quoted_from(mark.line + 1, mark.column)
        )

    def _check_key(self, event: Any) -> None:
        name = event.value
        if name in self.data:
            first = _mark(self.places[name][0])
            message = f"the key '{visible(_short(name))}' stands here again; it is already on line {first.line}"
            if first.line == event.start_mark.line + 1:
                message += f", column {first.column}"
            self._report(event, name, "duplicate-key", message, "each key once")
        elif not name:
            self._report(event, None, _NO_KEY.code, _NO_KEY.message, _NO_KEY.expected)
        else:
            message = "'<<' would merge another mapping in here, which is not allowed"
            self._report(event, None, "merge-key", message, "the keys themselves, written out")

    def _complex_key(self, event: Any) -> None:
        kind = "mapping" if event.__class__ is yaml.MappingStartEvent else "list"
        message = f"a {kind} can't be a key"
        self._report(event, None, "complex-key", message, "a word as the key; text with brackets in quotes")

    def _check_escapes(self, event: Any) -> None:
        found = _FORBIDDEN_IN_VALUE.search(event.value)
        if found is not None:
            message = f"a backslash makes an invisible control character (U+{ord(found[0]):04X}) here"
            expected = "plain text; text with a backslash in 'single quotes'"
            self._report(event, self.key, "control-character", message, expected)

    def _bad_number(self, event: Any, code: str, message: str) -> None:
        expected = f"a number of at most {MOST_DIGITS} digits, or text in quotes"
        self._report(event, self.key, code, message, expected)

    def _check_swallowed(self, event: Any) -> None:
        """An empty value: has YAML taken what was meant as the value for a comment?

        `grade: #2` is such a case. A comment proper has a space after its `#`, and leaves the value unknown.
        """
        if self.key_event is not None:  # not the value's own mark: in {a: #2 that is the next token's
            mark = self.key_event.end_mark
            found = _SWALLOWED_AFTER_KEY.match(self.document.line(mark.line + 1), mark.column)
        else:
            mark = event.start_mark
            found = _SWALLOWED.match(self.document.line(mark.line + 1), mark.column)
        if found is not None:
            self._swallowed(mark.line + 1, found.start(1), self._path(self.key))
            if len(self.problems) >= GIVE_UP_AFTER:
                raise _GiveUp

    def _swallowed(self, line: int, column: int, path: Path) -> None:
        value, _ = self._value_at(line, column)
        self._add(
            Mark(line, column + 1),
            path,
            "comment-swallowed",
            f"YAML took '{visible(_short(value))}' for a comment, so the value is empty",
            "the value in quotes; if a comment is meant, a space after the #",
            self._quoted_from(line, column),
        )

    def _quoted_from(self, number: int, column: int) -> str:
        """The source line with the value that starts at the 0-based `column` in quotes; "" if it is long."""
        line = self.document.line(number)
        value, end = self._value_at(number, column)
        if not value or len(line) > 120:
            return ""
        rest = line[end:] if _OPEN_BRACKET.search(line[:column]) else ""
        whole = value[1:-1] if len(value) > 2 and value[0] == value[-1] and value[0] in "'\"" else value
        return line[:column].lstrip(" ") + _quoted(whole) + rest.rstrip()

    def _value_at(self, number: int, column: int) -> tuple[str, int]:
        """What a person would take for the value that starts there, and the 0-based column of its end."""
        line = self.document.line(number)
        pattern = _END_IN_BRACKETS if _OPEN_BRACKET.search(line[:column]) else _END_OF_VALUE
        ending = pattern.search(line, column)
        end = ending.start() if ending else len(line)
        return line[column:end].rstrip(), end

    # Syntax errors: the parser stops at the first one.

    def _syntax(self, error: yaml.YAMLError) -> None:
        problem = str(getattr(error, "problem", None) or error)
        context = str(getattr(error, "context", None) or "")
        at = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        opened = getattr(error, "context_mark", None) or at
        self._explain_syntax(problem, context, _mark(at), _mark(opened))

    def _explain_syntax(self, problem: str, context: str, at: Mark, opened: Mark) -> None:
        """Say in plain words what stopped the parser, and point to where a person would mend it."""
        if self.problems and self.problems[-1].line == at.line and self.problems[-1].code in _STARTERS:
            return  # `*bold* text`: already reported, and what follows makes no sense to the parser
        line = self.document.line(at.line)
        in_brackets = "flow" in context
        if "flow node" in context:
            opened = self._open_collection()  # the parser gives the place where it stopped
        if not in_brackets and _TAB_INDENT.match(line):
            self._tab(at.line)
            return
        if "cannot start any token" in problem and line[at.column - 1 : at.column] == "\t":
            # Only the pure parser minds tabs between other things.
            self._add(at, self._path(None), "tab", "there is a tab here; use a space", "spaces instead of tabs")
            return
        if in_brackets:
            for number in sorted({opened.line, *range(max(opened.line, at.line - 2), at.line + 1)}):
                found = _SWALLOWED_ANYWHERE.search(self.document.line(number))
                if found is not None:
                    self._swallowed(number, found.start(1), self._path(None))
                    return
        if self._text_after_quotes(at):
            return

        for trouble in _SYNTAX:
            if trouble.words in problem or trouble.words in context:
                break
        else:
            trouble = _Trouble("", "not-yaml", f"this is not valid YAML: {visible(problem)}", "valid YAML")
        if trouble is not _COLON and _BARE_COLON.fullmatch(line[: at.column]):
            trouble = _NO_KEY
        if trouble is _COLON and not _KEY_BEFORE.search(line[: at.column - 1]):
            trouble, at = self._misplaced_line(at)
            opened = at
        message = trouble.message
        if trouble is _BRACKET and opened != at:
            message += f" (the bracket opened on line {opened.line}, column {opened.column})"
            if not line.strip() or at.line > opened.line + 1:
                at = opened
        place = opened if trouble.at_opening else at
        character = self.document.line(place.line)[place.column - 1 : place.column]
        message = message.replace("{character}", visible(character))
        example = self._quoted_from(place.line, place.column - 1) if trouble.quotable else ""
        self._add(place, self._path(None), trouble.code, message, trouble.expected, example)

    def _open_collection(self) -> Mark:
        """Where the innermost list or mapping began that the parser is still in."""
        entry = self.document.root
        for _, places, key, _ in self.stack[1:]:
            entry = places.get(key, entry)
        return _mark(entry[1])

    def _misplaced_line(self, at: Mark) -> tuple[_Trouble, Mark]:
        """`key: value` below a line that has its value already, or below a line without a colon."""
        above = next(n for n in range(at.line - 1, -1, -1) if n == 0 or self.document.line(n).strip())
        line, before = self.document.line(at.line), self.document.line(above)
        indent, indent_before = (len(text) - len(text.lstrip(" ")) for text in (line, before))
        if indent > indent_before or ":" in before:
            return _TOO_FAR_RIGHT, Mark(at.line, indent + 1)
        return _NO_COLON, Mark(above, indent_before + 1)

    def _tab(self, number: int) -> None:
        lines = self.document.text.split("\n")
        tab = lines[number - 1].index("\t")
        others = [str(n) for n, text in enumerate(lines, 1) if n != number and _TAB_INDENT.match(text)]
        also = ""
        if others:
            also = f"; tabs also on line{'s' if len(others) > 1 else ''} {', '.join(others[:8])}"
            also += f" and {len(others) - 8} more" if len(others) > 8 else ""
        message = "YAML does not allow tabs for indentation; use spaces"
        expected = f"spaces at the start of the line{also}"
        self._add(Mark(number, tab + 1), self._path(None), "tab", message, expected)

    def _text_after_quotes(self, at: Mark) -> bool:
        """Report text that goes on after the closing quotation mark of the value before it."""
        if self.last_quoted is None:
            return False
        end = self.last_quoted.end_mark
        if end.line + 1 != at.line or self.document.line(at.line)[end.column : at.column - 1].strip():
            return False
        start = _mark(self.last_quoted.start_mark)
        quote = self.last_quoted.style
        closed = "" if start.line == at.line else f" on line {at.line}"
        self._add(
            start,
            self._path(None),
            "text-after-quotes",
            f"this value starts with {quote} and goes on after the closing {quote}{closed}",
            "the whole value in quotes; a length starts with its number",
            self._quoted_from(start.line, start.column - 1) if start.line == at.line else "",
        )
        return True


_OPEN_BRACKET = re.compile(r"[{\[][^}\]]*\Z")
_END_IN_BRACKETS = re.compile(r"[\],}]")
_END_OF_VALUE = re.compile(r"\s#(?:\s|\Z)|\Z")
_TAB_INDENT = re.compile(r" *\t")
_SWALLOWED_ANYWHERE = re.compile(r"(?::[ \t]+|[,\[{][ \t]*)(#[^\s#].*)")
_BARE_COLON = re.compile(r"(?:.*[{,\[-])?[ \t]*:")
_KEY_BEFORE = re.compile(r":[ \t]")


class _Trouble(NamedTuple):
    words: str  # of the parser, by which it is known
    code: str
    message: str  # {character} stands for the one pointed to
    expected: str
    at_opening: bool = False  # point to where the thing began rather than to where the parser stopped
    quotable: bool = False  # would quotes help?


_TOO_DEEP: Final = f"more than {DEEPEST} lists and mappings stand inside one another here"
_AT_MOST_DEEP: Final = f"at most {DEEPEST} levels"
_QUOTES: Final = "text that starts with this character stands in quotes"
_RESERVED: Final = "a value can't start with '{character}' in YAML"
_BACKSLASH: Final = (
    "a backslash has a special meaning in double quotes",
    "text with a backslash in 'single quotes'",
)
_STARTERS: Final = frozenset(("alias", "anchor", "tag"))

_COLON: Final = _Trouble(
    "mapping values are not allowed",
    "colon",
    "there is a second ': ' on this line",
    "one key and one value on a line; text that holds ': ' stands in quotes",
)
_TOO_FAR_RIGHT: Final = _Trouble(
    "",
    "indentation",
    "this line stands further right than the key above, which already has its value",
    "the same number of spaces as the line above",
)
_NO_COLON: Final = _Trouble(
    "could not find expected ':'",
    "missing-colon",
    "this line is not of the form 'key: value'",
    "a colon and a space after the key",
    at_opening=True,
)
_NO_KEY: Final = _Trouble("", "empty-key", "there is no key before the colon", "key: value")
_BRACKET: Final = _Trouble(
    "flow",
    "unclosed-bracket",
    "a comma or a closing bracket is missing",
    "a comma between entries, a closing bracket after the last",
)
# The first whose words stand in the parser's problem or context.
_SYNTAX: Final = (
    _Trouble(
        "document start",
        "several-documents",
        "a second YAML document starts here",
        "one document; remove the `---` or `...`",
    ),
    _Trouble("scanning an alias", "alias", _RESERVED, _QUOTES, at_opening=True, quotable=True),
    _Trouble("scanning an anchor", "anchor", _RESERVED, _QUOTES, at_opening=True, quotable=True),
    _Trouble("tag", "tag", _RESERVED, _QUOTES, at_opening=True, quotable=True),
    _Trouble("exceeded maximum nesting depth", "too-deep", _TOO_DEEP, _AT_MOST_DEEP),
    _Trouble("unknown escape", "escape", *_BACKSLASH),
    _Trouble("escape sequence", "escape", *_BACKSLASH),
    _Trouble("parsing a quoted scalar", "escape", *_BACKSLASH),
    _Trouble(
        "scanning a quoted scalar",
        "unclosed-quote",
        "this value starts with a quotation mark that is never closed",
        "the whole value in quotes; a length starts with its number",
        at_opening=True,
        quotable=True,
    ),
    _Trouble("cannot start any token", "reserved-character", _RESERVED, _QUOTES, quotable=True),
    _COLON,
    _Trouble(
        "sequence entries are not allowed",
        "list-on-key-line",
        "a list with '-' can't begin here",
        "the list on the lines below its key, or in brackets: [16, 32]",
    ),
    _Trouble("mapping keys are not allowed", "reserved-character", _RESERVED, _QUOTES, quotable=True),
    _NO_COLON,
    _BRACKET,
    _Trouble(
        "block scalar",
        "block-text",
        "after '{character}' the text starts on the next line",
        "the text on the lines below, indented",
        at_opening=True,
        quotable=True,
    ),
    _Trouble(
        "block mapping",
        "indentation",
        "this line doesn't line up with the lines it belongs with",
        "keys of one group under one another, each with the same number of spaces before it",
    ),
    _Trouble(
        "block collection",
        "indentation",
        "this line doesn't line up with the list above it",
        "each entry of a list with '-' at the same distance from the left",
    ),
    _Trouble("node content", "reserved-character", _RESERVED, _QUOTES, quotable=True),
    _Trouble("directive", "directive", "a line that starts with '%' is a YAML directive", "no such line"),
    _Trouble("incompatible", "directive", "this asks for another version of YAML", "no %YAML line"),
)


def _quoted(text: str) -> str:
    if '"' in text or "\\" in text:
        return "'" + text.replace("'", "''") + "'"
    return f'"{text}"'


def _as_written(tag: str) -> str:
    return tag.replace("tag:yaml.org,2002:", "!!")


def _short(text: str, most: int = 40) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
