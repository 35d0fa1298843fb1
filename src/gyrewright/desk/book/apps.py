"""The book as a Django app: its guards step aside for a migration and come back after it."""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class BookConfig(AppConfig):
    """The book."""

    name = "gyrewright.desk.book"
    label = "book"

    def ready(self) -> None:
        """Take the guards off before tables may be remade, and put them on again afterwards.

        A trigger that looks at another table makes SQLite refuse to remake that one; and a remade table has lost its
        own triggers. A process that dies in between is noticed at the next start.
        """
        pre_migrate.connect(_unguard, sender=self)
        post_migrate.connect(_guard, sender=self)


def _guard(using: str, **_: Any) -> None:
    from django.db import connections

    from gyrewright.desk.book.guards import install

    install(connections[using])


def _unguard(using: str, **_: Any) -> None:
    from django.db import connections

    from gyrewright.desk.book.guards import remove

    remove(connections[using])
