"""The first tables."""

# ruff: noqa: RUF012 - as Django writes it

from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Account",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("name", models.CharField(max_length=60, unique=True)),
                ("person", models.CharField(max_length=100, unique=True)),
                ("is_open", models.BooleanField(default=True)),
                ("must_change", models.BooleanField(default=False)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="WrongTry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(db_index=True, max_length=60)),
                ("at", models.DateTimeField()),
            ],
        ),
    ]
