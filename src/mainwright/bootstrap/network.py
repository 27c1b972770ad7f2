"""Finds the addresses of this machine on the networks that it is part of; asks nobody for it."""

from __future__ import annotations

__all__ = ["van_address"]


def van_address(given: str | None, *, secret: bool) -> str:
    """Return the address on which phones are served.

    Parameters
    ----------
    given : str or None
        What was asked for; None takes the only address of a private network.
    secret : bool
        Whether the pages are served encrypted.

    Returns
    -------
    str
        One address of this machine.

    Raises
    ------
    InputError
        If there is none or more than one, or the one that was asked for stands for all, or is open to everybody.
    """
    import ipaddress

    from mainwright.errors import InputError

    if given is None:
        found = _private()
        if len(found) == 1:
            return found[0]
        listed = ", ".join(f"--host {one}" for one in found)
        right = f"one of {listed}" if found else "the van's network joined first, or its address named with --host"
        raise InputError("--van", f"{len(found)} networks", "", right)
    try:
        address = ipaddress.ip_address(given)
    except ValueError:
        raise InputError("--host", given, "", "a number of this machine, as 192.168.8.1") from None
    if address.is_unspecified or address.is_multicast:
        raise InputError("--host", given, "", "one address of this machine: pages answer only under the names they are given") from None
    if address.is_global and not secret:
        raise InputError("--host", given, "", "an address of a private network, or --certificate and --key with it") from None
    return str(address)


def _private() -> list[str]:
    """Return the addresses of private networks."""
    import ipaddress

    import ifaddr

    texts = sorted({str(one.ip) for adapter in ifaddr.get_adapters() for one in adapter.ips if one.is_IPv4})
    numbers = [ipaddress.ip_address(one) for one in texts]
    return [str(one) for one in numbers if one.is_private and not one.is_loopback and not one.is_link_local]
