"""The tables of the book. They hold constraints and no decisions; only `writing` adds rows."""

from __future__ import annotations

from django.db import models


class Record(models.Model):
    """One act. Append-only by guards; chained by `prev` and `hash`. See `chain` for what each column is."""

    seq = models.PositiveBigIntegerField(primary_key=True)
    id = models.TextField(unique=True)
    kind = models.TextField()
    done_at = models.TextField()
    entered_at = models.TextField()
    by = models.TextField()
    about = models.TextField()
    corrects = models.TextField()
    body = models.TextField()
    personal_fingerprint = models.TextField()
    salt = models.TextField()
    prev = models.TextField(unique=True)
    hash = models.TextField(unique=True)

    class Meta:
        """Indexes, each with its query."""

        indexes = (
            # fold: every record about one aircraft or person, in order
            models.Index(fields=["about", "seq"], name="book_record_about"),
            # Today, the Records page, the erasure guard: records of one kind
            models.Index(fields=["kind", "seq"], name="book_record_kind"),
            # the Records page of somebody who sees their own
            models.Index(fields=["by", "seq"], name="book_record_by"),
            # what corrects this record
            models.Index(fields=["corrects"], name="book_record_corrects"),
        )


class Personal(models.Model):
    """The personal part of one record, under the salted fingerprint that the record carries. Erasable."""

    fingerprint = models.TextField(primary_key=True)
    salt = models.TextField()
    # Whose content it is: erasing a person's content goes by this.
    person = models.TextField(db_index=True)
    content = models.TextField()


class Photo(models.Model):
    """A photo as it was re-encoded, under its salted fingerprint. Erasable."""

    fingerprint = models.TextField(primary_key=True)
    salt = models.TextField()
    person = models.TextField(db_index=True)
    jpeg = models.BinaryField()
