"""What holds for every picture of every flight: well formed, inside its edges, no words on words, always the same."""

from dataclasses import replace

import pytest

from gyrewright.errors import UnknownName
from gyrewright.finding import Verdict
from gyrewright.pictures import limits as limits_module
from gyrewright.pictures.day import Row
from gyrewright.pictures.frame import View
from gyrewright.pictures.limits import limit, limits
from gyrewright.pictures.registry import PICTURES, picture_named
from gyrewright.pictures.ruler import is_broken
from gyrewright.pictures.speech import PLAIN, WORDS, Speech
from gyrewright.pictures.svg import BLUE, DESK, HAIRLINE, INK, PAPER, PHONE, RED, SOFT, WASH
from gyrewright.pictures.windows import windows_of
from gyrewright.release.decide import decide
from gyrewright.release.ways import Window
from pictures.measured import answered, moment, named, red, sound, told, words

FLIGHTS = (
    "0630-sunde-halloran",
    "0820-okafor-lind-castellane",
    "0900-okafor-lind-eklund",
    "1330-sunde-halloran",
    "1900-halloran-alone",
    "table-1330-dunlin-dual-16",
    "table-1330-sanderling-dual-16",
)
QUICK = tuple(name for name in PICTURES if name != "windows")
HOSTILE = '</text><script>alert("1")</script>&\u202e\x00' + "W" * 90


@pytest.mark.parametrize("width", [DESK, PHONE, 1100.0])
@pytest.mark.parametrize("name", QUICK)
@pytest.mark.parametrize("flight", FLIGHTS)
def test_every_picture_of_every_flight_is_sound(flight: str, name: str, width: float) -> None:
    picture = PICTURES[name](answered(flight), View(width=width))
    root = sound(picture)
    assert float(root.get("width", "0")) == width
    inks = {each.get(key) for each in root.iter() for key in ("fill", "stroke")} - {None, "none"}
    assert inks <= {PAPER, INK, SOFT, HAIRLINE, WASH, BLUE, RED}


@pytest.mark.parametrize("name", QUICK)
def test_a_picture_is_always_the_same_text(name: str) -> None:
    first = PICTURES[name](answered("1330-sunde-halloran"), View())
    again = PICTURES[name](decide(answered("1330-sunde-halloran").situation.question), View())
    assert first == again


@pytest.mark.parametrize("width", [DESK, PHONE])
def test_a_hostile_name_is_shown_as_it_is_and_breaks_nothing(width: float) -> None:
    question = answered("1330-sunde-halloran").situation.question
    definition = replace(question.definition, name=HOSTILE, id=HOSTILE)
    runways = tuple(replace(each, name=HOSTILE if each.name == "25" else each.name) for each in question.field.runways)
    flight = replace(question.flight, runway=replace(question.flight.runway, value=HOSTILE, typed=HOSTILE))
    answer = decide(
        replace(
            question,
            aircraft=replace(question.aircraft, definition=definition),
            field=replace(question.field, runways=runways),
            flight=flight,
        )
    )
    row = Row(HOSTILE, (Window(moment("14:00"), moment("15:00"), "", "wind.crosswind"),))
    view = View(width=width)
    for picture in (*(PICTURES[name](answer, view) for name in QUICK), windows_of(answer, (row,), view)):
        root = sound(picture)
        assert "<script" not in picture
        assert 'alert("1")</script>&\ufffd\ufffd' in "".join(words(root)).replace(" ", "")


def test_words_of_a_caller_take_the_place_of_the_plain_ones() -> None:
    speech = Speech(
        words={"arm axis": "centre of gravity, {unit}"}, question=lambda finding: "Eh?", name=lambda _: "it"
    )
    picture = PICTURES["loading"](answered("0630-sunde-halloran"), View(speech=speech))
    assert "centre of gravity, mm" in words(sound(picture))
    assert "Eh?" in told(sound(limits(answered("0630-sunde-halloran"), View(speech=speech))))


def test_every_plain_text_can_be_filled_and_none_says_go() -> None:
    for key, text in WORDS.items():
        assert text
        if key != "mark GO_IF":
            assert not {"GO", "go"} & set(text.replace(",", " ").split())


def test_a_picture_can_be_had_without_its_heading_where_a_page_has_one() -> None:
    bare = sound(PICTURES["loading"](answered("0630-sunde-halloran"), View(heading=False)))
    assert "Loading, whole flight" not in told(bare)
    assert "Demonstration" in (bare[0].text or "")


def test_the_heading_says_which_flight_when_asked_and_that_it_is_invented() -> None:
    said = told(sound(PICTURES["distance"](answered("0630-sunde-halloran"), View())))
    assert "Dunlin N0-101D, runway 25, 12 June 2027 06:30. Asked 12 June 2027 06:16. Demonstration:" in said


def test_pictures_are_asked_for_by_name_and_a_wrong_name_is_answered_with_the_right_ones() -> None:
    assert set(PICTURES) == {"loading", "windows", "limits", "distance", "wind"}
    assert picture_named("wind") is PICTURES["wind"]
    with pytest.raises(UnknownName, match="limits, loading, windows, distance, wind"):
        picture_named("gauges")


# --- all limits -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("flight", FLIGHTS)
def test_there_is_a_ruler_for_every_finding_with_limits_worst_first(flight: str) -> None:
    answer = answered(flight)
    root = sound(limits(answer))
    with_layers = [each for each in answer.findings if each.layers]
    assert len(named(root, "g", "ruler")) == len(with_layers)
    marks = words(root, "mark")
    assert marks == [PLAIN.say(f"mark {each.name}") for each in (answer.verdict, *(one.verdict for one in with_layers))]


@pytest.mark.parametrize("flight", FLIGHTS)
def test_red_is_what_the_answer_finds_beyond_a_limit(flight: str) -> None:
    answer = answered(flight)
    root = sound(limits(answer))
    broken = [each for each in answer.findings if any(is_broken(layer) for layer in each.layers)]
    assert len(named(root, "rect", "beyond")) + len(named(root, "rect", "missing")) >= len(broken)
    if not broken:
        assert set(red(root)) <= {"stop"}


def test_what_stands_against_the_flight_without_a_number_is_named_before_all_rulers() -> None:
    answer = answered("1900-halloran-alone")
    assert answer.verdict is Verdict.UNKNOWN
    root = sound(limits(answer))
    ys = {each.text: float(each.get("y", "0")) for each in named(root, "text")}
    (line,) = [each for each in ys if each and each.startswith("UNKNOWN: ")]
    first_value = min(float(each.get("y", "0")) for each in named(root, "text", "value"))
    assert ys[line] < first_value


def test_one_finding_can_be_drawn_alone() -> None:
    answer = answered("1330-sunde-halloran")
    root = sound(limit(answer, answer.findings[0]))
    assert len(named(root, "g", "ruler")) == 1
    assert "20.1 kt" in words(root)


def test_the_description_says_all_that_the_rulers_say() -> None:
    desc = sound(limits(answered("1330-sunde-halloran")))[1].text or ""
    asked = [PLAIN.question(each) for each in answered("1330-sunde-halloran").findings if each.layers]
    assert [desc.index(each) for each in asked[:3]] == sorted(desc.index(each) for each in asked[:3])
    assert "STOP: Wind: crosswind 20.1\u00a0kt; 5.1\u00a0kt too much;" in desc
    assert limits_module.limits is limits
