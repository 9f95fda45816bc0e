"""The pages over the session screen."""
