"""Between feeds and screens: reads ports in threads, records, watches. No Textual."""
