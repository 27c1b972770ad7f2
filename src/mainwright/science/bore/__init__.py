"""Ring, bend and volume of the bore of a main."""
