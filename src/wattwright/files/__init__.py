"""Adapters to disk: tracks, job files, catalogue files, tables."""
