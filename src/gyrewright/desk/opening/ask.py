"""One question of a page, and the way between a form's texts and a file's table.

A page asks for keys of a table as a file would hold it. What is left empty is absent from the table and so stays
unknown; what a page does not ask for is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, Literal
from zoneinfo import ZoneInfo

from gyrewright.desk.refusal import Refused

How = Literal[
    "text", "long", "choice", "yes", "day", "moment", "whole", "wholes", "factor",
    "words", "several", "lines", "pairs", "numbers",
]  # fmt: skip
Table = dict[str, Any]

LONGEST_IN_FIELD = 16
"""A longer example would be cut off by its field."""
_HAS_PLACE = ("text", "long", "words", "wholes", "whole", "factor", "lines", "pairs", "numbers")

NONE = "none"
"""What is chosen where the list is known to be empty: nothing said and nothing there are two answers."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One question.

    Attributes:
        key: The place in the table, its parts joined by dots; a whole number is a place in a list.
        words: The question.
        how: How it is answered. "words" is a list written with commas, "several" a list of words chosen from `among`,
            "lines" one text a line, "pairs" two quantities a line, "numbers" the body of a printed table.
        hint: An example, or where to look.
        among: The accepted words, or suggestions where any text is.
        is_wide: Whether it needs the whole width.
        hints: In a list, the example for a row of that label, in the place of `hint`.
        only: In a list, the labels of the rows that are asked it; empty: every row.
    """

    key: str
    words: str
    how: How = "text"
    hint: str = ""
    among: tuple[str, ...] = ()
    is_wide: bool = False
    hints: Mapping[str, str] = field(default_factory=dict)
    only: tuple[str, ...] = ()

    def of_row(self, label: str) -> Ask:
        """Return the question as it is asked in a row of a label."""
        return replace(self, hint=self.hints[label]) if label in self.hints else self


@dataclass(frozen=True, slots=True)
class Rows:
    """A list of tables, each row answered by the same questions.

    `starts` are rows that the page offers by themselves: what they hold is shown and counts only where the rest of the
    row is answered. `spare` empty rows follow.
    """

    key: str
    words: str
    each: tuple[Ask, ...]
    label: str
    hint: str = ""
    starts: tuple[Mapping[str, Any], ...] = ()
    spare: int = 2


@dataclass(frozen=True, slots=True)
class Page:
    """One page of questions: its name in addresses, its title, and what it is for.

    `answers` names the top keys of a file whose lack this page cures; where empty, those that it asks for.
    """

    name: str
    title: str
    asks: tuple[Ask | Rows, ...]
    why: str = ""
    answers: frozenset[str] = field(default_factory=frozenset)

    @property
    def tops(self) -> frozenset[str]:
        """The top keys of the file that this page speaks of."""
        return self.answers or frozenset(each.key.partition(".")[0] for each in self.asks)


# --- from a table to a form ---


@dataclass(frozen=True, slots=True)
class Shown:
    """A question with what stands in its field now.

    `is_other` where the file writes it in a way of its own, `is_fixed` where the page says what the row is about.
    """

    ask: Ask
    name: str
    text: str
    chosen: frozenset[str] = frozenset()
    is_other: bool = False
    is_fixed: bool = False

    @property
    def placeholder(self) -> str:
        """A short example, which stands in the empty field itself."""
        return self.ask.hint if len(self.ask.hint) <= LONGEST_IN_FIELD and self.ask.how in _HAS_PLACE else ""

    @property
    def note(self) -> str:
        """A longer word, which stands under the field."""
        return "" if self.placeholder else self.ask.hint


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row of a list: its number, what it is called, its questions."""

    called: str
    asks: tuple[Shown, ...]


@dataclass(frozen=True, slots=True)
class ShownRows:
    """A list of a page."""

    rows: Rows
    shown: tuple[ShownRow, ...]


def shown(
    page: Page, table: Mapping[str, Any], *, zone: ZoneInfo, posted: Mapping[str, str] | None = None
) -> list[Any]:
    """Return a page's questions with the answers that a table holds; what was just written goes before them."""
    out: list[Any] = []
    for each in page.asks:
        if isinstance(each, Rows):
            out.append(_shown_rows(each, table, zone, posted))
        else:
            out.append(_shown(each, each.key, found(table, each.key), zone, posted))
    return out


def _shown(ask: Ask, name: str, value: Any, zone: ZoneInfo, posted: Mapping[str, str] | None) -> Shown:
    if posted is not None and name in posted:
        text = posted[name]
        chosen = frozenset(each for each in text.split("\n") if each) if ask.how == "several" else frozenset((text,))
        return Shown(ask, name, text, chosen)
    is_other = _is_other(ask, value)
    if ask.how == "several":
        words = [NONE] if value == [] else list(value or ()) if not is_other else []
        return Shown(ask, name, "", frozenset(words), is_other)
    text = "" if is_other or value is None else _text(ask, value, zone)
    return Shown(ask, name, text, frozenset((text,)) if text else frozenset(), is_other)


