"""Scenes of built things: stairs, guards, rails, floors, old timber. Each draws one picture."""

from __future__ import annotations

import random

from PIL import Image, ImageDraw

from fieldlog.demo import surfaces as s

OAK = (196, 152, 98)
SLAB = (150, 150, 146)
STEEL = (58, 60, 64)
BARE_WALL = (214, 210, 198)


def open_stair(rng: random.Random, bars_from: int = 99) -> Image.Image:
    """An open stair seen from its foot, a tape in one gap; `bars_from` the first gap with a bar."""
    image = s.light(s.plaster(rng, (206, 208, 204)), [[215, 245, 255], [185, 225, 240]])
    bottom = 930.0
    for step in range(7):
        near = 1 - step * 0.085
        left, right = 600 - 430 * near, 600 + 430 * near
        thick, gap = 62 * near, 92 * near
        top = bottom - thick
        _tread(rng, image, (left, top, right, bottom), rises=step < 4)
        if step >= bars_from:
            _bar(image, left, right, top - gap * 0.52, near)
        bottom = top - gap
    _stringers(image)
    if bars_from > 6:
        s.lay_tape(image, (742, 588), (738, 497), 5)
    return s.finished(rng, s.light(image, [[215, 245, 255], [235, 250, 240], [190, 215, 220]]))


def _tread(
    rng: random.Random, image: Image.Image, box: tuple[float, float, float, float], rises: bool
) -> None:
    left, top, right, bottom = (round(v) for v in box)
    face = s.wood(rng, OAK, (right - left, bottom - top), 0.22)
    image.paste(s.light(face, [[255, 255], [180, 180]]), (left, top))
    pen = ImageDraw.Draw(image)
    if rises:  # below the eye: the top of the tread shows behind its edge
        back = [(left, top), (right, top), (right - 26, top - 24), (left + 26, top - 24)]
        pen.polygon(back, fill=s.shade(OAK, 1.18))
    else:
        under = [
            (left, bottom),
            (right, bottom),
            (right - 22, bottom + 16),
            (left + 22, bottom + 16),
        ]
        pen.polygon(under, fill=s.shade(OAK, 0.45))


def _bar(image: Image.Image, left: float, right: float, level: float, near: float) -> None:
    pen = ImageDraw.Draw(image)
    half = 11 * near
    pen.rectangle((left + 8, level - half, right - 8, level + half), fill=(34, 35, 38))
    pen.line((left + 8, level - half * 0.4, right - 8, level - half * 0.4), (206, 209, 214), 4)


def _stringers(image: Image.Image) -> None:
    pen = ImageDraw.Draw(image)
    pen.polygon([(120, 900), (196, 900), (408, 0), (366, 0)], fill=STEEL)
    pen.polygon([(1080, 900), (1004, 900), (792, 0), (834, 0)], fill=s.shade(STEEL, 0.8))
    pen.line((196, 900, 408, 0), (120, 122, 128), 4)


def stair_gap(rng: random.Random) -> Image.Image:
    """No bars: a tape stands in an open gap."""
    return open_stair(rng)


def stair_half_bars(rng: random.Random) -> Image.Image:
    """Bars in the upper gaps only."""
    return open_stair(rng, 4)


def stair_bars(rng: random.Random) -> Image.Image:
    """A bar in every gap."""
    return open_stair(rng, 0)


def _straightedge(rng: random.Random, floor: Image.Image, ends_lifted: bool) -> Image.Image:
    image = s.plaster(rng, BARE_WALL)
    s.lay(image, floor, [(-500, 190), (1700, 190), (2300, 1000), (-1100, 1000)])
    ImageDraw.Draw(image).rectangle((0, 176, 1200, 196), fill=s.shade(BARE_WALL, 0.75))
    low, high = (-10, 10) if ends_lifted else (8, -16)
    under = [(0, 566), (600, 566 + high + 18), (1200, 566), (1200, 600), (600, 596), (0, 600)]
    s.shadow(image, [(x, y + 16) for x, y in under], 20, 0.85)
    middle = 20 if not ends_lifted else 0
    pen = ImageDraw.Draw(image)
    gap = [
        (0, 580 + low),
        (600, 584),
        (1200, 580 + low),
        (1200, 590),
        (600, 592 + middle),
        (0, 590),
    ]
    pen.polygon(gap, fill=(14, 14, 16))
    bar = s.light(
        s.wood(rng, (196, 200, 204), (1240, 92), 0.05), [[255, 255], [150, 160], [215, 220]]
    )
    s.lay(image, bar, [(-20, 488), (1220, 488), (1220, 582), (-20, 582)])
    x = 560 if not ends_lifted else 1010
    s.lay_tape(image, (x + 80, 700), (x + 80, 470), 3)
    return s.finished(rng, s.light(image, [[235, 255, 220], [200, 235, 190], [170, 205, 160]]))


def slab_hollow(rng: random.Random) -> Image.Image:
    """A straightedge over a hollow in the slab: light under its middle."""
    floor = s.plaster(rng, SLAB, depth=0.22)
    pen = ImageDraw.Draw(floor)
    crack = [(150, 0), (230, 260), (210, 430), (330, 640), (310, 900)]
    pen.line(crack, (92, 92, 90), 3)
    return _straightedge(rng, floor, ends_lifted=False)


