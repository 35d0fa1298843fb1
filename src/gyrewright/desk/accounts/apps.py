"""The accounts as a Django app."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """The accounts."""

    name = "gyrewright.desk.accounts"
    label = "accounts"
