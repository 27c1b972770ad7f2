"""The clean bore of a host pipe that nobody has measured: a table's guess, with its range."""

from dataclasses import replace

from mainwright.errors import InputError
from mainwright.standards.published import Published, table

__all__ = ["table_bore"]


def _scaled(one: Published, dn: int) -> Published:
    low, high = (None if bound is None else bound * dn for bound in (one.low, one.high))
    return replace(one, value=one.value * dn, low=low, high=high)


def table_bore(*, dn: int, material: str) -> Published | None:
    """Return the clean bore of a pipe of this nominal size and material, to the metal.

    Parameters
    ----------
    dn : int
        Nominal size. [-]
    material : str
        Material as in ``main.csv``. [-]

    Returns
    -------
    Published or None
        The bore with its range and source [m]; None where no table or rule is known for it, and it must be measured.

    Raises
    ------
    InputError
        If the nominal size is not positive.

    Notes
    -----
    Grey iron and asbestos cement are named by their bore, so the nominal size is the guess for every size; ductile iron and steel
    keep their outside diameter, so the guess is that less two walls, for the sizes of the table only.

    Examples
    --------
    >>> table_bore(dn=150, material="ductile_iron").value
    0.158
    >>> table_bore(dn=150, material="pe") is None
    True
    """
    if dn <= 0:
        raise InputError("dn", dn, "", "more than 0")
    row = table("bores").find(material=material, dn=dn)
    if row is not None:
        return row.published
    rule = table("bores").find(material=material, rule="by_dn")
    return None if rule is None else _scaled(rule.published, dn)
