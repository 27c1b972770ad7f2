"""The invented job of Marrowby, as plain files."""
