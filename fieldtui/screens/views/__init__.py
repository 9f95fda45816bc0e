"""From the folded state to frozen values that are drawn."""
