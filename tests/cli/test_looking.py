"""Commands beside the answer: what would have to change, the day as a whole, what is due, a rule, a picture."""

import json
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from xml.etree import ElementTree

import pytest

from gyrewright.cli import main
from gyrewright.cli.source import packaged_files
from gyrewright.pictures.registry import PICTURES

TODAY = ("0630-sunde-halloran", "0820-okafor-lind-castellane", "0900-okafor-lind-eklund", "1330-sunde-halloran")


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """Return a folder with the demonstration's files."""
    folder = tmp_path_factory.mktemp("looking") / "demo"
    with redirect_stdout(StringIO()):
        assert main(["demo", str(folder)]) == 0
    return folder


def run(*arguments: object) -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(each) for each in arguments])
    return code, out.getvalue(), err.getvalue()


def flight(demo, name):
    return demo / "flights" / f"{name}.toml"


def test_ways_offers_a_change_and_says_what_stands_in_the_way_as_asked(demo):
    code, out, _ = run("ways", flight(demo, "0900-okafor-lind-eklund"))
    assert code == 0
    assert "In the Dunlin N0-101D" in out
    assert "At no minute from now until the day ends." in out
    assert out.endswith("This releases nothing: a person does.\n")
    assert max(map(len, out.splitlines())) <= 80


def test_ways_for_programs_names_every_offer_with_its_own_verdict(demo):
    code, out, _ = run("ways", "--json", flight(demo, "0900-okafor-lind-eklund"))
    made = json.loads(out)
    assert code == 0
    assert made["schema"] == "gyrewright.ways/1"
    assert made["asked"]["verdict"] == "STOP"
    assert made["offers"]
    for offer in made["offers"]:
        assert offer["verdict"] == offer["answer"]["verdict"]
        assert offer["verdict"] in ("GO", "GO-IF", "JUDGE")


def test_ways_over_one_kind_offers_only_that_kind(demo):
    _, out, _ = run("ways", "--json", "--over", "start", flight(demo, "0900-okafor-lind-eklund"))
    assert json.loads(out)["offers"] == []


def test_ways_over_an_unknown_kind_is_one_clear_line(demo):
    code, out, err = run("ways", flight(demo, "0900-okafor-lind-eklund"), "--over", "moon")
    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1
    assert "moon" in err
    assert "start" in err


def test_several_flights_are_a_day_with_every_aircraft_counted_once(demo):
    code, out, _ = run("ways", *(flight(demo, name) for name in TODAY))
    assert code == 1
    assert out.count("No place today") == 2
    assert "06:30 Tobiah Sunde with Wren Halloran" in out


def test_due_lists_every_task_with_its_clock_nearest_first(demo):
    code, out, _ = run("due", demo / "aircraft" / "dunlin.toml", "--on", "2027-06-12")
    rows = [line for line in out.splitlines() if line.startswith("in date")]
    assert code == 0
    assert "hub-bar look" in rows[0]
    assert "2.8 h" in rows[0]
    _, data, _ = run("due", demo / "aircraft" / "dunlin.toml", "--on", "2027-06-12", "--json")
    assert len(json.loads(data)["due"]) == len(rows)


def test_due_in_a_grounded_aircraft_is_against(demo):
    code, out, _ = run("due", demo / "aircraft" / "whimbrel.toml", "--on", "2027-06-12")
    assert code == 1
    assert "100 h check" in out


def test_a_rule_shows_its_citation_and_that_the_current_text_governs():
    code, out, _ = run("rule", "us.91.151", "--on", "2027-06-12")
    assert code == 0
    assert "14 CFR 91.151(b)" in out
    assert "The current text governs." in " ".join(out.split())
    assert run("rule", "us.nothing")[0] == 2


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_a_document_that_says_it_is_a_demonstration(demo, tmp_path, name):
    where = tmp_path / f"{name}.svg"
    code, out, err = run("picture", name, flight(demo, TODAY[0]), "--out", where)
    assert (code, out, err) == (0, "", "")
    drawn = ElementTree.parse(where).getroot()
    assert drawn.tag.endswith("svg")
    assert "emonstration" in " ".join(drawn.itertext())


def test_a_picture_that_is_none_or_has_no_place_is_one_clear_line(demo, tmp_path):
    code, _, err = run("picture", "sunset", flight(demo, TODAY[0]), "--out", tmp_path / "x.svg")
    assert code == 2
    assert all(name in err for name in PICTURES)
    code, _, err = run("picture", "loading", flight(demo, TODAY[0]), "--out", tmp_path / "nowhere" / "x.svg")
    assert code == 2
    assert "choose another place" in err


def test_the_day_of_flights_that_ship_is_known():
    """The names above are those that ship."""
    names = {path for path, _ in packaged_files()}
    assert all(f"flights/{name}.toml" in names for name in TODAY)


def test_a_decision_draws_no_picture_and_loads_no_arrays():
    """What only a picture or a whole day needs is not loaded for one answer."""
    program = (
        "import sys; from gyrewright.cli import main\n"
        "import contextlib, io\n"
        "with contextlib.redirect_stdout(io.StringIO()): main(['today'])\n"
        "print([name for name in ('numpy', 'django', 'gyrewright.pictures') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
