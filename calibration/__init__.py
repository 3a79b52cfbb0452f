"""Projector calibration: photographs, tape or a ruled mat in, a `TableMap` in millimetres out.

Pure: arrays in, values out. OpenCV is imported only where an image is read or drawn.
"""
