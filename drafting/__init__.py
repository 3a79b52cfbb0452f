"""Garment drafting: measurements in, finished pieces out.

Pure: no files, screen, clock or camera. Millimetres and radians throughout.
"""
