"""What the server calls."""

from __future__ import annotations

from django.core.handlers.wsgi import WSGIHandler

from gyrewright.desk import start
from gyrewright.desk.family import end_with_parent

start.set_up()
start.start_clock()
end_with_parent()
application = WSGIHandler()


def _look_after_mail() -> None:
    """Start the sender in one process of the family: the one that answers on this machine."""
    from django.conf import settings

    from gyrewright.desk.phones import places
    from gyrewright.desk.services import post

    if settings.LISTENER == places.HERE:
        post.start()


_look_after_mail()
