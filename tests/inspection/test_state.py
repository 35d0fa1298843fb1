"""Walk-rounds as facts of a flight: whether one holds, what was found, what is still on or not yet off."""

from __future__ import annotations

import tomllib
from datetime import datetime, timedelta, timezone
from importlib.resources import files
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.errors import DefinitionError
from gyrewright.fact import Fact
from gyrewright.finding import Finding, Verdict
from gyrewright.inspection import state
from gyrewright.inspection.lists import shipped_lists
from gyrewright.reading import Problems, section_of
from gyrewright.words.catalogue import template

ZONE = timezone(timedelta(hours=-7))

RULES = """
full = ["first of the day"]
restore_reset_by = ["engine stopped", "brake set", "left and came back"]
pace_share = "50 %"
pace_walks = 5
same_readings = 3
[[needed]]
name = "first of the day"
counts = ["first of the day"]
holds = "day"
whose = "entitled"
takes = "30 min"
ended_by = ["moved", "work", "event"]
[[needed]]
name = "each flight"
counts = ["each flight", "first of the day"]
holds = "2 h"
whose = "commander"
spots = 2
takes = "15 min"
ended_by = ["flown", "refueled", "touched by another", "work", "event"]
[[restart]]
on = "away"
from = "60 s"
restarts = "zone"
[[restart]]
on = "away"
from = "30 min"
restarts = "walk"
[[restart]]
on = "touched by another"
restarts = "walk"
"""

ENTITLED = {"walk round": frozenset({"I1", "I2", "M1"}), "assess a defect": frozenset({"M1"})}
WORDS = {
    name: {key: template(text) for key, text in table.items()}
    for name, table in tomllib.loads(
        (files("gyrewright.words") / "en-US" / "inspection.toml").read_text(encoding="utf-8")
    ).items()
}


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


def walk(
    id="w1", kind="first of the day", by=("I1",), began="07:20", ended="07:50", day="2027-06-12", more="", complete=True
):
    end = f"ended_at = {day}T{ended}:00-07:00\n" if ended else ""
    names = ", ".join(f'"{one}"' for one in by)
    return (
        f'[[walk]]\nid = "{id}"\nkind = "{kind}"\nby = [{names}]\nbegan_at = {day}T{began}:00-07:00\n{end}'
        f"complete = {str(complete).lower()}\n{more}"
    )


def answer(item="K08", said="not", class_="G", **more):
    lines = ["[[walk.answer]]", f'item = "{item}"', f'answer = "{said}"', 'words = "nick"']
    lines += [f'class = "{class_}"'] if class_ else []
    lines += [f"{key} = {value}" for key, value in more.items()]
    return "\n".join(lines) + "\n"


def read(books, rules=RULES):
    problems = Problems()
    top = section_of(books, file="books.toml", problems=problems)
    book = state.read_walks(top)
    top.finish()
    made = state.read_walk_rules(section_of(rules, file="house.toml", problems=problems))
    problems.stop_if_any()
    return book, made


LISTS = "marker = []\ntouch = []\nphone = []\n"


def ask(books, rules=RULES, without=(), restore=(), **given):
    text = books if "[[touch]]" in books else "touch = []\n" + books
    text = text if "[[marker]]" in text else "marker = []\n" + text
    text = text if "[[phone]]" in text else "phone = []\n" + text
    book, made = read(text, rules)
    plan = {
        "asked_at": at("2027-06-12T08:00"),
        "depart_at": at("2027-06-12T08:10"),
        "commander": "I1",
        "purpose": "instruction",
        "aboard_count": 2,
        "entitled": ENTITLED,
        "defects": (),
        "work_done": (),
        "event_locks": (),
        "sunrise_at": at("2027-06-12T05:20"),
        "sunset_at": at("2027-06-12T20:44"),
    } | given
    plan.setdefault("flight_on", plan["depart_at"].date())
    plan.setdefault("land_at", plan["depart_at"] + timedelta(hours=1))
    facts = state.facts(book, made, restore_items=restore, where="books.toml") | {
        name: Fact(name, value) for name, value in plan.items()
    }
    findings = []
    for check in state.CHECKS:
        lacking = [name for name in check.inputs if name in without or not facts[name].is_known]
        if lacking:
            findings.append(Finding(check.id, Verdict.UNKNOWN, "unknown", lacking=tuple(lacking)))
            continue
        found = check.judge(*(facts[name].value for name in check.inputs))
        findings.extend(found if isinstance(found, tuple) else [] if found is None else [found])
    for one in findings:
        if one.why == "unknown":
            continue
        assert WORDS[one.id][one.why].names <= {*one.params, "lacking"}, one
        for table, things in (("condition", one.conditions), ("cure", one.cures)):
            for thing in things:
                assert WORDS[table][thing.id].names <= thing.params.keys(), thing
        for name in one.lacking:
            assert name in WORDS["fact"] or name.split(":")[0] + ":" in WORDS["fact"], name
    return findings


