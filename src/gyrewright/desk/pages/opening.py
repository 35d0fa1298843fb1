"""The opening: what is still unknown before a first flight, and the pages on which it is entered."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from gyrewright.desk.access import Reach
from gyrewright.desk.access import reach as reach_of
from gyrewright.desk.opening import ask
from gyrewright.desk.opening import person as person_pages
from gyrewright.desk.opening.ask import Page, Table
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import opening_books, opening_files, opening_people, state
from gyrewright.desk.services.opening_gaps import ORDER, TITLES, Gap, gaps
from gyrewright.desk.services.people import all_people
from gyrewright.errors import DefinitionError, GyrewrightError, Problem, UnknownName

LONGEST_BYTES = 1_000_000
WHOLE = "text"
NEW = "new"
_ROUTE = {"field": "opening-house", "house": "opening-house", "insurers": "opening-house", "person": "opening-person"}


@require_safe
def show_opening(request: Visit) -> HttpResponse:
    """Show what is unknown before a first flight, by the page that would answer it."""
    at = state.asking_at()
    chosen = {key: request.GET.get(key, "") for key in ("aircraft", "commander", "student") if key in request.GET}
    found = gaps(at, chosen=chosen)
    files = [(TITLES[file], [_gap(gap, request) for gap in found.pages if gap.file == file]) for file in ORDER]
    names = {id: known.name or id for id, known in all_people().items()}
    page: dict[str, Any] = {
        "found": found,
        "files": [(title, rows) for title, rows in files if rows],
        "next": next((_gap(gap, request) for gap in found.to_enter), None),
        "entered": _entered(request),
        "fleet": state.fleet_ids(),
        "names": sorted((name, id) for id, name in names.items()),
        "asked": found.asked,
        "commander": names.get(found.asked.act.commander, "") if found.asked else "",
        "student": names.get(found.asked.act.student, "") if found.asked else "",
    }
    return render(request, "desk/opening.html", page)


def _gap(gap: Gap, request: Visit) -> dict[str, Any]:
    """Return a gap with its address, where this person may write on its page."""
    route = _ROUTE.get(gap.file, "opening-aircraft")
    may = gap.page and reach_of(route=route, roles=request.roles) is not Reach.NONE
    about = all_people()[gap.about].name if gap.file == "person" and gap.about else gap.about
    return {
        "gap": gap,
        "about": about,
        "title": gap.title or TITLES[gap.file],
        "address": _address(gap.file, gap.about, gap.page) if may else "",
    }


def _address(file: str, about: str, page: str) -> str:
    if file == "person":
        return reverse("opening-person", kwargs={"person": about or NEW, "page": page if about else "who"})
    if file in ("field", "house", "insurers"):
        return reverse("opening-house", kwargs={"file": file, "page": page})
    return reverse("opening-aircraft", kwargs={"file": file, "about": about or NEW, "page": page})


def _entered(request: Visit) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return every page that may be opened, entered or not: the opening is no one-way street."""
    out: list[tuple[str, list[tuple[str, str]]]] = []
    if reach_of(route="opening-house", roles=request.roles) is not Reach.NONE:
        for file in ("field", "house", "insurers"):
            out.append((opening_files.CALLED[file], _links(file, "", opening_files.PAGES[file])))
    if reach_of(route="opening-aircraft", roles=request.roles) is not Reach.NONE:
        for id in state.fleet_ids():
            links = _links("aircraft", id, opening_files.PAGES["aircraft"])
            links += _links("program", id, opening_files.PAGES["program"])
            try:
                links += _links("books", id, opening_books.pages_now(id))
            except GyrewrightError as error:
                links.append((str(error), _address("aircraft", id, WHOLE)))
            out.append((id, links))
        out.append(("another aircraft", [("Its first page", _address("aircraft", "", "identity"))]))
    if reach_of(route="opening-person", roles=request.roles) is not Reach.NONE:
        for id, known in sorted(all_people().items()):
            out.append((known.name or id, _links("person", id, person_pages.PAGES, has_text=False)))
        first = [("Their first page", _address("person", "", "who"))]
        out.append(("another person", [*first, ("A whole file of people", _address("person", NEW, WHOLE))]))
    return out


