"""Files are read and everything wrong in them is said at once, each in one line with its place and its cure."""

import json

import pytest

from gyrewright.cli import main


@pytest.fixture
def folder(tmp_path, capsys):
    main(["demo", str(tmp_path)])
    capsys.readouterr()
    return tmp_path


def test_it_works(folder, capsys):
    assert main(["check", str(folder / "operation.toml"), str(folder / "aircraft" / "dunlin.toml")]) == 0
    out = capsys.readouterr().out
    assert f"{folder / 'operation.toml'}: operation\n" in out
    assert f"{folder / 'aircraft' / 'dunlin.toml'}: aircraft\n" in out
    assert "2 files read, nothing wrong found in them." in out


def test_a_folder_stands_for_all_its_files(folder, capsys):
    main(["check", str(folder / "flights")])
    assert capsys.readouterr().out.count(": flight\n") == len(list((folder / "flights").glob("*.toml")))


def test_all_problems_of_all_files_come_at_once(folder, capsys):
    people, dunlin = folder / "people.toml", folder / "aircraft" / "dunlin.toml"
    people.write_text(people.read_text().replace('"68 kg"', '"750 kg"').replace('"61 kg"', '"61"'))
    dunlin.write_text(
        dunlin.read_text().replace('empty_mass = "286.0 kg"', 'empty_mass = 286.0\nempty_weight = "286 kg"')
    )
    assert main(["check", str(people), str(dunlin)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    lines = told.err.splitlines()
    assert any("750 kg" in line and "20.0 to 250.0 kg" in line for line in lines)
    assert any("'61' has no unit; add one of: kg, lb, g" in line for line in lines)
    assert any("weighing.empty_mass: 286.0 has no unit" in line for line in lines)
    assert any("weighing.empty_weight: is an unknown key; accepted here: " in line for line in lines)


def test_problems_for_programs(folder, capsys):
    people = folder / "people.toml"
    people.write_text(people.read_text().replace('"68 kg"', '"68"'))
    assert main(["check", str(people), "--json"]) == 2
    data = json.loads(capsys.readouterr().out)
    assert data["schema"] == "gyrewright.check/1"
    assert data["files"] == []
    (problem,) = data["problems"]
    assert problem["file"] == people.as_posix()
    assert "has no unit" in problem["text"]


def test_what_is_right_for_programs(folder, capsys):
    assert main(["check", str(folder / "field.toml"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["files"] == [
        {"file": (folder / "field.toml").as_posix(), "kind": "field"}
    ]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("kind = ", "is not readable as TOML: "),
        ("", "kind: is missing; write "),
        ('kind = "balloon"', "kind: 'balloon' is not one of: operation, field, people, aircraft, "),
    ],
)
def test_a_broken_file_is_one_line(tmp_path, capsys, text, line):
    path = tmp_path / "broken.toml"
    path.write_text(text)
    assert main(["check", str(path)]) == 2
    told = capsys.readouterr()
    assert told.err.startswith(f"{path.as_posix()}: {line}")
    assert told.err.count("\n") == 1


def test_what_is_no_text_is_one_line(tmp_path, capsys):
    path = tmp_path / "picture.toml"
    path.write_bytes(b"\xff\xfe\x00")
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().err == f"{path.as_posix()}: is not text; write it as UTF-8\n"


def test_a_folder_without_files_says_so(tmp_path, capsys):
    assert main(["check", str(tmp_path)]) == 2
    assert "no files there" in capsys.readouterr().err