def worst(findings):
    return max(one.verdict for one in findings)


def of(findings, id, about=""):
    return [one for one in findings if one.id == id and (not about or one.about == about)]


def whys(findings):
    return [of(findings, "inspection.walk", name)[0].why for name in ("each flight", "first of the day")]


def refused(findings):
    return {(one.id, one.about, one.why) for one in findings if one.verdict >= Verdict.UNKNOWN}


def test_a_finished_walk_by_the_commander_has_nothing_against_it():
    findings = ask(walk())
    assert worst(findings) is Verdict.GO, refused(findings)
    (each,) = of(findings, "inspection.walk", "each flight")
    assert each.holds_until == at("2027-06-12T09:50")


@pytest.mark.parametrize("name", ["walks", "touches", "markers", "phones", "walk_rules", "restore_items"])
def test_every_list_is_asked_for(name):
    assert worst(ask(walk(), without=(name,))) is Verdict.UNKNOWN
    assert not state.facts(None, None, restore_items=None)[name].is_known


def test_a_list_that_the_file_does_not_have_is_missing_and_an_empty_one_is_not():
    book, rules = read("walk = []\ntouch = []\n")
    facts = state.facts(book, rules, restore_items=())
    assert [facts[name].is_known for name in ("walks", "touches", "markers")] == [True, True, False]


# --- whether it holds ---


@pytest.mark.parametrize(
    ("books", "each", "daily"),
    [
        ("walk = []\n", "none", "none"),
        (walk(complete=False), "unfinished", "unfinished"),
        (walk(ended=""), "unfinished", "unfinished"),
        (walk(ended="08:05"), "unfinished", "unfinished"),
        (walk(day="2027-06-11"), "old", "old"),
        (walk(began="05:30", ended="06:09"), "old", "go"),
        (walk(began="05:30", ended="06:10"), "go", "go"),
        (walk(kind="each flight"), "go", "none"),
        (walk(by=("I2",)), "not_yours", "go"),
        (walk(by=("S1",)), "not_yours", "not_yours"),
        (walk(by=("S1", "I1")), "go", "go"),
    ],
)
def test_each_kind_of_walk_holds_by_its_own_rule(books, each, daily):
    if "complete = true" in books and "ended_at" not in books:
        with pytest.raises(DefinitionError, match="a complete walk has an end"):
            ask(books)
        return
    findings = ask(books)
    assert whys(findings) == [
        each,
        daily,
    ]


@pytest.mark.parametrize(
    ("accepted", "why"),
    [
        ('by = "I1"\nspots = ["K01", "F02"]', "go"),
        ('by = "I1"\nspots = ["K01"]', "not_yours"),
        ('by = "I1"\nspots = ["K01", "K01"]', "not_yours"),
        ('by = "S1"\nspots = ["K01", "F02"]', "not_yours"),
    ],
)
def test_a_commander_accepts_an_entitled_persons_walk_with_spot_checks(accepted, why):
    books = walk(by=("I2",), more=f"[[walk.accepted]]\nat = 2027-06-12T07:55:00-07:00\n{accepted}\n")
    assert of(ask(books), "inspection.walk", "each flight")[0].why == why
    later = books.replace("07:55:00", "08:05:00")
    assert of(ask(later), "inspection.walk", "each flight")[0].why == "not_yours"


