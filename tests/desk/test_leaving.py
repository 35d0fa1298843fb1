from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from datetime import UTC, date, datetime

import pytest
from django.db import connection
from PIL import Image

from gyrewright.desk import clock
from gyrewright.desk.book import chain
from gyrewright.desk.book.head import kept_head
from gyrewright.desk.book.kinds.flight import FlightDone
from gyrewright.desk.book.kinds.people import Endorsement, MassPersonal, PersonWeighed
from gyrewright.desk.book.kinds.upkeep import DefectReported, MeterRead, PartFitted
from gyrewright.desk.book.models import Personal, Photo, Record
from gyrewright.desk.book.reading import find_records, head, record_with_id
from gyrewright.desk.book.record import Outcome
from gyrewright.desk.book.verify import verify
from gyrewright.desk.fold.aircraft import fold_aircraft
from gyrewright.desk.refusal import BookBroken, DiskFull, Refused
from gyrewright.desk.services import state
from gyrewright.desk.services.answers import answered
from gyrewright.desk.services.copies import freeze_copy, last_copy, make_copy, restore
from gyrewright.desk.services.erasing import erase_personal, keep_photo
from gyrewright.desk.services.leaving import export_book, import_book
from gyrewright.desk.services.people import all_people
from gyrewright.desk.services.records import new_id, record_act, withdraw
from gyrewright.desk.services.travel import pack_aircraft, take_aircraft

NOW = datetime(2027, 6, 12, 14, 0, tzinfo=UTC)


def picture(tmp_path, name="p.png", size=(2400, 1200), form="PNG"):
    path = tmp_path / name
    Image.new("RGB", size, "#0a4a8f").save(path, form)
    return path.read_bytes()


@pytest.fixture
def full(book, tmp_path):
    """A book with something of everything: personal content, a photo, a correction, an erasure."""
    photo = keep_photo(content=picture(tmp_path), person="ivo")
    record_act(
        act=DefectReported(item="K08", words="pin 'bent' \u2013 zählt", photos=(photo,)), by="ivo", about="N0-101D"
    )
    one = record_act(act=MeterRead(meter="airframe", shows="478.3 h"), by="ivo", about="N0-101D").record
    record_act(act=MeterRead(meter="airframe", shows="487.3 h"), by="ivo", about="N0-101D", corrects=one.id)
    for person in ("sam", "out"):
        record_act(
            act=PersonWeighed(origin="weighed"),
            personal=MassPersonal(mass="74 kg"),
            by="mia",
            about=person,
            person=person,
        )
    erase_personal(id=new_id(), person="out", ground="asked for it in writing; nothing has to be kept", by="ada")
    return book


def test_an_export_imports_into_an_empty_book_with_the_same_head(full, tmp_path, use_folder):
    out = tmp_path / "export"
    left = export_book(folder=out)
    assert left == head()
    before = {each.id: each for each in find_records()}
    names = {id: known.name for id, known in all_people().items()}
    other = use_folder(tmp_path / "other")
    assert import_book(folder=out) == left == head() == kept_head(other)
    assert {each.id: each for each in find_records()} == before
    assert {id: known.name for id, known in all_people().items()} == names
    found = verify(other)
    assert found.is_whole
    assert found.erased == 2
    again = tmp_path / "again"
    export_book(folder=again)
    for file in ("records.jsonl", "personal.jsonl", "photos.jsonl", "head.json", "README.md"):
        assert (again / file).read_bytes() == (out / file).read_bytes()


def test_the_export_says_how_to_check_it_and_the_lines_given_do(full, tmp_path):
    out = tmp_path / "export"
    left = export_book(folder=out)
    guide = (out / "README.md").read_text()
    code = guide.split("In Python:\n\n")[1]
    code = "\n".join(line[4:] for line in code.splitlines() if line.startswith("    "))
    ran = subprocess.run([sys.executable, "-c", code], cwd=out, capture_output=True, text=True, check=True, timeout=20)
    assert ran.stdout.strip() == left.hash


def test_an_export_holds_no_password(book, let_in, tmp_path):
    let_in("ada")
    export_book(folder=tmp_path / "export")
    assert not any(b"argon2" in file.read_bytes() for file in (tmp_path / "export").glob("*.*"))


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("records.jsonl", "487.3 h", "387.3 h"),
        ("personal.jsonl", "74 kg", "47 kg"),
        ("head.json", '"seq": ', '"seq": 1'),
        ("photos.jsonl", '"salt": "', '"salt": "00'),
    ],
)
def test_an_export_that_was_changed_is_refused_whole(full, tmp_path, use_folder, file, old, new):
    out = tmp_path / "export"
    export_book(folder=out)
    text = (out / file).read_text()
    assert old in text
    (out / file).write_text(text.replace(old, new, 1))
    use_folder(tmp_path / "other")
    with pytest.raises(BookBroken, match="nothing was imported"):
        import_book(folder=out)
    assert head() == chain.EMPTY
    assert not Personal.objects.exists()


