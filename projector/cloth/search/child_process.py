"""A module of the program run as a plain child process, with a line to it and one back.

Not a fork of the caller: it shares no window, lock or random state with it, and needs no guard in
the caller's main file.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import projector

__all__ = ["child_process"]


def child_process(module: str, **settings: str) -> subprocess.Popen[bytes]:
    """Run a module of the program, with `settings` in its environment.

    It takes modules from where the caller takes them, never from the folder it is called in.
    """
    home = str(Path(projector.__file__).resolve().parent.parent)
    paths = [home, *filter(None, [os.environ.get("PYTHONPATH")])]
    own = {"PYTHONSAFEPATH": "1", "PYTHONPATH": os.pathsep.join(paths), **settings}
    return subprocess.Popen(
        [sys.executable, "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, **own},
    )
