"""One look for every picture: sizes, lines, colours with their roles, patterns that say the same without colour.

Colours are the eight of Okabe and Ito, which people with the common forms of colour blindness can tell apart
(M. Okabe, K. Ito, "Color Universal Design", 2002; values from memory). No picture leans on colour alone: each role
has a hatch, a dash or a marker of its own, and a word beside it.
"""

from __future__ import annotations

from typing import Final

# Okabe-Ito
BLACK: Final = "#000000"
ORANGE: Final = "#E69F00"
SKY_BLUE: Final = "#56B4E9"
GREEN: Final = "#009E73"
YELLOW: Final = "#F0E442"
BLUE: Final = "#0072B2"
VERMILION: Final = "#D55E00"
PURPLE: Final = "#CC79A7"

# roles; the lines stand at 3:1 or better against the paper, text is always in ink
PAPER: Final = "#FFFFFF"
INK: Final = "#1A1A1A"
QUIET: Final = "#595959"
GRID: Final = "#D9D9D9"
HIGH_SIDE: Final = VERMILION
LOW_SIDE: Final = BLUE
LIQUID_FILL: Final = BLUE
FROTH_FILL: Final = "#B9DDF3"  # sky blue, thinned so that the bubbles and their rims stand out
DATA: Final = BLUE
SECOND_DATA: Final = "#F7D9C4"  # vermilion, thinned so that the hatch stands out
POINT: Final = VERMILION

# lines, in pixels of the picture; the high-pressure side is the thicker one
HIGH_SIDE_PX: Final = 7.0
LOW_SIDE_PX: Final = 4.0
OUTLINE_PX: Final = 2.0
THIN_PX: Final = 1.2
CURVE_PX: Final = 2.2

# text, in pixels of the picture
TITLE_PX: Final = 18
TEXT_PX: Final = 15
SMALL_PX: Final = 14

# charts are measured with the first family (it ships with matplotlib and is the widest), then shown with what is there
MEASURED_FAMILY: Final = "DejaVu Sans"
FONT_FAMILY: Final = "'DejaVu Sans', Verdana, 'Segoe UI', 'Noto Sans', Arial, sans-serif"

# what tells lines, bars and points apart in black and white
HATCH_BEFORE: Final = "///"
DASHES: Final[dict[str, tuple[float, ...]]] = {"bubble": (), "dew": (7.0, 3.0)}
MARKERS: Final[tuple[str, ...]] = ("o", "s", "^", "D", "v", "P", "X", "*")
