"""Mainwright: plan, run and prove the cement mortar lining of old drinking-water mains."""

__all__ = ["__version__"]

__version__ = "0.1.0"