@pytest.mark.parametrize(
    ("what", "each", "daily"),
    [
        ("refueled", "ended", "go"),
        ("touched by another", "ended", "go"),
        ("moved", "go", "ended"),
        ("looked at", "go", "go"),
    ],
)
def test_what_ends_a_walk_is_the_houses_data(what, each, daily):
    books = walk() + f'[[touch]]\nwhat = "{what}"\nat = 2027-06-12T07:55:00-07:00\n'
    findings = ask(books)
    assert whys(findings) == [
        each,
        daily,
    ]
    before = books.replace("07:55:00", "07:10:00")
    assert worst(ask(before)) is Verdict.GO


@pytest.mark.parametrize(
    ("when", "why"), [("07:49:59", "go"), ("07:50:00", "ended"), ("08:00:00", "ended"), ("08:00:01", "go")]
)
def test_a_touch_counts_from_the_end_of_the_walk_to_the_question(when, why):
    books = walk() + f'[[touch]]\nwhat = "refueled"\nat = 2027-06-12T{when}-07:00\n'
    assert of(ask(books), "inspection.walk", "each flight")[0].why == why


def test_what_is_finished_or_accepted_at_the_very_moment_of_the_question_counts():
    assert whys(ask(walk(ended="08:00"))) == ["go", "go"]
    accepted = '[[walk.accepted]]\nat = 2027-06-12T08:00:00-07:00\nby = "I1"\nspots = ["K01", "F02"]\n'
    assert whys(ask(walk(by=("I2",), more=accepted))) == ["go", "go"]


def test_work_and_events_known_from_other_books_end_a_walk():
    fresh = (SimpleNamespace(at=at("2027-06-12T07:55")),)
    for name in ("work_done", "event_locks"):
        assert {why for _, _, why in refused(ask(walk(), **{name: fresh}))} == {"ended"}


@pytest.mark.parametrize(
    ("on", "minutes", "restarted", "why"),
    [
        ("away", 0, "nothing", "go"),
        ("away", 1, "nothing", "interrupted"),
        ("away", 1, "stand", "interrupted"),
        ("away", 1, "zone", "go"),
        ("away", 30, "zone", "interrupted"),
        ("away", 30, "walk", "go"),
        ("touched by another", 0, "zone", "interrupted"),
        ("touched by another", 0, "walk", "go"),
        ("spoken to", 5, "nothing", "go"),
    ],
)
def test_an_interruption_asks_what_the_widest_rule_asks(on, minutes, restarted, why):
    books = walk(
        began="07:00",
        more=(
            f'[[walk.interruption]]\non = "{on}"\nfrom = 2027-06-12T07:10:00-07:00\n'
            f'to = 2027-06-12T07:{10 + minutes}:00-07:00\nzone = "K"\nrestarted = "{restarted}"\n'
        ),
    )
    assert of(ask(books), "inspection.walk", "each flight")[0].why == why


@pytest.mark.parametrize(
    ("depart", "verdict"), [("08:14", Verdict.UNKNOWN), ("08:29", Verdict.UNKNOWN), ("08:30", Verdict.GO_IF)]
)
def test_a_walk_still_to_come_before_a_later_start_is_a_condition(depart, verdict):
    findings = ask("walk = []\n", depart_at=at(f"2027-06-12T{depart}"))
    assert worst(findings) is verdict
    if verdict is Verdict.GO_IF:
        conditions = [condition for one in findings for condition in one.conditions]
        assert {(one.owner, one.until) for one in conditions} == {("I1", at("2027-06-12T08:30"))}


def test_one_still_being_walked_is_unknown_however_late_the_start():
    findings = ask(walk(complete=False), depart_at=at("2027-06-12T12:00"))
    assert worst(findings) is Verdict.UNKNOWN


def test_a_house_without_a_rule_on_walks_clears_nothing():
    assert refused(ask(walk(), rules="full = []\n")) == {("inspection.walk", "", "no_rule")}


# --- what was found ---


JUDGED = '{{ by = "{by}", at = 2027-06-12T07:52:00-07:00, may = {may}, reason = "shallow" }}'


