"""Wires the parts: the only place that names an adapter, reads a setting or the clock.

Each function imports just what it wires, so that a command pays for nothing else.
"""

__all__: list[str] = []
