"""Cloth, pieces laid on it, and the search for the shortest lay."""
