"""The fields of a form, and reading what was typed into them. Nothing is filled in but the time and who acts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.http import QueryDict

from gyrewright.desk.refusal import Refused

Choices = tuple[tuple[str, str], ...]

TEXT, LONG, DAY, MOMENT, CHOICE, SEVERAL, FLAG = (
    "text",
    "long",
    "day",
    "moment",
    "choice",
    "several",
    "flag",
)
"""The kinds of field. A moment is a day and a time by the field's clock; a flag is a box that is ticked or not."""


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that a form asks.

    Attributes:
        name: In the form and in what is handed in.
        label: What is asked, in words.
        kind: One of the words above.
        hint: What to write, or what is known already; it answers nothing.
        choices: Value and words, for a choice or several.
        required: Whether it has to be answered.
        is_wide: Whether it takes a whole row.
        value: What was typed, or what the time is.
        values: The same where several may be chosen.
    """

    name: str
    label: str
    kind: str = TEXT
    hint: str = ""
    choices: Choices = ()
    required: bool = False
    is_wide: bool = False
    value: str = ""
    values: tuple[str, ...] = ()


def paper() -> Field:
    """Return the field for where an entry stands on paper; every form has it."""
    return Field("from_paper", "Paper log and page", hint="if it was copied from paper")


def moment(name: str, label: str, *, now: datetime, zone: ZoneInfo, hint: str = "") -> Field:
    """Return the field for a moment, at first the present one."""
    return Field(name, label, MOMENT, hint, required=True, value=local_text(now, zone))


def local_text(at: datetime, zone: ZoneInfo) -> str:
    """Return a moment as a field holds it: day and time by the field's clock."""
    return at.astimezone(zone).strftime("%Y-%m-%dT%H:%M")


def filled(fields: Iterable[Field], given: Mapping[str, str], several: Mapping[str, list[str]]) -> tuple[Field, ...]:
    """Return fields with what was typed into them, so that nothing of it is lost."""
    out = []
    for each in fields:
        if each.kind == SEVERAL:
            out.append(replace(each, values=tuple(several.get(each.name, []))))
        else:
            out.append(replace(each, value=given.get(each.name, "")))
    return tuple(out)


class Given:
    """What was typed into a form, read field by field; the first thing that is wrong is refused in one sentence."""

    def __init__(self, post: QueryDict | Mapping[str, str], fields: Iterable[Field], zone: ZoneInfo) -> None:
        self._post = post
        self._fields = {each.name: each for each in fields}
        self._zone = zone

    def check(self) -> None:
        """Refuse what lacks, and a choice that the form did not offer."""
        for name, each in self._fields.items():
            lacks = not self.several(name) if each.kind == SEVERAL else not self.text(name)
            if each.required and lacks:
                raise Refused(f"{each.label.lower()} is missing; {each.hint or 'write it'}")
            if each.kind == CHOICE and self.text(name) not in ("", *(value for value, _ in each.choices)):
                raise Refused(f"{self.text(name)!r} is no choice for {each.label.lower()}")

    def text(self, name: str) -> str:
        """Return what was typed, without spaces around it."""
        return str(self._post.get(name, "")).strip()

    def several(self, name: str) -> tuple[str, ...]:
        """Return everything that was chosen, in the order of the form."""
        chosen = self._post.getlist(name) if isinstance(self._post, QueryDict) else [self._post.get(name, "")]
        return tuple(dict.fromkeys(each.strip() for each in chosen if each.strip()))

    def flag(self, name: str) -> bool:
        """Return whether a box is ticked."""
        return bool(self.text(name))

    def said(self, name: str) -> bool | None:
        """Return yes or no, or None where nobody has said."""
        return {"yes": True, "no": False}.get(self.text(name))

    def whole(self, name: str) -> int:
        """Return a whole number that is not negative; 0 where nothing was typed."""
        text = self.text(name)
        if text and not (text.isascii() and text.isdigit() and len(text) < 7):
            raise Refused(f"{self._label(name)}: {text!r} is no whole number; write one such as 3")
        return int(text or 0)

    def day(self, name: str) -> date | None:
        """Return a day, or None where nothing was typed."""
        text = self.text(name)
        if not text:
            return None
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise Refused(f"{self._label(name)}: {text!r} is no day; write it such as 2027-06-12") from None

    def moment(self, name: str) -> datetime | None:
        """Return a moment that was typed by the field's clock, or None where nothing was typed.

        Raises:
            Refused: It does not read, or is a time that the clocks skip or strike twice that night.
        """
        text = self.text(name)
        if not text:
            return None
        try:
            local = datetime.fromisoformat(text).replace(tzinfo=self._zone)
        except ValueError:
            raise Refused(
                f"{self._label(name)}: {text!r} is no time; write day and time, such as 2027-06-12 06:30"
            ) from None
        if local.utcoffset() != local.replace(fold=1).utcoffset():
            raise Refused(
                f"{self._label(name)}: the clocks change at {text}; write a time an hour off, and say so in words"
            )
        return local

    def _label(self, name: str) -> str:
        return self._fields[name].label.lower() if name in self._fields else name


def yes_no() -> Choices:
    """Return the choices of a question that nobody may be taken to have answered."""
    return (("yes", "yes"), ("no", "no"))
