"""What happens by itself: digests that come due, mail, copies."""
