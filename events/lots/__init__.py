"""The order-free heart: the records of a household's lots folded into parcels and postings."""
