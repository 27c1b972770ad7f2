"""The invented job of Marrowby."""