def test_an_export_goes_into_an_empty_book_only(full, tmp_path):
    export_book(folder=tmp_path / "export")
    with pytest.raises(Refused, match="not empty"):
        import_book(folder=tmp_path / "export")
    with pytest.raises(Refused, match="is there already"):
        export_book(folder=tmp_path / "export")


def test_erasing_takes_the_content_and_leaves_the_chain_whole(full):
    row = Record.objects.get(kind="person-weighed", about="out")
    assert not Personal.objects.filter(fingerprint=row.personal_fingerprint).exists()
    found = record_with_id(row.id)
    assert found.is_erased
    assert found.personal is None
    assert verify(full).is_whole
    assert all_people()["out"].name == ""


def test_what_was_erased_is_not_in_the_file_any_more(book):
    record_act(
        act=PersonWeighed(origin="stated"),
        personal=MassPersonal(mass="123.456 kg"),
        by="sam",
        about="sam",
        person="sam",
    )
    connection.close()
    assert b"123.456 kg" in (book / "book.sqlite3").read_bytes()
    erase_personal(id=new_id(), person="sam", ground="asked for", by="ada")
    connection.close()
    for file in book.glob("book.sqlite3*"):
        assert b"123.456 kg" not in file.read_bytes()


def test_erasing_twice_with_one_id_erases_once(full):
    id = new_id()
    assert erase_personal(id=id, person="sam", ground="asked for", by="ada").outcome is Outcome.NEW
    assert erase_personal(id=id, person="sam", ground="asked for", by="ada").outcome is Outcome.AGAIN
    with pytest.raises(Refused, match="nothing to erase"):
        erase_personal(id=new_id(), person="sam", ground="asked for", by="ada")
    with pytest.raises(Refused, match="needs its ground"):
        erase_personal(id=new_id(), person="ivo", ground=" ", by="ada")


def test_a_photo_is_kept_small_and_without_what_the_camera_wrote(book, tmp_path):
    exif = Image.Exif()
    exif[0x010F] = "the maker of the camera"
    path = tmp_path / "x.jpg"
    Image.new("RGB", (3000, 2000), "#8f1616").save(path, exif=exif)
    name = keep_photo(content=path.read_bytes(), person="ivo")
    kept = Photo.objects.get(fingerprint=name)
    assert b"the maker" not in kept.jpeg
    with Image.open(__import__("io").BytesIO(kept.jpeg)) as opened:
        assert (opened.format, opened.size) == ("JPEG", (1600, 1067))


@pytest.mark.parametrize("content", [b"", b"no photo at all", b"\x89PNG\r\n\x1a\n" + b"0" * 100, b"<svg/>"])
def test_a_photo_that_is_no_photo_is_refused(book, content):
    with pytest.raises(Refused, match="no photo that can be read"):
        keep_photo(content=content, person="ivo")
    assert not Photo.objects.exists()


def test_a_photo_too_large_is_refused(book, tmp_path):
    with pytest.raises(Refused, match="at most 12 MB"):
        keep_photo(content=b"0" * 40_000_000, person="ivo")
    with pytest.raises(Refused, match="pixels; at most 60 million"):
        keep_photo(content=picture(tmp_path, size=(9000, 7000)), person="ivo")


def test_a_copy_made_while_others_write_is_whole_and_restores(full, tmp_path, use_folder):
    stop = threading.Event()

    def write():
        while not stop.is_set():
            record_act(act=MeterRead(meter="airframe", shows="488.0 h"), by="ivo", about="N0-101D")
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        copies = [make_copy(id=new_id(), by="ada").record.act for _ in range(3)]
    finally:
        stop.set()
        writer.join()
    assert last_copy() is not None
    assert [copy.head_seq for copy in copies] == sorted(copy.head_seq for copy in copies)
    file = full / "copies" / copies[-1].file
    target = tmp_path / "restored"
    there = restore(copy=file, data_dir=target)
    assert (there.seq, there.hash) == (copies[-1].head_seq, copies[-1].head_hash)
    found = verify(target)
    assert found.is_whole
    use_folder(target)
    assert (
        record_act(act=MeterRead(meter="airframe", shows="489.0 h"), by="ivo", about="N0-101D").record.seq
        == there.seq + 1
    )
    with pytest.raises(Refused, match="holds a book already"):
        restore(copy=file, data_dir=target)


def test_a_copy_that_was_changed_is_not_restored(full, tmp_path):
    act = make_copy(id=new_id(), by="ada").record.act
    file = full / "copies" / act.file
    with closing(sqlite3.connect(file)) as database:
        database.execute("DROP TRIGGER book_record_no_update")
        database.execute("UPDATE book_record SET body = '{}' WHERE seq = 2")
        database.commit()
    with pytest.raises(BookBroken, match="nothing was restored"):
        restore(copy=file, data_dir=tmp_path / "restored")
    assert not (tmp_path / "restored" / "book.sqlite3").exists()


