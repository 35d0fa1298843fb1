"""The door: name and password against an account, with a wait after too many wrong tries."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.http import HttpRequest

from gyrewright.desk.accounts.models import Account, WrongTry
from gyrewright.desk.phones import places
from gyrewright.desk.refusal import Refused


class MustWait(Refused):
    """Too many wrong passwords for this name."""


def _now() -> datetime:
    # The machine's clock even in the demonstration: a wait is real time.
    return datetime.now(UTC)


class NameAndPassword:
    """Django's way of asking whether a name and a password belong together."""

    def authenticate(self, request: HttpRequest | None, name: str = "", password: str = "", **_: Any) -> Account | None:
        """Return the open account, or None.

        Raises:
            MustWait: There were too many wrong tries for this name lately; the right password waits as well.
        """
        since = _now() - timedelta(minutes=settings.LOGIN_WAIT_MIN)
        name = name.strip()[:60]
        WrongTry.objects.filter(at__lt=since).delete()
        # Counted before the password is looked at, so that many requests at once get no more tries than one by one.
        WrongTry.objects.create(name=name.casefold(), at=_now())
        if WrongTry.objects.filter(name=name.casefold()).count() > settings.LOGIN_TRIES:
            raise MustWait(
                f"too many wrong passwords for this name; wait {settings.LOGIN_WAIT_MIN} min,"
                " or ask the manager for a new one"
            )
        account = Account.objects.filter(name__iexact=name, is_open=True).first()
        if account is None:
            # An unknown name takes as long as a wrong password, so that names cannot be found by the clock.
            make_password(password)
            return None
        if not check_password(password, account.password, setter=None):
            return None
        WrongTry.objects.filter(name=name.casefold()).delete()
        return account

    def get_user(self, user_id: int) -> Account | None:
        """Return the open account of a session, or None where it was closed meanwhile."""
        return Account.objects.filter(pk=user_id, is_open=True).first()


def is_open() -> bool:
    """Return whether people come in and sign without a password: in the demonstration, at this machine alone."""
    return bool(settings.IS_DEMO) and settings.LISTENER == places.HERE


def forget_tries(*, name: str) -> None:
    """Let a name be tried again at once: after a manager or the laptop's command set a new password."""
    WrongTry.objects.filter(name=name.casefold()).delete()
