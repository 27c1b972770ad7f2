"""Friction, capacity and flow tests of water mains."""
