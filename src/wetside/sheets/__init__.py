"""What is shown: one dataclass per sheet, drawings, the printed pack."""
