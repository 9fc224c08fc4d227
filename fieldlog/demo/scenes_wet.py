"""Scenes of tile, plumbing and drywall. Each draws one picture."""

from __future__ import annotations

import random

from PIL import Image, ImageDraw

from fieldlog.demo import surfaces as s

PORCELAIN = (168, 166, 158)
CEILING = (226, 225, 220)
_RING = ((-1, 0), (-0.6, -0.8), (0, -0.6), (0.5, -1), (1, -0.2), (0.7, 0.6), (0.1, 1), (-0.7, 0.7))


def _chip(rng: random.Random, x: float, y: float, wide: float, tall: float) -> list[s.Point]:
    """A ragged outline about a point."""
    return [
        (x + wide * dx + rng.uniform(-8, 8), y + tall * dy + rng.uniform(-6, 6)) for dx, dy in _RING
    ]


def tub_nick(rng: random.Random) -> Image.Image:
    """The rim of a white tub with a dark chip in its glaze."""
    image = s.light(
        s.tiles(rng, (170, 190, 188), (190, 190), 6), [[200, 235, 210], [150, 180, 165]]
    )
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle((-200, 330, 1400, 1100), 150, fill=(240, 242, 242))
    pen.rounded_rectangle((-90, 470, 1290, 1200), 130, fill=(206, 212, 214))
    pen.rounded_rectangle((-60, 510, 1260, 1300), 120, fill=(222, 228, 230))
    s.shadow(image, [(-50, 500), (1250, 500), (1250, 640), (-50, 620)], 50, 0.35)
    s.glow(image, [(60, 352), (900, 352), (900, 372), (60, 372)], 14, 0.9)
    chip = _chip(rng, 640, 430, 46, 26)
    s.shadow(image, [(x + 3, y + 5) for x, y in chip], 8, 0.4)
    pen.polygon(chip, fill=(52, 54, 58))
    pen.line(chip[:5], (150, 152, 154), 5)
    s.lay_tape(image, (430, 268), (830, 262), 5)
    return s.finished(rng, image)


def tile_lippage(rng: random.Random) -> Image.Image:
    """Floor tile with one edge standing above the next; a steel rule bridges the step."""
    image = s.plaster(rng, (112, 108, 100), depth=0.12)
    for left, top, tone in ((-260, -90, 1.0), (310, -90, 0.94), (880, -90, 1.0)):
        _tile(rng, image, left, top, tone)
    for left, top, tone in (
        (-560, 260, 0.97),
        (680, 260, 0.9),
        (-260, 610, 0.95),
        (880, 610, 0.98),
    ):
        _tile(rng, image, left, top, tone)
    _tile(rng, image, 310, 610, 0.93)
    s.shadow(image, [(20, 300), (690, 280), (730, 330), (730, 660), (60, 660)], 16, 0.85)
    _tile(rng, image, 60, 240, 1.12)
    pen = ImageDraw.Draw(image)
    pen.polygon([(620, 240), (634, 254), (634, 590), (620, 576)], fill=(116, 110, 100))
    pen.polygon([(60, 576), (620, 576), (634, 590), (74, 590)], fill=(92, 86, 78))
    bar = s.light(
        s.plaster(rng, (204, 208, 212), (900, 60), 0.04), [[255, 255], [165, 170], [225, 230]]
    )
    s.shadow(image, [(640, 430), (1120, 462), (1110, 520), (640, 492)], 12, 0.7)
    s.lay(image, bar, [(190, 372), (1090, 372), (1090, 436), (190, 436)])
    for n in range(0, 56):
        x = 204 + n * 16
        pen.line((x, 372, x, 372 + (26 if n % 4 == 0 else 14)), (40, 42, 46), 2)
    return s.finished(rng, s.light(image, [[235, 255, 240], [225, 250, 230], [195, 220, 205]]))


def _tile(rng: random.Random, image: Image.Image, left: int, top: int, tone: float) -> None:
    tile = s.plaster(rng, s.shade(PORCELAIN, tone), (560, 336), 0.07)
    image.paste(s.light(tile, [[255, 250], [240, 235]]), (left, top))


def grout_haze(rng: random.Random) -> Image.Image:
    """Small mosaic tile under a cloudy film, one swipe of it wiped clean."""
    image = s.tiles(rng, (64, 92, 104), (92, 92), 9)
    cloud = s.grain(rng, (11, 8)).point(lambda v: min(200, 60 + v))
    clean = s.soft_mask(s.SIZE, [(380, 300), (900, 200), (960, 420), (430, 520)], 40)
    film = Image.composite(Image.new("L", s.SIZE, 14), cloud, clean)
    image.paste((206, 204, 198), (0, 0), film)
    s.glow(image, [(140, 600), (420, 560), (470, 690), (180, 740)], 60, 0.35)
    cloth = s.light(s.plaster(rng, (206, 186, 120), (360, 240), 0.3), [[255, 220], [200, 150]])
    s.shadow(image, [(850, 190), (1200, 150), (1220, 420), (900, 440)], 22, 0.6)
    s.lay(image, cloth, [(860, 190), (1230, 140), (1240, 400), (900, 430)])
    return s.finished(rng, s.light(image, [[255, 250, 220], [225, 220, 190]]))


