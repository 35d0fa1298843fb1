"""Where phones reach the desk: its one stable name, and the private addresses that this machine has now."""

from __future__ import annotations

import array
import fcntl
import socket
import struct
from contextlib import suppress
from dataclasses import dataclass
from ipaddress import IPv4Address, ip_address

from gyrewright.desk.phones.authority import PRIVATE_NETWORKS

HERE, PHONES, PLAIN = "here", "phones", "plain"
"""The listeners: this machine alone in http, phones in https, phones without the authority in http."""
LISTENER = "DESK_LISTENER"
"""The variable that says which of them a process is."""

_GET_ADDRESS = 0x8915
"""SIOCGIFADDR of Linux."""


@dataclass(frozen=True, slots=True)
class Places:
    """Names and addresses by which phones reach the desk. The first name is the stable one."""

    names: tuple[str, ...]
    addresses: tuple[IPv4Address, ...]

    @property
    def hosts(self) -> list[str]:
        """Every host that a phone may ask for."""
        return [*self.names, *map(str, self.addresses)]


def names_of(name: str) -> tuple[str, ...]:
    """Return the stable name and the name that the same machine has in a network without a name server."""
    local = f"{name.partition('.')[0]}.local"
    return (name,) if name == local else (name, local)


def places_of(name: str) -> Places:
    """Return where phones reach this machine now."""
    return Places(names_of(name), private_addresses())


def is_private(text: str) -> bool:
    """Return whether an address belongs to a private network or to this machine."""
    try:
        address = ip_address(text)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    address = mapped or address
    return address.is_loopback or any(
        address in network for network in PRIVATE_NETWORKS if address.version == network.version
    )


def private_addresses() -> tuple[IPv4Address, ...]:
    """Return this machine's addresses in private networks, in their order."""
    found = {IPv4Address(each) for each in (*_by_interface(), *_by_name(), *_by_route())}
    return tuple(sorted(each for each in found if not each.is_loopback and is_private(str(each))))


def _by_interface() -> list[str]:
    found = []
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        for _, name in socket.if_nameindex():
            # Another system numbers this question differently and refuses it; the other two ways are left then.
            with suppress(OSError):
                reply = array.array("B", struct.pack("256s", name.encode()[:15]))
                fcntl.ioctl(asking.fileno(), _GET_ADDRESS, reply, True)
                found.append(socket.inet_ntoa(bytes(reply[20:24])))
    return found


def _by_name() -> list[str]:
    with suppress(OSError):
        return [str(each[4][0]) for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return []


def _by_route() -> list[str]:
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        # Connecting a datagram socket sends nothing: it only picks the way out. 192.0.2.1 is nobody's (RFC 5737).
        asking.connect(("192.0.2.1", 9))
        return [str(asking.getsockname()[0])]
    return []
