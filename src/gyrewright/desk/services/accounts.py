"""Accounts: opening and closing one, passwords, and the way back in for a manager who is locked out."""

from __future__ import annotations

import secrets
from typing import Literal

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from gyrewright.desk.accounts.door import forget_tries
from gyrewright.desk.accounts.models import Account
from gyrewright.desk.book.kinds.operation import AccountClosed, AccountOpened, PasswordSet
from gyrewright.desk.book.writing import disk_in_words
from gyrewright.desk.refusal import NotAllowed, Refused
from gyrewright.desk.services.people import all_people, person_known
from gyrewright.desk.services.records import LAPTOP, record_act
from gyrewright.errors import UnknownName

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"


def passing_word() -> str:
    """Return a password that is typed once: 16 letters and digits without look-alikes, in groups of four."""
    return "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(4))


def account_named(name: str) -> Account:
    """Return the account with a log-in name.

    Raises:
        UnknownName: There is none.
    """
    found = Account.objects.filter(name__iexact=name.strip()).first()
    if found is None:
        known = ", ".join(Account.objects.order_by("name").values_list("name", flat=True)) or "none yet"
        raise UnknownName(f"no account has the name {name!r}; accounts: {known}")
    return found


def open_account(*, name: str, person: str, password: str, by: str, must_change: bool = False) -> Account:
    """Let a person of the book log in by a name and a password."""
    person_known(person)
    name = name.strip()
    if not 2 <= len(name) <= 60 or not name.isprintable():
        raise Refused(f"{name!r} cannot be a log-in name; take 2 to 60 letters")
    with disk_in_words(), transaction.atomic():
        if Account.objects.filter(name__iexact=name).exists():
            raise Refused(f"the log-in name {name!r} is taken; choose another")
        if Account.objects.filter(person=person).exists():
            raise Refused(f"{person!r} has an account already; give it a new password instead")
        account = Account(name=name, person=person, must_change=must_change)
        _take(account, password)
        account.save()
        record_act(act=AccountOpened(), by=by, about=person)
    return account


def change_own_password(*, account: Account, old: str, new: str) -> None:
    """Change one's own password; every other session of the account ends."""
    if not account.check_password(old):
        raise NotAllowed("the old password is not right; nothing was changed")
    if old == new:
        raise Refused("the new password is the old one; choose another")
    _set(account, new, by=account.person, where="page", must_change=False)


def give_password(*, name: str, by: str) -> str:
    """Return a password for one log-in, after which the person has to choose their own. Ends their sessions."""
    account = account_named(name)
    password = passing_word()
    _set(account, password, by=by, where="laptop" if by == LAPTOP else "page", must_change=True)
    return password


def let_in(*, name: str, by: str) -> str:
    """Return a password for one log-in of an account, or of a person of the book who has none yet.

    The second happens after an import: passwords are in no export.

    Raises:
        UnknownName: Neither an account nor a person has this name.
    """
    there = Account.objects.filter(Q(name__iexact=name.strip()) | Q(person=name)).first()
    if there is not None or name not in all_people():
        return give_password(name=there.name if there else name, by=by)
    password = passing_word()
    open_account(name=name, person=name, password=password, by=by, must_change=True)
    return password


def close_account(*, name: str, by: str) -> None:
    """End a person's log-in and their sessions. The person and all their records stay."""
    account = account_named(name)
    if account.person == by:
        raise NotAllowed("nobody closes their own account; ask another manager")
    with disk_in_words(), transaction.atomic():
        account.is_open = False
        account.set_unusable_password()
        account.save()
        record_act(act=AccountClosed(), by=by, about=account.person)


def _set(account: Account, password: str, *, by: str, where: Literal["page", "laptop"], must_change: bool) -> None:
    with disk_in_words(), transaction.atomic():
        _take(account, password)
        account.must_change = must_change
        account.is_open = True
        account.save()
        forget_tries(name=account.name)
        record_act(act=PasswordSet(where=where), by=by, about=account.person)


def _take(account: Account, password: str) -> None:
    try:
        validate_password(password, account)
    except ValidationError as error:
        said = " ".join(error.messages)
        raise Refused(f"this password is too easy to guess: {said}") from None
    account.set_password(password)
