"""What is wrong in law, books and papers is refused with one clear line: the file, the place, the cure."""

from datetime import datetime

import pytest

from gyrewright.errors import DefinitionError
from gyrewright.release.files import check_files
from gyrewright.rules.pack import packaged, read_pack
from scenarios.fixture import HERE, Flight, filled, question

BOOKS, PEOPLE, PROGRAM, HOUSE = "g1-records.toml", "people.toml", "g1-program.toml", "operation.toml"
S5 = 'mass = { value = "55 kg"'
SOLO_OF_S2 = """given_by = "I1"
given_on = DAY_AGO_22
rests_on = DAY_AGO_22
valid_days = 90
text = "Solo in G1, circuits at H1, with I1 there\""""
CLOSED_EARLY = (
    'defect = [{ id = "D-1", item = "radio", at = AGO_2d, by = "S1", '
    'act = [{ kind = "closed", at = AGO_3d, by = "M1" }] }]'
)
CLEARED_EARLY = (
    'event = [{ id = "E-1", kind = "hard landing", at = AGO_2d, by = "S1", '
    'cleared = [{ at = AGO_3d, inspection = "event inspection", signed_by = "M1", found = "good" }] }]'
)
TWO_MARKS = 'shows = "1250.0 h"\nby = "I1"\n[[meter.reading]]\nat = AGO_2h\nshows = "1240.0 h"\nby = "I1"\n'

# file, what stands there, what is written instead, and the one line: its place and some of its words
BAD = [
    (PEOPLE, SOLO_OF_S2, SOLO_OF_S2.replace("I1", "X9", 1), "person[S2].endorsement[solo].given_by", "'X9' is nobody"),
    (PEOPLE, SOLO_OF_S2, SOLO_OF_S2.replace("I1", "S2", 1), "person[S2].endorsement[solo].given_by", "cannot endorse"),
    (
        PEOPLE,
        SOLO_OF_S2,
        SOLO_OF_S2.replace("rests_on = DAY_AGO_22", "rests_on = DAY_AGO_21"),
        "person[S2].endorsement[solo].rests_on",
        "training comes first",
    ),
    (BOOKS, 'shows = "1250.0 h"\nby = "I1"\n', TWO_MARKS, "meter[tachometer].reading", "runs backwards: 1240.0 h"),
    (BOOKS, 'at = { tachometer = "1184.0 h" }', 'at = "1184.0 h"', "done[100h].at", "does not say which meter"),
    (
        BOOKS,
        'at = { tachometer = "1184.0 h" }',
        'at = { tacho = "1 h" }',
        "done[100h].at",
        "use one of: hour meter, tach",
    ),
    (BOOKS, 'meter = "hour meter"\nmeter_at', "meter_at", "part[RB-G1].fit[G1].meter", "hours without a meter's name"),
    (PROGRAM, 'meter = "tachometer"\n', "", "task[100h].clock[1].every", "does not say which meter"),
    (BOOKS, "defect = []", CLOSED_EARLY, "defect[D-1].act[closed].at", "was closed on"),
    (BOOKS, "event = []", CLEARED_EARLY, "event[E-1].cleared[event inspection].at", "was cleared before it happened"),
    (BOOKS, 'aircraft = "G1"\nd', 'aircraft = "G2"\nd', "aircraft", "'G2' is not 'G1', whose file names these records"),
    (BOOKS, "directives_read_on", "directive_read_on", "directive_read_on", "did you mean 'directives_read_on'?"),
    (BOOKS, "ended_at = AGO_20min", "ended_at = AGO_40min", "walk[G1-TODAY].ended_at", "is before it began"),
    (BOOKS, "expires_on = 2030-01-31", 'expires_on = "soon"', "paper[registration].expires_on", "is not a date"),
    (PEOPLE, 'id = "F1"\nname', 'id = "P1"\nname', "person[P1].id", "is given twice"),
    (PEOPLE, "fitness_at = AGO_60min\n", "", "person[I1].today.fitness_at", "is missing"),
    (HOUSE, 'at_least = "30 min"', 'at_least = "15 min"', "limit[reserve]", "is laxer than the law, at least 20 min"),
    (
        HOUSE,
        'rules = "us"',
        'rules = "nowhere"',
        "rules",
        "'nowhere' is no rule pack that ships; use one of: us, velmark",
    ),
    (HOUSE, 'fitness = "12 h"', 'fitnes = "12 h"', "house.people.fitnes", "did you mean 'fitness'?"),
    (HOUSE, 'fitness = "12 h"', 'fitness = "12"', "house.people.fitness", "has no unit"),
    (HOUSE, "repeat_days = 60\n", "", "house.maintenance.repeat_times", "belong together"),
    (HOUSE, "training_is_paid = true", 'training_is_paid = "yes"', "law.training_is_paid", "is not true or false"),
    ("g1.toml", 'aircraft_vh = "85 kt"', 'aircraft_vh = "85 kg"', "law.aircraft_vh", "kg"),
    ("g1.toml", "aircraft_seats", "aircraft_seat", "law.aircraft_seat", "did you mean 'aircraft_seats'?"),
]


