"""Scenes of finish work: paint, trim, tile, fittings. Each draws one picture."""

from __future__ import annotations

import random

from PIL import Image, ImageDraw

from fieldlog.demo import surfaces as s

HARBOR_BLUE = (138, 158, 170)
WARM_WHITE = (228, 224, 212)
TRIM_WHITE = (238, 236, 228)
WHITE_TILE = (226, 230, 230)


def scratched_door(rng: random.Random) -> Image.Image:
    """A painted door leaf, lever and panel, with a long scratch through the paint."""
    door = s.light(s.plaster(rng, (92, 112, 108), depth=0.04), [[255, 235, 205], [240, 210, 180]])
    pen = ImageDraw.Draw(door)
    for grow, tone in ((0, 0.62), (10, 1.25), (22, 0.8)):
        box = (470 + grow, -60 + grow, 1110 - grow, 700 - grow)
        pen.rectangle(box, outline=s.shade((92, 112, 108), tone), width=9)
    s.shadow(door, [(150, 330), (370, 352), (370, 400), (150, 390)], 16, 0.55)
    pen.ellipse((120, 290, 220, 390), fill=(74, 70, 66), outline=(30, 28, 26), width=4)
    pen.rounded_rectangle(
        (160, 316, 376, 360), 22, fill=(96, 92, 88), outline=(34, 32, 30), width=3
    )
    pen.line((180, 326, 360, 326), (190, 188, 182), 5)
    _scratch(rng, pen, (560, 610), (960, 330))
    _scratch(rng, pen, (620, 640), (900, 452))
    s.lay_tape(door, (540, 745), (1080, 735), 6)
    return s.finished(rng, door)


def _scratch(rng: random.Random, pen: ImageDraw.ImageDraw, start: s.Point, end: s.Point) -> None:
    path = []
    for i in range(13):
        part = i / 12
        x = start[0] + (end[0] - start[0]) * part
        y = start[1] + (end[1] - start[1]) * part - 26 * part * (1 - part)
        path.append((x, y + rng.uniform(-3, 3)))
    pen.line([(x + 2, y + 4) for x, y in path], (40, 52, 50), 5, joint="curve")
    pen.line(path, (214, 202, 176), 4, joint="curve")
    pen.line(path[3:9], (240, 232, 212), 6, joint="curve")


