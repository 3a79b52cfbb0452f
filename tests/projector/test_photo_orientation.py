"""Clicks on a photograph as viewers show it, against OpenCV's own turning of pictures."""

import io
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from projector.photo import on_sensor, read_photo


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_a_click_on_the_upright_picture_finds_its_place_on_the_sensor(
    orientation: int, tmp_path: Path
) -> None:
    sensor = np.zeros((120, 200, 3), np.uint8)
    sensor[30, 150] = 255
    noted = Image.Exif()
    noted[0x0112] = orientation
    stream = io.BytesIO()
    Image.fromarray(sensor).save(stream, "PNG", exif=noted)
    path = tmp_path / "photo.png"
    path.write_bytes(stream.getvalue())
    photo = read_photo(path)
    assert photo.orientation == orientation
    assert photo.image.shape == (120, 200, 3)
    turn = {3: cv2.ROTATE_180, 6: cv2.ROTATE_90_CLOCKWISE, 8: cv2.ROTATE_90_COUNTERCLOCKWISE}
    shown = cv2.rotate(sensor, turn[orientation]) if orientation in turn else sensor
    y, x = np.argwhere(shown[..., 0] == 255)[0]
    place = on_sensor(photo, np.array([[x, y]], dtype=float))[0]
    assert place == pytest.approx([150, 30])
