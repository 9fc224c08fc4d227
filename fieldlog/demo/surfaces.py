"""Materials, light and a tape for the demo's drawn photos: Pillow only, and the same every time.

Every random number comes from a `random.Random` that the caller seeds, so that the same scene
gives the same bytes, and the demo's journal the same head. Sizes are pixels, (width, height).
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

SIZE = (1200, 900)
Color = tuple[int, int, int]
Point = tuple[float, float]
_SMALL = 4  # soft masks are drawn at a quarter of the size: blurring is what costs time


def shade(color: Color, factor: float) -> Color:
    """`color` made darker (below 1) or lighter (above 1)."""
    r, g, b = (max(0, min(255, round(c * factor))) for c in color)
    return r, g, b


def grain(rng: random.Random, cells: tuple[int, int], size: tuple[int, int] = SIZE) -> Image.Image:
    """Smooth grey noise of `cells` blobs; few cells one way and many the other make streaks."""
    width, height = cells
    noise = Image.frombytes("L", cells, rng.randbytes(width * height))
    return noise.resize(size, Image.Resampling.BILINEAR)


def tinted(texture: Image.Image, color: Color, depth: float) -> Image.Image:
    """Grey `texture` turned into shades of `color`, `depth` (0 to 1) darker and lighter."""
    dark, pale = shade(color, 1 - depth), shade(color, 1 + depth * 0.7)
    table = [a + (b - a) * v // 255 for a, b in zip(dark, pale, strict=True) for v in range(256)]
    return Image.merge("RGB", (texture, texture, texture)).point(table)


def plaster(
    rng: random.Random, color: Color, size: tuple[int, int] = SIZE, depth: float = 0.05
) -> Image.Image:
    """A rolled wall: fine stipple over slow unevenness."""
    fine = grain(rng, (size[0] // 3, size[1] // 3), size)
    slow = grain(rng, (9, 7), size)
    return tinted(Image.blend(fine, slow, 0.45), color, depth)


def wood(
    rng: random.Random,
    color: Color,
    size: tuple[int, int] = SIZE,
    depth: float = 0.2,
    *,
    upright: bool = False,
) -> Image.Image:
    """Wood with its grain along the width, or along the height when `upright`."""
    width, height = (size[1], size[0]) if upright else size
    broad = grain(rng, (5, max(4, height // 26)), (width, height))
    fine = grain(rng, (14, max(4, height // 4)), (width, height))
    board = tinted(Image.blend(broad, fine, 0.5), color, depth)
    return board.transpose(Image.Transpose.ROTATE_90) if upright else board


def planks(
    rng: random.Random, color: Color, rows: int, size: tuple[int, int] = SIZE
) -> Image.Image:
    """Floor boards running along the width, with staggered end joints."""
    width, height = size
    floor = Image.new("RGB", size)
    pen = ImageDraw.Draw(floor)
    step = height / rows
    for row in range(rows):
        top, bottom = round(row * step), round((row + 1) * step)
        left = -rng.randrange(width // 2)
        while left < width:
            long = rng.randrange(width // 2, width)
            tone = shade(color, rng.uniform(0.86, 1.08))
            floor.paste(wood(rng, tone, (long, bottom - top), 0.16), (left, top))
            left += long
            pen.line((left, top, left, bottom), shade(color, 0.4), 3)
        pen.line((0, top, width, top), shade(color, 0.4), 3)
    return floor


def tiles(
    rng: random.Random,
    color: Color,
    tile: tuple[int, int],
    joint: int = 6,
    size: tuple[int, int] = SIZE,
) -> Image.Image:
    """Tile in running rows with grout joints of `joint` pixels."""
    floor = plaster(rng, (150, 146, 138), size, 0.1)
    across, down = tile
    for row, top in enumerate(range(-down // 3, size[1], down + joint)):
        for left in range(-(row % 2) * across // 2, size[0], across + joint):
            tone = shade(color, rng.uniform(0.95, 1.04))
            floor.paste(plaster(rng, tone, (across, down), 0.04), (left, top))
    return floor


def light(image: Image.Image, corners: Sequence[Sequence[int]]) -> Image.Image:
    """`image` under uneven light: rows of brightness, 0 to 255, stretched over the picture."""
    rows = [bytes(row) for row in corners]
    small = Image.frombytes("L", (len(rows[0]), len(rows)), b"".join(rows))
    full = small.resize(image.size, Image.Resampling.BICUBIC)
    return ImageChops.multiply(image, Image.merge("RGB", (full, full, full)))


def soft_mask(size: tuple[int, int], shape: Sequence[Point], blur: float) -> Image.Image:
    """A polygon with soft edges, as a mask."""
    small = Image.new("L", (size[0] // _SMALL, size[1] // _SMALL))
    ImageDraw.Draw(small).polygon([(x / _SMALL, y / _SMALL) for x, y in shape], fill=255)
    return small.filter(ImageFilter.GaussianBlur(blur / _SMALL)).resize(
        size, Image.Resampling.BILINEAR
    )


def shadow(
    image: Image.Image, shape: Sequence[Point], blur: float = 12, depth: float = 0.5
) -> None:
    """Darken `image` in place under a soft polygon."""
    mask = soft_mask(image.size, shape, blur).point(lambda v: v * depth)
    image.paste((12, 12, 18), (0, 0), mask)


def glow(image: Image.Image, shape: Sequence[Point], blur: float = 14, depth: float = 0.6) -> None:
    """Lighten `image` in place over a soft polygon: a shine."""
    mask = soft_mask(image.size, shape, blur).point(lambda v: v * depth)
    image.paste((255, 255, 252), (0, 0), mask)


def lay(image: Image.Image, flat: Image.Image, corners: Sequence[Point]) -> None:
    """Paste `flat` onto the four `corners` (clockwise from its top left), in perspective."""
    left, top = (int(min(c[axis] for c in corners)) for axis in (0, 1))
    right, bottom = (int(max(c[axis] for c in corners)) + 1 for axis in (0, 1))
    box = (right - left, bottom - top)
    local = [(x - left, y - top) for x, y in corners]
    width, height = flat.size
    source = [(0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height))]
    view = _view(local, source)
    drawn = flat.transform(box, Image.Transform.PERSPECTIVE, view, Image.Resampling.BILINEAR)
    mask = Image.new("L", box)
    ImageDraw.Draw(mask).polygon(local, fill=255)
    image.paste(drawn, (left, top), mask)


def tape(inches: int, start: int = 0, pixels_per_inch: int = 90, width: int = 78) -> Image.Image:
    """A yellow tape blade, printed to sixteenths."""
    blade = Image.new("RGB", (inches * pixels_per_inch, width), (242, 199, 36))
    pen = ImageDraw.Draw(blade)
    font = ImageFont.load_default(width * 0.42)
    for sixteenth in range(inches * 16):
        x = sixteenth * pixels_per_inch / 16
        even = (sixteenth & -sixteenth) if sixteenth % 16 else 16
        tall = width * {1: 0.14, 2: 0.22, 4: 0.3, 8: 0.4}.get(even, 0.95)
        pen.line((x, 0, x, tall), (24, 22, 18), 2)
        if sixteenth % 16 == 0:
            pen.text((x + 7, width * 0.46), str(start + sixteenth // 16), (20, 18, 16), font)
    return light(blade, [[232, 232], [255, 255], [205, 205]])


def lay_tape(image: Image.Image, start: Point, end: Point, inches: int, first: int = 0) -> None:
    """Lay a tape from `start` to `end` with its own shadow."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = (dx * dx + dy * dy) ** 0.5
    across = min(60.0, long / inches * 0.9)
    nx, ny = -dy / long * across, dx / long * across
    quad = [start, end, (end[0] + nx, end[1] + ny), (start[0] + nx, start[1] + ny)]
    shadow(image, [(x + 7, y + 9) for x, y in quad], 9, 0.5)
    lay(image, tape(inches, first), quad)


