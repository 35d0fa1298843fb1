"""Every address of the desk. Each name has its row in `access`; a name without one is refused to everybody."""

from django.urls import path

from gyrewright.desk.pages import accounts, door, records

urlpatterns = [
    path("", door.front, name="front"),
    path("door", door.come_in, name="door"),
    path("out", door.go_out, name="out"),
    path("own-password", door.own_password, name="own-password"),
    path("records/", records.show_records, name="records"),
    path("records/verify", records.verify_book, name="records-verify"),
    path("records/clock", records.confirm_this_clock, name="clock-confirm"),
    path("records/copy", records.copy_book, name="copy-make"),
    path("records/<uuid:id>", records.show_record, name="record"),
    path("accounts/", accounts.show_accounts, name="accounts"),
    path("accounts/open", accounts.open_one, name="account-open"),
    path("accounts/password", accounts.give_new_password, name="account-password"),
    path("accounts/close", accounts.close_one, name="account-close"),
]
