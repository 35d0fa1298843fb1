"""An owner's items beside those of the package: in their place, for their aircraft alone, or refused with a reason."""

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.inspection.lists import shipped_list
from gyrewright.inspection.own_items import with_own

OWN = """
kind = "list items"
list = "walk-round"
title = "Flight manual, section 4"
[[item]]
id = "K-1"
follows = "K08"
name = "Teeter damper"
how = ["touch"]
class = "G"
when = ["each flight"]
do = "Push the rod with one finger."
right = "It gives, and comes back."
wrong = "A rod that stays in."
why = "Without it the blades knock at low rotor speed."
page = "4-7"
"""


def lists():
    return shipped_list("walk-round"), shipped_list("start")


def ids(walk_list):
    return [item.id for item in walk_list.items]


def test_an_item_of_the_own_manual_stands_behind_the_one_it_follows_and_nothing_else_moves():
    walk_round, start = with_own(lists(), OWN, file="own.toml")
    shipped = ids(shipped_list("walk-round"))
    assert ids(walk_round) == [each for id in shipped for each in ([id, "K-1"] if id == "K08" else [id])]
    assert ids(start) == ids(shipped_list("start"))
    own = next(item for item in walk_round.items if item.id == "K-1")
    assert own.zone == "K"


def test_the_lists_of_the_package_stay_as_they_were():
    before = ids(shipped_list("walk-round"))
    with_own(lists(), OWN, file="own.toml")
    assert ids(shipped_list("walk-round")) == before


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (('follows = "K08"', 'follows = "Y08"'), "'Y08' is no item of the list"),
        (('id = "K-1"', 'id = "K08"'), "K08"),
        (('list = "walk-round"', 'list = "walk"'), "list"),
        (('class = "G"', 'class = "X"'), "class"),
        (('why = "Without it the blades knock at low rotor speed."\n', ""), "why"),
        (('page = "4-7"', 'page = "4-7"\npages = 2'), "pages"),
        (("[[item]]", "[[item"), "own.toml"),
    ],
)
def test_what_fits_nowhere_or_lacks_something_is_refused_with_file_and_key(change, says):
    with pytest.raises(DefinitionError, match=says) as caught:
        with_own(lists(), OWN.replace(*change), file="own.toml")
    assert str(caught.value.problems[0]).startswith("own.toml")