def finished(rng: random.Random, image: Image.Image) -> Image.Image:
    """What a pocket camera adds: softness, corners a little dark, sensor noise."""
    soft = image.filter(ImageFilter.SMOOTH)
    dark = light(soft, [[232, 250, 230], [250, 255, 248], [222, 244, 220]])
    noise = Image.frombytes("L", (400, 300), rng.randbytes(120_000)).resize(
        image.size, Image.Resampling.BILINEAR
    )
    return Image.blend(dark, Image.merge("RGB", (noise, noise, noise)), 0.035)


def _view(target: Sequence[Point], source: Sequence[Point]) -> tuple[float, ...]:
    """Coefficients that take a point of the picture to a point of the flat image."""
    rows: list[list[float]] = []
    for (x, y), (u, v) in zip(target, source, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, v])
    return tuple(_solved(rows))


def _solved(rows: list[list[float]]) -> list[float]:
    """Gauss-Jordan elimination with row exchange; each row ends with its right side."""
    size = len(rows)
    for column in range(size):
        pivot = max(range(column, size), key=lambda r: abs(rows[r][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        scale = rows[column][column]
        rows[column] = [value / scale for value in rows[column]]
        for other in range(size):
            factor = rows[other][column]
            if other != column and factor:
                pairs = zip(rows[other], rows[column], strict=True)
                rows[other] = [value - factor * base for value, base in pairs]
    return [row[-1] for row in rows]
