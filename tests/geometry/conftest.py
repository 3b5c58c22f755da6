"""Runs each test that asks for a specimen over the whole gallery."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

_spec = importlib.util.spec_from_file_location("gallery", Path(__file__).parent / "gallery.py")
assert _spec is not None and _spec.loader is not None
gallery = importlib.util.module_from_spec(_spec)
sys.modules.setdefault("gallery", gallery)
_spec.loader.exec_module(gallery)


@pytest.fixture(params=list(gallery.SPECIMENS), ids=lambda n: n.replace(" ", "-"))
def specimen(request):
    """One good outline."""
    return gallery.SPECIMENS[request.param]


@pytest.fixture(params=list(gallery.NASTY), ids=lambda n: n.replace(" ", "-"))
def nasty(request):
    """One outline that breaks the rules."""
    return gallery.NASTY[request.param]
