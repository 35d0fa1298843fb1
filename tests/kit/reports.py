"""People at the desk's test client who report and act on reports."""

from __future__ import annotations

import io
from typing import Any

from django.test import Client
from django.urls import reverse
from PIL import Image

from gyrewright.desk.book.reading import find_records
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.records import new_id
from kit.desk import client_of, words

CRAFT = "N0-101D"

__all__ = ["CRAFT", "act", "client_of", "flight_findings", "kinds", "photo", "report", "words"]


def photo(size: tuple[int, int] = (400, 300)) -> io.BytesIO:
    """Return a photo as a phone sends it."""
    file = io.BytesIO()
    Image.new("RGB", size, "gray").save(file, "JPEG")
    file.seek(0)
    file.name = "photo.jpg"
    return file


def report(client: Client, craft: str = CRAFT, **given: Any) -> str:
    """Report a defect by its form and return its id."""
    id = given.pop("id", None) or new_id()
    given = {"zone": "B", "symptom": "shakes", **given}
    answer = client.post(reverse("report-defect", args=[craft]), {"id": id, **given})
    assert answer.status_code == 302, words(answer, answer.status_code)
    assert answer.url == reverse("defect", args=[id])
    return id


def act(client: Client, defect: str, name: str, status: int = 302, **given: Any) -> Any:
    """Hand in a form about a defect; without an id it has a new one."""
    answer = client.post(reverse("defect-act", args=[defect, name]), {"id": new_id(), **given})
    assert answer.status_code == status, words(answer, answer.status_code)[-1500:]
    return answer


def kinds(*names: str) -> list[str]:
    """Return the kinds of the records that are of one of these, in order."""
    return [each.kind for each in find_records(kinds=names)]


def flight_findings(id: str, craft: str = CRAFT) -> list[Any]:
    """Return what one check finds on the aircraft's next flight of the day."""
    at = state.asking_at()
    asked = next(each for each in state.flights(at).values() if each.aircraft == craft and each.is_open)
    return [each for each in answered(asked, at).answer.findings if each.id == id]
