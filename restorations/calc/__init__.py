"""Pure calculations in SI floats: standard library, numpy and scipy; no Django, file, clock or hidden randomness."""
