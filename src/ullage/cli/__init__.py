"""Arguments in, text or JSON out."""

__all__ = ["main"]


def main() -> None:
    """Run the command."""
    from ullage.cli.house import root

    root()
