"""`steelyard`, and `python -m steelyard`, is the command line."""

import sys


def run() -> None:
    """Run it; Ctrl-C while it is still being loaded ends it in a word, too."""
    try:
        from steelyard.cli import main

        main()
    except KeyboardInterrupt:
        sys.stderr.write("Stopped.\n")
        raise SystemExit(130) from None


if __name__ == "__main__":
    run()
