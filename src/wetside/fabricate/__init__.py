"""Sized fittings on the centre lines, and the joints they make."""
