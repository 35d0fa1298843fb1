"""Every act of upkeep, by its name in the address."""

from __future__ import annotations

from gyrewright.desk.pages.forms.form import by_name
from gyrewright.desk.pages.forms.meters import METERS, REPLACED
from gyrewright.desk.pages.forms.parts import FITTED, REMOVED
from gyrewright.desk.pages.forms.tasks import DECIDED, DIRECTIVES, DONE, SHARE, pick_tasks
from gyrewright.desk.pages.forms.work import CHECK, SECOND, SIGNED, TOUCHED, WORK

UPKEEP = by_name(
    METERS, REPLACED, DONE, DECIDED, DIRECTIVES, SHARE, FITTED, REMOVED, WORK, SIGNED, SECOND, CHECK, TOUCHED
)
"""Every act of upkeep by its name in the address."""

__all__ = ["DONE", "METERS", "TOUCHED", "UPKEEP", "WORK", "pick_tasks"]
