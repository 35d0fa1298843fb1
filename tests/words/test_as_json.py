"""The JSON form of an answer is the one that the shipped schema describes, whatever was asked."""

import json
import math
from copy import deepcopy
from functools import cache

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from gyrewright.finding import Verdict
from gyrewright.words.as_json import as_json, schema
from gyrewright.words.tell import tell
from kit.files import DEMO, demo, good_day, places, without

FLIGHTS = sorted(path.stem for path in (DEMO / "flights").glob("*.toml"))
SCHEMA = schema()
FINDING = Draft202012Validator(
    {"$ref": "#/$defs/finding", "$defs": SCHEMA["$defs"]}, format_checker=Draft202012Validator.FORMAT_CHECKER
)
VALIDATOR = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)


@cache
def asked(flight: str = "0630-sunde-halloran"):
    return told(demo(flight).answer())


def finding(data, id):
    (found,) = [each for each in data["findings"] if each["id"] == id]
    return found


def told(answer):
    data = as_json(tell(answer))
    # What programs read is text: it must survive being written and read.
    return json.loads(json.dumps(data, allow_nan=False))


def fits(data) -> None:
    """Check an answer against the schema. A finding that other answers have word for word is looked at once."""
    VALIDATOR.validate({**data, "findings": []})
    for each in data["findings"]:
        text = json.dumps(each)
        if text not in SEEN:
            FINDING.validate(each)
            SEEN.add(text)


SEEN: set[str] = set()


def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("flight", FLIGHTS)
def test_every_answer_of_the_demonstration_fits(flight):
    data = asked(flight)
    fits(data)
    assert data["demo"] is True
    assert data["verdict"] in [verdict.code for verdict in Verdict]


def test_the_keys_are_those_of_the_published_form():
    assert list(told(good_day().answer())) == [
        "schema",
        "demo",
        "computed_at",
        "valid_until",
        "verdict",
        "sentence",
        "findings",
        "cautions",
        "not_looked_at",
        "assumptions",
        "not_needed",
        "rules",
        "caution_text",
    ]


def flight_places():
    files = demo()
    skipped = ("kind", "operation", "aircraft", "asked_at", "title", "law")
    found = [place for place in places(files.data[files.flight]) if place[0] not in skipped and len(place) <= 2]
    return [place for place in found if all(isinstance(each, str) for each in place)]


@pytest.mark.parametrize("place", flight_places(), ids=lambda place: ".".join(str(each) for each in place))
def test_an_answer_with_any_fact_taken_away_fits(place):
    files = demo("0630-sunde-halloran", "dunlin")
    changed = files.with_data(files.flight, without(files.data[files.flight], place))
    if not changed.problems():
        fits(told(changed.answer()))


@pytest.mark.parametrize("change", [lambda data: data.update(more=1), lambda data: data.pop("demo")])
def test_the_schema_refuses_what_is_not_in_it_and_misses_what_is(change):
    data = deepcopy(asked())
    change(data)
    with pytest.raises(ValidationError):
        VALIDATOR.validate(data)


def test_a_finding_with_an_unknown_key_is_refused():
    data = deepcopy(asked())
    data["findings"][0]["color"] = "green"
    with pytest.raises(ValidationError):
        VALIDATOR.validate(data)


def test_every_object_of_the_schema_is_closed():
    def objects(node):
        if isinstance(node, dict):
            if node.get("type") == "object":
                yield node
            for each in node.values():
                yield from objects(each)
        elif isinstance(node, list):
            for each in node:
                yield from objects(each)

    found = list(objects(SCHEMA))
    assert len(found) > 10
    for each in found:
        assert each["additionalProperties"] is False
        assert sorted(each["required"]) == sorted(each["properties"])


def test_values_stand_in_the_unit_beside_them_unrounded():
    crosswind = finding(asked("1330-sunde-halloran"), "wind.crosswind")
    assert crosswind["unit"] == "kt"
    # 22 kt at 66 degrees to the runway, by hand.
    assert crosswind["value"] == pytest.approx(22 * math.sin(math.radians(66)), rel=1e-8)
    assert (crosswind["limit"], crosswind["verdict"]) == (15.0, "STOP")
    assert crosswind["margin"] == pytest.approx(15 - crosswind["value"], rel=1e-8)
    maker, house = crosswind["layers"]
    assert (maker["whose"], maker["demonstrated"], maker["passes"], maker["binds"]) == ("maker", True, False, False)
    assert (house["whose"], house["limit"], house["typed"], house["binds"]) == ("house", 15.0, "15 kt", True)


def test_inputs_carry_what_was_typed_and_how_old_it_was():
    climb = finding(asked("1330-sunde-halloran"), "performance.climb")
    (stick,) = [each for each in climb["inputs"] if each["fact"] == "fuel_stick_l"]
    assert (stick["typed"], stick["age_min"], stick["by"], stick["origin"]) == (
        "40 L",
        15.0,
        "Tobiah Sunde",
        "observed",
    )


def test_a_condition_names_its_owner_and_its_end():
    (condition,) = finding(asked("0900-okafor-lind-eklund"), "weather.observation_age")["conditions"]
    assert condition["owner"] == "Maren Okafor-Lind"
    assert condition["until"] == "2027-06-12T09:00:00-07:00"


def test_what_is_lacking_is_named_and_so_is_who_may_bring_it():
    files = demo()
    data = told(files.changed(files.flight, lambda flight: flight["fuel"].pop("stick")).answer())
    fuel = finding(data, "fuel.enough")
    assert fuel["verdict"] == "UNKNOWN"
    assert {"fact": "fuel_stick_l", "words": "the stick reading of the fuel"} in fuel["lacking"]
    assert fuel["who_may_cure"] == ["whoever stands at the aircraft"]
    assert (fuel["value"], fuel["margin"]) == (None, None)


def test_a_broken_limit_has_a_cure_and_somebody_who_may_carry_it_out():
    for flight in FLIGHTS:
        for each in asked(flight)["findings"]:
            if each["verdict"] == "STOP" and each["layers"]:
                assert each["cure"], each["id"]
                assert all(each["who_may_cure"]), each["id"]


def test_the_law_as_read_is_named_with_its_date():
    data = asked()
    (pack,) = data["rules"]
    assert (pack["pack"], pack["revision"]) == ("us", pack["read_on"])
    assert any(each["id"].startswith("rule.us.") for each in data["findings"])
