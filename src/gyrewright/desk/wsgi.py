"""What the server calls."""

from __future__ import annotations

from django.core.handlers.wsgi import WSGIHandler

from gyrewright.desk import start
from gyrewright.desk.family import end_with_parent

start.set_up()
start.start_clock()
end_with_parent()
application = WSGIHandler()
