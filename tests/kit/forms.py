"""Forms as a page offers them, and what of a page would be somebody else's code."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass(slots=True)
class Form:
    """One form: where it goes and how, and every field with what the page has put into it."""

    action: str
    method: str
    is_multipart: bool = False
    fields: dict[str, str] = field(default_factory=dict)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.foreign: list[str] = []
        self.links: list[str] = []
        self._select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self._look_for_code(tag, given)
        if tag == "a" and given.get("href", "").startswith(("/", "?")):
            self.links.append(given["href"])
        if tag == "form":
            kind = given.get("enctype", "") == "multipart/form-data"
            self.forms.append(Form(given.get("action", ""), given.get("method", "get").lower(), kind))
        if not self.forms:
            return
        fields = self.forms[-1].fields
        name = given.get("name", "")
        if tag in ("input", "textarea", "button") and name and name != "csrfmiddlewaretoken":
            if given.get("type") not in ("radio", "checkbox") or "checked" in given:
                fields[name] = given.get("value", "")
            else:
                fields.setdefault(name, "")
        elif tag == "select":
            self._select = name
            fields[name] = ""
        elif tag == "option" and self._select and "selected" in given:
            fields[self._select] = given.get("value", "")

    def _look_for_code(self, tag: str, given: dict[str, str]) -> None:
        is_ours = tag == "script" and given.get("src", "").startswith("/static/")
        if tag in ("script", "iframe", "object", "embed", "base", "style") and not is_ours:
            self.foreign.append(f"<{tag}>")
        for name, value in given.items():
            if name.startswith("on") or name == "style" or value.strip().lower().startswith("javascript:"):
                self.foreign.append(f"<{tag} {name}={value[:40]}>")
            if (
                tag in ("a", "img", "link", "form")
                and name in ("href", "src", "action")
                and "//" in value.split("?")[0]
            ):
                self.foreign.append(f"<{tag} {name}={value[:40]}>")


def _read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader


def forms_of(html: str) -> Iterator[Form]:
    """Yield every form of a page."""
    yield from _read(html).forms


def links_of(html: str) -> list[str]:
    """Return the addresses of this desk that a page leads to."""
    return _read(html).links


def foreign_code(html: str) -> list[str]:
    """Return what on a page would run or load something that is not the desk's own file."""
    return _read(html).foreign
