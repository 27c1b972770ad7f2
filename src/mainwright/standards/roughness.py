"""Hydraulic roughness of a pipe whose roughness nobody has measured."""

from typing import Literal

from mainwright.standards.published import Published, table

__all__ = ["Condition", "roughness"]

Condition = Literal["new", "good", "normal", "poor", "lined"]


def roughness(*, material: str, condition: Condition) -> Published | None:
    """Return the equivalent sand roughness of a pipe of this material in this condition.

    Parameters
    ----------
    material : str
        Material as in ``main.csv``; without meaning for the condition ``lined``. [-]
    condition : Condition
        ``new``, ``good``, ``normal``, ``poor`` for the bare wall in use; ``lined`` for a lining of mortar made in place. [-]

    Returns
    -------
    Published or None
        The roughness with its range and source [m]; None where no table has it.

    Examples
    --------
    >>> roughness(material="grey_iron", condition="normal").value
    0.0015
    >>> roughness(material="other", condition="new") is None
    True
    """
    row = table("roughness").find(material="any" if condition == "lined" else material, condition=condition)
    return None if row is None else row.published
