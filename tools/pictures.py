"""Take the pictures of every page for the documents: three widths, light, few colours.

python -m tools.pictures
"""

import sys
import tempfile
from pathlib import Path

from PIL import Image

from tools import shots

__all__ = ["main"]

FOLDER = Path(__file__).parent.parent / "docs" / "screenshots"
COLOURS = 48


def _small(taken: Path, kept: Path) -> None:
    """Keep a picture in few colours: pages are flat, and the repository stays small."""
    with Image.open(taken) as opened:
        opened.convert("RGB").quantize(COLOURS).save(kept, optimize=True)


def main() -> int:
    """Take and keep the pictures; return the exit status of the taking."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as made:
        status = shots.main([made, "--schemes", "light"])
        for taken in sorted(Path(made).glob("*.png")):
            _small(taken, FOLDER / taken.name)
    return status


if __name__ == "__main__":
    sys.exit(main())
