"""The authority for phones, asked by real TLS clients: it vouches for the desk's names and private networks alone."""

from __future__ import annotations

import ssl
import stat
import sys
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, ip_address

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from django.conf import settings

from gyrewright.desk import start
from gyrewright.desk.book.reading import find_records
from gyrewright.desk.phones import authority as made
from gyrewright.desk.phones.places import Places, is_private, names_of
from gyrewright.desk.refusal import Refused
from gyrewright.desk.services import authority as service
from gyrewright.desk.services.copies import make_copy
from gyrewright.desk.services.leaving import export_book
from gyrewright.desk.services.records import new_id

NAMES = ("desk.lan", "desk.local")
ADDRESSES = (IPv4Address("192.168.1.7"), IPv4Address("10.0.0.7"))
DAY = timedelta(days=1)


def now():
    return datetime.now(UTC).replace(microsecond=0)


@pytest.fixture
def files(tmp_path):
    files = made.files_in(tmp_path)
    made.make_authority(files, names=NAMES, operation="A school", at=now())
    made.make_leaf(files, names=NAMES, addresses=ADDRESSES, at=now())
    return files


def shake_hands(files, host, *, chain=None, key=None):
    """Shake hands as a client that trusts the authority alone and asks for a host; raises what the client says."""
    client = ssl.create_default_context(cafile=str(files.authority))
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(chain or files.leaf, key or files.leaf_key)
    to_client, to_server = ssl.MemoryBIO(), ssl.MemoryBIO()
    one = client.wrap_bio(to_client, to_server, server_hostname=host)
    other = server.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(6):
        for side in (one, other):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return one.version()


def forged(files, *alternatives, signer=None, issuer=None, tmp_path, is_authority=False):
    """Return chain and key of a certificate that somebody made with the stolen key of the authority."""
    authority = made.authority_in(files)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "middle" if is_authority else "stolen")])
    signer = signer or serialization.load_pem_private_key(files.authority_key.read_bytes(), password=None)
    builder = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name((issuer or authority).subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now() - DAY)
        .not_valid_after(now() + DAY)
        .add_extension(x509.BasicConstraints(ca=is_authority, path_length=None), critical=True)
    )
    if alternatives:
        builder = builder.add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
    certificate = builder.sign(signer, hashes.SHA256())
    chain, private = tmp_path / f"{certificate.serial_number}.pem", tmp_path / f"{certificate.serial_number}.key"
    more = b"" if issuer is None else issuer.public_bytes(serialization.Encoding.PEM)
    chain.write_bytes(certificate.public_bytes(serialization.Encoding.PEM) + more + files.authority.read_bytes())
    private.write_bytes(
        key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    )
    return certificate, chain, private, key


@pytest.mark.parametrize("host", [*NAMES, *map(str, ADDRESSES)])
def test_a_client_that_trusts_it_meets_the_desk_by_name_and_address(files, host):
    assert shake_hands(files, host) == "TLSv1.3"


@pytest.mark.parametrize("host", ["other.lan", "192.168.1.8", "gyrewright.local"])
def test_the_desks_certificate_is_good_for_its_own_places_alone(files, host):
    with pytest.raises(ssl.SSLCertVerificationError, match=r"(Hostname|IP address) mismatch"):
        shake_hands(files, host)


@pytest.mark.parametrize(
    "host", ["bank.example", "lan", "notdesk.lan", "xdesk.local", "8.8.8.8", "172.32.0.1", "192.169.0.1", "2001:db8::1"]
)
def test_what_lies_outside_the_constraints_is_refused_even_under_the_authoritys_own_hand(files, host, tmp_path):
    try:
        name = x509.IPAddress(ip_address(host))
    except ValueError:
        name = x509.DNSName(host)
    _, chain, key, _ = forged(files, name, tmp_path=tmp_path)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shake_hands(files, host, chain=chain, key=key)


def test_what_lies_inside_can_be_forged_as_the_page_says(files, tmp_path):
    _, chain, key, _ = forged(files, x509.IPAddress(ip_address("172.16.9.9")), tmp_path=tmp_path)
    assert shake_hands(files, "172.16.9.9", chain=chain, key=key)


def test_it_makes_no_further_authority(files, tmp_path):
    middle, _, _, key = forged(files, tmp_path=tmp_path, is_authority=True)
    _, chain, private, _ = forged(files, x509.DNSName("desk.lan"), signer=key, issuer=middle, tmp_path=tmp_path)
    with pytest.raises(ssl.SSLCertVerificationError, match="path length constraint exceeded"):
        shake_hands(files, "desk.lan", chain=chain, key=private)


def test_constraints_are_critical_and_lives_are_short(files):
    authority, leaf = made.authority_in(files), made.leaf_in(files)
    constraints = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert constraints.critical
    basic = authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    assert authority.not_valid_after_utc - authority.not_valid_before_utc <= timedelta(days=730)
    assert leaf.not_valid_after_utc - now() <= timedelta(days=90)
    assert {str(each.value) for each in constraints.value.permitted_subtrees} >= {
        *NAMES,
        "10.0.0.0/8",
        "192.168.0.0/16",
    }


def test_keys_are_their_owners_alone(files):
    for each in files.folder.iterdir():
        assert stat.S_IMODE(each.stat().st_mode) == 0o600, each
    assert stat.S_IMODE(files.folder.stat().st_mode) == 0o700


@pytest.mark.parametrize(("days", "due"), [(0, False), (59, False), (61, True), (95, True), (-3, True)], ids=str)
def test_it_is_made_anew_a_month_before_it_ends_and_where_the_clock_went_back(files, days, due):
    assert made.is_due(files, names=NAMES, addresses=ADDRESSES, at=now() + days * DAY) is due


