"""The first tables."""

# ruff: noqa: RUF012 - as Django writes it

from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Pass",
            fields=[
                ("digest", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("person", models.CharField(max_length=100)),
                ("aircraft", models.CharField(max_length=100)),
                ("made_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("phone", models.CharField(default="", max_length=64)),
            ],
        ),
        migrations.CreateModel(
            name="Phone",
            fields=[
                ("id", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("called", models.CharField(max_length=60)),
                ("person", models.CharField(max_length=100)),
                ("is_plain", models.BooleanField(default=False)),
                ("first_heard_at", models.DateTimeField()),
                ("last_heard_at", models.DateTimeField()),
                ("waiting", models.PositiveIntegerField(null=True)),
            ],
        ),
    ]
