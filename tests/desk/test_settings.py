from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.management import call_command

from gyrewright.desk.environ import PREFIX, SETTINGS, read_settings
from gyrewright.desk.refusal import Refused

PAGE = Path(__file__).parents[2] / "docs" / "settings.md"


def test_every_setting_is_documented_with_what_holds_where_nothing_is_given():
    rows = dict(re.findall(r"^\| `(GYREWRIGHT_\w+)` \| `([^`]*)` \|", PAGE.read_text(encoding="utf-8"), re.MULTILINE))
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
    ],
)
def test_what_is_not_accepted_is_refused_by_name(environ, said):
    with pytest.raises(Refused, match=re.escape(said)):
        read_settings(environ)


def test_other_programs_settings_are_left_alone():
    assert read_settings({"PORT": "x", "GYRE": "y"})["PORT"] == 8127


def test_the_deployment_check_is_clean(book):
    call_command("check", deploy=True, fail_level="WARNING")


def test_models_and_migrations_agree(book):
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
