"""Everything that touches the world: disk, clock, console, mail."""
