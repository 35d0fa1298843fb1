"""A05: a walk-round is interrupted by the fuel truck. What the phone shows is proved with the walk-round's page."""

from dataclasses import replace

import pytest

from gyrewright.finding import Verdict
from scenarios.fixture import Flight, all_against, answer, finding

BOOKS = "g1-records.toml"
DONE = "began_at = AGO_33min\nended_at = AGO_20min\ncomplete = true\n"
FLIGHT = Flight()
EVERYTHING = ", ".join(f'"R{number:02}"' for number in range(1, 24))


def interrupted(on="touched by another", minutes=4, restarted="walk", zone="5", complete=True):
    """Return the walk of the day with an interruption, as its record tells it."""
    ended = "ended_at = AGO_20min\ncomplete = true\n" if complete else "complete = false\n"
    away = (
        f'interruption = [{{ on = "{on}", from = AGO_29min, to = AGO_{29 - minutes}min, zone = "{zone}", '
        f'restarted = "{restarted}" }}]\n'
    )
    return (BOOKS, DONE, f"began_at = AGO_33min\n{ended}{away}")


def walked(*edits, **changes):
    return answer(replace(FLIGHT, edits=edits, **changes))


def test_until_the_walk_round_is_done_nobody_knows():
    asked = walked(interrupted(complete=False))
    assert asked.verdict is Verdict.UNKNOWN
    assert finding(asked, "inspection.walk").why == "unfinished"
    assert "rule.us.91.7" in all_against(asked)


def test_a_touch_by_another_restarts_the_whole_walk():
    assert walked(interrupted(restarted="zone")).verdict is Verdict.UNKNOWN
    assert finding(walked(interrupted(restarted="zone")), "inspection.walk").why == "interrupted"
    assert walked(interrupted(restarted="walk")).verdict is Verdict.GO


def test_without_a_touch_the_zone_is_enough():
    assert walked(interrupted(on="away", restarted="zone")).verdict is Verdict.GO
    assert walked(interrupted(on="away", restarted="stand")).verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(("minutes", "restarted", "verdict"), [(0, "nothing", "GO"), (1, "nothing", "UNKNOWN")])
def test_a_minute_away_is_where_the_zone_begins_again(minutes, restarted, verdict):
    assert walked(interrupted(on="away", minutes=minutes, restarted=restarted)).verdict.code == verdict


def test_half_an_hour_away_restarts_everything():
    def away(minutes, restarted):
        walk = DONE.replace("AGO_33min", "AGO_120min")
        more = (
            f'interruption = [{{ on = "away", from = AGO_100min, to = AGO_{100 - minutes}min, zone = "2", '
            f'restarted = "{restarted}" }}]\n'
        )
        return walked((BOOKS, DONE, walk + more))

    assert away(29, "zone").verdict is Verdict.GO
    assert away(30, "zone").verdict is Verdict.UNKNOWN
    assert away(30, "walk").verdict is Verdict.GO


@pytest.mark.parametrize("number", range(1, 24))
def test_each_thing_of_the_restore_list_is_put_back_by_touch_before_nothing_stands_against_it(number):
    item = f"R{number:02}"
    left = EVERYTHING.replace(f'"{item}", ', "").replace(f', "{item}"', "")
    asked = walked((BOOKS, EVERYTHING, left))
    assert asked.verdict is Verdict.UNKNOWN
    restore = finding(asked, "inspection.restore")
    assert restore.params["items"] == (item,)
    assert restore.lacking == (f"restored:{item}",)


@pytest.mark.parametrize("what", ["engine stopped", "brake set", "lock put back", "left and came back", "refueled"])
def test_the_restore_list_begins_again_after_what_undoes_it(what):
    undone = walked((BOOKS, "touch = []", f'touch = [{{ what = "{what}", at = AGO_10min }}]'))
    assert all_against(undone) >= {"inspection.restore"}
    assert undone.verdict is Verdict.UNKNOWN


def test_a_touch_after_the_walk_ends_it():
    touched = walked((BOOKS, "touch = []", 'touch = [{ what = "touched by another", at = AGO_10min, by = "M2" }]'))
    assert finding(touched, "inspection.walk").why == "ended"
    assert touched.verdict is Verdict.UNKNOWN
