"""Pictures of the invented kitchen, painted here with ellipses: no camera took them, and the repository holds none."""

from collections.abc import Callable, Iterator
from io import BytesIO
from math import cos, pi, sin, sqrt
from typing import Final

from PIL import Image, ImageDraw, ImageFilter

Color = tuple[int, int, int]
Box = tuple[float, float, float, float]
#: Draws itself on a canvas of a size.
Shape = Callable[[ImageDraw.ImageDraw, tuple[int, int]], None]
SIZE: Final = (2000, 1500)
_CREAM, _SPONGE, _BERRY, _COCOA = (250, 243, 228), (226, 190, 132), (178, 28, 62), (62, 36, 27)


def _mix(one: Color, other: Color, share: float) -> Color:
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(one, other, strict=True))
    return red, green, blue


def _around(cx: float, cy: float, rx: float, ry: float) -> Box:
    return (cx - rx, cy - ry, cx + rx, cy + ry)


class Painting:
    """A canvas with soft light from the left and from above."""

    def __init__(self, table: Color, light: Color) -> None:
        self.image = Image.new("RGB", SIZE, table)
        self._gradient(lambda draw, size: draw.rectangle((0, 0, *size), fill=255), (0, 0, *SIZE), light, table)
        self.soft(_around(500, 350, 900, 600), light, 260, 150)

    def soft(self, box: Box, color: Color, blur: float, strength: int) -> None:
        """Lay a soft spot of a color: light, a shadow, a blush."""
        left, top, right, bottom = (box[0] - 3 * blur, box[1] - 3 * blur, box[2] + 3 * blur, box[3] + 3 * blur)
        mask = Image.new("L", (round(right - left), round(bottom - top)))
        ImageDraw.Draw(mask).ellipse((box[0] - left, box[1] - top, box[2] - left, box[3] - top), fill=strength)
        soft = mask.filter(ImageFilter.GaussianBlur(blur))
        self.image.paste(color, (round(left), round(top), round(left) + mask.width, round(top) + mask.height), soft)

    def _gradient(self, shape: Shape, box: Box, left: Color, right: Color) -> None:
        """Fill a shape, which is drawn from the corner of its box, from one color to another."""
        size = round(box[2] - box[0]), round(box[3] - box[1])
        mask = Image.new("L", size)
        shape(ImageDraw.Draw(mask), size)
        slope = Image.linear_gradient("L").rotate(90).resize(size)
        colors = Image.composite(Image.new("RGB", size, right), Image.new("RGB", size, left), slope)
        self.image.paste(colors, (round(box[0]), round(box[1])), mask)

    def disc(self, cx: float, cy: float, rx: float, ry: float, color: Color, shade: float = 0.18) -> None:
        """Lay a disc, lit from the left."""
        box = _around(cx, cy, rx, ry)
        dark = _mix(color, (60, 40, 40), shade)
        self._gradient(lambda draw, size: draw.ellipse((0, 0, size[0] - 1, size[1] - 1), fill=255), box, color, dark)

    def side(self, cx: float, cy: float, rx: float, ry: float, height: float, color: Color, narrow: float = 1) -> None:
        """Lay the side of a round thing whose upper edge is at ``cy``; it narrows towards its foot."""
        foot = rx * narrow, ry * narrow
        box = (cx - rx, cy, cx + rx, cy + height + foot[1])

        def shape(draw: ImageDraw.ImageDraw, size: tuple[int, int]) -> None:
            corners = [(0, 0), (2 * rx, 0), (rx + foot[0], height), (rx - foot[0], height)]
            draw.polygon(corners, fill=255)
            draw.ellipse(_around(rx, height, *foot), fill=255)

        self._gradient(shape, box, _mix(color, (255, 250, 240), 0.12), _mix(color, (50, 30, 35), 0.34))

    def ball(self, cx: float, cy: float, radius: float, color: Color) -> None:
        """Lay a berry, a nut or a rosette's dot, with its shadow and its gleam."""
        self.soft(_around(cx + radius * 0.35, cy + radius * 0.75, radius * 1.05, radius * 0.5), (70, 45, 40), 9, 110)
        self.disc(cx, cy, radius, radius * 0.94, color, 0.4)
        self.soft(_around(cx - radius * 0.35, cy - radius * 0.4, radius * 0.3, radius * 0.22), (255, 245, 240), 5, 170)

    def plate(self, cx: float, cy: float, rx: float, ry: float) -> None:
        """Lay a plate with its shadow on the table."""
        self.soft(_around(cx + 50, cy + 55, rx * 1.02, ry * 1.05), (92, 70, 58), 45, 150)
        self.disc(cx, cy + 12, rx, ry, (205, 196, 184), 0.25)
        self.disc(cx, cy, rx, ry, (250, 247, 241), 0.13)
        self.disc(cx, cy + 4, rx * 0.83, ry * 0.81, (240, 235, 226), 0.1)

    def jpeg(self) -> bytes:
        """Return the picture's file."""
        out = BytesIO()
        self.image.resize((SIZE[0] * 3 // 5, SIZE[1] * 3 // 5), Image.Resampling.LANCZOS).save(out, "JPEG", quality=90)
        return out.getvalue()


def _ring(count: int, cx: float, cy: float, rx: float, ry: float, turn: float = 0.0) -> Iterator[tuple[float, float]]:
    """Return points around a ring, the farthest first, so that what is near is laid over what is far."""
    points = [
        (cx + rx * cos(2 * pi * i / count + turn), cy + ry * sin(2 * pi * i / count + turn)) for i in range(count)
    ]
    yield from sorted(points, key=lambda point: point[1])


def _scattered(count: int, cx: float, cy: float, rx: float, ry: float) -> Iterator[tuple[float, float, int]]:
    """Return points strewn evenly over a disc, as the seeds of a sunflower stand, each with its number."""
    found = []
    for number in range(count):
        far, turn = sqrt((number + 0.5) / count), number * pi * (3 - sqrt(5))
        found.append((cx + rx * far * cos(turn), cy + ry * far * sin(turn), number))
    yield from sorted(found, key=lambda point: point[1])


def almond_cake() -> bytes:
    """Paint the almond cake: cream, a line of raspberry, flaked almonds, raspberries."""
    paint = Painting((216, 201, 180), (242, 234, 221))
    paint.plate(1000, 1080, 760, 240)
    paint.soft(_around(1090, 1090, 560, 170), (120, 96, 80), 40, 150)
    # From below: each lies on the one before.
    for foot, color in ((1060, _SPONGE), (975, _BERRY), (945, _CREAM), (915, _SPONGE), (835, _BERRY), (805, _CREAM)):
        paint.side(1000, 640, 520, 165, foot - 640, color)
    paint.disc(1000, 640, 522, 166, (253, 248, 237), 0.1)
    for x, y, number in _scattered(90, 1000, 640, 330, 92):
        flake = (238, 212, 160) if number % 3 else (214, 168, 104)
        paint.disc(x, y, 26 - number % 4 * 3, 9 + number % 3 * 2, flake, 0.2)
    for x, y in _ring(16, 1000, 632, 440, 132, 0.1):
        paint.ball(x, y - 26, 44, _mix(_BERRY, (214, 60, 92), (x % 7) / 7))
    return paint.jpeg()


def hazelnut_cake() -> bytes:
    """Paint the chocolate cake: a dark glaze that runs over mousse, a crown of hazelnuts."""
    paint = Painting((188, 178, 170), (228, 222, 214))
    paint.plate(1000, 1090, 760, 240)
    paint.soft(_around(1090, 1100, 560, 170), (90, 74, 66), 40, 170)
    for foot, color in ((1070, (112, 74, 52)), (1000, (150, 104, 74)), (850, (112, 74, 52))):
        paint.side(1000, 650, 520, 165, foot - 650, color)
    paint.side(1000, 650, 522, 166, 62, _mix(_COCOA, (110, 70, 52), 0.2))
    for i in range(1, 22):
        turn = pi * (i + 0.5) / 23
        x, y, wide = 1000 - 496 * cos(turn), 690 + 160 * sin(turn), 14 + 20 * sin(turn)
        drop, color = 50 + 80 * (i * 7 % 5) / 4, _mix(_COCOA, (110, 70, 52), 0.2 + 0.16 * cos(turn))
        paint.side(x, y - 20, wide, 4, drop, color)
        paint.disc(x, y - 20 + drop, wide, wide, color, 0.2)
    paint.disc(1000, 645, 524, 168, _COCOA, 0.1)
    paint.soft(_around(800, 600, 190, 40), (170, 132, 112), 40, 120)
    for x, y in _ring(14, 1000, 632, 420, 122, 0.2):
        paint.ball(x, y - 22, 42, (186, 128, 74))
        paint.soft(_around(x + 4, y - 50, 16, 9), (232, 196, 146), 4, 200)
    return paint.jpeg()


def lemon_tartlets() -> bytes:
    """Paint lemon tartlets: a crimped shell, curd, a browned cap of meringue."""
    paint = Painting((205, 209, 196), (238, 240, 230))
    paint.plate(1000, 1000, 860, 330)
    for cx, cy in ((640, 850), (1330, 830), (980, 1060)):
        paint.soft(_around(cx + 40, cy + 90, 300, 110), (110, 100, 84), 30, 160)
        paint.side(cx, cy, 280, 100, 80, (214, 160, 92), narrow=0.82)
        for x, y in _ring(34, cx, cy + 4, 274, 98):
            paint.disc(x, y, 26, 22, (228, 180, 112), 0.25)
        paint.disc(cx, cy, 254, 88, (248, 205, 62), 0.12)
        for rise, count, wide in ((0, 11, 150), (44, 8, 104), (86, 5, 58), (122, 1, 0)):
            for x, y in _ring(count, cx, cy - 14 - rise, wide, wide * 0.36, rise):
                paint.disc(x, y, 50, 46, (255, 250, 240), 0.16)
                paint.soft(_around(x - 6, y - 32, 22, 12), (196, 132, 66), 9, 150)
    return paint.jpeg()


def sprig() -> bytes:
    """Paint the logo: a sprig of tansy on a clear ground."""
    image = Image.new("RGBA", (720, 960))
    draw = ImageDraw.Draw(image)
    plum = (110, 44, 78, 255)
    stems = (((360, 900), (360, 330)), ((360, 620), (190, 400)), ((360, 560), (540, 350)), ((360, 470), (360, 220)))
    for start, end in stems:
        draw.line((*start, *end), fill=plum, width=22)
    for cx, cy in ((190, 360), (540, 310), (360, 190), (270, 250), (455, 215)):
        draw.ellipse(_around(cx, cy, 74, 58), fill=(196, 146, 28, 255))
        for x, y, _ in _scattered(19, cx, cy, 58, 44):
            draw.ellipse(_around(x, y, 6, 5), fill=(150, 104, 14, 255))
    for side in (-1, 1):
        for i in range(4):
            y = 860 - i * 62
            draw.ellipse(_around(360 + side * (66 - i * 6), y - 22, 58 - i * 6, 15), fill=plum)
    out = BytesIO()
    image.resize((360, 480), Image.Resampling.LANCZOS).save(out, "PNG")
    return out.getvalue()