def paint_holiday(rng: random.Random) -> Image.Image:
    """A missed patch where primer shows through the wall color, ringed with painter's tape."""
    wall = s.plaster(rng, HARBOR_BLUE, depth=0.06)
    mask = Image.new("L", s.SIZE)
    pen = ImageDraw.Draw(mask)
    for _ in range(26):
        x, y = rng.gauss(590, 95), rng.gauss(400, 60)
        wide, tall = rng.uniform(20, 70), rng.uniform(60, 150)
        pen.rounded_rectangle((x - wide, y - tall, x + wide, y + tall), 18, fill=255)
    streaks = s.grain(rng, (70, 5)).point(lambda v: 70 + v // 2)
    thin = Image.composite(streaks, Image.new("L", s.SIZE), mask)
    wall.paste(s.plaster(rng, (206, 206, 198)), (0, 0), thin)
    wall = s.light(wall, [[225, 255, 245], [205, 240, 225], [170, 200, 190]])
    base = s.light(s.plaster(rng, TRIM_WHITE, (1200, 120), 0.02), [[255, 255], [215, 215]])
    wall.paste(base, (0, 790))
    s.shadow(wall, [(0, 776), (1200, 776), (1200, 794), (0, 794)], 8, 0.5)
    for corners in (
        ((300, 168), (470, 150), (474, 186), (304, 204)),
        ((770, 640), (930, 612), (936, 648), (776, 676)),
    ):
        s.shadow(wall, [(x + 4, y + 5) for x, y in corners], 6, 0.4)
        s.lay(wall, s.plaster(rng, (42, 116, 190), (180, 40), 0.05), corners)
    return s.finished(rng, wall)


def _receptacle(image: Image.Image, x: int, y: int, plate: bool) -> None:
    pen = ImageDraw.Draw(image)
    if plate:
        pen.rounded_rectangle((x - 105, y - 165, x + 105, y + 165), 14, fill=(244, 243, 238))
    else:
        pen.rounded_rectangle((x - 92, y - 150, x + 92, y + 150), 8, fill=(24, 22, 22))
        pen.rounded_rectangle(
            (x - 80, y - 138, x + 80, y + 138), 8, outline=(58, 106, 172), width=14
        )
        pen.line(
            (x - 62, y - 110, x - 70, y + 60, x - 48, y + 120), (196, 60, 44), 10, joint="curve"
        )
        pen.line((x + 64, y - 60, x + 58, y + 110), (230, 230, 222), 10)
        pen.rectangle((x - 30, y - 172, x + 30, y + 172), fill=(176, 172, 160))
        for sy in (-158, 158):
            pen.ellipse((x - 11, y + sy - 11, x + 11, y + sy + 11), fill=(120, 116, 104))
    pen.rounded_rectangle(
        (x - 50, y - 118, x + 50, y + 118),
        30,
        fill=(236, 234, 226),
        outline=(150, 148, 140),
        width=3,
    )
    for cy in (y - 56, y + 56):
        pen.rectangle((x - 25, cy - 24, x - 15, cy + 14), fill=(30, 28, 28))
        pen.rectangle((x + 13, cy - 20, x + 23, cy + 12), fill=(30, 28, 28))
        pen.ellipse((x - 9, cy + 18, x + 9, cy + 36), fill=(30, 28, 28))


def _no_plate(rng: random.Random, wall: Image.Image, y: int) -> Image.Image:
    pen = ImageDraw.Draw(wall)
    edge = []
    for cx, cy in ((490, y - 165), (710, y - 165), (710, y + 165), (490, y + 165)):
        edge.append((cx + rng.uniform(-9, 9), cy + rng.uniform(-9, 9)))
    pen.polygon(edge, fill=(206, 200, 188), outline=(150, 142, 130), width=5)
    _receptacle(wall, 600, y, plate=False)
    return s.finished(rng, s.light(wall, [[255, 245, 215], [225, 215, 185]]))


def kitchen_plate(rng: random.Random) -> Image.Image:
    """An outlet over a counter with no cover plate."""
    wall = s.tiles(rng, WHITE_TILE, (250, 120), 5)
    counter = s.light(s.plaster(rng, (84, 90, 92), (1200, 160), 0.3), [[255, 255], [190, 190]])
    wall.paste(counter, (0, 760))
    s.shadow(wall, [(0, 742), (1200, 742), (1200, 766), (0, 766)], 10, 0.5)
    return _no_plate(rng, wall, 420)


def nook_plate(rng: random.Random) -> Image.Image:
    """An outlet low on a boarded wall with no cover plate."""
    wall = s.wood(rng, (222, 218, 206), depth=0.05, upright=True)
    pen = ImageDraw.Draw(wall)
    for x in range(60, 1200, 190):
        pen.line((x, 0, x, 900), (160, 156, 146), 7)
        pen.line((x + 6, 0, x + 6, 900), (244, 242, 234), 3)
    return _no_plate(rng, wall, 470)


def crooked_outlet(rng: random.Random) -> Image.Image:
    """A covered outlet out of plumb beside a small level."""
    wall = s.plaster(rng, WARM_WHITE)
    s.shadow(wall, [(404, 254), (616, 270), (604, 610), (384, 590)], 14, 0.5)
    plate = Image.new("RGB", (240, 360), (214, 210, 200))
    _receptacle(plate, 120, 180, plate=True)
    turned = plate.crop((15, 15, 225, 345)).rotate(6, Image.Resampling.BICUBIC, expand=True)
    mask = Image.new("L", (210, 330), 255).rotate(6, Image.Resampling.BICUBIC, expand=True)
    wall.paste(turned, (380, 250), mask)
    s.shadow(wall, [(720, 200), (830, 200), (830, 720), (720, 720)], 14, 0.5)
    level = s.light(s.plaster(rng, (206, 60, 40), (96, 520), 0.05), [[200, 255, 180]])
    wall.paste(level, (712, 190))
    pen = ImageDraw.Draw(wall)
    pen.rounded_rectangle(
        (732, 400, 788, 520), 20, fill=(196, 226, 70), outline=(60, 60, 40), width=3
    )
    pen.ellipse((740, 438, 780, 480), fill=(230, 246, 160), outline=(90, 110, 30), width=3)
    pen.line((732, 434, 788, 434, 788, 486, 732, 486), (30, 30, 20), 3)
    return s.finished(rng, s.light(wall, [[235, 255, 225], [200, 225, 190]]))


def _casing_corner(rng: random.Random, gap: int) -> Image.Image:
    image = s.plaster(rng, WARM_WHITE)
    pen = ImageDraw.Draw(image)
    pen.rectangle((470, 520, 1200, 900), fill=(70, 76, 78))
    pen.rectangle((430, 480, 1200, 540), fill=s.shade(TRIM_WHITE, 0.86))
    pen.rectangle((430, 480, 480, 900), fill=s.shade(TRIM_WHITE, 0.78))
    s.shadow(
        image, [(150, 205), (1230, 205), (1230, 460), (400, 470), (410, 930), (150, 930)], 14, 0.45
    )
    head = s.light(
        s.plaster(rng, TRIM_WHITE, (1050, 250), 0.03),
        [[255, 255], [235, 235], [255, 255], [200, 200]],
    )
    leg = s.light(s.plaster(rng, TRIM_WHITE, (250, 690), 0.03), [[250, 225, 255, 205]])
    image.paste(leg, (150, 210), _cut(leg.size, [(0, 0), (250, 250), (250, 690), (0, 690)]))
    image.paste(head, (150, 210), _cut(head.size, [(0, 0), (1050, 0), (1050, 250), (250, 250)]))
    pen.line((150, 210, 400, 460), s.shade(TRIM_WHITE, 0.7), 3)
    if gap:
        pen.polygon(
            [(150, 206), (150 + gap, 206), (402 + gap // 4, 460), (398, 462)], fill=(22, 20, 18)
        )
        s.lay_tape(image, (520, 640), (1010, 640), 5)
    return s.finished(rng, s.light(image, [[255, 245, 215], [230, 215, 190]]))


def _cut(size: tuple[int, int], shape: list[s.Point]) -> Image.Image:
    mask = Image.new("L", size)
    ImageDraw.Draw(mask).polygon(shape, fill=255)
    return mask


def open_miter(rng: random.Random) -> Image.Image:
    """A casing miter open at its heel."""
    return _casing_corner(rng, 18)


def closed_miter(rng: random.Random) -> Image.Image:
    """The same corner, recut and closed."""
    return _casing_corner(rng, 0)


def scuffed_wall(rng: random.Random) -> Image.Image:
    """Black scuffs along a stair wall above its skirt board."""
    wall = s.light(s.plaster(rng, WARM_WHITE), [[255, 240, 215], [225, 205, 180]])
    pen = ImageDraw.Draw(wall)
    for _ in range(9):
        x, y = rng.uniform(260, 800), rng.uniform(230, 430)
        far = rng.uniform(80, 240)
        for n in range(7):
            tone = rng.randrange(60, 120)
            pen.line(
                (x, y + n * 3, x + far - n * 9, y + far * 0.62 + n * 3), (tone, tone, tone - 6), 2
            )
    skirt = s.light(s.plaster(rng, TRIM_WHITE, (1500, 150), 0.03), [[255, 255], [215, 215]])
    s.shadow(wall, [(-40, 340), (1240, 1120), (1240, 1180), (-40, 420)], 16, 0.5)
    s.lay(wall, skirt, [(-40, 380), (1240, 1160), (1240, 1330), (-40, 550)])
    s.lay(
        wall,
        s.wood(rng, (190, 146, 94), (600, 200)),
        [(-40, 560), (300, 768), (300, 960), (-40, 960)],
    )
    return s.finished(rng, wall)


def harbor_window(rng: random.Random) -> Image.Image:
    """A finished window: casing, stool and sash, with the harbor outside."""
    wall = s.light(s.plaster(rng, HARBOR_BLUE), [[150, 175, 150], [130, 150, 130]])
    pen = ImageDraw.Draw(wall)
    pen.rectangle((220, 60, 980, 760), fill=TRIM_WHITE)
    view = s.light(
        Image.new("RGB", (600, 560), (206, 224, 238)), [[220, 240, 225], [255, 255, 250]]
    )
    outside = ImageDraw.Draw(view)
    outside.polygon(
        [(0, 250), (140, 190), (300, 240), (460, 170), (600, 235), (600, 330), (0, 330)],
        fill=(96, 118, 112),
    )
    outside.rectangle((0, 310, 600, 560), fill=(112, 142, 160))
    for _ in range(90):
        x, y = rng.uniform(0, 600), rng.uniform(318, 560)
        outside.line((x, y, x + rng.uniform(12, 60), y), (176, 200, 212), 2)
    outside.polygon([(330, 352), (440, 352), (424, 380), (346, 380)], fill=(170, 54, 44))
    outside.line((384, 352, 384, 258), (60, 50, 44), 5)
    wall.paste(view, (300, 140))
    for box in (
        (292, 132, 908, 148),
        (292, 692, 908, 708),
        (292, 132, 308, 708),
        (892, 132, 908, 708),
    ):
        pen.rectangle(box, fill=s.shade(TRIM_WHITE, 0.84))
    pen.rectangle((590, 140, 612, 700), fill=s.shade(TRIM_WHITE, 0.94))
    pen.rectangle((300, 408, 900, 424), fill=s.shade(TRIM_WHITE, 0.94))
    pen.rectangle((180, 752, 1020, 800), fill=TRIM_WHITE)
    s.shadow(wall, [(190, 804), (1012, 804), (1000, 850), (200, 850)], 18, 0.5)
    s.glow(wall, [(330, 700), (880, 700), (960, 790), (250, 790)], 30, 0.35)
    return s.finished(rng, wall)