def lines(*edits):
    """Return the lines with which the good day is refused once its files are edited."""
    try:
        question(Flight(edits=edits))
    except DefinitionError as error:
        return [str(problem) for problem in error.problems]
    return []


@pytest.mark.parametrize(("path", "old", "new", "place", "words"), BAD, ids=[f"{each[3]}: {each[4]}" for each in BAD])
def test_one_clear_line_says_where_and_what(path, old, new, place, words):
    # Only the first place where it stands is changed.
    if path == PEOPLE and old.startswith("fitness_at"):
        old, new = (
            'fitness = "fit"\n' + old + 'slept = "7.5 h"\nlessons = 0\n\n[person.declared]\nsober',
            ('fitness = "fit"\nslept = "7.5 h"\nlessons = 0\n\n[person.declared]\nsober'),
        )
    found = lines((path, old, new))
    mine = [line for line in found if f"{path}: {place}: " in line]
    assert mine
    assert all(words in line for line in mine), found
    assert len(set(found)) == len(found)


def test_several_problems_come_together():
    found = lines((BOOKS, "defect = []", CLOSED_EARLY), (BOOKS, "event = []", CLEARED_EARLY))
    assert len(found) == 2


def test_a_file_alone_is_checked_the_same_way():
    asked = datetime.fromisoformat(Flight().asked_at)

    def fetch(path):
        return filled((HERE / path).read_text().replace("defect = []", CLOSED_EARLY), asked)

    with pytest.raises(DefinitionError, match="before it was reported"):
        check_files([BOOKS], fetch)


# --- the law itself, as an operation that names it would meet it ---

TEXT = """
[[rule.value]]
from = 2024-12-02
until = 2025-12-31
certainty = "A"
ref = "somewhere"
doc = "eCFR title 14, a rendering of 29 September 2026"
dated = 2026-09-29
read_on = 2026-11-25
months = 12

[[rule.value]]
from = 2026-02-01
certainty = "A"
ref = "somewhere"
doc = "eCFR title 14, a rendering of 29 September 2026"
dated = 2026-09-29
read_on = 2026-11-25
months = 24
"""


def law_with(text):
    """Return the files of the law with the pack's age rule given other texts."""
    shipped = dict(packaged("us"))
    rule = shipped["pack-age.toml"]
    return {**shipped, "pack-age.toml": rule[: rule.index("[[rule.value]]")] + text}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (TEXT, "has a hole after 2025-12-31, until 2026-02-01"),
        (TEXT.replace("until = 2025-12-31", "until = 2026-03-01"), "has two texts in force at once"),
        (TEXT.replace("from = 2026-02-01", "from = 2024-12-02"), "has two texts in force at once"),
    ],
)
def test_a_law_with_a_hole_or_with_two_texts_at_once_is_refused_whole(text, words):
    with pytest.raises(DefinitionError) as refused:
        read_pack(law_with(text))
    (line,) = map(str, refused.value.problems)
    assert line.startswith("pack-age.toml: rule[")
    assert words in line
