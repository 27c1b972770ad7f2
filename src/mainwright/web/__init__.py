"""The pages for a browser: they ask use cases and word what comes back; they compute nothing."""
