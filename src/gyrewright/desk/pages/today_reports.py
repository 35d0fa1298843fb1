"""What Today says of reports: which wait for somebody, and what became of those of whoever looks."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from gyrewright.desk.access import Reach
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.services.telling import answers_for, house_time, still_unanswered, waiting


def reports_today(request: Visit, at: datetime) -> dict[str, Any]:
    """Return what the part `today-reports.html` shows to this visitor."""
    reaches_all = request.reach is Reach.ALL
    return {
        "answers": answers_for(request.person, at),
        "waiting": waiting(at) if reaches_all else (),
        "mine": () if reaches_all else still_unanswered(request.person, at),
        "is_manager": "manager" in request.roles,
        "house_time": _spelled(house_time(at)),
    }


def _spelled(time: timedelta | None) -> str:
    return "" if time is None else f"{time / timedelta(hours=1):g} h"
