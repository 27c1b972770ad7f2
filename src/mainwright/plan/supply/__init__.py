"""The temporary supply: what is asked, how it is solved, what comes of it, and a check by other code."""
