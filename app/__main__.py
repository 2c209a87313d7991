"""``python -m app`` is ``copewright``."""

from app.cli import run

if __name__ == "__main__":
    run()
