"""Make: limits, coats, masks, nesting, joins, quantities and plates."""
