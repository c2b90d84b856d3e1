"""Published values from outside this house, and what the library makes of them."""
