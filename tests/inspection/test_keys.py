"""A reading of a walk-round is judged by the aircraft's own figures: every key it may name has a place there."""

from gyrewright.aircraft import definition
from gyrewright.inspection import keys


def test_every_figure_that_a_list_may_name_can_be_written_in_an_aircraft_file():
    assert keys.CARD.items() <= definition.CARD_NUMBERS.items()


def test_every_count_that_a_list_may_ask_can_be_written_in_an_aircraft_file():
    assert keys.COUNTS == definition.COUNTS
