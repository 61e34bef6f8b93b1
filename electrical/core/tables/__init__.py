"""Printed tables, one module per source.

Values stand as printed, with edition, table and retrieval status. A lookup outside a
table raises :class:`~electrical.core.errors.OutOfTable`; nothing is extrapolated.
"""
