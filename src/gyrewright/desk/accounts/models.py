"""The tables of the accounts: a name and a password for a person of the book, and wrong tries."""

from __future__ import annotations

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models


class Accounts(BaseUserManager["Account"]):
    """Finds accounts by their log-in name."""

    def get_by_natural_key(self, username: str | None) -> Account:
        """Return the account with a log-in name."""
        return self.get(name=username)


class Account(AbstractBaseUser):
    """A person's way in. Roles are records, not columns here."""

    name = models.CharField(max_length=60, unique=True)
    person = models.CharField(max_length=100, unique=True)
    is_open = models.BooleanField(default=True)
    must_change = models.BooleanField(default=False)
    # A hash, like the password; empty where the person has chosen none.
    pin = models.CharField(max_length=128, default="", blank=True)
    last_login = None

    USERNAME_FIELD = "name"
    REQUIRED_FIELDS = ["person"]  # noqa: RUF012 - as Django asks for it
    objects = Accounts()

    @property
    def is_active(self) -> bool:
        """Whether the person may log in; Django asks under this name."""
        return bool(self.is_open)


class WrongTry(models.Model):
    """A wrong password for a name, kept only as long as it counts."""

    name = models.CharField(max_length=60, db_index=True)
    at = models.DateTimeField()
