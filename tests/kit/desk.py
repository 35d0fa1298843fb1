"""People at the desk without a browser: a client who has come in, the words of an answer, what a form holds."""

from __future__ import annotations

import html
import re
from typing import Any

from django.test import Client
from django.urls import reverse


def client_of(person: str) -> Client:
    """Return a client who has come in by the demonstration's door."""
    client = Client(SERVER_NAME="localhost")
    answer = client.post(reverse("demo-door"), {"person": person})
    assert (answer.status_code, answer.url) == (302, reverse("today"))
    return client


def words(response: Any, status: int = 200) -> str:
    """Return the text of a page with single spaces; drawings and what machines read are left out."""
    assert response.status_code == status, response.content.decode()[-2000:]
    text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", response.content.decode(), flags=re.S)
    plain = " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())
    return re.sub(r" ([.,;:?])", r"\1", plain).replace("\u00a0", " ")


def held(response: Any) -> dict[str, str]:
    """Return what every field of a page's forms holds, by name; of a choice, what is chosen."""
    text = response.content.decode()
    out = {}
    for name, value in re.findall(r'<input[^>]*name="([^"]+)"[^>]*?value="([^"]*)"', text):
        out[name] = html.unescape(value)
    for name, value in re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>(.*?)</textarea>', text, re.S):
        out[name] = html.unescape(value)
    for name, inner in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', text, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', inner)
        out[name] = html.unescape(chosen[1]) if chosen else ""
    return out
