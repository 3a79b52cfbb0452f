"""20,000 random events through the loop: `python -m tests.benchmarks.stage_soak`.

Prints what memory they kept. Undo has no limit, so that some bytes a change are kept by design.
The events are played in blocks, each from the session as it was at first: once caches are full, no
block may add to what the process and Python itself hold. More blocks: `... stage_soak 8`.
"""

from __future__ import annotations

import gc
import sys
import time
from pathlib import Path

from tests.projector.test_stage_soak import soaked

BLOCK = 5_000


def resident_mb() -> float:
    """What the process holds in memory, MB (Linux: /proc/self/statm counts pages of 4 kB)."""
    pages = Path("/proc/self/statm").read_text(encoding="ascii").split()[1]
    return int(pages) * 4096 / 1e6


def main() -> None:
    """Play the blocks and tell after each what is held, its history dropped and with it."""
    blocks = int(sys.argv[1]) if len(sys.argv) > 1 else 4
    for block in range(blocks):
        begun = time.process_time()
        end, lays = soaked(BLOCK, seed=block)
        changes = len(end.past) + len(end.future)
        gc.collect()
        with_history = resident_mb()
        del end
        gc.collect()
        print(
            f"{(block + 1) * BLOCK} events, no exception: {lays} lays shown, "
            f"{changes} changes to undo; "
            f"{with_history:.1f} MB held with them, {resident_mb():.1f} MB without, "
            f"{len(gc.get_objects())} objects, {time.process_time() - begun:.0f} s",
            flush=True,
        )


if __name__ == "__main__":
    main()
