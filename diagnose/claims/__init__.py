"""A table of warranty claims in, a classified table out."""
