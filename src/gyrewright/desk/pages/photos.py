"""A photo that a record names."""

from __future__ import annotations

from django.http import HttpResponse
from django.views.decorators.http import require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.book.models import Photo, Record
from gyrewright.desk.pages.visit import Visit
from gyrewright.errors import UnknownName


@require_safe
def show_photo(request: Visit, name: str) -> HttpResponse:
    """Show a photo to whoever reaches it: one's own, and those of one's own aircraft, or all.

    Raises:
        UnknownName: There is none, it was erased, or this visitor may not see it.
    """
    found = Photo.objects.filter(fingerprint=name).first()
    named = Record.objects.filter(body__contains=name)
    is_own = found is not None and (found.person == request.person or named.filter(about__in=request.aircraft).exists())
    if found is None or not (request.reach is Reach.ALL or is_own):
        raise UnknownName(f"no photo is kept under {name[:12]!r}")
    return HttpResponse(bytes(found.jpeg), content_type="image/jpeg")