def test_a_new_address_or_name_makes_it_due_and_one_less_does_not(files):
    more = (*ADDRESSES, IPv4Address("192.168.1.8"))
    assert made.is_due(files, names=NAMES, addresses=more, at=now())
    assert made.is_due(files, names=(*NAMES, "x.local"), addresses=ADDRESSES, at=now())
    assert not made.is_due(files, names=NAMES, addresses=(), at=now())


def test_it_never_outlives_its_authority_and_is_not_made_anew_in_vain(files):
    late = now() + made.AUTHORITY_LIFE - 20 * DAY
    made.make_leaf(files, names=NAMES, addresses=ADDRESSES, at=late)
    assert made.leaf_in(files).not_valid_after_utc == made.authority_in(files).not_valid_after_utc
    assert not made.is_due(files, names=NAMES, addresses=ADDRESSES, at=late)


def test_a_pair_that_does_not_fit_is_made_anew(files, tmp_path):
    other = made.files_in(tmp_path / "other")
    made.make_authority(other, names=NAMES, operation="A school", at=now())
    files.authority.write_bytes(other.authority.read_bytes())
    assert made.is_due(files, names=NAMES, addresses=ADDRESSES, at=now())
    made.make_leaf(other, names=NAMES, addresses=ADDRESSES, at=now())
    other.leaf_key.write_bytes(files.leaf_key.read_bytes())
    assert made.is_due(other, names=NAMES, addresses=ADDRESSES, at=now())


def test_a_file_that_is_no_certificate_is_one_message(files):
    files.authority.write_text("hello")
    with pytest.raises(Refused, match=r"authority.pem is no certificate; take it and its key away"):
        made.authority_in(files)


def test_names_and_networks():
    assert names_of("gyrewright.local") == ("gyrewright.local",)
    assert names_of("desk.hangar.lan") == ("desk.hangar.lan", "desk.local")
    yes = ("192.168.1.1", "10.1.1.1", "172.31.0.1", "127.0.0.1", "::1", "fe80::1", "fd00::1", "::ffff:10.0.0.1")
    no = ("8.8.8.8", "172.32.0.1", "2001:db8::1", "", "x", "::ffff:8.8.8.8")
    assert [each for each in yes if not is_private(each)] == []
    assert [each for each in no if is_private(each)] == []


# --- with the book ---


@pytest.fixture
def at_hangar(demo_day, monkeypatch):
    monkeypatch.setattr(service, "places_of", lambda name: Places(names_of(name), ADDRESSES))
    return demo_day


def test_it_is_made_once_recorded_and_kept(at_hangar):
    first = service.ready_authority()
    assert service.ready_authority() == first
    (record,) = find_records(kinds=("authority-made",))
    assert record.act.fingerprint == made.fingerprint_of(first)
    assert record.act.until == first.not_valid_after_utc.date()
    assert service.renew() is False
    assert service.notice_lost() is False
    assert shake_hands(service.authority_files(), "gyrewright.local")


def test_another_name_or_its_end_makes_another(at_hangar, monkeypatch):
    first = service.ready_authority()
    monkeypatch.setattr(settings, "PHONES_NAME", "desk.lan")
    second = service.ready_authority()
    assert second != first
    assert shake_hands(service.authority_files(), "desk.lan")
    monkeypatch.setattr(service, "machine_now", lambda: now() + 730 * DAY)
    assert service.ready_authority() != second
    assert len(find_records(kinds=("authority-made",))) == 3
    assert find_records(kinds=("phones-lost",)) == []


def test_a_new_address_of_the_machine_is_in_the_certificate_at_the_next_look(at_hangar, monkeypatch):
    service.ready_authority()
    monkeypatch.setattr(service, "places_of", lambda name: Places(names_of(name), (IPv4Address("192.168.9.9"),)))
    assert service.renew() is True
    assert shake_hands(service.authority_files(), "192.168.9.9")


def test_neither_copies_nor_exports_hold_it(at_hangar, tmp_path):
    service.ready_authority()
    secrets = [each.read_bytes() for each in service.authority_files().folder.glob("*.key")]
    assert len(secrets) == 2
    make_copy(id=new_id(), by="okafor-lind", folder=tmp_path / "copies")
    export_book(folder=tmp_path / "export")
    for file in [*(tmp_path / "copies").rglob("*"), *(tmp_path / "export").rglob("*")]:
        if file.is_file():
            content = file.read_bytes()
            assert b"PRIVATE KEY" not in content
            assert not any(each[30:120] in content for each in secrets)


def test_a_book_put_back_elsewhere_says_that_its_phones_are_not_known(use_folder, at_hangar, tmp_path):
    from gyrewright.desk.services.copies import restore

    service.ready_authority()
    make_copy(id=new_id(), by="okafor-lind", folder=tmp_path / "copies")
    (copy,) = (tmp_path / "copies").glob("*.sqlite3")
    restore(copy=copy, data_dir=tmp_path / "new")
    use_folder(tmp_path / "new")
    start.start_clock()
    assert service.notice_lost() is True
    assert service.notice_lost() is True
    assert len(find_records(kinds=("phones-lost",))) == 1
    service.ready_authority()
    assert len(find_records(kinds=("authority-made",))) == 2
    assert len(find_records(kinds=("phones-lost",))) == 1
    assert service.notice_lost() is False


if sys.platform != "linux":
    pytestmark = pytest.mark.skip(reason="file modes and networks are asked as Linux answers")
