"""Panels in space: where each stands on its vehicle, and the vehicle seen whole."""
