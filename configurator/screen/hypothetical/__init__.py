"""Parts that a catalog does not have, made by rule from those that it has."""
