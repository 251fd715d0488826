"""The household's log over HTTP: what comes in and goes out on a wire, and nothing worked out."""
