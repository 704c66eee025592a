"""Pure calculations in SI floats: standard library, numpy and scipy only; no Django, file, clock or hidden randomness."""
