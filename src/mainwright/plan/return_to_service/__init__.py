"""How and when the main is given back: blocks, curing, filling, test, flush, chlorine, samples, release, and what fresh mortar does to the water."""

__all__: list[str] = []
