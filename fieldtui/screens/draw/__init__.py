"""Drawing: from values to lines of text. Pure, so every picture can be tested without a terminal."""
