"""Mail against a real mail server on this machine: it goes out once, with its photo, and a failure loses nothing."""

from __future__ import annotations

import email.policy
import socket
import ssl
from datetime import UTC, datetime, timedelta
from email import message_from_bytes

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from django.urls import reverse

from gyrewright.desk import clock
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.environ import Mail
from gyrewright.desk.services import people, post, state
from gyrewright.desk.services.matters import report_with_id
from gyrewright.desk.services.records import new_id
from kit.reports import act, client_of, photo, report, words


class Box:
    """What the server was handed."""

    def __init__(self):
        self.envelopes = []

    async def handle_DATA(self, server, session, envelope):  # noqa: N802 - the server calls it so
        self.envelopes.append(envelope)
        return "250 kept"

    @property
    def letters(self):
        return [message_from_bytes(each.content, policy=email.policy.default) for each in self.envelopes]


@pytest.fixture
def box():
    return Box()


def serve(box, **given):
    """Start a server on a free port of this machine."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    made = Controller(box, hostname="127.0.0.1", port=port, **given)
    made.start()
    return made


@pytest.fixture
def server(box):
    made = serve(box)
    yield made
    made.stop()


def mail_to(server, security="none", **more):
    given = {"user": "", "password_file": None, "host": "127.0.0.1", **more}
    return Mail(port=server.port, security=security, sender="desk@example.org", **given)


@pytest.fixture
def reachable(demo_day):
    for person, contact in (("arrowood", "pell@example.org"), ("okafor-lind", "maren@example.org")):
        name = people.person_known(person).name
        people.add_person(id=new_id(), person=person, name=name, contact=contact, by="okafor-lind")


def later(hours):
    clock.start(demo_at=clock.now() + timedelta(hours=hours))


def sent():
    return [(each.act.to, each.act.how, each.act.failed) for each in find_records(kinds=("word-sent",))]


def test_it_works(reachable, server, box):
    id = report(client_of("halloran"), words="shimmy", photo=photo())
    assert post.send_due(mail_to(server)) == 1
    (envelope,), (letter,) = box.envelopes, box.letters
    assert (envelope.mail_from, envelope.rcpt_tos) == ("desk@example.org", ["pell@example.org"])
    assert letter["Subject"] == "Demonstration: Dunlin N0-101D: Nose: shakes"
    body = letter.get_body(("plain",)).get_content()
    assert "shimmy" in body
    assert f"/defect/{id}" in body
    (attached,) = letter.iter_attachments()
    assert (attached.get_content_type(), attached.get_content()[:2]) == ("image/jpeg", b"\xff\xd8")
    assert sent() == [("arrowood", "mail", "")]
    page = words(client_of("sunde").get(reverse("defect", args=[id])))
    assert "Mail went to Pell Arrowood" in page


def test_it_goes_out_once(reachable, server, box):
    report(client_of("halloran"))
    mail = mail_to(server)
    assert [post.send_due(mail) for _ in range(3)] == [1, 0, 0]
    assert len(box.envelopes) == 1


def test_the_manager_gets_it_after_the_houses_time_and_not_once_somebody_has_it(reachable, server, box):
    first, second = report(client_of("halloran"), zone="B"), report(client_of("halloran"), zone="K")
    post.send_due(mail_to(server))
    act(client_of("arrowood"), first, "take")
    later(24.1)
    post.send_due(mail_to(server))
    assert [(each.rcpt_tos, second in each.content.decode()) for each in box.envelopes[2:]] == [
        (["maren@example.org"], True)
    ]
    assert len(box.envelopes) == 3


def test_whoever_reported_gets_no_mail_of_their_own_report_nor_does_anybody_without_an_address(demo_day, server, box):
    report(client_of("arrowood"))
    report(client_of("halloran"))
    assert post.send_due(mail_to(server)) == 0
    assert box.envelopes == []
    assert sent() == []


def test_a_server_that_is_not_there_loses_nothing_is_shown_and_is_tried_again(reachable, box):
    id = report(client_of("halloran"), words="shimmy")
    gone = serve(box)
    mail = mail_to(gone)
    gone.stop()
    assert post.send_due(mail) == 0
    ((to, how, failed),) = sent()
    assert (to, how) == ("arrowood", "mail")
    assert "ConnectionRefusedError" in failed
    assert report_with_id(id, state.asking_at()).state == "open"
    assert "Mail could not be sent: ConnectionRefusedError" in words(client_of("okafor-lind").get(reverse("today")))
    page = words(client_of("sunde").get(reverse("defect", args=[id])))
    assert "Mail to Pell Arrowood could not be sent" in page
    assert "the report is kept in any case" in page
    assert post.send_due(mail) == 0
    assert len(sent()) == 1
    back = serve(box)
    assert post.send_due(mail_to(back)) == 1
    back.stop()
    assert len(sent()) == 2
    assert "Mail could not be sent" not in words(client_of("okafor-lind").get(reverse("today")))


def test_the_sender_leaves_a_failed_mail_for_a_while(reachable, box):
    report(client_of("halloran"))
    gone = serve(box)
    mail = mail_to(gone)
    gone.stop()
    tried = {}
    post.send_due(mail, tried)
    back = serve(box)
    assert post.send_due(mail_to(back), tried) == 0
    later(0.1)
    assert post.send_due(mail_to(back), tried) == 1
    back.stop()


def test_a_server_that_refuses_says_why(reachable, box):
    class Full(Box):
        async def handle_DATA(self, server, session, envelope):  # noqa: N802 - the server calls it so
            return "452 no room left"

    made = serve(Full())
    report(client_of("halloran"))
    post.send_due(mail_to(made))
    made.stop()
    assert "no room left" in sent()[0][2]


def test_the_sender_wakes_goes_on_after_an_error_and_is_not_started_without_a_server(
    reachable, server, box, monkeypatch
):
    assert post.start() is None
    calls = []

    def look(mail, tried):
        calls.append(mail)
        if len(calls) == 1:
            raise ValueError("a slip")
        raise SystemExit

    monkeypatch.setattr(post, "send_due", look)
    monkeypatch.setattr(post, "EVERY_S", 0.01)
    post.wake()
    with pytest.raises(SystemExit):
        post.run_forever(mail_to(server))
    assert len(calls) == 2


# --- kept private on the way ---


@pytest.fixture(scope="module")
def certificate(tmp_path_factory):
    """A certificate for localhost and its key, signed by itself, as files."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=2))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    folder = tmp_path_factory.mktemp("certificate")
    (folder / "cert.pem").write_bytes(made.public_bytes(serialization.Encoding.PEM))
    kind = serialization.PrivateFormat.PKCS8
    (folder / "key.pem").write_bytes(key.private_bytes(serialization.Encoding.PEM, kind, serialization.NoEncryption()))
    return folder


