from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.management import call_command

from gyrewright.desk.environ import PREFIX, SETTINGS, mail_of, read_settings
from gyrewright.desk.refusal import Refused

PAGE = Path(__file__).parents[2] / "docs" / "settings.md"


def test_every_setting_is_documented_with_what_holds_where_nothing_is_given():
    rows = dict(
        re.findall(
            r"^\| `(GYREWRIGHT_\w+)` \| (?:nothing|`([^`]*)`) \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE
        )
    )
    assert rows == {PREFIX + each.name: each.default for each in SETTINGS}


def test_what_is_not_given_holds():
    given = read_settings({})
    assert given["PORT"] == 8127
    assert given["DEMO"] is False
    assert given["DATA"].is_absolute()


@pytest.mark.parametrize(
    ("environ", "said"),
    [
        ({"GYREWRIGHT_PROT": "1"}, "GYREWRIGHT_PROT is no setting; did you mean GYREWRIGHT_PORT?"),
        ({"GYREWRIGHT_QQQQQQQQQQQQQ": "1"}, "GYREWRIGHT_QQQQQQQQQQQQQ is no setting; known: GYREWRIGHT_DATA"),
        ({"GYREWRIGHT_PORT": "80"}, "write a whole number from 1024 to 65535"),
        ({"GYREWRIGHT_PORT": "8127 "}, "GYREWRIGHT_PORT='8127 ' is not accepted"),
        ({"GYREWRIGHT_PORT": "٨١٢٧"}, "is not accepted"),
        ({"GYREWRIGHT_DEMO": "true"}, "write yes or no"),
        ({"GYREWRIGHT_DATA": "here"}, "write the whole path of a folder"),
        ({"GYREWRIGHT_DATA": ""}, "write the whole path of a folder"),
        ({"GYREWRIGHT_DATA": "/etc/passwd"}, "is a file"),
        ({"GYREWRIGHT_MAIL_HOST": "mail server"}, "write the name of the server"),
        ({"GYREWRIGHT_MAIL_SECURITY": "ssl"}, "write one of: starttls, tls, none"),
        ({"GYREWRIGHT_MAIL_FROM": "the desk"}, "write one address"),
        ({"GYREWRIGHT_MAIL_PORT": "0"}, "write a whole number from 1 to 65535"),
        ({"GYREWRIGHT_MAIL_PASSWORD_FILE": "secret"}, "write the whole path of a file"),
        ({"GYREWRIGHT_MAIL_USER": "a\nb"}, "write one line"),
    ],
)
def test_what_is_not_accepted_is_refused_by_name(environ, said):
    with pytest.raises(Refused, match=re.escape(said)):
        read_settings(environ)


MAIL = {"GYREWRIGHT_MAIL_HOST": "mail.example.org", "GYREWRIGHT_MAIL_FROM": "desk@example.org"}


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"GYREWRIGHT_MAIL_HOST": ""}, "GYREWRIGHT_MAIL_FROM is given and GYREWRIGHT_MAIL_HOST is not"),
        ({"GYREWRIGHT_MAIL_FROM": ""}, "write whose address mail comes from"),
        ({"GYREWRIGHT_MAIL_USER": "desk"}, "belong together"),
    ],
)
def test_mail_that_does_not_go_together_is_refused(changed, said):
    with pytest.raises(Refused, match=re.escape(said)):
        mail_of(read_settings(MAIL | changed))


def test_a_password_is_read_from_a_file_that_nobody_else_can_read_and_never_sent_in_the_open(tmp_path):
    secret = tmp_path / "secret"
    secret.write_text("opensesame\n")
    secret.chmod(0o644)
    environ = MAIL | {"GYREWRIGHT_MAIL_USER": "desk", "GYREWRIGHT_MAIL_PASSWORD_FILE": str(secret)}
    with pytest.raises(Refused, match="let its owner alone read it"):
        read_settings(environ)
    secret.chmod(0o600)
    assert mail_of(read_settings(environ)).password() == "opensesame"
    with pytest.raises(Refused, match="in the open"):
        mail_of(read_settings(environ | {"GYREWRIGHT_MAIL_SECURITY": "none"}))
    assert mail_of(read_settings({})) is None


def test_other_programs_settings_are_left_alone():
    assert read_settings({"PORT": "x", "GYRE": "y"})["PORT"] == 8127


def test_the_deployment_check_is_clean(book):
    call_command("check", deploy=True, fail_level="WARNING")


def test_models_and_migrations_agree(book):
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
