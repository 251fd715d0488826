"""The week's work list: composed purely, then laid out."""
