"""The local page: templates over the use cases; nothing is computed here."""
