"""The first tables."""

# ruff: noqa: RUF012 - as Django writes it

from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Personal",
            fields=[
                ("fingerprint", models.TextField(primary_key=True, serialize=False)),
                ("salt", models.TextField()),
                ("person", models.TextField(db_index=True)),
                ("content", models.TextField()),
            ],
        ),
        migrations.CreateModel(
            name="Photo",
            fields=[
                ("fingerprint", models.TextField(primary_key=True, serialize=False)),
                ("salt", models.TextField()),
                ("person", models.TextField(db_index=True)),
                ("jpeg", models.BinaryField()),
            ],
        ),
        migrations.CreateModel(
            name="Record",
            fields=[
                ("seq", models.PositiveBigIntegerField(primary_key=True, serialize=False)),
                ("id", models.TextField(unique=True)),
                ("kind", models.TextField()),
                ("done_at", models.TextField()),
                ("entered_at", models.TextField()),
                ("by", models.TextField()),
                ("about", models.TextField()),
                ("corrects", models.TextField()),
                ("body", models.TextField()),
                ("personal_fingerprint", models.TextField()),
                ("salt", models.TextField()),
                ("prev", models.TextField(unique=True)),
                ("hash", models.TextField(unique=True)),
            ],
            options={
                "indexes": [
                    models.Index(fields=["about", "seq"], name="book_record_about"),
                    models.Index(fields=["kind", "seq"], name="book_record_kind"),
                    models.Index(fields=["by", "seq"], name="book_record_by"),
                    models.Index(fields=["corrects"], name="book_record_corrects"),
                ],
            },
        ),
    ]
