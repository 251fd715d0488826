"""Every look as plain data: what the console prints as JSON and the service answers."""
