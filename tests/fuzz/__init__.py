"""Hostile input for every reader."""
