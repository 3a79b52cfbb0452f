"""The search for short lays on plain polygons; it knows nothing of garments or files."""
