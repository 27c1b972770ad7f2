"""The temporary supply."""
