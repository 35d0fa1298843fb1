"""The loading picture: the points where the sheet says they are, the curve as it is, red only what is not allowed."""

import re
from dataclasses import replace
from typing import Any

import pytest

from gyrewright.aircraft.envelope import from_sides, limits_at
from gyrewright.errors import OutOfRange
from gyrewright.fact import Doubt
from gyrewright.finding import Limit, Sense, Whose
from gyrewright.pictures.burn import corners, way_of
from gyrewright.pictures.frame import View
from gyrewright.pictures.loading import loading
from gyrewright.pictures.svg import PHONE, RED
from gyrewright.release import choices
from gyrewright.release.answer import Answer
from gyrewright.release.decide import decide
from gyrewright.release.question import Question
from pictures.measured import answered, at, named, points, red, sound, told, words

FLIGHT = "0630-sunde-halloran"


def asked() -> Question:
    return answered(FLIGHT).situation.question


def with_definition(**changes: Any) -> Answer:
    question = asked()
    definition = replace(question.definition, **changes)
    return decide(replace(question, aircraft=replace(question.aircraft, definition=definition)))


def scales(root: Any) -> tuple[Any, Any]:
    """Return what turns a place on the paper into a mass and an arm, read off the axes alone."""
    texts = [each for each in named(root, "text") if re.fullmatch(r"\d+", each.text or "")]
    masses = [
        (at(each, "y") - 14.0 * 0.35, float(each.text or "")) for each in texts if each.get("text-anchor") == "end"
    ]
    arms = [(at(each, "x"), float(each.text or "")) for each in texts if each.get("text-anchor") == "middle"]

    def line_of(pairs: list[tuple[float, float]]) -> Any:
        (x1, v1), (x2, v2) = pairs[0], pairs[-1]
        return lambda place: v1 + (place - x1) * (v2 - v1) / (x2 - x1)

    return line_of(masses), line_of(arms)


@pytest.mark.parametrize("width", [760.0, PHONE])
def test_both_points_are_where_the_axes_say_their_mass_and_arm_are(width: float) -> None:
    answer = answered(FLIGHT)
    root = sound(loading(answer, View(width=width)))
    mass_kg, arm_mm = scales(root)
    path = answer.situation.sheet.value("cg_path")
    end, take_off = named(root, "circle", "point")
    assert mass_kg(at(take_off, "cy")) == pytest.approx(float(path.take_off_mass_kg), abs=0.3)
    assert arm_mm(at(take_off, "cx")) == pytest.approx(float(path.take_off_cg_m) * 1000.0, abs=0.3)
    assert mass_kg(at(end, "cy")) == pytest.approx(float(path.end_mass_kg), abs=0.3)
    assert arm_mm(at(end, "cx")) == pytest.approx(float(path.end_cg_m) * 1000.0, abs=0.3)


def test_the_envelope_has_the_corners_of_the_manual() -> None:
    root = sound(loading(answered(FLIGHT)))
    mass_kg, arm_mm = scales(root)
    (edge,) = named(root, "polygon", "envelope")
    drawn = [(round(mass_kg(y)), round(arm_mm(x))) for x, y in points(edge)]
    assert drawn == [(340, 2082), (500, 2082), (500, 2202), (340, 2202)]


def test_take_off_is_filled_and_the_end_open_and_nothing_is_red_where_all_is_allowed() -> None:
    root = sound(loading(answered(FLIGHT)))
    end, take_off = named(root, "circle", "point")
    assert take_off.get("fill") == take_off.get("stroke")
    assert end.get("fill") != end.get("stroke")
    assert red(root) == []
    assert "take-off 476.8 kg at 2132 mm" in told(root)
    assert "no usable fuel 448 kg at 2131 mm" in told(root)


def test_the_axes_are_named_with_their_unit() -> None:
    said = words(sound(loading(answered(FLIGHT))))
    assert "mass, kg" in said
    assert "center of gravity aft of datum, mm" in said


