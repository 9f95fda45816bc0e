"""Profiles of paths and maps of reach as SVG."""
