"""Frozen dataclasses and arithmetic: standard library only, no files, no clock, no third-party types."""