@pytest.mark.parametrize(
    ("said", "verdict", "why"),
    [
        (answer(), Verdict.STOP, "grounding"),
        (answer(class_=""), Verdict.STOP, "grounding"),
        (answer(small="true"), Verdict.STOP, "small"),
        (answer(small="true", judged=JUDGED.format(by="M1", may="true")), Verdict.GO, "judged_small"),
        (answer(small="true", judged=JUDGED.format(by="M1", may="false")), Verdict.STOP, "judged_no"),
        (answer(small="true", judged=JUDGED.format(by="I1", may="true")), Verdict.STOP, "small"),
        (answer(judged=JUDGED.format(by="M1", may="true")), Verdict.STOP, "grounding"),
        (answer(class_="L"), Verdict.JUDGE, "judge"),
        (answer(class_="L", keep='{ words = "no radio airspace" }'), Verdict.GO_IF, "restricted"),
        (answer(class_="L", keep="{ aboard_at_most = 2 }"), Verdict.GO_IF, "restricted"),
        (answer(class_="L", keep="{ aboard_at_most = 1 }"), Verdict.STOP, "broken_aboard"),
        (answer(class_="L", keep='{ not_for = ["instruction"] }'), Verdict.STOP, "broken_purpose"),
        (answer(class_="N"), Verdict.GO, "noted"),
        (answer(said="could not look"), Verdict.UNKNOWN, "not_looked"),
        (answer(said="could not look", class_=""), Verdict.UNKNOWN, "not_looked"),
        (answer(said="could not look", class_="L"), Verdict.UNKNOWN, "not_looked"),
        (answer(said="could not look", class_="N"), None, ""),
        (answer(defect='"D7"'), Verdict.STOP, "grounding"),
        (answer(defect='"D1"'), None, ""),
    ],
)
def test_an_answer_means_what_the_items_class_says(said, verdict, why):
    findings = ask(walk(more=said), defects=(SimpleNamespace(id="D1"),))
    found = of(findings, "inspection.answer")
    assert [(one.verdict, one.why) for one in found] == ([(verdict, why)] if verdict is not None else [])
    assert worst(findings) is (verdict or Verdict.GO)


def test_what_was_found_stays_found_whatever_is_walked_later():
    books = walk(more=answer(), began="06:00", ended="06:30") + walk(id="w2")
    assert worst(ask(books)) is Verdict.STOP
    assert (
        worst(
            ask(books.replace('words = "nick"', 'words = "nick"\ndefect = "D1"'), defects=(SimpleNamespace(id="D1"),))
        )
        is Verdict.GO
    )


def test_what_could_not_be_looked_at_is_looked_at_by_a_later_walk_of_its_kind():
    first = walk(more=answer(said="could not look"), began="06:00", ended="06:30")
    assert worst(ask(first + walk(id="w2"))) is Verdict.GO
    assert worst(ask(first + walk(id="w2", more=answer(said="could not look")))) is Verdict.UNKNOWN
    assert ("inspection.answer", "K08", "not_looked") in refused(ask(first + walk(id="w2", kind="each flight")))


def test_an_item_that_limits_to_the_day_holds_at_both_ends():
    books = walk(more=answer(class_="L", keep="{ day_only = true }"))
    assert worst(ask(books)) is Verdict.GO_IF
    late = ask(books, land_at=at("2027-06-12T20:45"))
    assert of(late, "inspection.day_only")[0].verdict is Verdict.STOP
    assert of(ask(books, land_at=at("2027-06-12T20:44")), "inspection.day_only")[0].verdict is Verdict.GO_IF


# --- pace ---


def history(count, minutes=20, by="I1"):
    return "".join(
        walk(f"h{day}", by=(by,), day=f"2027-06-{day:02d}", began="07:00", ended=f"07:{minutes}")
        for day in range(1, count + 1)
    )


