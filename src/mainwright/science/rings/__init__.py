"""Ring scans: from radii round the clock to bore, thickness and thin areas; arrays whose shapes are stated."""
