"""The weather as it was given at the desk: pasted reports and forecasts, and what somebody typed."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from datetime import datetime, timedelta

from gyrewright.desk.book.kinds.flight import WeatherGiven
from gyrewright.desk.book.record import Recorded
from gyrewright.desk.fold.standing import standing
from gyrewright.desk.fold.tables import Table

WEATHER_KINDS = ("weather-given", "withdrawn", "clash", "clash-settled")

KEPT = timedelta(hours=36)
"""What was given earlier than this is of another day: the longest forecast reaches no further."""


def fold_weather(records: Iterable[Recorded], *, at: datetime, known_at: datetime | None = None) -> Table:
    """Return the weather table that a flight's file would hold at a moment; the newest of each form counts.

    While two truths about the weather are open, none is known.
    """
    counting = standing(records, at=at, known_at=known_at)
    if any(isinstance(each.act, WeatherGiven) for conflict in counting.conflicts for each in conflict.records):
        return {}
    newest: dict[str, WeatherGiven] = {}
    out: Table = {}
    for each in counting.records:
        if not isinstance(each.act, WeatherGiven) or each.done_at < at - KEPT:
            continue
        if each.act.form == "typed":
            typed = tomllib.loads(each.act.text)
            out.update({key: typed[key] for key in ("observation", "row") if key in typed})
        else:
            newest[each.act.form] = each.act
    for form, key in (("report", "reports"), ("forecast", "forecasts")):
        if form in newest:
            # An empty text was given as the word that there is none.
            out[key] = [newest[form].text] if newest[form].text else []
    if "forecasts" in out:
        # Whoever gave a forecast, or said that there is none, and typed no rows of one has none of those.
        out.setdefault("row", [])
    return out