@pytest.mark.parametrize(
    ("past", "began", "judged"),
    [
        (history(5), "07:41", True),
        (history(5), "07:40", False),
        (history(4), "07:45", False),
        (history(5, by="I2"), "07:45", False),
    ],
)
def test_a_walk_below_half_of_ones_own_median_is_judged(past, began, judged):
    found = of(ask(past + walk(began=began)), "inspection.pace")
    assert [one.why for one in found] == (["quick"] if judged else [])
    assert all(one.verdict is Verdict.JUDGE for one in found)


@pytest.mark.parametrize(
    ("now", "judged"),
    [
        ('F10 = "52 mm"\nD01 = "2.0 bar"\nD02 = "2.0 bar"', True),
        ('F10 = "51 mm"\nD01 = "2.0 bar"\nD02 = "2.0 bar"', False),
    ],
)
def test_readings_that_repeat_the_last_to_the_letter_are_judged(now, judged):
    last = '[walk.readings]\nF10 = "52 mm"\nD01 = "2.0 bar"\nD02 = "2.0 bar"\n'
    books = walk("w0", day="2027-06-11", more=last) + walk(more=f"[walk.readings]\n{now}\n")
    assert bool(of(ask(books), "inspection.pace")) is judged
    few = '[walk.readings]\nF10 = "52 mm"\n'
    assert not of(ask(walk("w0", day="2027-06-11", more=few) + walk(more=few)), "inspection.pace")


# --- training markers: two placed, one found and confirmed, everybody called to fly ---

MARKERS = """
[[marker]]
number = 1
label = "latch open"
place = "outer cowl skin beside the latch"
placed_by = "I1"
placed_at = 2027-06-12T06:10:00-07:00
{first}
[[marker]]
number = 2
label = "brake hose wet"
place = "left gear leg"
placed_by = "I1"
placed_at = 2027-06-12T06:10:00-07:00
{second}
"""


def off(by="I1", seen="S2", when="06:40"):
    stamp = f"2027-06-12T{when}:00-07:00"
    return f'removed = {{ by = "{by}", at = {stamp} }}\nconfirmed = {{ by = "{seen}", at = {stamp} }}\n'


def test_an_outstanding_marker_stops_and_its_place_is_not_told():
    findings = ask(walk() + MARKERS.format(first=off(), second=""))
    (found,) = of(findings, "inspection.marker")
    assert (found.verdict, found.why, found.params["count"]) == (Verdict.STOP, "on", 1)
    assert found.params["numbers"] == ("2",)
    assert "gear leg" not in str(found)
    assert "hose" not in str(found)


@pytest.mark.parametrize(
    ("second", "why"),
    [
        (off(), "go"),
        (off(by="S2", seen="I1"), "go"),
        (off(seen="I1"), "on"),
        (off(by="S1", seen="S2"), "on"),
        ('removed = { by = "I1", at = 2027-06-12T06:40:00-07:00 }\n', "on"),
        (off(when="08:05"), "on"),
    ],
)
def test_a_marker_is_off_when_its_placer_and_one_other_saw_it_off(second, why):
    findings = ask(walk() + MARKERS.format(first=off(), second=second))
    assert of(findings, "inspection.marker")[0].why == why


def test_a_full_real_walk_comes_after_the_last_marker_and_the_exercise_is_none():
    books = walk(began="06:30", ended="07:30") + MARKERS.format(first=off(), second=off())
    findings = ask(books)
    assert ("inspection.marker", "", "no_inspection") in refused(findings)
    assert ("inspection.walk", "each flight", "ended") in refused(findings)
    assert worst(ask(walk() + MARKERS.format(first=off(), second=off()))) is Verdict.GO
    short = walk().replace("first of the day", "each flight") + MARKERS.format(first=off(), second=off())
    assert ("inspection.marker", "", "no_inspection") in refused(ask(short))


# --- the restore list ---


def restored(*items, when="07:50"):
    names = ", ".join(f'"{item}"' for item in items)
    return f"[[walk.restored]]\nat = 2027-06-12T{when}:00-07:00\nitems = [{names}]\n"


