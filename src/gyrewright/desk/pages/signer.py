"""Who signs an act where several people stand at one desk."""

from __future__ import annotations

from django.contrib.auth import authenticate

from gyrewright.desk.accounts.door import is_open
from gyrewright.desk.accounts.models import Account
from gyrewright.desk.pages.visit import Visit
from gyrewright.desk.refusal import NotAllowed


def signer_of(request: Visit, person: str) -> str:
    """Return who signs: whoever is logged in, or another person at the same desk by their own password.

    In the demonstration, which has no passwords, by touch.

    Raises:
        NotAllowed: They have no log-in here, or it is not their password.
    """
    if person == request.person:
        return person
    account = Account.objects.filter(person=person, is_open=True).first()
    if account is None:
        raise NotAllowed("this person has no log-in here yet; the manager opens one")
    if is_open():
        return person
    if authenticate(request, name=account.name, password=request.POST.get("password", "")) is None:
        raise NotAllowed("this is not their password; nothing was signed")
    return person
