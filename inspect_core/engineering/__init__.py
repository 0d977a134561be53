"""Pure engineering functions on numbers: they know no site and no rule."""