def _links(file: str, about: str, pages: tuple[Page, ...], *, has_text: bool = True) -> list[tuple[str, str]]:
    links = [(page.title, _address(file, about, page.name)) for page in pages]
    if has_text:
        whole = {"books": "The whole books as a file", "program": "The whole program as a file"}
        links.append((whole.get(file, "The whole text"), _address(file, about, WHOLE)))
    return links


# --- the pages ---


@require_http_methods(["GET", "HEAD", "POST"])
def house(request: Visit, file: str, page: str) -> HttpResponse:
    """Show or take in a page of the house rules, the field or the insurers."""
    if file not in ("field", "house", "insurers"):
        raise UnknownName(f"there is no file {file!r} here")
    now = opening_files.text_now(file)
    if page == WHOLE:
        return _whole(
            request,
            opening_files.CALLED[file],
            now.text,
            now.seen,
            lambda text, paper: _text(request, file, "", text, paper),
        )
    asked = opening_files.page_named(file, page)

    def enter(posted: dict[str, str], paper: str) -> str:
        opening_files.enter_page(
            file=file,
            about="",
            page=asked,
            posted=posted,
            seen=posted.get("seen", ""),
            by=request.person,
            from_paper=paper,
        )
        return ""

    return _page(
        request,
        asked,
        now.table,
        enter,
        called=opening_files.CALLED[file],
        seen=now.seen,
        text=_address(file, "", WHOLE),
    )


def _text(request: Visit, file: str, about: str, text: str, paper: str) -> str:
    kept = opening_files.enter_text(
        file=file, about=about, text=text, seen=request.POST.get("seen", ""), by=request.person, from_paper=paper
    )
    return kept.record.about


@require_http_methods(["GET", "HEAD", "POST"])
def aircraft(request: Visit, file: str, about: str, page: str) -> HttpResponse:
    """Show or take in a page of an aircraft: its definition, its program, or its books."""
    id = "" if about == NEW else about
    if file not in ("aircraft", "program", "books") or (file != "aircraft" and not id):
        raise UnknownName(f"there is no file {file!r} of {about!r} here")
    if file == "books":
        return _books(request, id, page)
    now = opening_files.text_now(file, id)
    called = f"{opening_files.CALLED[file]} {id}".strip()
    if page == WHOLE:
        return _whole(request, called, now.text, now.seen, lambda text, paper: _text(request, file, id, text, paper))
    asked = opening_files.page_named(file, page)

    def enter(posted: dict[str, str], paper: str) -> str:
        kept = opening_files.enter_page(
            file=file,
            about=id,
            page=asked,
            posted=posted,
            seen=posted.get("seen", ""),
            by=request.person,
            from_paper=paper,
        )
        return kept.record.about

    return _page(request, asked, now.table, enter, called=called, seen=now.seen, text=_address(file, id, WHOLE))


def _books(request: Visit, aircraft: str, page: str) -> HttpResponse:
    called = f"the books of {aircraft}"
    if page == WHOLE:

        def whole(text: str, paper: str) -> str:
            opening_books.enter_text(aircraft=aircraft, text=text, by=request.person, from_paper=paper)
            return ""

        state.machine(aircraft, state.asking_at())
        return _whole(request, called, "", "", whole)
    asked = opening_books.page_named(aircraft, page)

    def enter(posted: dict[str, str], paper: str) -> str:
        opening_books.enter_page(aircraft=aircraft, page=page, posted=posted, by=request.person, from_paper=paper)
        return ""

    return _page(request, asked, {}, enter, called=called, text=_address("books", aircraft, WHOLE), needs_paper=True)


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: Visit, person: str, page: str) -> HttpResponse:
    """Show or take in a page about a person; a new one begins with the first."""
    if person == NEW and page == WHOLE:

        def whole(text: str, paper: str) -> str:
            opening_people.enter_text(text=text, by=request.person)
            return ""

        return _whole(request, "people", "", "", whole)
    asked = opening_people.page_named("who" if person == NEW else page)

    def enter(posted: dict[str, str], paper: str) -> str:
        if person == NEW:
            return opening_people.enter_person(posted=posted, by=request.person)
        opening_people.enter_page(person=person, page=page, posted=posted, by=request.person, from_paper=paper)
        return ""

    table = {} if person == NEW else opening_people.table_now(person)
    called = "a new person" if person == NEW else all_people()[person].name or person
    return _page(
        request, asked, table, enter, called=called, text=_address("person", NEW, WHOLE) if person == NEW else ""
    )