def _is_other(ask: Ask, value: Any) -> bool:
    """Return whether a value cannot be shown in its field: two unlike texts, or a table with moment and origin."""
    if value is None or ask.how in ("pairs", "numbers"):
        return False
    if ask.how in ("words", "wholes", "lines", "several"):
        return not isinstance(value, list)
    return isinstance(value, dict | list)


def _text(ask: Ask, value: Any, zone: ZoneInfo) -> str:
    if ask.how in ("words", "wholes"):
        return ", ".join(map(str, value)) if value else NONE
    if ask.how == "lines":
        return "\n".join(map(str, value))
    if ask.how == "pairs":
        return "\n".join(", ".join(map(str, pair)) for pair in value)
    if ask.how == "numbers":
        return "\n".join(" ".join(f"{each:g}" for each in line) for line in _lines_of(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.astimezone(zone).strftime("%Y-%m-%dT%H:%M")
    if isinstance(value, date):
        return value.isoformat()
    return f"{value:g}" if isinstance(value, float) else str(value)


def _lines_of(value: Any) -> Iterator[list[float]]:
    if isinstance(value, list) and value and not isinstance(value[0], list):
        yield value
    else:
        for each in value:
            yield from _lines_of(each)


def _shown_rows(rows: Rows, table: Mapping[str, Any], zone: ZoneInfo, posted: Mapping[str, str] | None) -> ShownRows:
    entered = list(found(table, rows.key) or [])
    offered = [dict(start) for start in rows.starts if not any(_begins(row, start) for row in entered)]
    there = [*entered, *offered, *({} for _ in range(rows.spare))]
    if posted is not None:
        there += [{} for _ in range(_count(rows, posted) - len(there))]
    out = []
    for number, row in enumerate(there):
        is_offered = len(entered) <= number < len(entered) + len(offered)
        called = str(found(row, rows.label) or "")
        asks = tuple(
            replace(
                _shown(each.of_row(called), f"{rows.key}.{number}.{each.key}", found(row, each.key), zone, posted),
                is_fixed=is_offered and each.key in row,
            )
            for each in rows.each
            if not (called and each.only and called not in each.only and found(row, each.key) is None)
        )
        out.append(ShownRow(called or f"{number + 1}", asks))
    return ShownRows(rows, tuple(out))


def _begins(row: Mapping[str, Any], start: Mapping[str, Any]) -> bool:
    return all(row.get(key) == value for key, value in start.items())


def _count(rows: Rows, posted: Mapping[str, str]) -> int:
    head = f"{rows.key}."
    numbers = [name[len(head) :].partition(".")[0] for name in posted if name.startswith(head)]
    return max((int(each) + 1 for each in numbers if each.isdigit() and len(each) < 4), default=0)


# --- from a form to a table ---


def merged(page: Page, table: Mapping[str, Any], posted: Mapping[str, str], *, zone: ZoneInfo) -> Table:
    """Return a table with what was written on a page; what the page does not ask for stays.

    Raises:
        Refused: A day, a whole number or a word is none.
    """
    out = _copied(table)
    numbers = []
    for each in page.asks:
        if isinstance(each, Rows):
            _merge_rows(each, out, posted, zone)
        elif each.key in posted and not _is_other(each, found(out, each.key)):
            if each.how == "numbers":
                numbers.append(each)
            else:
                put(out, each.key, _value(each, posted[each.key], zone))
    for each in numbers:
        # Last: how a body of numbers is cut follows from the axes beside it.
        put(out, each.key, _body(each, posted[each.key], found(out, each.key.rpartition(".")[0]) or {}))
    pruned: Table = _pruned(out)
    return pruned


def _copied(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _copied(each) for key, each in value.items()}
    return [_copied(each) for each in value] if isinstance(value, list) else value


def _merge_rows(rows: Rows, out: Table, posted: Mapping[str, str], zone: ZoneInfo) -> None:
    before = found(out, rows.key) or []
    after = []
    for number in range(max(_count(rows, posted), len(before))):
        row = before[number] if number < len(before) else {}
        for ask in rows.each:
            name = f"{rows.key}.{number}.{ask.key}"
            if name in posted and not _is_other(ask, found(row, ask.key)):
                put(row, ask.key, _value(ask, posted[name], zone))
        row = _pruned(row)
        # A row that the page offered by itself and nobody answered is none.
        if row and not (number >= len(before) and row in rows.starts):
            after.append(row)
    put(out, rows.key, after or None)


def _value(ask: Ask, text: str, zone: ZoneInfo) -> Any:
    """Return what a text of a field says, None where it is empty."""
    text = text.replace("\r\n", "\n").strip()
    if not text:
        return None
    try:
        return _READ[ask.how](ask, text, zone)
    except ValueError:
        raise Refused(f"{ask.words}: {text[:80]!r} is not {_EXPECTED.get(ask.how, 'readable')}") from None


def _one_of(ask: Ask, text: str, zone: ZoneInfo) -> str:
    if text not in ask.among:
        raise Refused(f"{ask.words}: {text[:80]!r} is not one of: {', '.join(ask.among)}")
    return text


def _list_of(ask: Ask, text: str, zone: ZoneInfo) -> list[str]:
    if text.casefold() == NONE:
        return []
    return [each.strip() for each in text.split(",") if each.strip()]


def _chosen(ask: Ask, text: str, zone: ZoneInfo) -> list[str]:
    words = [each for each in text.split("\n") if each]
    if NONE in words and len(words) > 1:
        raise Refused(f"{ask.words}: none and {', '.join(each for each in words if each != NONE)} are both chosen")
    return [_one_of(ask, each, zone) for each in words if each != NONE]


def _yes(ask: Ask, text: str, zone: ZoneInfo) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(text)
    return text == "yes"


_READ: dict[str, Any] = {
    "text": lambda ask, text, zone: text,
    "long": lambda ask, text, zone: text,
    "choice": _one_of,
    "yes": _yes,
    "day": lambda ask, text, zone: date.fromisoformat(text),
    "moment": lambda ask, text, zone: datetime.fromisoformat(text).replace(tzinfo=zone),
    "whole": lambda ask, text, zone: int(text),
    "wholes": lambda ask, text, zone: [int(each) for each in text.split(",")],
    "factor": lambda ask, text, zone: float(text),
    "words": _list_of,
    "several": _chosen,
    "lines": lambda ask, text, zone: [each.strip() for each in text.split("\n") if each.strip()],
    "pairs": lambda ask, text, zone: [
        [part.strip() for part in line.split(",")] for line in text.split("\n") if line.strip()
    ],
}
_EXPECTED = {
    "day": "a day such as 2027-06-12",
    "moment": "a day and time such as 2027-06-12T08:30",
    "whole": "a whole number",
    "wholes": "a list of whole numbers such as 1, 2",
    "factor": "a number such as 1.33",
    "yes": "yes or no",
    "numbers": "a list of plain numbers",
}


def _body(ask: Ask, text: str, table: Mapping[str, Any]) -> Any:
    """Return the numbers of a printed table, cut by the points of its axes: the last axis runs along a line."""
    if not text.strip():
        return None
    try:
        flat = [float(each) for each in text.replace(",", " ").split()]
    except ValueError:
        raise Refused(f"{ask.words}: {text.strip()[:60]!r} is not {_EXPECTED['numbers']}") from None
    numbers: list[Any] = [int(each) if each.is_integer() else each for each in flat]
    counts = [len(axis.get("points", ())) for axis in table.get("axis", ())]
    wanted = 1
    for count in counts:
        wanted *= count
    if not counts or len(numbers) != wanted:
        shape = " x ".join(map(str, counts)) or "no axis yet"
        raise Refused(f"{ask.words}: there are {len(numbers)} numbers, and the axes ask for {shape} = {wanted}")
    for count in reversed(counts[1:]):
        numbers = [numbers[start : start + count] for start in range(0, len(numbers), count)]
    return numbers


# --- places in a table ---


def found(table: Any, key: str) -> Any:
    """Return what stands at a place, or None."""
    for part in key.split("."):
        if isinstance(table, list):
            table = table[int(part)] if part.isdigit() and int(part) < len(table) else None
        elif isinstance(table, Mapping):
            table = table.get(part)
        else:
            return None
    return table


def put(table: Table, key: str, value: Any) -> None:
    """Write a value at a place, making what lies on the way; None takes it away."""
    first, _, rest = key.partition(".")
    if not rest:
        if value is None:
            table.pop(first, None)
        else:
            table[first] = value
        return
    number, _, beyond = rest.partition(".")
    if number.isdigit():
        several = table.setdefault(first, [])
        several += [{} for _ in range(int(number) + 1 - len(several))]
        put(several[int(number)], beyond, value)
        return
    if value is None and not isinstance(table.get(first), Mapping):
        return
    inner = table.get(first)
    if not isinstance(inner, dict):
        inner = table[first] = {}
    put(inner, rest, value)


def _pruned(value: Any) -> Any:
    """Return a table without tables in which nothing is left; an empty list stays: it was said."""
    if not isinstance(value, dict):
        return value
    out = {}
    for key, each in value.items():
        inner = _pruned(each)
        if isinstance(each, list) and each and all(isinstance(one, dict) for one in each):
            inner = [kept for one in each if (kept := _pruned(one))]
            if not inner:
                continue
        if isinstance(each, dict) and not inner:
            continue
        out[key] = inner
    return out


def asked_keys(pages: Iterable[Page]) -> frozenset[str]:
    """Return every key that some pages ask for, those of rows behind the key of their list."""
    out = set()
    for page in pages:
        for each in page.asks:
            if isinstance(each, Rows):
                out |= {f"{each.key}.{ask.key}" for ask in each.each}
            else:
                out.add(each.key)
    return frozenset(out)
