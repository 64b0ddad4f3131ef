"""The demo studio for tests that need a whole one."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def texts_of_demo() -> dict[str, str]:
    """Every spec of the demo studio by its path, as a maker's folder is read."""
    return {
        path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8") for path in (ROOT / "specs").rglob("*.yaml")
    }