def chipped_threshold(rng: random.Random) -> Image.Image:
    """Tile against a wood threshold, the corner of one tile broken off."""
    image = s.tiles(rng, (204, 198, 186), (420, 420), 12)
    board = s.light(s.wood(rng, (158, 106, 64), (1200, 300), 0.24), [[255, 255], [225, 220]])
    s.shadow(image, [(0, 570), (1200, 570), (1200, 640), (0, 640)], 16, 0.5)
    image.paste(board, (0, 610))
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 596, 1200, 612), fill=(96, 90, 82))
    chip = [(640, 596), (646, 520), (668, 534), (690, 520), (712, 552), (742, 560), (760, 596)]
    s.shadow(image, [(x - 5, y - 5) for x, y in chip], 6, 0.5)
    pen.polygon(chip, fill=(146, 112, 84))
    pen.line(chip[1:], (238, 234, 226), 5)
    pen.polygon(
        [(862, 540), (892, 520), (912, 548), (884, 566)],
        fill=(196, 190, 178),
        outline=(110, 104, 96),
    )
    s.lay_tape(image, (520, 420), (940, 412), 4)
    return s.finished(rng, s.light(image, [[255, 240, 205], [225, 210, 180]]))


def sink_trap(rng: random.Random) -> Image.Image:
    """Under a basin: trap, a drop at its nut and a wet ring on the cabinet floor."""
    image = s.light(
        s.plaster(rng, (214, 206, 190)), [[120, 170, 130], [170, 210, 175], [140, 170, 140]]
    )
    pen = ImageDraw.Draw(image)
    pen.polygon([(0, 900), (1200, 900), (1060, 690), (140, 690)], fill=(196, 176, 140))
    pen.ellipse((300, -260, 900, 130), fill=(236, 238, 238), outline=(170, 174, 176), width=6)
    for width, tone in ((92, (96, 98, 102)), (80, (190, 194, 198)), (26, (244, 246, 248))):
        off = -16 if width == 26 else 0
        pen.line((560 + off, 110, 560 + off, 430), tone, width)
        pen.arc((514 - width // 2 + 46, 320, 790 + width // 2 - 46 + 0, 560), 0, 180, tone, width)
        pen.line((744 + off, 440, 744 + off, 300), tone, width)
        pen.line((744, 290 + off, 1240, 262 + off), tone, width)
    for x, y in ((560, 216), (560, 414), (744, 400)):
        pen.rounded_rectangle(
            (x - 62, y - 34, x + 62, y + 34),
            12,
            fill=(168, 172, 176),
            outline=(84, 86, 90),
            width=4,
        )
        pen.line((x - 50, y - 18, x + 50, y - 18), (238, 240, 242), 5)
    drop = [(560, 470), (578, 520), (570, 544), (550, 544), (542, 520)]
    pen.polygon(drop, fill=(150, 190, 214), outline=(60, 96, 120))
    s.shadow(image, [(420, 790), (560, 756), (720, 786), (700, 846), (480, 852)], 12, 0.5)
    s.glow(image, [(500, 790), (600, 780), (610, 796), (520, 806)], 6, 0.8)
    return s.finished(rng, image)


def dented_corner(rng: random.Random) -> Image.Image:
    """An outside drywall corner with its bead dented and the compound broken off."""
    image = s.light(s.plaster(rng, (224, 214, 188)), [[255, 250], [235, 225]])
    dark = s.light(s.plaster(rng, (178, 168, 146), (580, 900)), [[255, 215], [235, 195]])
    image.paste(dark, (620, 0))
    chip = _chip(rng, 620, 450, 66, 118)
    pen = ImageDraw.Draw(image)
    s.shadow(image, [(x + 5, y + 6) for x, y in chip], 10, 0.5)
    pen.polygon(chip, fill=(238, 236, 230))
    pen.polygon(
        [(606, 370), (640, 380), (632, 450), (640, 526), (604, 536), (588, 452)],
        fill=(132, 134, 138),
    )
    for y in range(392, 530, 36):
        pen.ellipse((604, y, 618, y + 14), fill=(60, 60, 64))
    pen.line((614, 370, 596, 452, 612, 534), (210, 214, 218), 5)
    for _ in range(5):
        start = rng.uniform(360, 540)
        pen.line(
            (620, start, 620 - rng.uniform(50, 130), start + rng.uniform(-70, 70)),
            (150, 142, 122),
            2,
        )
    s.lay_tape(image, (430, 240), (424, 660), 5)
    return s.finished(rng, image)


def nail_pop(rng: random.Random) -> Image.Image:
    """Two fasteners pushing through a ceiling, ringed in pencil, in light from one side."""
    image = s.light(s.plaster(rng, CEILING, depth=0.07), [[255, 215, 165], [250, 205, 150]])
    pen = ImageDraw.Draw(image)
    for x, y in ((420, 380), (800, 540)):
        s.shadow(
            image, [(x + 8, y - 40), (x + 84, y - 30), (x + 92, y + 40), (x + 8, y + 50)], 22, 0.5
        )
        s.glow(image, _chip(rng, x - 12, y, 44, 40), 14, 0.7)
        pen.polygon(_chip(rng, x, y, 34, 30), fill=(232, 230, 224), outline=(158, 154, 146))
        pen.ellipse(
            (x - 15, y - 14, x + 15, y + 14), fill=(120, 118, 116), outline=(70, 68, 66), width=3
        )
        pen.line((x - 9, y, x + 9, y), (50, 48, 46), 4)
        pen.line((x, y - 8, x, y + 8), (50, 48, 46), 4)
        for n in range(2):
            grow = 92 + n * 5
            pen.arc(
                (x - grow, y - grow + n * 4, x + grow, y + grow),
                20 + n * 30,
                350 + n * 20,
                (120, 118, 120),
                4,
            )
    return s.finished(rng, image)
