"""Drawings as SVG text, one drawing a file."""
