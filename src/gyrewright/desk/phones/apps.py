"""The phones as a Django app."""

from django.apps import AppConfig


class PhonesConfig(AppConfig):
    """The phones."""

    name = "gyrewright.desk.phones"
    label = "phones"
