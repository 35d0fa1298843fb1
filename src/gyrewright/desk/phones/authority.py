"""The certificate authority of one data folder, and the certificate that the desk shows to phones.

Trusting an authority is a grave thing to ask of a phone's owner, so this one can vouch for very little: for the desk's
own names and for addresses of private networks, by critical name constraints (RFC 5280, 4.2.1.10), for at most two
years, and for no further authority (path length 0). Its key lies in the data folder, readable by its owner alone, and
is in no copy and no export. All times are the machine's own: phones check certificates by theirs.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv4Network, IPv6Network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from gyrewright.desk.refusal import Refused

AUTHORITY_LIFE = timedelta(days=729)
LEAF_LIFE = timedelta(days=90)
RENEW_BEFORE = timedelta(days=30)
"""A certificate with less than this left is made anew."""
BACK = timedelta(days=1)
"""How long before it was made a certificate holds already: a phone's clock may be behind."""

PRIVATE_NETWORKS = (
    # RFC 1918, RFC 3927, RFC 4193, RFC 4291
    IPv4Network("10.0.0.0/8"),
    IPv4Network("172.16.0.0/12"),
    IPv4Network("192.168.0.0/16"),
    IPv4Network("169.254.0.0/16"),
    IPv6Network("fc00::/7"),
    IPv6Network("fe80::/10"),
)


@dataclass(frozen=True, slots=True)
class Files:
    """Where authority and certificate lie."""

    folder: Path

    @property
    def authority(self) -> Path:
        """The authority's certificate: what phones are given."""
        return self.folder / "authority.pem"

    @property
    def authority_key(self) -> Path:
        """The authority's key: whoever has it can forge what the constraints allow."""
        return self.folder / "authority.key"

    @property
    def leaf(self) -> Path:
        """The certificate that the desk shows, with the authority's behind it."""
        return self.folder / "desk.pem"

    @property
    def leaf_key(self) -> Path:
        """The key of that certificate."""
        return self.folder / "desk.key"


def files_in(data_dir: Path) -> Files:
    """Return where a data folder keeps its authority."""
    return Files(data_dir / "phones")


def fingerprint_of(certificate: x509.Certificate) -> str:
    """Return the SHA-256 fingerprint of a certificate in hexadecimal, as phones show it."""
    return certificate.fingerprint(hashes.SHA256()).hex()


def authority_in(files: Files) -> x509.Certificate | None:
    """Return the authority's certificate, or None where there is none with its key.

    Raises:
        Refused: The file there is no certificate.
    """
    if not files.authority.is_file() or not files.authority_key.is_file():
        return None
    return _read(files.authority)


def leaf_in(files: Files) -> x509.Certificate | None:
    """Return the certificate that the desk shows, or None where there is none."""
    return _read(files.leaf) if files.leaf.is_file() and files.leaf_key.is_file() else None


def _read(file: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(file.read_bytes())
    except ValueError:
        raise Refused(
            f"{file} is no certificate; take it and its key away, and a new one is made at the next start"
        ) from None


def make_authority(files: Files, *, names: Iterable[str], operation: str, at: datetime) -> x509.Certificate:
    """Make a new authority for some names, in place of any that is there. Phones have to be given it anew."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = _called(f"{operation[:40]}: desk for phones")
    allowed = [x509.DNSName(name) for name in names]
    constraints = x509.NameConstraints(
        permitted_subtrees=[*allowed, *(x509.IPAddress(network) for network in PRIVATE_NETWORKS)],
        excluded_subtrees=None,
    )
    made = (
        _begun(subject, subject, key.public_key(), at, AUTHORITY_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(constraints, critical=True)
        .sign(key, hashes.SHA256())
    )
    files.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    # The certificate first is no authority yet: it takes both files to be one.
    files.authority.unlink(missing_ok=True)
    _keep(files.authority_key, _private(key))
    _keep(files.authority, made.public_bytes(serialization.Encoding.PEM))
    return made


def make_leaf(files: Files, *, names: Iterable[str], addresses: Iterable[IPv4Address], at: datetime) -> None:
    """Make the certificate that the desk shows, signed by the folder's authority; it never outlives that.

    Raises:
        Refused: There is no authority.
    """
    authority = authority_in(files)
    if authority is None:
        raise Refused(f"there is no authority in {files.folder}; start the desk with --phones to make one")
    signer = serialization.load_pem_private_key(files.authority_key.read_bytes(), password=None)
    assert isinstance(signer, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    several = list(names)
    alternatives = [*(x509.DNSName(name) for name in several), *(x509.IPAddress(each) for each in addresses)]
    life = min(LEAF_LIFE, authority.not_valid_after_utc - at)
    made = (
        _begun(_called(several[0]), authority.subject, key.public_key(), at, life)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(alternatives), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()),
            critical=False,
        )
        .sign(signer, hashes.SHA256())
    )
    chain = made.public_bytes(serialization.Encoding.PEM) + authority.public_bytes(serialization.Encoding.PEM)
    # A process that dies between the two leaves a pair that does not fit; `is_due` sees that.
    _keep(files.leaf_key, _private(key))
    _keep(files.leaf, chain)


def is_due(files: Files, *, names: Iterable[str], addresses: Iterable[IPv4Address], at: datetime) -> bool:
    """Return whether the desk's certificate has to be made anew: it is old, for other names, or not of a piece."""
    leaf, authority = leaf_in(files), authority_in(files)
    if leaf is None or authority is None:
        return True
    left = leaf.not_valid_after_utc - at
    # One that ends with its authority cannot be made to last longer.
    if left < RENEW_BEFORE and leaf.not_valid_after_utc < authority.not_valid_after_utc:
        return True
    if leaf.not_valid_before_utc > at or leaf.issuer != authority.subject:
        return True
    key = serialization.load_pem_private_key(files.leaf_key.read_bytes(), password=None)
    if key.public_key() != leaf.public_key():
        return True
    try:
        leaf.verify_directly_issued_by(authority)
    except Exception:  # whatever speaks against it, a new one is made
        return True
    alternatives = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    there = {*alternatives.get_values_for_type(x509.DNSName), *alternatives.get_values_for_type(x509.IPAddress)}
    return not {*names, *addresses} <= there


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, at: datetime, life: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - BACK)
        .not_valid_after(at + life)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _called(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )


def _private(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _keep(file: Path, content: bytes) -> None:
    """Write a file that only its owner reads, at once and whole."""
    draft = file.with_name(f"{file.name}.part")
    draft.unlink(missing_ok=True)
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    draft.rename(file)
