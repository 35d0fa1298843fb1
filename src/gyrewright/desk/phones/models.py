"""The tables of the phones. What a phone has open is in the book; here is only who was heard, and when."""

from __future__ import annotations

from django.db import models


class Phone(models.Model):
    """A phone that came to the desk. `id` is what it calls itself; `waiting` what it last said it still held."""

    id = models.CharField(max_length=64, primary_key=True)
    called = models.CharField(max_length=60)
    person = models.CharField(max_length=100)
    is_plain = models.BooleanField(default=False)
    first_heard_at = models.DateTimeField()
    last_heard_at = models.DateTimeField()
    waiting = models.PositiveIntegerField(null=True)


class Pass(models.Model):
    """A pass for one phone without the authority, for one person and one aircraft, known by its digest alone."""

    digest = models.CharField(max_length=64, primary_key=True)
    person = models.CharField(max_length=100)
    aircraft = models.CharField(max_length=100)
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    phone = models.CharField(max_length=64, default="")
