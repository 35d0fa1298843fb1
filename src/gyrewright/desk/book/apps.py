"""The book as a Django app: its guards come back after every migration."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class BookConfig(AppConfig):
    """The book."""

    name = "gyrewright.desk.book"
    label = "book"

    def ready(self) -> None:
        """Reinstall the guards whenever tables may have been remade."""
        post_migrate.connect(_guard, sender=self)


def _guard(using: str, **_: Any) -> None:
    from django.db import connections

    from gyrewright.desk.book.guards import install

    install(connections[using])
