"""The report of one session: what each section says."""
