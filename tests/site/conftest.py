"""What the site's tests share: the theme read once, the demo built once."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="session", autouse=True)
def kept_theme():
    """The site generator's templates, read and compiled once a process instead of once a build: half of a small build.

    The theme brings some 14,000 icons in a hidden folder, which no build copies; they are not listed again and again.
    """
    from mkdocs.theme import Theme

    kept, get_env = {}, Theme.get_env

    def get_kept_env(theme):
        which = (*theme.dirs, str(theme.locale))
        if which not in kept:
            env = kept[which] = get_env(theme)
            names = [name for name in env.list_templates() if not name.startswith(".")]
            env.loader.list_templates = lambda: names
        return kept[which]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Theme, "get_env", get_kept_env)
        yield
