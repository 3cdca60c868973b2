"""An upload becomes a picture of ours: pixels alone, upright, in sRGB, in our sizes; what is none is refused."""

from io import BytesIO

import pytest
from PIL import Image, ImageCms, ImageFile

from catalog.pictures.presenters import unusable_sentence
from catalog.pictures.reader import picture_made
from catalog.pictures.reader_process import picture_read
from catalog.pictures.uploads import MOST_BYTES, Made, Unusable
from tests.pictures import HOSTILE, SECRET, drawn, file_of, photograph


@pytest.fixture(autouse=True)
def _as_in_its_own_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """The renderer of PDFs, once it is loaded, lets every reader in its process take damaged pictures."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", False)


def _opened(body: bytes) -> Image.Image:
    image = Image.open(BytesIO(body))
    image.load()
    return image


def _near(found: object, wanted: tuple[int, int, int]) -> bool:
    assert isinstance(found, tuple)
    return all(abs(one - other) < 24 for one, other in zip(found, wanted, strict=True))


def test_a_photograph_is_made_in_three_sizes_none_larger_than_it_is() -> None:
    made = picture_made("photo", photograph())
    assert made.suffix == "jpg"
    assert made.sizes == ((320, 240), (640, 480), (1200, 900))
    assert [_opened(body).size for body in made.bodies] == list(made.sizes)
    assert picture_made("photo", photograph(500, 400)).sizes == ((320, 256), (500, 400))


@pytest.mark.parametrize("use", ["photo", "logo"])
def test_nothing_of_the_file_but_its_pixels_is_stored(use: str) -> None:
    for body in picture_made(use, photograph()).bodies:
        image = _opened(body)
        assert SECRET.encode() not in body
        assert not image.getexif()
        assert {"icc_profile", "exif", "comment", "xmp"}.isdisjoint(image.info)


def test_what_hangs_behind_a_picture_goes() -> None:
    for kind in ("JPEG", "PNG", "WEBP"):
        behind = b"PK\x03\x04<script>" + SECRET.encode()
        made = picture_made("photo", file_of(drawn(), kind) + behind)
        assert all(b"<script>" not in body and SECRET.encode() not in body for body in made.bodies)


@pytest.mark.parametrize(
    ("orientation", "size", "red"),
    [(1, (1200, 900), (0, 0)), (3, (1200, 900), (1, 1)), (6, (900, 1200), (1, 0)), (8, (900, 1200), (0, 1))],
)
def test_a_picture_taken_with_the_camera_turned_is_upright(
    orientation: int, size: tuple[int, int], red: tuple[int, int]
) -> None:
    image = _opened(picture_made("photo", photograph(orientation=orientation)).bodies[-1])
    assert image.size == size
    corner = tuple(10 if not side else length - 10 for side, length in zip(red, size, strict=True))
    assert _near(image.getpixel((corner[0], corner[1])), (254, 0, 0))


def test_a_turned_picture_of_an_index_of_colors_is_upright() -> None:
    image = drawn(mode="P")
    exif = image.getexif()
    exif[0x0112] = 6
    assert picture_made("photo", file_of(image, "PNG", exif=exif)).sizes[-1] == (600, 800)


def test_colors_of_another_profile_look_as_they_did() -> None:
    lab = ImageCms.createProfile("LAB")
    srgb = ImageCms.createProfile("sRGB")
    # A profile that says red for blue would be ignored no more than any: the pixels are converted by it.
    in_srgb = ImageCms.ImageCmsProfile(srgb).tobytes()
    image = _opened(picture_made("photo", file_of(drawn(), icc_profile=in_srgb)).bodies[-1])
    assert _near(image.getpixel((10, 10)), (254, 0, 0))
    nonsense = ImageCms.ImageCmsProfile(lab).tobytes()[:200]
    image = _opened(picture_made("photo", file_of(drawn(), icc_profile=nonsense)).bodies[-1])
    assert _near(image.getpixel((10, 10)), (254, 0, 0))


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_kind_of_png_is_read(mode: str) -> None:
    image = drawn().convert("L").convert("I").point(lambda value: value * 256).convert("I;16")
    made = picture_made("photo", file_of(image if mode == "I;16" else drawn(mode=mode), "PNG"))
    assert _opened(made.bodies[-1]).mode == "RGB"


def test_a_printers_jpeg_is_read() -> None:
    assert _opened(picture_made("photo", file_of(drawn(mode="CMYK"))).bodies[0]).mode == "RGB"


def test_clear_parts_become_white_in_a_photograph_and_stay_clear_in_a_logo() -> None:
    clear = Image.new("RGBA", (400, 300), (0, 0, 0, 0))
    photo = _opened(picture_made("photo", file_of(clear, "PNG")).bodies[-1])
    assert photo.getpixel((5, 5)) == (255, 255, 255)
    made = picture_made("logo", file_of(clear, "PNG"))
    assert made.suffix == "png"
    assert made.sizes == ((128, 96), (320, 240))
    assert _opened(made.bodies[-1]).getpixel((5, 5)) == (0, 0, 0, 0)


def test_a_logo_may_be_long_and_a_photograph_may_not() -> None:
    banner = file_of(drawn(1600, 200), "PNG")
    assert picture_made("logo", banner).sizes[-1] == (800, 100)
    with pytest.raises(Unusable) as refused:
        picture_made("photo", banner)
    assert refused.value.code == "too_small"


@pytest.mark.parametrize("name", HOSTILE)
def test_a_file_that_is_no_picture_of_ours_is_refused_with_what_works(name: str) -> None:
    body, code = HOSTILE[name]
    with pytest.raises(Unusable) as refused:
        picture_made("photo", body)
    assert refused.value.code == code
    words = unusable_sentence(refused.value)
    assert words.startswith(("The picture", "The file"))
    assert words.count(".") >= 2 or " save " in words
    assert "%(" not in words


def test_a_file_beyond_the_limit_is_not_even_opened() -> None:
    with pytest.raises(Unusable) as refused:
        picture_made("photo", photograph() + b"\0" * MOST_BYTES)
    assert refused.value.code == "too_large"


def test_the_process_of_its_own_makes_the_same_picture_and_the_same_refusals() -> None:
    assert isinstance(picture_read("photo", photograph()), Made)
    assert picture_read("photo", photograph()) == picture_made("photo", photograph())
    with pytest.raises(Unusable) as refused:
        picture_read("photo", HOSTILE["dance.gif"][0])
    assert (refused.value.code, refused.value.params) == ("other_kind", {"kind": "gif"})


def test_fifty_million_pixels_fit_into_the_processes_limits() -> None:
    large = Image.new("RGBA", (8160, 6120), (200, 120, 60, 128))
    assert picture_read("photo", file_of(large, "PNG", compress_level=1)).sizes[-1] == (1200, 900)
    assert picture_read("photo", file_of(large.convert("RGB"), "JPEG")).sizes[-1] == (1200, 900)
