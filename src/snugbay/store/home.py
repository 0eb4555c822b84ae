"""Where a user's jobs are kept."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path


def data_home(environment: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """Return the folder that holds the user's jobs; nothing is created.

    ``SNUGBAY_HOME`` wins. Otherwise the platform's own place for a user's data: ``$XDG_DATA_HOME`` or
    ``~/.local/share`` (XDG base directory specification), ``~/Library/Application Support`` on a Mac,
    ``%LOCALAPPDATA%`` on Windows.

    Parameters
    ----------
    environment : Mapping or None
        Environment variables; None reads the process's own.
    platform : str
        As in `sys.platform`.

    Returns
    -------
    Path
        Absolute folder.
    """
    env = os.environ if environment is None else environment
    own = env.get("SNUGBAY_HOME", "").strip()
    if own:
        return Path(own).expanduser().absolute()
    if platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "snugbay"
    if platform == "win32":
        base = env.get("LOCALAPPDATA", "").strip()
        return (Path(base) if base else Path.home() / "AppData" / "Local") / "snugbay"
    base = env.get("XDG_DATA_HOME", "").strip()
    return (Path(base) if base.startswith("/") else Path.home() / ".local" / "share") / "snugbay"
