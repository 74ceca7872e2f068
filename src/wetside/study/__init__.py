"""All readings of one design, each computed once."""
