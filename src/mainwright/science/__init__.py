"""Formulas and array algorithms in SI."""
