"""A line of plain words, taken apart into deeds: wholly understood, or not at all."""
