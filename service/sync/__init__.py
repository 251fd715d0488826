"""Devices and the household's log told to each other: what goes over the wire, and the replica."""
