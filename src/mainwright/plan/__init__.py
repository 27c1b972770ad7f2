"""Decide: from a job to a plan, as pure functions."""
