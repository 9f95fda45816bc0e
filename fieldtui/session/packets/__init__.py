"""What was heard and sent by packet."""
