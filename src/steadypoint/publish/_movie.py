"""Pictures in a row: GIF, WebP, MP4, or a folder of numbered PNGs."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from steadypoint.errors import OutputError
from steadypoint.publish._atomic import make_folder, write_atomic

MOVIE_SUFFIXES: Final = (".gif", ".webp", ".mp4", "")
_NEEDED: Final = {".gif": ("PIL",), ".webp": ("PIL",), ".mp4": ("PIL", "av")}
_FRAME: Final = re.compile(r"frame-\d{4}\.png")
_QUALITY: Final = "18"  # constant rate factor of H.264: no blocks to be seen at thin lines
_WEBP_QUALITY: Final = 85


def check_movie(output: Path) -> None:
    """Refuse what cannot be written before any picture is made.

    Parameters
    ----------
    output : Path
        File that ends in .gif, .webp or .mp4, or a folder without a suffix.

    Raises
    ------
    OutputError
        If the suffix is unknown, the extra ``steadypoint[video]`` is missing, or the folder holds
        other files.
    """
    suffix = output.suffix.lower()
    if suffix not in MOVIE_SUFFIXES:
        raise OutputError(
            f"'{output}' does not end in .gif, .webp or .mp4, nor does it name a folder for "
            "numbered pictures. Name it drift.mp4, say."
        )
    if any(find_spec(package) is None for package in _NEEDED.get(suffix, ())):
        raise OutputError(
            f"A {suffix} file needs the extra 'video', which is not installed. Install "
            "steadypoint[video], or name a folder (-o drift) for numbered PNGs."
        )
    if not suffix and output.exists():
        if not output.is_dir():
            raise OutputError(f"'{output}' is a file. Name a folder for the pictures.")
        if any(not _FRAME.fullmatch(entry.name) for entry in output.iterdir()):
            raise OutputError(f"The folder '{output}' holds other files. Name an empty folder.")


def write_movie(pictures: Iterable[bytes], output: Path, *, rate: int = 15) -> int:
    """Write pictures of one size as a moving picture.

    Parameters
    ----------
    pictures : iterable of bytes
        PNG files in their order; taken one by one.
    output : Path
        File that ends in .gif, .webp or .mp4, or a folder for ``frame-0001.png`` and so on.
    rate : int, default 15
        Pictures per second. [Hz]

    Returns
    -------
    int
        Number of pictures.

    Raises
    ------
    OutputError
        As for `check_movie`, or if the rate is out of reason or nothing can be written.

    Notes
    -----
    The same pictures give the same bytes with the same versions of the libraries.
    """
    check_movie(output)
    if not 1 <= rate <= 60:
        raise OutputError(f"{rate} pictures a second cannot be written. Choose 1 to 60.")
    suffix = output.suffix.lower()
    if not suffix:
        return _folder(pictures, output)
    counted = _Counted(pictures)
    data = _mp4(counted, rate) if suffix == ".mp4" else _pillow(counted, rate, suffix)
    write_atomic(output, data)
    return counted.count


class _Counted:
    def __init__(self, pictures: Iterable[bytes]) -> None:
        self.pictures = pictures
        self.count = 0

    def __iter__(self) -> Iterator[Any]:
        from PIL import Image

        for data in self.pictures:
            self.count += 1
            yield Image.open(io.BytesIO(data)).convert("RGB")


def _folder(pictures: Iterable[bytes], output: Path) -> int:
    make_folder(output)
    count = 0
    for count, data in enumerate(pictures, 1):
        write_atomic(output / f"frame-{count:04d}.png", data)
    for entry in output.iterdir():  # of a longer row that stood here
        if _FRAME.fullmatch(entry.name) and int(entry.name[6:10]) > count:
            entry.unlink()
    return count


def _pillow(images: _Counted, rate: int, suffix: str) -> bytes:
    from PIL import Image

    frames = iter(images)
    if suffix == ".gif":  # few colours, no dither: thin lines stay clean
        frames = (f.quantize(128, dither=Image.Dither.NONE) for f in frames)
    first = next(frames, None)
    if first is None:
        raise OutputError("There is no picture to write.")
    buffer = io.BytesIO()
    options: dict[str, Any] = {"quality": _WEBP_QUALITY, "method": 2}
    if suffix == ".gif":
        options = {"optimize": False, "disposal": 1}
    first.save(
        buffer,
        suffix[1:].upper(),
        save_all=True,
        append_images=frames,
        duration=round(1000 / rate),
        loop=0,
        **options,
    )
    return buffer.getvalue()


def _mp4(images: _Counted, rate: int) -> bytes:
    import av

    buffer = io.BytesIO()
    stream: Any = None
    with av.open(buffer, "w", format="mp4") as container:
        for image in images:
            if stream is None:
                stream = container.add_stream("libx264", rate=rate)
                stream.width, stream.height = image.width, image.height
                stream.pix_fmt = "yuv420p"
                stream.options = {"crf": _QUALITY, "preset": "veryfast", "tune": "animation"}
            for packet in stream.encode(av.VideoFrame.from_image(image)):
                container.mux(packet)
        if stream is None:
            raise OutputError("There is no picture to write.")
        for packet in stream.encode():
            container.mux(packet)
    return buffer.getvalue()
