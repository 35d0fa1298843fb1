"""Mail, where an operation has set it up: word of every report to whoever can put it right, and to the manager in time.

The report is in the book before any mail is tried. What could not be sent is written down once for each reason and
shown; it is tried again for as long as nobody has the report.
"""

from __future__ import annotations

import logging
import smtplib
import ssl
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.message import EmailMessage
from email.utils import formatdate, make_msgid

from django.conf import settings
from django.db import close_old_connections

from gyrewright.desk import clock
from gyrewright.desk.book.kinds.telling import WordSent
from gyrewright.desk.book.models import Photo
from gyrewright.desk.environ import Mail
from gyrewright.desk.services.records import LAPTOP, record_act
from gyrewright.desk.services.state import asking_at
from gyrewright.desk.services.telling import Helper, Matter, helpers, managers, message_of, waiting

PATIENCE_S = 20
"""How long a mail server may take for one step. [s]"""

EVERY_S = 15.0
"""How often the sender looks for what has to go out. [s]"""

AGAIN_AFTER = timedelta(minutes=5)
"""How long the sender waits before it tries a failed mail again."""

_log = logging.getLogger(__name__)
_wake = threading.Event()


@dataclass(frozen=True, slots=True)
class Due:
    """A mail that has to go out: of which report, to whom."""

    matter: Matter
    to: Helper


def wake() -> None:
    """Let the sender look now instead of at its next turn."""
    _wake.set()


def due(at: datetime) -> Iterator[Due]:
    """Yield every mail that has to go out: to maintainers at once, to managers once the house's time is over.

    Nobody gets word of one report twice; whoever reported it needs none.
    """
    for each in waiting(at):
        matter = each.matter
        told = {sent.act.to for sent in matter.sent if not sent.act.failed}
        whom = [*helpers(matter.aircraft, at), *(managers() if each.is_overdue else ())]
        for person in {helper.person: helper for helper in whom}.values():
            if person.address and person.person not in told and person.person != matter.record.by:
                yield Due(matter, person)


def letter(one: Due, mail: Mail, at: datetime) -> EmailMessage:
    """Return the mail that tells a person of a report, with its photos."""
    words = message_of(one.matter, at)
    out = EmailMessage()
    out["From"], out["To"], out["Subject"] = mail.sender, one.to.address, words.subject
    out["Date"] = formatdate(at.timestamp())
    out["Message-ID"] = make_msgid(domain=mail.sender.rpartition("@")[2])
    out.set_content(words.body)
    names = one.matter.record.act.photos
    kept = {each.fingerprint: bytes(each.jpeg) for each in Photo.objects.filter(fingerprint__in=names)}
    for number, name in enumerate(names, start=1):
        if name in kept:
            out.add_attachment(kept[name], maintype="image", subtype="jpeg", filename=f"photo-{number}.jpg")
    return out


def send(message: EmailMessage, mail: Mail) -> str:
    """Hand a mail to the operation's server; return why that failed, empty where it went."""
    try:
        with _connected(mail) as server:
            if mail.user:
                server.login(mail.user, mail.password())
            server.send_message(message)
    except (OSError, smtplib.SMTPException, ValueError) as error:
        return f"{type(error).__name__}: {' '.join(str(error).split())}"[:300]
    return ""


def _connected(mail: Mail) -> smtplib.SMTP:
    if mail.security == "tls":
        return smtplib.SMTP_SSL(mail.host, mail.port, timeout=PATIENCE_S, context=ssl.create_default_context())
    server = smtplib.SMTP(mail.host, mail.port, timeout=PATIENCE_S)
    if mail.security == "starttls":
        try:
            server.starttls(context=ssl.create_default_context())
        except BaseException:
            server.close()
            raise
    return server


def send_due(mail: Mail, tried: dict[tuple[str, str], datetime] | None = None) -> int:
    """Send what has to go out and write down what became of each; return how many went.

    Args:
        mail: The operation's mail.
        tried: When each mail was last tried, by report and person; those tried lately are left for later.
    """
    now, at, went = clock.now(), asking_at(), 0
    for one in list(due(at)):
        key = (one.matter.id, one.to.person)
        if tried is not None and now - tried.get(key, now - AGAIN_AFTER) < AGAIN_AFTER:
            continue
        failed = send(letter(one, mail, at), mail)
        went += not failed
        if tried is not None:
            tried[key] = now
        before = [sent.act.failed for sent in one.matter.sent if sent.act.to == one.to.person]
        if not failed or failed not in before[-1:]:
            act = WordSent(report=one.matter.id, to=one.to.person, how="mail", failed=failed)
            record_act(act=act, by=LAPTOP, about=one.matter.aircraft)
    return went


def run_forever(mail: Mail) -> None:
    """Send what has to go out, now and whenever there is something; errors are told and end nothing."""
    tried: dict[tuple[str, str], datetime] = {}
    while True:
        _wake.wait(EVERY_S)
        _wake.clear()
        try:
            send_due(mail, tried)
        except Exception:
            _log.exception("mail could not be looked after; it is tried again")
        finally:
            close_old_connections()


def start() -> threading.Thread | None:
    """Start the sender of this process where mail is set up."""
    if settings.MAIL is None:
        return None
    thread = threading.Thread(target=run_forever, args=(settings.MAIL,), name="mail", daemon=True)
    thread.start()
    return thread
