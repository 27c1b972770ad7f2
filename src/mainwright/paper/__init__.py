"""Documents: from results to pages, sheets and files."""
