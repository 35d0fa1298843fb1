"""Every act about a person, by its name in the address."""

from __future__ import annotations

from gyrewright.desk.pages.forms.endorsing import AUTHORITY, CHECKED, ENDORSED, MINIMUMS, TIGHTER
from gyrewright.desk.pages.forms.form import by_name
from gyrewright.desk.pages.forms.papers import COMPLETE, LANDINGS, MASS, PAPERS
from gyrewright.desk.pages.forms.roles import ADD, NAME, ROLE, ROLE_ENDS, new_person_id
from gyrewright.desk.pages.forms.shared import TEACHERS

PEOPLE = by_name(
    NAME, ROLE, ROLE_ENDS, PAPERS, COMPLETE, LANDINGS, MASS, ENDORSED, CHECKED, AUTHORITY, MINIMUMS, TIGHTER
)
"""Every act about somebody who is known, by its name in the address."""

__all__ = ["ADD", "PEOPLE", "TEACHERS", "new_person_id"]