def test_a_frozen_copy_cannot_be_written_and_its_digest_is_recorded(full):
    act = freeze_copy(id=new_id(), event="rotor contact on landing", by="ada", about="N0-101D").record.act
    file = full / "frozen" / act.file
    assert file.stat().st_mode & 0o777 == 0o400
    assert __import__("hashlib").sha256(file.read_bytes()).hexdigest() == act.sha256
    assert head().seq == act.head_seq + 1


def test_a_copy_where_nothing_can_be_written_leaves_no_half_copy(full, tmp_path):
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where a folder was meant")
    before = head()
    with pytest.raises((DiskFull, OSError)):
        make_copy(id=new_id(), by="ada", folder=blocked / "copies")
    assert head() == before


def test_an_aircraft_leaves_with_proof_and_without_other_peoples_data(full, tmp_path, use_folder):
    record_act(act=MeterRead(meter="airframe", shows="12.0 h"), by="mia", about="N0-202W")
    record_act(
        act=Endorsement(what_for="solo", given_by="ivo", given_on=date(2027, 6, 1), text="alone in circuits"),
        by="ivo",
        about="sam",
    )
    record_act(act=FlightDone(off_at=NOW, on_at=NOW, commander="ivo", aboard=("ivo", "sam")), by="ivo", about="N0-101D")
    part = PartFitted(name="teeter bolt", serial="TB-1", on=date(2026, 1, 2), meter="rotor", meter_at="0 h", own="0 h")
    slip = record_act(act=part, by="mia", about="N0-101D").record
    withdraw(id=new_id(), record=slip.id, by="mia", why="Sam Tarn gave the wrong serial number")
    file = tmp_path / "aircraft.json"
    assert pack_aircraft(aircraft="N0-101D", file=file) == 5
    text = file.read_text()
    for hidden in ("Sam Tarn", "74 kg", "alone in circuits", "N0-202W", '"sam"', "12.0 h"):
        assert hidden not in text
    sold = fold_aircraft(find_records(about="N0-101D"), aircraft="N0-101D", at=NOW.replace(hour=20)).books
    use_folder(tmp_path / "buyer")
    from gyrewright.desk.services.records import open_book

    open_book(operation="The buyer", manager="ned", manager_name="Ned Orr", is_demo=False)
    kept = take_aircraft(file=file, by="ned")
    assert [each.outcome for each in kept] == [Outcome.NEW] * 6
    arrived = find_records(kinds=["aircraft-arrived"])[0]
    assert arrived.act.from_operation == "A school"
    bought = fold_aircraft(find_records(about="N0-101D"), aircraft="N0-101D", at=NOW.replace(hour=20)).books
    assert bought["meter"] == [
        {"name": "airframe", "reading": [each | {"by": "elsewhere:ivo"} for each in sold["meter"][0]["reading"]]}
    ]
    assert bought["defect"][0]["item"] == sold["defect"][0]["item"]
    assert "part" not in bought
    assert verify(tmp_path / "buyer").is_whole
    before = head()
    assert {each.outcome for each in take_aircraft(file=file, by="ned")} == {Outcome.AGAIN}
    assert head() == before


def test_an_aircraft_whose_proof_does_not_hold_is_not_taken_in(full, tmp_path):
    file = tmp_path / "aircraft.json"
    pack_aircraft(aircraft="N0-101D", file=file)
    package = json.loads(file.read_text())
    own = next(row for row in package["records"] if "body" in row)
    own["body"] = own["body"].replace("K08", "K09")
    file.write_text(json.dumps(package))
    before = head()
    with pytest.raises(BookBroken, match="nothing was taken in"):
        take_aircraft(file=file, by="ada")
    assert head() == before
    file.write_text("{}")
    with pytest.raises(Refused, match="is no aircraft package"):
        take_aircraft(file=file, by="ada")
    with pytest.raises(Refused, match="no records of an aircraft"):
        pack_aircraft(aircraft="N0-999X", file=tmp_path / "other.json")


def answers_then():
    """Return what is answered to every flight of the demonstration's day as its clock begins."""
    at = clock.DEMO_START
    out = {}
    for id, asked in state.flights(at).items():
        found = answered(asked, at).answer.findings
        out[id] = [(each.id, each.about, each.verdict, each.why, each.value, each.lacking) for each in found]
    return out


def test_an_imported_book_gives_the_same_head_and_the_same_verdicts(demo_day, tmp_path, use_folder):
    use_folder(demo_day)
    before, left = answers_then(), export_book(folder=tmp_path / "export")
    assert len(before) == 5
    use_folder(tmp_path / "other")
    import_book(folder=tmp_path / "export")
    assert head() == left
    assert answers_then() == before
