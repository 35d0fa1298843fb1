"""A PIN of one's own, to sign with on somebody else's phone."""

# ruff: noqa: RUF012 - as Django writes it

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("accounts", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="account",
            name="pin",
            field=models.CharField(blank=True, default="", max_length=128),
        ),
    ]