def private(certificate):
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate / "cert.pem", certificate / "key.pem")
    return context


def authenticator(server, session, envelope, mechanism, given):
    good = isinstance(given, LoginPassword) and (given.login, given.password) == (b"desk", b"opensesame")
    return AuthResult(success=good, handled=False)


def test_it_logs_in_over_a_private_way_to_a_server_whose_certificate_holds(
    reachable, box, certificate, tmp_path, monkeypatch
):
    given = {"require_starttls": True, "auth_required": True, "authenticator": authenticator}
    made = serve(box, tls_context=private(certificate), **given)
    secret = tmp_path / "secret"
    secret.write_text("opensesame")
    report(client_of("halloran"))
    mail = mail_to(made, "starttls", host="localhost", user="desk", password_file=secret)
    assert post.send_due(mail) == 0
    assert "CERTIFICATE_VERIFY_FAILED" in sent()[0][2].upper().replace(" ", "_")
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate / "cert.pem"))
    secret.write_text("wrong")
    assert post.send_due(mail) == 0
    assert "SMTPAuthenticationError" in sent()[-1][2]
    secret.write_text("opensesame")
    assert post.send_due(mail) == 1
    made.stop()
    assert len(box.envelopes) == 1


def test_it_speaks_tls_from_the_first_byte_where_that_is_asked(reachable, box, certificate, monkeypatch):
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate / "cert.pem"))
    made = serve(box, ssl_context=private(certificate))
    report(client_of("halloran"))
    assert post.send_due(mail_to(made, "tls", host="localhost")) == 1
    made.stop()
    assert len(box.envelopes) == 1


def test_it_never_falls_back_to_the_open_where_the_server_offers_nothing_private(reachable, server, box):
    report(client_of("halloran"))
    assert post.send_due(mail_to(server, "starttls")) == 0
    assert "SMTPNotSupportedError" in sent()[0][2]
    assert box.envelopes == []