def test_everything_is_put_back_by_touch_after_the_last_thing_that_undoes_it():
    items = ("tie-down", "fuel cap")
    assert worst(ask(walk(more=restored(*items)), restore=items)) is Verdict.GO
    part = ask(walk(more=restored("tie-down")), restore=items)
    assert of(part, "inspection.restore")[0].lacking == ("restored:fuel cap",)
    undone = '[[touch]]\nwhat = "brake set"\nat = 2027-06-12T07:55:00-07:00\n'
    assert worst(ask(walk(more=restored(*items)) + undone, restore=items)) is Verdict.UNKNOWN
    again = walk(more=restored(*items) + restored(*items, when="07:57"))
    assert worst(ask(again + undone, restore=items)) is Verdict.GO
    away = (
        '[[walk.interruption]]\non = "left and came back"\nfrom = 2027-06-12T07:51:00-07:00\n'
        'to = 2027-06-12T07:52:00-07:00\nrestarted = "nothing"\n'
    )
    assert worst(ask(walk(ended="07:55", more=restored(*items) + away), restore=items)) is Verdict.UNKNOWN
    then = restored(*items, when="07:53")
    assert worst(ask(walk(ended="07:55", more=restored(*items) + away + then), restore=items)) is Verdict.GO
    # Ticks of an earlier walk are history and no credit.
    start = walk("w9", "start", began="07:52", ended="07:58", more='list = "start"\n')
    assert worst(ask(walk(more=restored(*items)) + start, restore=items)) is Verdict.GO
    early = walk("w0", began="06:00", ended="06:30", more=restored(*items, when="06:30"))
    assert worst(ask(early + walk(), restore=items)) is Verdict.UNKNOWN


def test_before_a_later_start_the_restore_list_is_a_condition():
    findings = ask(walk(), restore=("tie-down",), depart_at=at("2027-06-12T08:30"))
    assert of(findings, "inspection.restore")[0].verdict is Verdict.GO_IF


# --- what is wrong in a file ---


@pytest.mark.parametrize(
    ("books", "said"),
    [
        (walk(began="07:50", ended="07:20"), "correct one"),
        (walk(more=answer(said="fine")), "'fine' is not one of: as it should be, not, could not look"),
        (walk(more=answer(class_="X")), "'X' is not one of: G, L, N"),
        (walk(more=answer(smal="true")), "did you mean 'small'"),
        ('[[walk]]\nid = "w"\nkind = "each flight"\nbegan_at = 2027-06-12T07:00:00-07:00\n', "by: is missing"),
    ],
)
def test_what_is_wrong_with_a_walk_is_one_clear_line(books, said):
    with pytest.raises(DefinitionError, match=said) as caught:
        read(books)
    assert len(caught.value.problems) == 1


@given(st.lists(st.sampled_from(["w1", "w2", "m1", "t1"]), unique=True))
def test_taking_any_record_away_never_lets_a_refused_flight_go(gone):
    """Touches, answers and markers weigh against a flight and are left in; walks and what was put back are taken."""
    items = ("tie-down",)
    parts = {
        "w1": walk("w1", began="05:30", ended="06:00", more=restored(*items, when="06:00")),
        "w2": walk("w2", kind="each flight", more=restored(*items)),
        "m1": MARKERS.format(first=off(when="05:00"), second=off(when="05:00")).replace("06:10:00", "04:00:00"),
        "t1": '[[touch]]\nwhat = "refueled"\nat = 2027-06-12T07:00:00-07:00\n',
    }
    keep = [text for name, text in parts.items() if name not in gone or name in ("m1", "t1")]
    books = "".join(keep) or ""
    books = books if "[[walk]]" in books else "walk = []\n" + books
    everything = "".join(parts.values())
    assert min(worst(ask(books, restore=items)), Verdict.UNKNOWN) >= min(
        worst(ask(everything, restore=items)), Verdict.UNKNOWN
    )


def test_the_packaged_list_adds_what_an_interruption_costs_to_the_houses_rules():
    rules = state.read_walk_rules(section_of(RULES, file="house.toml", problems=Problems()))
    joined = state.for_list(rules, next(one for one in shipped_lists() if one.id == "walk-round"))
    assert len(joined.restarts) > len(rules.restarts)
    assert joined.restore_reset_by >= rules.restore_reset_by | {"refueled"}
