"""The pages as a Django app, with a check that every route has its row in the table of who sees what."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.core.checks import Error, Tags, register


class PagesConfig(AppConfig):
    """The pages."""

    name = "gyrewright.desk.pages"
    label = "pages"

    def ready(self) -> None:
        """Register the check."""
        register(_every_route_has_a_row, Tags.security)


def _every_route_has_a_row(**_: Any) -> list[Error]:
    from gyrewright.desk.access import routes_without_a_row
    from gyrewright.desk.urls import urlpatterns

    lost = routes_without_a_row(str(each.name) for each in urlpatterns)
    return [Error(f"no row in access.py for: {', '.join(lost)}", id="desk.E001")] if lost else []