def test_the_way_is_the_curve_on_which_fuel_is_taken_off_at_its_arm() -> None:
    answer = answered(FLIGHT)
    envelope = answer.situation.question.definition.envelope.value
    way = way_of(answer, envelope)
    assert way is not None
    sheet = answer.situation.sheet
    for mass_kg, cg_m in way.points:
        moment = sheet.value("zero_fuel_moment_kg_m")
        moment += (mass_kg - sheet.value("zero_fuel_mass_kg")) * sheet.value("fuel_arm_m")
        assert cg_m == pytest.approx(moment / mass_kg, abs=1e-12)
    assert all(way.inside)
    # Bent, if only a little: the middle of the way is not on the straight line between its ends.
    (first_kg, first_m), (last_kg, last_m) = way.points[0], way.points[-1]
    middle_kg, middle_m = way.points[len(way.points) // 2]
    straight_m = first_m + (middle_kg - first_kg) * (last_m - first_m) / (last_kg - first_kg)
    assert abs(middle_m - straight_m) > 1e-6


def test_a_loading_above_the_mass_limit_is_red_from_the_limit_up_and_says_so() -> None:
    limit = Limit("take-off mass", Whose.HOUSE, Sense.AT_MOST, 460.0, "460 kg", verified_by="somebody")
    question = asked()
    operation = replace(question.operation, limits=(*question.operation.limits, limit))
    root = sound(loading(decide(replace(question, operation=operation))))
    mass_kg, _ = scales(root)
    (beyond,) = named(root, "polyline", "way beyond")
    assert beyond.get("stroke") == RED
    assert sorted(round(mass_kg(y), 0) for _, y in points(beyond))[0] == pytest.approx(460.0, abs=0.5)
    assert sorted(mass_kg(y) for _, y in points(beyond))[-1] == pytest.approx(476.8, abs=0.3)
    (allowed,) = named(root, "polyline", "way")
    assert sorted(mass_kg(y) for _, y in points(allowed))[-1] == pytest.approx(460.0, abs=0.5)
    (edge,) = named(root, "line", "mass-limit")
    assert mass_kg(at(edge, "y1")) == pytest.approx(460.0, abs=0.3)
    (washed,) = named(root, "polygon", "allowed")
    assert max(mass_kg(y) for _, y in points(washed)) == pytest.approx(460.0, abs=0.3)
    assert "take-off 476.8 kg at 2132 mm, beyond the limit" in told(root)
    assert "no usable fuel 448 kg at 2131 mm" in told(root)


def test_a_limit_crossed_on_the_way_is_red_from_the_crossing_to_the_mass_point() -> None:
    question = asked()
    path = answered(FLIGHT).situation.sheet.value("cg_path")
    edge_m = (float(path.take_off_cg_m) + float(path.end_cg_m)) / 2.0
    envelope, problems = from_sides(forward=[(340.0, edge_m), (500.0, edge_m)], aft=[(340.0, 2.202), (500.0, 2.202)])
    assert not problems
    answer = with_definition(envelope=replace(question.definition.envelope, value=envelope))
    assert envelope is not None
    way = way_of(answer, envelope)
    assert way is not None
    assert [way.inside[0], way.inside[-1]] == [True, False]
    crossing = next(cg for (_, cg), inside in zip(way.points, way.inside, strict=True) if not inside)
    assert crossing == pytest.approx(edge_m, abs=1e-7)
    root = sound(loading(answer))
    _, arm_mm = scales(root)
    (beyond,) = named(root, "polyline", "way beyond")
    assert max(arm_mm(x) for x, _ in points(beyond)) == pytest.approx(edge_m * 1000.0, abs=0.2)
    end, take_off = named(root, "circle", "point")
    assert (take_off.get("stroke") == RED, end.get("stroke") == RED) == (False, True)


def test_no_finding_of_the_check_is_missed_by_the_picture() -> None:
    """Over many fuels and both envelopes, the way is red somewhere exactly where the check finds it outside."""
    for flight in (FLIGHT, "1900-halloran-alone"):
        question = answered(flight).situation.question
        envelope = question.definition.envelope.value
        moved_by = {}
        for shift in (-0.06, -0.03, 0.0, 0.03, 0.06):
            sides = [
                [(mass, arm + shift) for mass, arm in zip(side.masses_kg, side.arms_m, strict=True)]
                for side in (envelope.forward, envelope.aft)
            ]
            moved_by[shift], _ = from_sides(forward=sides[0], aft=sides[1])
        seen = set()
        for moved in moved_by.values():
            for fuel_l in (5.0, 20.0, 38.0):
                definition = replace(question.definition, envelope=replace(question.definition.envelope, value=moved))
                changed = replace(question, aircraft=replace(question.aircraft, definition=definition))
                answer = decide(choices.with_fuel(changed, fuel_l))
                path = answer.situation.sheet.value("cg_path")
                assert moved is not None
                way = way_of(answer, moved)
                assert way is not None
                allowed = bool(path.forward_ok and path.aft_ok and path.covered)
                assert all(way.inside) == allowed
                seen.add(allowed)
        assert seen == {True, False}


@pytest.mark.parametrize("side", ["forward", "aft"])
def test_a_way_out_between_two_samples_is_not_missed(side: str) -> None:
    """The limit has a notch a tenth of a kilogram wide that reaches just over the way."""
    question = asked()
    way = way_of(answered(FLIGHT), question.definition.envelope.value)
    assert way is not None
    (low_kg, low_m), (high_kg, high_m) = sorted(way.points[20:22])
    notch_kg, notch_m = (low_kg + high_kg) / 2.0, (low_m + high_m) / 2.0
    shapes = {"forward": [(340.0, 2.082), (500.0, 2.082)], "aft": [(340.0, 2.202), (500.0, 2.202)]}
    arm = shapes[side][0][1]
    over = 1e-4 if side == "forward" else -1e-4
    notch = [(notch_kg - 0.05, arm), (notch_kg, notch_m + over), (notch_kg + 0.05, arm)]
    shapes[side] = [shapes[side][0], *notch, shapes[side][1]]
    envelope, problems = from_sides(forward=shapes["forward"], aft=shapes["aft"])
    assert envelope is not None, problems
    answer = with_definition(envelope=replace(question.definition.envelope, value=envelope))
    found = way_of(answer, envelope)
    assert found is not None
    assert not all(found.inside)
    assert len(named(sound(loading(answer)), "polyline", "way beyond")) == 1


def test_another_loading_is_drawn_open_and_dashed_beside_this_one() -> None:
    other = decide(choices.with_fuel(asked(), 15.0))
    root = sound(loading(answered(FLIGHT), View(instead=other)))
    assert len(named(root, "circle", "point")) == 4
    assert sum(each.get("fill") == each.get("stroke") for each in named(root, "circle", "point")) == 1
    dashed = [each for each in named(root, "polyline", "way") if each.get("stroke-dasharray")]
    assert len(dashed) == 1
    assert "instead 458.8 kg" in told(root)


def test_another_aircraft_is_no_alternative_on_the_same_envelope() -> None:
    with pytest.raises(OutOfRange, match="N0-303S, this one of N0-101D"):
        loading(answered(FLIGHT), View(instead=answered("1900-halloran-alone")))


def test_a_mass_that_is_not_known_leaves_the_envelope_empty_and_is_named() -> None:
    question = asked()
    nobody = replace(question.people["sunde"].mass, value=None, doubt=Doubt.MISSING)
    people = {**question.people, "sunde": replace(question.people["sunde"], mass=nobody)}
    root = sound(loading(decide(replace(question, people=people))))
    assert named(root, "circle", "point") == []
    assert named(root, "polyline") == []
    assert "Not known: load kg:front." in told(root)
    assert red(root) == []


def test_an_aircraft_without_arms_is_told_in_words() -> None:
    without = replace(asked().definition.envelope, value=None, doubt=Doubt.MISSING)
    hanging = sound(loading(with_definition(envelope=without, no_arms="the manual prints none")))
    assert "hang test" in told(hanging)
    assert "No envelope is known" in told(sound(loading(with_definition(envelope=without))))


def test_pounds_and_inches_are_drawn_where_the_operation_prefers_them() -> None:
    question = asked()
    operation = replace(question.operation, units=(("mass", "lb"), ("arm", "in")))
    root = sound(loading(decide(replace(question, operation=operation))))
    assert "mass, lb" in words(root)
    assert "center of gravity aft of datum, in" in words(root)
    assert "1051 lb at 83.95 in" in told(root)
    mass_lb, arm_in = scales(root)
    _, take_off = named(root, "circle", "point")
    assert mass_lb(at(take_off, "cy")) == pytest.approx(476.8 / 0.45359237, abs=0.7)
    assert arm_in(at(take_off, "cx")) == pytest.approx(2132.22 / 25.4, abs=0.02)


def test_the_corners_up_to_a_mass_follow_both_sides() -> None:
    envelope, _ = from_sides(forward=[(300.0, 2.0), (500.0, 2.1)], aft=[(300.0, 2.2), (400.0, 2.3), (500.0, 2.25)])
    assert envelope is not None
    assert corners(envelope, 450.0) == [
        (300.0, 2.0),
        (450.0, float(limits_at(envelope, 450.0)[0])),
        (450.0, float(limits_at(envelope, 450.0)[1])),
        (400.0, 2.3),
        (300.0, 2.2),
    ]
