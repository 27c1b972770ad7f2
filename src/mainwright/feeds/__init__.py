"""Live readings from the world: bytes in, readings in SI out, each acknowledged only when it is on disk."""

__all__: list[str] = []
