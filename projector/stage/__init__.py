"""What is lit on the table: session, commands, picture and window."""

import os

# The library greets on the standard output, which belongs to figures for machines.
os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
