"""The authority that phones trust, and the book: made, renewed, or gone with the folder it lay in."""

from __future__ import annotations

from datetime import UTC, datetime

from cryptography import x509
from django.conf import settings

from gyrewright.desk.book.kinds.phones import AuthorityMade, PhonesLost
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.phones.authority import (
    Files,
    authority_in,
    files_in,
    fingerprint_of,
    is_due,
    make_authority,
    make_leaf,
)
from gyrewright.desk.phones.places import Places, places_of
from gyrewright.desk.services.records import LAPTOP, book_opening, record_act


def machine_now() -> datetime:
    """Return the machine's own time, in the demonstration as well: phones check certificates by theirs."""
    return datetime.now(UTC)


def authority_files() -> Files:
    """Return where this desk's authority lies."""
    return files_in(settings.DATA_DIR)


def places() -> Places:
    """Return where phones reach this desk now."""
    return places_of(settings.PHONES_NAME)


def notice_lost() -> bool:
    """Record where this folder lacks the authority that the book speaks of; return whether it does.

    That is so where the book was put back from a copy: since the copy phones may have opened what this book does not
    know of, and no answer may pass over that.
    """
    made = find_records(kinds=("authority-made",), newest_first=True, count=1)
    if not made:
        return False
    there = authority_in(authority_files())
    fingerprint = made[0].act.fingerprint
    if there is not None and fingerprint_of(there) == fingerprint:
        return False
    if not any(each.act.fingerprint == fingerprint for each in find_records(kinds=("phones-lost",))):
        record_act(act=PhonesLost(fingerprint), by=LAPTOP)
    return True


def ready_authority() -> x509.Certificate:
    """Return the authority of this folder, made and recorded where none serves; renew what it vouches for."""
    files, at = authority_files(), machine_now()
    found = authority_in(files)
    if found is None or not _serves(found, at):
        notice_lost()
        opening = book_opening()
        operation = opening.act.operation if opening else "an operation"
        found = make_authority(files, names=places().names, operation=operation, at=at)
        act = AuthorityMade(fingerprint_of(found), settings.PHONES_NAME, found.not_valid_after_utc.date())
        record_act(act=act, by=LAPTOP)
    renew()
    return found


def _serves(authority: x509.Certificate, at: datetime) -> bool:
    if not authority.not_valid_before_utc <= at < authority.not_valid_after_utc:
        return False
    constraints = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    allowed = {each.value for each in constraints.permitted_subtrees or () if isinstance(each, x509.DNSName)}
    return set(places().names) <= allowed


def renew() -> bool:
    """Make the desk's certificate anew where it is due; return whether it was."""
    files, now_at, at = authority_files(), places(), machine_now()
    if not is_due(files, names=now_at.names, addresses=now_at.addresses, at=at):
        return False
    make_leaf(files, names=now_at.names, addresses=now_at.addresses, at=at)
    return True
