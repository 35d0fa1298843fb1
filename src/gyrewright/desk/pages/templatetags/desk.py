"""What templates need: the style sheet's address, verdict marks, moments as people read them."""

from __future__ import annotations

import hashlib
import re
import uuid
from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from gyrewright.desk.clock import now
from gyrewright.desk.paper.blanks import BLANKS, ON_LARGE
from gyrewright.desk.paper.press import LARGE, PAPERS, SMALL
from gyrewright.desk.paper.walk import PRINTED_FOR
from gyrewright.desk.reader import own_words
from gyrewright.desk.services.state import zone
from gyrewright.finding import Verdict

register = template.Library()

_STATIC = Path(__file__).parents[2] / "static"

_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:h|min|days?|months?|years?|landings?|kt|kg|mm|m|ft|L|kg/L|°C|%|rpm|bar)\b|%)")

MARKS = {
    Verdict.STOP.code: ("stop", "STOP"),
    Verdict.UNKNOWN.code: ("unknown", "UNKNOWN"),
    Verdict.JUDGE.code: ("judge", "JUDGE"),
    Verdict.GO_IF.code: ("only-if", "only if"),
    Verdict.GO.code: ("nothing-found", "nothing found"),
}
"""The class and the word of each verdict's mark, by its code. The codes of the last two are never shown."""


@cache
def _digests() -> dict[str, str]:
    return {each.name: hashlib.sha256(each.read_bytes()).hexdigest()[:12] for each in _STATIC.iterdir()}


@register.simple_tag
def static_file(name: str) -> str:
    """Return the address of a static file; another content is another address, so a browser may keep it for good."""
    return f"/static/{name}?v={_digests()[name]}"


_PAPER_WORDS = {"letter": "letter", "a4": "A4", "half-letter": "half letter", "a5": "A5"}


@register.simple_tag
def papers(route: str, *args: str, sizes: str = "", query: str = "") -> SafeString:
    """Return a link to a sheet for each paper that it can be printed on; `sizes`: "large" or "small" ones alone."""
    fits = {"large": LARGE, "small": SMALL}.get(sizes, PAPERS)
    address = reverse(route, args=args)
    links = [
        (address, urlencode({"paper": paper} | ({"event": query} if query else {})), word)
        for paper, word in _PAPER_WORDS.items()
        if paper in fits
    ]
    return format_html_join(", ", '<a href="{}?{}">{}</a>', links)


@register.inclusion_tag("desk/parts/papers-of.html")
def papers_of(aircraft: str) -> dict[str, Any]:
    """Return what can be printed for an aircraft on a day without power."""
    blanks = [(name, title, name in ON_LARGE) for name, (title, _) in BLANKS.items()]
    return {"aircraft": aircraft, "events": PRINTED_FOR, "blanks": blanks}


@register.simple_tag
def mark(verdict: Verdict | str, size: str = "") -> SafeString:
    """Return a verdict's mark; size "large" is the one beside the verdict's sentence."""
    shape, word = MARKS[verdict.code if isinstance(verdict, Verdict) else verdict]
    return format_html('<span class="mark {}{}">{}</span>', shape, f" {size}" if size else "", word)


@register.filter
def spelled(text: str) -> str:
    """Return a label of our own as the reader spells it; not for what people typed."""
    return own_words(str(text))


@register.filter
def when(moment: datetime) -> SafeString:
    """Return a moment by the field's clock with its date, and in UTC beside it, marked up for machines."""
    local, utc = moment.astimezone(zone()), moment.astimezone(UTC)
    beside = utc.strftime("%H:%M") if utc.date() == local.date() else utc.strftime("%-d %b %H:%M")
    return format_html(
        '<time datetime="{}">{} {} <span class="utc">{} UTC</span></time>',
        utc.isoformat(),
        local.strftime("%-d %b %Y %H:%M"),
        local.tzname(),
        beside,
    )


@register.filter
def at(moment: datetime) -> SafeString:
    """Return the time of a moment by the field's clock, with UTC beside it, marked up for machines."""
    local, utc = moment.astimezone(zone()), moment.astimezone(UTC)
    return format_html(
        '<time datetime="{}">{} <span class="utc">{} UTC</span></time>',
        utc.isoformat(),
        local.strftime("%H:%M"),
        utc.strftime("%H:%M"),
    )


@register.filter
def clock(moment: datetime) -> str:
    """Return the time of a moment by the field's clock alone."""
    return moment.astimezone(zone()).strftime("%H:%M")


@register.filter
def ago(moment: datetime) -> str:
    """Return how long ago a moment was, in the largest unit that does not flatter."""
    minutes = max(0, int((now() - moment).total_seconds() // 60))
    for size, word in ((60 * 24, "day"), (60, "hour"), (1, "minute")):
        count = minutes // size
        if count >= 2 or (count and size == 1):
            return f"{count} {word}{'s' if count > 1 else ''} ago"
    return "just now"


@register.filter
def day(moment: date) -> str:
    """Return a day in words."""
    return moment.strftime("%A %-d %B %Y")


@register.filter
def on_day(moment: date) -> str:
    """Return a day in words, without the day of the week: for days long ago."""
    return moment.strftime("%-d %b %Y")


@register.simple_tag
def fresh_id() -> str:
    """Return an id for the act that a form will record: each form has its own, and sent twice it is one act."""
    return str(uuid.uuid4())


@register.filter
def percent(ratio: float) -> str:
    """Return a share in whole percent."""
    return f"{ratio * 100:.0f} %"


@register.filter
def percent_fine(ratio: float) -> str:
    """Return a small share in percent with as many digits as it takes to be above zero."""
    percent = ratio * 100
    return f"{percent:.0f} %" if percent >= 10 else f"{percent:.2g} %"


@register.filter
def minutes(time: timedelta) -> str:
    """Return a length of time in whole minutes."""
    return f"{time / timedelta(minutes=1):.0f} min"


@register.filter
def whole_units(text: str) -> str:
    """Return a sentence in which no line ends between a number and its unit."""
    return _BEFORE_UNIT.sub("\u00a0", text)


@register.filter
def item(table: Mapping[str, Any], name: str) -> Any:
    """Return what a table holds under a name; empty where it holds nothing."""
    return table.get(name, "")


@register.filter
def moment_in(text: str) -> datetime:
    """Return the moment that a frozen answer spells."""
    return datetime.fromisoformat(text)


@register.filter
def short_day(moment: datetime) -> str:
    """Return the day of a moment by the field's clock, short."""
    return moment.astimezone(zone()).strftime("%-d %b")


@register.filter
def spell_seconds(seconds: int) -> str:
    """Return a length of time in words, whichever way it goes."""
    minutes = abs(seconds) / 60.0
    if minutes < 120.0:
        return f"{minutes:.0f} min"
    return f"{minutes / 60.0:.1f} h" if minutes < 2880.0 else f"{minutes / 1440.0:.0f} days"


@register.filter
def is_data(text: str) -> bool:
    """Return whether a text was written for programs: a person unfolds it who wants to see it."""
    return len(text) > _LONG_DATA and text[:1] in "{[" and text[-1:] in "}]"


_LONG_DATA = 120
