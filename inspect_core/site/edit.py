"""Changing a site file's text so that it says something new and everything else stays as it was written.

``edited_text`` compares the data that the file holds with the data that it shall hold, and changes the text only
where the two differ: comments, spacing, order and the way other values are written stay. What comes in is written in
one line (``{size: 2x8, work: new}``), broken where the line grows too long. The result is read again before anybody
gets it: text that would not say what was asked for is never returned.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any, Final

import yaml

from inspect_core.site.problems import InputError
from inspect_core.site.reader import read_text

WIDTH: Final = 118
_PLAIN = re.compile(r"""[A-Za-z0-9(/.~][^\n:#,\[\]{}]*""")


class EditError(ValueError):
    """The text can't be changed so that it says what was asked for."""


@dataclass(frozen=True, slots=True)
class _Splice:
    start: int
    end: int
    text: str


def edited_text(text: str, new: Any) -> str:
    """``text``, a site file as it was read, changed so that it holds ``new`` (plain data as the reader gives it).

    A byte order mark and the kind of line ends are kept. Raises :class:`EditError` where that can't be done.
    """
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    body = text.removeprefix("\ufeff")
    ends = "\r\n" if "\r\n" in body else "\n"
    body = body.replace("\r\n", "\n").replace("\r", "\n")
    old = read_text(body, "<site>").data
    root = yaml.compose(body, Loader=yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader)
    editor = _Editor(body)
    editor.compare(old, new, root, 0, 0)
    changed = editor.result()
    try:
        says = read_text(changed, "<changed site>").data
    except InputError:
        says = None
    if not _same(says, new):
        raise EditError("it is written in a way that can't be changed in place")
    return mark + changed.replace("\n", ends)


def _same(one: Any, other: Any) -> bool:
    """Equal, and of one kind: 1 is not true."""
    return bool(one == other) and json.dumps(one, sort_keys=True) == json.dumps(other, sort_keys=True)


class _Editor:
    def __init__(self, text: str) -> None:
        self.text = text
        self.starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self.splices: list[_Splice] = []

    def result(self) -> str:
        """From the end on; of two at one place the outer one goes in first, so that the inner one stays before it."""
        text = self.text
        order = sorted(enumerate(self.splices), key=lambda item: (item[1].start, item[1].end, item[0]), reverse=True)
        for _, splice in order:
            text = text[: splice.start] + splice.text + text[splice.end :]
        return text

    # --- places ---

    def at(self, mark: Any) -> int:
        line, column = int(mark.line), int(mark.column)
        return self.starts[line] + column

    def end(self, node: Any) -> int:
        """Where a value stops: of a block, where the last thing in it does."""
        if isinstance(node, yaml.ScalarNode) or node.flow_style or not node.value:
            return self.at(node.end_mark)
        last = node.value[-1]
        if isinstance(node, yaml.MappingNode):
            return self.value_end(*last)
        return self.end(last)

    def value_end(self, key: Any, value: Any) -> int:
        """The same of a value after its key; an empty one ends with the colon."""
        return self.colon(key) if _is_empty(value) else self.end(value)

    def colon(self, key: Any) -> int:
        return self.text.index(":", self.at(key.end_mark)) + 1

    def line_end(self, place: int) -> int:
        found = self.text.find("\n", place)
        return len(self.text) if found < 0 else found

    def line_start(self, place: int) -> int:
        return self.text.rfind("\n", 0, place) + 1

    # --- comparing ---

    def compare(self, old: Any, new: Any, node: Any, lead: int, indent: int) -> None:
        """``lead`` is where the text before the value ends (its colon or dash); ``indent`` that of its line."""
        if _same(old, new):
            return
        if isinstance(old, dict) and isinstance(new, dict) and old and new and old.keys() & new.keys():
            self._mapping(old, new, node, indent)
        elif isinstance(old, list) and isinstance(new, list) and old and new:
            self._list(old, new, node, indent)
        else:
            stop = lead if _is_empty(node) else self.end(node)
            start = lead if _is_empty(node) else self.at(node.start_mark)
            if _is_empty(node) or "\n" in self.text[lead:start] or _is_block(node):
                start = lead
            gap = " " if start == lead and lead else ""
            column = start - self.line_start(start) + len(gap)
            self.splices.append(_Splice(start, stop, gap + _flow(new, column, indent + 2)))

    def _mapping(self, old: dict[str, Any], new: dict[str, Any], node: Any, indent: int) -> None:
        entries = [(key.value, key, value) for key, value in node.value]
        block = not node.flow_style
        inner = node.start_mark.column if block else indent
        for name, key, value in entries:
            if name in new:
                self.compare(old[name], new[name], value, self.colon(key), inner)
        spans = [(self.at(key.start_mark), self.value_end(key, value)) for _, key, value in entries]
        kept = [name in new for name, _, _ in entries]
        added = {name: value for name, value in new.items() if name not in old}
        if block:
            self._drop_lines(spans, kept)
            last = max(n for n, keep in enumerate(kept) if keep)
            place = self.line_end(spans[last][1])
            text = "".join(f"\n{' ' * inner}{_entry(name, value, inner)}" for name, value in added.items())
        else:
            self._drop_between(spans, kept)
            last = max(n for n, keep in enumerate(kept) if keep)
            place = spans[last][1]
            text = self._more(place, [(f"{_scalar(name)}: ", value) for name, value in added.items()], indent)
        if text:
            self.splices.append(_Splice(place, place, text))

    def _list(self, old: list[Any], new: list[Any], node: Any, indent: int) -> None:
        block = not node.flow_style
        inner = node.start_mark.column if block else indent
        items = node.value
        spans = [(self._dash(n) if block else self.at(n.start_mark), self.end(n)) for n in items]
        pairs = dict(matched(old, new))
        for i, j in pairs.items():
            lead = spans[i][0] + 1 if block else self.at(items[i].start_mark)
            self.compare(old[i], new[j], items[i], lead, inner)
        kept = [i in pairs for i in range(len(old))]
        back = {j: i for i, j in pairs.items()}
        if not pairs:
            place, stop = spans[0][0] if block else self.at(node.start_mark), self.end(node)
            column = place - self.line_start(place)
            made = "\n".join(("" if n == 0 else " " * inner) + _item(value, inner) for n, value in enumerate(new))
            self.splices.append(_Splice(place, stop, made if block else _flow(new, column, indent + 2)))
            return
        (self._drop_lines if block else self._drop_between)(spans, kept)
        after: dict[int | None, list[Any]] = {}
        previous: int | None = None
        for j, value in enumerate(new):
            if j in back:
                previous = back[j]
            else:
                after.setdefault(previous, []).append(value)
        first = spans[min(pairs)][0]
        for after_item, values in after.items():
            place = first if after_item is None else spans[after_item][1]
            if block:
                items_text = [_item(value, inner) for value in values]
                if after_item is None:  # its dash may stand behind another one
                    text = "".join(f"{one}\n{' ' * inner}" for one in items_text)
                else:
                    place = self.line_end(place)
                    text = "".join(f"\n{' ' * inner}{one}" for one in items_text)
            elif after_item is None:
                text = "".join(f"{_flow(value, 0, 0, 10**6)}, " for value in values)
            else:
                text = self._more(place, [("", value) for value in values], indent)
            self.splices.append(_Splice(place, place, text))

    def _dash(self, node: Any) -> int:
        """Where the dash of a block item stands."""
        return self.text.rindex("-", 0, self.at(node.start_mark))

    # --- taking out ---

    def _drop_lines(self, spans: Sequence[tuple[int, int]], kept: Sequence[bool]) -> None:
        """Whole lines of a block; of one that begins behind a dash, up to the next entry."""
        for n, (start, stop) in enumerate(spans):
            if kept[n]:
                continue
            begin = self.line_start(start)
            if self.text[begin:start].strip():
                following = next((s for s, _ in spans[n + 1 :]), None)
                if following is None:
                    raise EditError("an entry beside a dash can't be taken out alone")
                self.splices.append(_Splice(start, following, ""))
            else:
                self.splices.append(_Splice(begin, min(self.line_end(stop) + 1, len(self.text)), ""))

    def _drop_between(self, spans: Sequence[tuple[int, int]], kept: Sequence[bool]) -> None:
        """Entries between brackets, each with one comma."""
        last = max(n for n, keep in enumerate(kept) if keep)
        for n in range(last):
            if not kept[n]:
                self.splices.append(_Splice(spans[n][0], spans[n + 1][0], ""))
        if last + 1 < len(spans):
            self.splices.append(_Splice(spans[last][1], spans[-1][1], ""))

    # --- writing ---

    def _more(self, place: int, entries: list[tuple[str, Any]], indent: int) -> str:
        """Entries to follow the last one between brackets, on lines of their own where the line grows too long."""
        column = place - self.line_start(place)
        rest = self.line_end(place) - place
        made = ""
        for prefix, value in entries:
            one = prefix + _flow(value, 0, 0, 10**6)
            if column + len(one) + rest + 2 <= WIDTH + 12:
                made += f", {one}"
                column += len(one) + 2
            else:
                wrapped = prefix + _flow(value, indent + 2 + len(prefix), indent + 4)
                made += f",\n{' ' * (indent + 2)}{wrapped}"
                column = len(wrapped.rpartition("\n")[2]) + ("\n" not in wrapped) * (indent + 2)
        return made


def _is_empty(node: Any) -> bool:
    return isinstance(node, yaml.ScalarNode) and not node.value and not node.style


def _is_block(node: Any) -> bool:
    if isinstance(node, yaml.ScalarNode):
        return node.style in ("|", ">")
    return not node.flow_style


def matched(old: list[Any], new: list[Any]) -> Iterator[tuple[int, int]]:
    """Which items are the same ones: by id where they have one, else equal ones in order, else by their place."""
    names = [_name(item) for item in old]
    if all(names) and all(_name(item) for item in new) and len(set(names)) == len(names):
        last = -1
        for j, item in enumerate(new):
            name = _name(item)
            if name in names and names.index(name) > last:
                last = names.index(name)
                yield last, j
        return
    was, now = ([json.dumps(item, sort_keys=True) for item in items] for items in (old, new))
    for tag, i, i_end, j, j_end in SequenceMatcher(None, was, now, autojunk=False).get_opcodes():
        if tag == "equal" or (tag == "replace" and i_end - i == j_end - j):
            yield from zip(range(i, i_end), range(j, j_end), strict=True)


def _name(item: Any) -> str:
    return str(item.get("id") or item.get("wall") or item.get("name") or "") if isinstance(item, dict) else ""


def _entry(name: str, value: Any, indent: int) -> str:
    key = f"{_scalar(name)}: "
    return key + _flow(value, indent + len(key), indent + 2)


def _item(value: Any, indent: int) -> str:
    return f"- {_flow(value, indent + 2, indent + 3)}"


def _flow(value: Any, column: int, indent: int, width: int = WIDTH) -> str:
    """The value as flow text; ``column`` is where it begins, ``indent`` that of lines that follow."""
    lines, line, room = [], "", width - column
    for piece in _pieces(value):
        longer = f"{line} {piece}" if line else piece
        if line and len(longer) > room:
            lines.append(line)
            line, room = piece, width - indent
        else:
            line = longer
    return f"\n{' ' * indent}".join([*lines, line])


def _pieces(value: Any) -> list[str]:
    """The flow text, cut where a line may end."""
    if isinstance(value, dict | list):
        opening, closing = "{}" if isinstance(value, dict) else "[]"
        entries = value.items() if isinstance(value, dict) else ((None, item) for item in value)
        made: list[str] = []
        for name, item in entries:
            inner = _pieces(item)
            if name is not None:
                inner[0] = f"{_scalar(name)}: {inner[0]}"
            if made:
                made[-1] += ","
            made += inner
        if not made:
            return [opening + closing]
        made[0] = opening + made[0]
        made[-1] += closing
        return made
    return [_scalar(value)]


def _scalar(value: Any) -> str:
    """A scalar as our reader and every other YAML reader takes it for the same value."""
    if not isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if (
        _PLAIN.fullmatch(value)
        and value == value.strip()
        and yaml.safe_load(value) == value
        and read_text(f"a: {value}", "<value>").data == {"a": value}
    ):
        return value
    return json.dumps(value, ensure_ascii=False)
