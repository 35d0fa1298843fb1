"""A person's own PIN, by which they sign a walk-round on somebody else's phone, with or without a network.

The phone locks what is typed with this desk's public key at once and keeps it in no other form; only here can it be
opened, and it holds for the one walk it was typed for. The private key lies in the data folder, readable by its owner
alone, and is in no copy and no export: after a restore, such signatures stand as said until the person confirms them.
"""

from __future__ import annotations

import base64
import binascii
import secrets
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import padding, rsa
from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password

from gyrewright.desk.accounts.models import Account, WrongTry
from gyrewright.desk.refusal import NotAllowed, Refused

FILE = "signing.key"
LEAST, MOST = 6, 12
_LOCK = padding.OAEP(mgf=padding.MGF1(algorithm=hashes.SHA256()), algorithm=hashes.SHA256(), label=None)


def set_pin(*, account: Account, password: str, pin: str) -> None:
    """Give an account a PIN; the password is asked for, so that a phone left lying about gives none away.

    Raises:
        NotAllowed: The password is not right.
        Refused: It is no PIN, or one that everybody tries first.
    """
    if not account.check_password(password) and not settings.IS_DEMO:
        raise NotAllowed("the password is not right; nothing was changed")
    if not (pin.isascii() and pin.isdigit() and LEAST <= len(pin) <= MOST):
        raise Refused(f"a PIN has {LEAST} to {MOST} digits")
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(pin)}
    if len(steps) == 1:
        raise Refused("this PIN is one digit over and over, or counts up or down: choose another")
    account.pin = make_password(pin)
    account.save(update_fields=["pin"])


def public_key() -> str:
    """Return the public key for phones: SubjectPublicKeyInfo, DER, in base64."""
    return _public(str(settings.DATA_DIR))


@lru_cache(maxsize=4)
def _public(data_dir: str) -> str:
    der = (
        _key(Path(data_dir))
        .public_key()
        .public_bytes(serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo)
    )
    return base64.b64encode(der).decode()


def _key(data_dir: Path) -> rsa.RSAPrivateKey:
    path = data_dir / FILE
    if not path.exists():
        made = rsa.generate_private_key(public_exponent=65537, key_size=2048)
        pem = made.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )
        # Two requests at once must agree on one key: only one of them can create the name.
        draft = path.with_name(f"{FILE}.{secrets.token_hex(4)}")
        draft.touch(mode=0o600)
        draft.write_bytes(pem)
        with suppress(FileExistsError):
            path.hardlink_to(draft)
        draft.unlink()
    found = serialization.load_pem_private_key(path.read_bytes(), password=None)
    if not isinstance(found, rsa.RSAPrivateKey):
        raise Refused(f"{path} is no key of this desk; move it away, and signatures by PIN begin anew")
    return found


def is_their_pin(*, person: str, walk: str, secret: str) -> bool:
    """Return whether what a phone locked is a person's own PIN, typed for this walk; too many wrong ones wait."""
    try:
        typed = _key(settings.DATA_DIR).decrypt(base64.b64decode(secret, validate=True), _LOCK).decode()
    except (ValueError, binascii.Error, UnicodeDecodeError):
        return False
    meant, _, pin = typed.partition(" ")
    account = Account.objects.filter(person=person, is_open=True).first()
    if meant != walk or account is None or not account.pin:
        return False
    name, now = f"pin {person}", datetime.now(UTC)
    WrongTry.objects.filter(at__lt=now - timedelta(minutes=settings.LOGIN_WAIT_MIN)).delete()
    if WrongTry.objects.filter(name=name).count() >= settings.LOGIN_TRIES:
        return False
    if check_password(pin, account.pin, setter=None):
        return True
    WrongTry.objects.create(name=name, at=now)
    return False
