"""Every address of the desk. Each name has its row in `access`; a name without one is refused to everybody."""

from django.urls import path

from gyrewright.desk.pages import accounts, acts, after, door, flight, opening, paper, records, release, today, upkeep

urlpatterns = [
    path("", door.front, name="front"),
    path("door", door.come_in, name="door"),
    path("out", door.go_out, name="out"),
    path("own-password", door.own_password, name="own-password"),
    path("demo-door", door.come_in_to_demo, name="demo-door"),
    path("today/", today.show_today, name="today"),
    path("flight/", flight.next_flight, name="flight-next"),
    path("flight/ask", acts.ask, name="flight-ask"),
    path("flight/<uuid:id>", flight.show_flight, name="flight"),
    path("flight/<uuid:id>/ways", flight.show_ways, name="flight-ways"),
    path("flight/<uuid:id>/working/<str:name>", flight.show_working, name="flight-working"),
    path("flight/<uuid:id>/picture/<slug:name>.svg", flight.show_picture, name="flight-picture"),
    path("flight/<uuid:id>/load-sheet.pdf", paper.print_load, name="flight-load-sheet"),
    path("flight/<uuid:id>/start-to-take-off.pdf", paper.print_card, name="flight-card"),
    path("flight/<uuid:id>/change", acts.change, name="flight-change"),
    path("flight/<uuid:id>/drop", acts.drop, name="flight-drop"),
    path("flight/<uuid:id>/report", acts.report, name="flight-report"),
    path("flight/<uuid:id>/sign", acts.sign, name="flight-sign"),
    path("flight/<uuid:id>/no", acts.no, name="flight-no"),
    path("flight/<uuid:id>/no-back", acts.no_back, name="flight-no-back"),
    path("flight/<uuid:id>/judge", acts.judge, name="flight-judge"),
    path("flight/<uuid:id>/release", acts.release, name="flight-release"),
    path("flight/<uuid:id>/after", after.show_after, name="flight-after"),
    path("flight/<uuid:id>/after/enter", after.enter_after, name="flight-after-enter"),
    path("release/<uuid:id>", release.show_release, name="release"),
    path("release/<uuid:id>/sheet.pdf", paper.print_release, name="release-sheet"),
    path("release/find", paper.find_sheet, name="release-find"),
    path("S/<str:name>", paper.open_code, name="sheet-code"),
    path("records/", records.show_records, name="records"),
    path("records/verify", records.verify_book, name="records-verify"),
    path("records/clock", records.confirm_this_clock, name="clock-confirm"),
    path("records/copy", records.copy_book, name="copy-make"),
    path("records/<uuid:id>", records.show_record, name="record"),
    path("upkeep/", upkeep.show_upkeep, name="upkeep"),
    path("upkeep/<str:id>", upkeep.show_aircraft_upkeep, name="upkeep-aircraft"),
    path("upkeep/<str:id>/<slug:name>", upkeep.enter_upkeep, name="upkeep-enter"),
    path("opening/", opening.show_opening, name="opening"),
    path("opening/house/<slug:file>/<slug:page>", opening.house, name="opening-house"),
    path("opening/aircraft/<slug:file>/<str:about>/<slug:page>", opening.aircraft, name="opening-aircraft"),
    path("opening/person/<str:person>/<slug:page>", opening.person, name="opening-person"),
    path("accounts/", accounts.show_accounts, name="accounts"),
    path("accounts/open", accounts.open_one, name="account-open"),
    path("accounts/password", accounts.give_new_password, name="account-password"),
    path("accounts/close", accounts.close_one, name="account-close"),
]

handler400 = "gyrewright.desk.pages.views.not_taken"
handler404 = "gyrewright.desk.pages.views.not_here"
handler500 = "gyrewright.desk.pages.views.broke"
