"""Everything about a household's food that can be worked out from what people logged.

Pure: no I/O, no clock, no randomness. `service` hands it bytes, records and the present moment.
"""
