"""20,000 random inputs: `python -m tests.benchmarks.stage_soak`. Prints what memory they kept.

Undo has no limit, so that some bytes a change are kept by design; all else must not grow.
"""

from __future__ import annotations

import gc
import tracemalloc

from tests.projector.test_stage_hands import soak


def main() -> None:
    """Play 2,000 inputs to fill the caches, then 20,000, and compare."""
    soak(2000)
    tracemalloc.start()
    gc.collect()
    before, _ = tracemalloc.get_traced_memory()
    end = soak(20_000, seed=1)
    gc.collect()
    with_history, _ = tracemalloc.get_traced_memory()
    steps = len(end.past) + len(end.future)
    del end
    gc.collect()
    after, _ = tracemalloc.get_traced_memory()
    print(f"no exception; {steps} changes to undo hold {(with_history - after) / 1e6:.2f} MB")
    print(f"all else grew by {(after - before) / 1e6:+.2f} MB")


if __name__ == "__main__":
    main()
