"""Tests of the arithmetic of money."""