def plank_hump(rng: random.Random) -> Image.Image:
    """A straightedge rocking on a hump in the planks: light under its end."""
    return _straightedge(rng, s.planks(rng, OAK, 11), ends_lifted=True)


def cracked_board(rng: random.Random) -> Image.Image:
    """A split along the grain of one oak board, with a tape beside it."""
    image = s.planks(rng, OAK, 5)
    pen = ImageDraw.Draw(image)
    x, y = 260.0, 468.0
    path = [(x, y)]
    while x < 880:
        x += rng.uniform(24, 60)
        y += rng.uniform(-9, 9)
        path.append((x, y))
    pen.line(path, (38, 24, 14), 7, joint="curve")
    pen.line([(px, py + 5) for px, py in path[2:-3]], (228, 190, 140), 3)
    pen.line([path[5], (path[5][0] + 90, path[5][1] + 34)], (44, 28, 16), 4)
    s.lay_tape(image, (250, 560), (900, 548), 7)
    return s.finished(rng, s.light(image, [[255, 235, 190], [235, 220, 180], [190, 180, 150]]))


def loose_bracket(rng: random.Random) -> Image.Image:
    """A wall rail whose bracket stands off the wall, one screw out."""
    image = s.light(s.plaster(rng, (206, 204, 192)), [[255, 235, 205], [235, 205, 170]])
    rail = s.light(s.wood(rng, (150, 96, 56), (1500, 120), 0.2), [[150, 150], [255, 255], [95, 95]])
    s.shadow(image, [(-40, 190), (1240, 610), (1240, 760), (-40, 330)], 34, 0.5)
    s.lay(image, rail, [(-60, 90), (1260, 516), (1260, 640), (-60, 204)])
    s.shadow(image, [(520, 470), (690, 470), (700, 700), (540, 710)], 16, 0.6)
    pen = ImageDraw.Draw(image)
    pen.rounded_rectangle(
        (536, 462, 664, 690), 40, fill=(176, 150, 92), outline=(104, 84, 44), width=4
    )
    pen.line((600, 480, 600, 350), (150, 124, 70), 40)
    pen.line((590, 480, 590, 356), (222, 200, 146), 8)
    for cy, there in ((520, True), (630, False)):
        _screw(pen, 600, cy, there)
    pen.polygon([(664, 480), (680, 486), (676, 676), (664, 676)], fill=(26, 24, 22))
    s.lay_tape(image, (720, 730), (1080, 738), 4)
    return s.finished(rng, image)


def _screw(pen: ImageDraw.ImageDraw, x: int, y: int, there: bool) -> None:
    box = (x - 17, y - 17, x + 17, y + 17)
    if there:
        pen.ellipse(box, fill=(196, 176, 124), outline=(90, 74, 40), width=3)
        pen.line((x - 12, y - 6, x + 12, y + 6), (70, 56, 30), 5)
    else:
        pen.ellipse(box, fill=(18, 16, 14), outline=(90, 74, 40), width=3)


def guard_opening(rng: random.Random) -> Image.Image:
    """Balusters with one opening wider than its neighbors, a tape across it."""
    image = s.light(s.plaster(rng, (214, 216, 208)), [[255, 255, 245], [215, 235, 225]])
    pen = ImageDraw.Draw(image)
    for x in (40, 200, 360, 520, 730, 890, 1050):
        s.shadow(image, [(x + 34, 140), (x + 50, 140), (x + 64, 780), (x + 48, 780)], 12, 0.3)
        pen.rectangle((x - 13, 130, x + 13, 790), fill=STEEL)
        pen.line((x - 5, 130, x - 5, 790), (142, 146, 152), 5)
    for top, deep in ((70, 86), (770, 60)):
        rail = s.light(s.wood(rng, OAK, (1200, deep), 0.2), [[255, 255], [150, 150]])
        image.paste(rail, (0, top))
    s.lay_tape(image, (533, 520), (717, 520), 5)
    return s.finished(rng, image)


def old_beam(rng: random.Random) -> Image.Image:
    """A hewn beam of the old loft with a long drying crack and an iron bolt."""
    image = s.light(s.plaster(rng, (222, 214, 198)), [[255, 240, 220], [205, 190, 170]])
    s.shadow(image, [(0, 620), (1200, 600), (1200, 720), (0, 730)], 34, 0.6)
    beam = s.light(
        s.wood(rng, (104, 72, 46), (1240, 400), 0.42), [[225, 255], [255, 235], [120, 140]]
    )
    s.lay(image, beam, [(-20, 240), (1220, 215), (1220, 600), (-20, 640)])
    pen = ImageDraw.Draw(image)
    upper = [(90 + i * 62, 432 - i * 3 + rng.uniform(-5, 5)) for i in range(17)]
    lower = [(x, y + 4 + 15 * (1 - abs(i - 8) / 8)) for i, (x, y) in enumerate(upper)]
    pen.polygon(upper + lower[::-1], fill=(20, 12, 8))
    pen.line([(x, y + 3) for x, y in lower], (150, 108, 72), 3)
    pen.regular_polygon((1010, 300, 46), 6, fill=(44, 42, 42), outline=(96, 92, 90))
    pen.ellipse((988, 278, 1032, 322), fill=(66, 62, 60))
    s.lay_tape(image, (420, 520), (700, 512), 3)
    return s.finished(rng, image)
