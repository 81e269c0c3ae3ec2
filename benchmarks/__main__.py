"""Print one line per figure: ``python -m benchmarks``, or ``python -m benchmarks contents``."""

import sys

from benchmarks.frame import figures_of, line, modules


def main(words: list[str]) -> int:
    """Run the modules named, or all of them; the exit status is always 0."""
    for module in words or modules():
        for figure in figures_of(module):
            print(line(figure), flush=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
