"""Where on earth a station is, as far as bands, channels and rules care: ITU Region, country, and what follows."""
