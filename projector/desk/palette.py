"""Colours of the desk, in daylight and in a dark hall, and the widgets' theme made from them."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields
from functools import lru_cache
from importlib.resources import files
from typing import Any

__all__ = ["LETTERS_PX", "Colour", "Palette", "palette_named", "widget_theme"]

Colour = tuple[int, int, int]
LETTERS_PX = 17.0
"""Height of the usual letters at 1280 x 720."""


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours by what they are for."""

    ground: Colour
    panel: Colour
    well: Colour
    bar: Colour
    line: Colour
    ink: Colour
    soft: Colour
    accent: Colour
    accent_pale: Colour
    on_accent: Colour
    fine: Colour
    note: Colour
    warning: Colour
    stop: Colour
    back: Colour
    front: Colour
    cloth: Colour
    light: Colour


@lru_cache
def palette_named(name: str) -> Palette:
    """The palette "light" or "dark", from colours.json."""
    plain = json.loads(files("projector.desk").joinpath("colours.json").read_text("utf-8"))[name]
    return Palette(**{field.name: _colour(plain[field.name]) for field in fields(Palette)})


def _colour(text: str) -> Colour:
    return int(text[1:3], 16), int(text[3:5], 16), int(text[5:7], 16)


def _written(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)


def _between(a: Colour, b: Colour, part: float) -> Colour:
    mixed = [round(x + (y - x) * part) for x, y in zip(a, b, strict=True)]
    return mixed[0], mixed[1], mixed[2]


def widget_theme(palette: Palette, scale: float) -> dict[str, Any]:
    """The theme of the widgets, for letters `scale` times the usual ones."""
    radius, letters = max(2, round(6 * scale)), round(LETTERS_PX * scale)
    tints = {name: _written(getattr(palette, name)) for name in Palette.__slots__}
    hovered = _written(_between(palette.panel, palette.accent, 0.12))
    faded = _written(_between(palette.panel, palette.soft, 0.55))
    shape = {
        "shape": "rounded_rectangle",
        "shape_corner_radius": str(radius),
        "border_width": str(max(1, round(scale))),
        "shadow_width": "0",
        "text_horiz_alignment_padding": str(round(8 * scale)),
    }
    letter = {"name": "noto_sans", "size": str(letters), "antialiased": "1"}
    plain = {
        "normal_bg": tints["panel"], "hovered_bg": hovered, "active_bg": tints["accent_pale"],
        "selected_bg": tints["accent_pale"], "disabled_bg": tints["ground"],
        "dark_bg": tints["well"], "disabled_dark_bg": tints["ground"],
        "normal_text": tints["ink"], "hovered_text": tints["ink"], "active_text": tints["ink"],
        "selected_text": tints["ink"], "disabled_text": faded,
        "normal_border": tints["line"], "hovered_border": tints["accent"],
        "active_border": tints["accent"], "selected_border": tints["accent"],
        "disabled_border": tints["line"], "text_cursor": tints["ink"],
        "filled_bar": tints["accent"], "unfilled_bar": tints["well"],
        "normal_text_shadow": "#00000000",
    }  # fmt: skip
    accent = {
        **plain,
        "normal_bg": tints["accent"], "hovered_bg": tints["accent"], "active_bg": tints["accent"],
        "normal_border": tints["accent"], "hovered_border": tints["ink"],
        "normal_text": tints["on_accent"], "hovered_text": tints["on_accent"],
        "active_text": tints["on_accent"],
    }  # fmt: skip
    chosen = {
        **plain,
        "normal_bg": tints["accent_pale"], "hovered_bg": tints["accent_pale"],
        "normal_border": tints["accent"],
    }  # fmt: skip
    quiet = {**plain, "normal_border": tints["panel"], "normal_text": tints["accent"]}
    place = {**plain, "normal_bg": tints["bar"], "normal_border": tints["bar"]}
    large = {**letter, "size": str(round(1.15 * letters)), "bold": "1"}
    flat = {**shape, "border_width": "0"}
    return {
        "defaults": {"colours": plain, "font": letter, "misc": shape},
        "button": {"colours": plain, "font": letter, "misc": shape},
        "#main": {"colours": accent, "font": {**letter, "bold": "1"}, "misc": shape},
        "#chosen": {"colours": chosen, "font": {**letter, "bold": "1"}, "misc": shape},
        "#quiet": {"colours": quiet, "font": letter, "misc": shape},
        "#place": {"colours": place, "font": large, "misc": flat},
        "#place_chosen": {"colours": accent, "font": large, "misc": flat},
        "horizontal_slider": {
            "colours": {**plain, "dark_bg": tints["well"]},
            "misc": {
                **shape,
                "enable_arrow_buttons": "0",
                "sliding_button_width": str(round(26 * scale)),
            },
        },
        "horizontal_slider.button": {"colours": accent, "misc": flat},
        "horizontal_slider.#sliding_button": {"colours": accent, "misc": flat},
        "text_entry_line": {
            "colours": {**plain, "dark_bg": tints["panel"], "selected_bg": tints["accent_pale"]},
            "font": letter,
            "misc": {**shape, "padding": f"{round(8 * scale)},{round(4 * scale)}"},
        },
        "text_box": {
            "colours": {**plain, "dark_bg": tints["panel"], "selected_bg": tints["accent_pale"]},
            "font": letter,
            "misc": {**shape, "padding": f"{round(10 * scale)},{round(8 * scale)}"},
        },
        "tool_tip": {"misc": {"rect_width": str(round(330 * scale))}},
        "tool_tip.text_box": {
            "colours": {**plain, "dark_bg": tints["bar"], "normal_border": tints["line"]},
            "font": {**letter, "size": str(round(0.9 * letters))},
            "misc": {**shape, "padding": f"{round(10 * scale)},{round(8 * scale)}"},
        },
    }
