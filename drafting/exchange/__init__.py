"""Pieces to and from open formats: bytes in and out, never files."""
