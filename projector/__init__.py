"""The cutting table: cloth, layout, stage, desk and command line.

The only package that touches files, windows, cameras and the clock.
"""
