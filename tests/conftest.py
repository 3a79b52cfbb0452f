"""How hypothesis searches: the same examples every time, however slow the machine.

To search elsewhere: `pytest --hypothesis-profile=wide`.
"""

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("wide", deadline=None)
settings.load_profile("repeatable")
