"""The rules of the United States: privileges, segments, places, channels."""
