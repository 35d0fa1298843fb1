"""Bad input gets clear lines with place and cure; nothing is written and nothing half-read is used."""

from pathlib import Path

import pytest

from gyrewright.cli import main


@pytest.fixture
def folder(tmp_path, capsys) -> Path:
    main(["demo", str(tmp_path)])
    capsys.readouterr()
    return tmp_path


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


FLIGHT = "flights/1330-sunde-halloran.toml"


@pytest.mark.parametrize(
    ("file", "old", "new", "line"),
    [
        ("people.toml", '"88 kg"', '"750 kg"', "'750 kg' is outside 20.0 to 250.0 kg; check number and unit"),
        ("people.toml", '"88 kg"', "88", "88 has no unit; write it as text with its unit (kg, lb, g)"),
        ("aircraft/dunlin.toml", "[180, 205, 235, 250]", "[180, 205, 235]", "3 values along air temperature"),
        ("field.toml", 'heading = "252 deg"\n', "", "runway[25].heading: is missing; write it with its unit"),
        (
            FLIGHT,
            "METAR X0TB 12201",
            "METAR X0TB 12231",
            "after 12 Jun 2027 13:20 -0700 when this is asked; check both",
        ),
        (
            FLIGHT,
            'purpose = "instruction"',
            'purpose = "fun"',
            "purpose: 'fun' is not one of: instruction, student alone",
        ),
        (
            FLIGHT,
            'rear = "halloran"',
            'rear = "nobody"',
            "seats.rear: nobody is called 'nobody'; use 'empty' or one of: ",
        ),
        (FLIGHT, 'gauge = "40 L"', 'gauge = "40 gal"', "'40 gal' is ambiguous; write 'US gal' or 'Imp gal'"),
        (FLIGHT, "[seats]", "[seats", "is not readable as TOML: "),
        ("operation.toml", 'name = "', 'color = "red"\nname = "', "color: is an unknown key; "),
        (
            "aircraft/whimbrel.toml",
            "serial_number = ",
            'serial_number = "D2-0101"\n# ',
            "one serial number, one record",
        ),
    ],
)
def test_a_wrong_file_is_named_with_place_and_cure(folder, capsys, file, old, new, line):
    change(folder / file, old, new)
    before = {path: path.read_text() for path in folder.rglob("*.toml")}
    assert main(["decide", str(folder / FLIGHT)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert line in told.err
    assert {path: path.read_text() for path in folder.rglob("*.toml")} == before
    for each in told.err.splitlines():
        assert each.startswith(f"{folder.as_posix()}/")
        assert "Traceback" not in each


def test_a_clock_set_to_last_year_is_an_answer_that_says_so(folder, capsys):
    change(folder / FLIGHT, "asked_at = 2027-", "asked_at = 2026-")
    assert main(["decide", str(folder / FLIGHT)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "UNKNOWN: Can the clock be believed? Asked 12 June 2026 13:20, yet " in out
    assert "which is later: one of the two times is wrong." in out


def test_all_that_is_wrong_comes_in_one_go(folder, capsys):
    change(folder / "people.toml", '"88 kg"', '"750 kg"')
    change(folder / "people.toml", '"74 kg"', '"74"')
    change(folder / "field.toml", 'heading = "252 deg"\n', "")
    main(["decide", str(folder / FLIGHT)])
    assert len(capsys.readouterr().err.splitlines()) == 3
