"""What leaves the program: log files, cards, reports."""
