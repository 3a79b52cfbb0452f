"""Where pictures come from when no camera is asked."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from projector.camera import camera_frames


def test_one_numbered_picture_alone_is_seen_for_ever(tmp_path: Path) -> None:
    assert cv2.imwrite(str(tmp_path / "0001.png"), np.full((20, 30, 3), 90, np.uint8))
    seen = camera_frames(str(tmp_path / "%04d.png"))
    assert [image is not None for image in (seen.read(), seen.read(), seen.read())] == [True] * 3
    seen.release()