def _page(
    request: Visit,
    asked: Page,
    table: Table,
    enter: Callable[[dict[str, str], str], str],
    *,
    called: str,
    seen: str = "",
    text: str = "",
    needs_paper: bool = False,
) -> HttpResponse:
    problems: list[str] = []
    posted = None
    if request.method == "POST":
        posted = {name: "\n".join(request.POST.getlist(name)) for name in request.POST}
        try:
            enter(posted, _paper(posted))
            return redirect("opening")
        except GyrewrightError as error:
            problems = _said(error, asked)
    page = {
        "page": asked,
        "called": called,
        "asks": ask.shown(asked, table, zone=state.zone(), posted=posted),
        "seen": posted.get("seen", "") if posted else seen,
        "problems": problems,
        "text_address": text,
        "needs_paper": needs_paper,
        "given": posted or {},
        "people": sorted(known.name for known in all_people().values() if known.name),
        "zone": state.zone().key,
    }
    return render(request, "desk/opening-page.html", page, status=400 if problems else 200)


def _paper(posted: dict[str, str]) -> str:
    """Return the paper and who read from it, in one line."""
    paper, reader = posted.get("from_paper", "").strip(), posted.get("read_by", "").strip()
    parts = [paper, f"read by {reader}" if reader else ""]
    return ", ".join(each for each in parts if each)[:500] if paper else ""


def _said(error: GyrewrightError, page: Page | None = None) -> list[str]:
    """Return what is wrong, a line each; on a page each place is called as the page calls it."""
    if not isinstance(error, DefinitionError):
        return [str(error)]
    return [_in_words(each, page) if page else str(each) for each in error.problems]


_ROW = re.compile(r"(?P<list>[\w.]+)\[(?P<row>.+)\]\.(?P<key>[\w.]+)")


def _in_words(problem: Problem, page: Page) -> str:
    row = _ROW.fullmatch(problem.key)
    for each in page.asks:
        if isinstance(each, ask.Rows) and row and each.key == row["list"]:
            words = next((one.words for one in each.each if one.key == row["key"]), row["key"])
            return f"{row['row']}, {words}: {problem.text}"
        if not isinstance(each, ask.Rows) and each.key == problem.key:
            return f"{each.words}: {problem.text}"
    return str(problem)


def _whole(request: Visit, called: str, text: str, seen: str, enter: Callable[[str, str], str]) -> HttpResponse:
    problems: list[str] = []
    if request.method == "POST":
        try:
            text = _given_text(request) or ""
            if not text.strip():
                raise Refused("no text was pasted and no file chosen")
            enter(text, _paper({key: str(value) for key, value in request.POST.items()}))
            return redirect("opening")
        except GyrewrightError as error:
            problems = _said(error)
    page = {
        "called": called,
        "text": text,
        "seen": request.POST.get("seen", seen),
        "problems": problems,
        "given": request.POST,
        "people": sorted(known.name for known in all_people().values() if known.name),
    }
    return render(request, "desk/opening-text.html", page, status=400 if problems else 200)


def _given_text(request: Visit) -> str:
    """Return the uploaded file's text, or what was pasted where no file was chosen."""
    upload = request.FILES.get("file")
    if upload is None:
        return request.POST.get("text", "").replace("\r\n", "\n")
    if (upload.size or 0) > LONGEST_BYTES:
        raise Refused(
            f"this file has {(upload.size or 0) / 1e6:.1f} MB; such a text has at most 1 MB: is it another file?"
        )
    try:
        return str(upload.read().decode("utf-8")).replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise Refused("this file is no text that can be read; save it as UTF-8 text and choose it again") from None
